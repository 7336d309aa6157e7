"""Other words of the trade: for styles, cuts and species, and for curing salts by their number.

All of it is common practice of butchers and cooks in English, with what the Italian and the French
trade call it where that is usual beside it; none of it is a product's name.
"""

from typing import NamedTuple

# style → what else it is called; common practice of the trade, none of it a product's name
STYLE_WORDS: dict[str, tuple[str, ...]] = {
    "bresaola": ("brisaola", "dried beef", "eye of round", "silverside", "topside", "top round",
                 "girello"),
    "coppa": ("capocollo", "capicola", "capicollo", "capicolla", "neck", "neck end", "collar",
              "boston butt"),
    "lonza": ("lonzino", "lomo", "pork loin", "loin of pork"),
    "pancetta-flat": ("belly", "tesa", "pancetta tesa", "flat pancetta"),
    "pancetta-rolled": ("belly", "arrotolata", "pancetta arrotolata", "rolled pancetta"),
    "belly-to-fry": ("belly", "bacon", "streaky bacon", "streaky"),
    "guanciale": ("jowl", "cheek"),
    "lardo": ("fatback", "back fat"),
    "leg-boned": ("boned ham", "boneless ham", "boneless leg"),
    "leg-bone-in": ("prosciutto", "raw ham", "jamon", "ham on the bone"),
    "leg-small": ("culatello", "fiocco", "small ham"),
    "duck-breast": ("magret", "duck prosciutto"),
    "venison": ("deer", "dried venison", "roe deer", "red deer", "elk", "game"),
    "salami-thin": ("saucisson", "cacciatore", "thin salame", "dry sausage", "fuet"),
    "salami-thick": ("soppressata", "thick salame"),
    "sticks": ("snack sticks", "landjaeger", "landjager"),
    "beef-pasted": ("basturma", "pastirma", "pastourma"),
    "beef-strips": ("biltong",),
    "loin-smoked": ("lachsschinken", "smoked loin"),
}  # fmt: skip


class CutWords(NamedTuple):
    """One cut: its name, of which meat, and what else it is called."""

    name: str
    species: tuple[str, ...]
    words: tuple[str, ...] = ()


# common practice: cuts as butchers name them; the same muscle has other names elsewhere
CUTS = (
    CutWords("eye of round", ("beef", "veal"), ("eye round", "girello", "magatello")),
    CutWords("silverside", ("beef", "veal"), ("bottom round", "outside round")),
    CutWords("topside", ("beef", "veal"), ("top round", "inside round")),
    CutWords("knuckle", ("beef", "veal"), ("sirloin tip", "thick flank")),
    CutWords("rump", ("beef", "lamb"), ("top sirloin",)),
    CutWords("brisket", ("beef",)),
    CutWords("chuck", ("beef",)),
    CutWords("fillet", ("beef", "pork", "venison"), ("tenderloin", "filet")),
    CutWords("collar", ("pork",), ("neck", "neck end", "coppa", "capocollo", "scotch")),
    CutWords("shoulder", ("pork", "lamb", "goat"), ("blade", "butt", "boston butt", "picnic")),
    CutWords("loin", ("pork", "venison", "lamb"), ("lonza", "lomo", "saddle", "backstrap")),
    CutWords("belly", ("pork",), ("side", "streaky", "pancetta", "bacon")),
    CutWords("cheek", ("pork",), ("jowl", "guanciale")),
    CutWords("back fat", ("pork",), ("fatback", "lardo", "hard fat")),
    CutWords("leg", ("pork", "lamb", "goat", "venison"), ("ham", "gigot", "haunch", "hind leg")),
    CutWords("breast", ("duck", "goose"), ("magret",)),
)

# common practice: an animal by its sex, age or breed, and the meat it is
SPECIES_WORDS: dict[str, tuple[str, ...]] = {
    "beef": ("cow", "bull", "bullock", "steer", "heifer"),
    "veal": ("calf",),
    "pork": ("piglet", "suckling pig", "gilt", "barrow"),
    "lamb": ("ewe", "ram", "wether"),
}

# words that stand around the number of a curing salt, and say nothing beside it; common practice
SALT_NUMBER_WORDS = ("no", "nr", "number", "type", "cure", "curing", "salt", "pink", "#")
SALT_BY_NUMBER = {"1": "no1", "2": "no2"}
