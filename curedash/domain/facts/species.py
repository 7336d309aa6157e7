"""Kinds of meat, found by their words, and what there is to say of each at dosing.

A word counts as a whole word or at the end of one ("wildschwein" is no pork): see `kind_of`.
"""

from typing import NamedTuple


class MeatKind(NamedTuple):
    """One kind of meat: its words, and the caution that belongs to it; ``raw`` when eaten raw."""

    id: str
    words: tuple[str, ...]
    raw: str
    source: str
    how: str


# fmt: off
MEAT_KINDS = (
    MeatKind("bear", ("bear",),
             "Bear: count it as infected with trichina; freezing and drying do not kill the worms"
             " in it. Only cooking through does.",
             "CDC on trichinellosis; Missouri Department of Conservation", "quoted"),
    MeatKind("wild-pig",
             ("boar", "feral hog", "feral pig", "wild hog", "wild pig", "razorback", "warthog",
              "javelina", "peccary"),
             "Wild or feral pig: count it as infected with trichina; freezing gives no credit. "
             "Cook it through, or have it tested.",
             "CDC on trichinellosis; Missouri Department of Conservation", "quoted"),
    MeatKind("horse", ("horse", "pony", "foal", "donkey"),
             "Horse can carry trichina: use meat that was inspected for it.",
             "CDC on trichinellosis (horse meat among its sources)", "quoted"),
    MeatKind("fish",
             ("fish", "salmon", "trout", "tuna", "char", "cod", "mackerel", "herring", "sturgeon",
              "swordfish", "bonito", "roe", "eel"),
             "Fish eaten raw: freeze it first for its worms (-20 °C for 7 days), and keep it at 3"
             " °C or colder: one botulinum type grows there. Limits of meat do not cover it.",
             "FDA Fish and Fishery Products Hazards and Controls Guidance ch. 5", "memory"),
    MeatKind("poultry",
             ("poultry", "chicken", "hen", "turkey", "duck", "goose", "quail", "pheasant",
              "guinea fowl", "ostrich", "pigeon", "partridge", "grouse", "fowl"),
             "Poultry eaten raw: Salmonella and Campylobacter are common on it, and no cure kills"
             " them.",
             "common practice; FSIS counts poultry by a stricter lethality (7 log) than meat",
             "quoted"),
    MeatKind("game",
             ("venison", "deer", "stag", "roebuck", "elk", "moose", "roe deer", "reindeer",
              "caribou", "antelope", "hare", "rabbit", "game", "bison", "chamois", "ibex",
              "kangaroo", "squirrel", "beaver", "raccoon"),
             "Game: it is not inspected, and freezing gives no credit against its worms.",
             "CDC on trichinellosis: freezing wild game may not kill all worms", "quoted"),
)

# Meat that no kind above names: cattle, pig, sheep and goat, by their names of the trade.
USUAL_MEAT = (
    "beef", "veal", "ox", "cattle", "yak", "buffalo", "water buffalo", "pork", "pig", "hog",
    "swine", "sow", "lamb", "mutton", "hogget", "sheep", "goat", "kid", "chevon",
)
# fmt: on
# How somebody names meat that is not listed: nothing is compared with a limit then.
OTHER_MEAT = "other"
