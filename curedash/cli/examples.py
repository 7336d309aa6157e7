"""A second example for the commands that are used most, shown before the first in their help."""

MORE: dict[str, str] = {
    "weigh": "curedash weigh D1 '1 lb 10.8 oz' --note 'tip feels firm'",
    "lots": "curedash lots --base green",
    "check": "curedash check --json",
    "dose": "curedash dose --green '2 lb 8 oz' --salt 2.5",
    "turn": "curedash turn G1 --note 'little purge'",
    "note": "curedash note F2 'white bloom all over' --at yesterday",
    "air add": "curedash air add 'Landing fridge' 3.8C",
    "history": "curedash history --limit 5",
    "forecast": "curedash forecast D1 --plot",
    "look": "curedash look D1 --mould white powdery spots left",
}
