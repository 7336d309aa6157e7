"""Short cautions, each shown once where it belongs; `where` names the moment, not a screen."""

from typing import NamedTuple

from curedash.domain.said import celsius, say


class Caution(NamedTuple):
    """One caution: its id, the moment it belongs to, and the sentence."""

    id: str
    where: str
    text: str


CAUTIONS = (
    Caution("weigh-never-spoon", "curing-salt", "Weigh curing salt, never spoon it."),
    Caution(
        "lock-and-label",
        "curing-salt",
        "5 g of 6.25 % curing salt can kill a small child: keep it locked and labelled.",
    ),
    Caution("no-rescue", "new-batch", "Curing does not rescue spoiled meat."),
    Caution(
        "sealed-bag-cold",
        "in-cure",
        say(
            "Cold alone does not protect a sealed bag: one botulinum type grows at {least}.",
            least=celsius(3),
        ),
    ),
    Caution(
        "sealed-piece-fridge",
        "equalising",
        "A sealed piece has no air and its middle is wetter than its average: "
        "fridge, never chamber or cellar.",
    ),
    Caution(
        "raw-pork",
        "raw-pork",
        "Pork eaten uncooked: no cure and no drying counts against trichina; freezing it first "
        "is a step of its own, logged on the lot.",
    ),
    Caution(
        "freezing-not-game",
        "freezing",
        "Freezing by this table does not cover wild game, "
        "and no drying schedule makes meat trichina-free.",
    ),
    Caution(
        "vulnerable",
        "slicing",
        "Raw cured meat is not for pregnant, very young, old or immunocompromised people.",
    ),
    Caution("selling", "sharing", "Selling needs a licence."),
    Caution("local-rules", "rule-set", "Local rules and licensed advice come first."),
)


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
    >>> cautions_for("sharing")
    ('Selling needs a licence.',)
    """
    return tuple(caution.text for caution in CAUTIONS if caution.where == where)
