"""``curedash price``: what the roast of a lot cost."""

from curedash.cli.command import JSON_BARE, LOT, Chosen, Command, Word
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Set what the roast of a lot cost; without a price show it."""
    from curedash.domain.typed.prices import price
    from curedash.domain.typed.weights import parse_weight_g
    from curedash.present.household.roast_price import price_words, priced_line, roast_document
    from curedash.services.household.roast_price import cost_per_kg, price_roast, roast_of

    conn, lot = context.open(), context.lot(chosen.lot)
    if not chosen.price:
        roast = roast_of(conn, lot)
        document = roast_document(lot.code, roast, cost_per_kg(conn, lot.id))
        words = "no price given" if roast is None else price_words(roast)
        context.answer(chosen.json, document, f"{lot.code}: {words}")
        return
    asked = price(" ".join(chosen.price))
    bought_g = None
    if chosen.bought is not None:
        bought_g = parse_weight_g(chosen.bought, marks_are_decimal=True)
    done = price_roast(conn, context.by(), lot.id, asked, bought_g)
    document = roast_document(lot.code, done.roast, done.cost_per_kg)
    context.answer(chosen.json, document, priced_line(lot.code, done))


COMMAND = Command(
    "price",
    "Set what the roast of a lot cost, also after it was salted or finished: for the whole, or"
    " for a weight. The cost of finished lots follows. Without a price, show it.",
    "curedash price A1 38.20 EUR",
    LOT,
    Word("price", "38.20 EUR for the whole, or 17 EUR/kg, 8.50/lb", nargs="*"),
    Word("--bought", "weight of the roast as bought, for a price per weight"),
    JSON_BARE,
    run=run,
)
