"""Other words of the trade for the styles, and for curing salts by their number."""

# style → what else it is called; common practice of the trade, none of it a product's name
STYLE_WORDS: dict[str, tuple[str, ...]] = {
    "bresaola": ("brisaola", "dried beef", "eye of round"),
    "coppa": ("capocollo", "capicola", "capicollo", "capicolla", "neck", "collar"),
    "lonza": ("lonzino", "lomo", "pork loin"),
    "pancetta-flat": ("tesa", "pancetta tesa", "flat pancetta", "pork belly"),
    "pancetta-rolled": ("arrotolata", "pancetta arrotolata", "rolled pancetta"),
    "belly-to-fry": ("bacon", "streaky bacon"),
    "guanciale": ("jowl", "cheek"),
    "lardo": ("fatback", "back fat"),
    "leg-boned": ("boned ham", "boneless ham"),
    "leg-bone-in": ("prosciutto", "raw ham", "jamon", "ham on the bone"),
    "leg-small": ("culatello", "fiocco", "small ham"),
    "duck-breast": ("magret", "duck prosciutto"),
    "venison": ("deer", "dried venison"),
    "salami-thin": ("saucisson", "cacciatore", "thin salame", "dry sausage"),
    "salami-thick": ("soppressata", "thick salame"),
    "sticks": ("snack sticks",),
    "beef-pasted": ("basturma", "pastirma", "pastourma"),
    "beef-strips": ("biltong",),
    "loin-smoked": ("lachsschinken", "smoked loin"),
}

# words that stand around the number of a curing salt, and say nothing beside it; common practice
SALT_NUMBER_WORDS = ("no", "nr", "number", "type", "cure", "curing", "salt", "pink", "#")
SALT_BY_NUMBER = {"1": "no1", "2": "no2"}
