"""Short cautions, each shown once where it belongs; `where` names the moment, not a screen."""

from typing import NamedTuple

from curedash.domain.quantity_text import celsius, phrase


class Caution(NamedTuple):
    """One caution: its id, the moment it belongs to, the sentence, and where it is from."""

    id: str
    where: str
    text: str
    source: str = "common practice"
    how: str = "memory"


CAUTIONS = (
    Caution("weigh-never-spoon", "curing-salt", "Weigh curing salt, never spoon it."),
    Caution("lock-and-label", "curing-salt",
            "5 g of 6.25 % curing salt can kill a small child: keep it locked and labelled.",
            "5 g · 6.25 % is 312 mg NaNO2: lethal at 22 mg/kg (Battelle/FDA 1972) to 14 kg of "
            "body weight, at 33 mg/kg of nitrite ion (WHO 1996) to 6 kg", "derived"),
    Caution("no-rescue", "new-batch",
            "Curing does not rescue spoiled meat: salt it before its use-by date, cold since it "
            "was bought."),
    Caution(
        "sealed-bag-cold",
        "in-cure",
        phrase(
            "Cold alone does not protect a sealed bag: one botulinum type grows at {least}.",
            least=celsius(3),
        ),
    ),
    Caution("sealed-piece-fridge", "equalising",
            "A sealed piece has no air and a wetter middle: keep it in a fridge, never in a "
            "chamber or cellar."),
    Caution("raw-pork", "raw-pork",
            "Pork eaten uncooked: neither curing nor drying can be relied on to kill trichina. "
            "Freeze it first and log that on the lot.",
            "CDC, Trichinellosis: Prevention & Control (2019)", "read"),
    Caution("freezing-not-game", "freezing",
            "Freezing by this table does not cover wild game, and no drying schedule makes meat "
            "trichina-free.", "CDC, Trichinellosis: Prevention & Control (2019)", "read"),
    Caution("ferment-acid", "ferment",
            "In a ferment only acid holds Salmonella and E. coli down: measure until pH 5.3 or "
            "less."),
    Caution("calibrate", "ph",
            "Calibrate the pH meter on the day with two buffers, pH 7 and pH 4; a strip is too "
            "coarse near 5.3.",
            "Michigan State University Extension, Processed Meat Quick Guide: pH and Water "
            "Activity", "read"),
    Caution("where-ph", "ph",
            "Measure in the middle of the thickest piece, or in a sample of it blended with 9 "
            "parts of water; not on the rind.",
            "Michigan State University Extension, Processed Meat Quick Guide (10 g in 90 ml); the"
            " middle: common practice", "read"),
    Caution("coloured-mould", "coloured-mould",
            "Fluffy green, blue or brown mould is not bloom: wipe it off with brine or vinegar; "
            "if it is all over, decide: keep or discard."),
    Caution("fridge-mould", "mould",
            "Thin, white and powdery is the usual bloom; black, red or slimy is not: put it "
            "aside."),
    Caution("vulnerable", "slicing",
            "Raw cured meat is not for pregnant, very young, old or immunocompromised people.",
            "CDC on Listeria: people at higher risk heat deli meats until steaming hot", "quoted"),
    Caution("why-vulnerable", "sharing",
            "Tell whoever you give it to that it is raw. Listeria grows in the fridge, Toxoplasma"
            " is a risk in pregnancy.", "CDC on Listeria (quoted); Toxoplasma: common practice",
            "quoted"),
    Caution("selling", "sharing", "Selling needs a licence."),
    Caution("local-rules", "rule-set", "Local rules and licensed advice come first."),
)  # fmt: skip


def cautions_for(where: str) -> tuple[str, ...]:
    """Return the sentences that belong to one moment, in order.

    Parameters
    ----------
    where : the moment, one of the `where` words above; an unknown word gives nothing

    Returns
    -------
    the sentences

    Source
    ------
    the project's own wording of its rules on cautions

    Example
    -------
    >>> cautions_for("rule-set")
    ('Local rules and licensed advice come first.',)
    """
    return tuple(caution.text for caution in CAUTIONS if caution.where == where)
