"""Freezing pork against trichina: days at or below a temperature, by thickness (printed table)."""

from typing import NamedTuple


class FreezingRow(NamedTuple):
    """One printed cell: freeze at `temp_c` or colder for `days`, up to `max_thickness_in`."""

    temp_f: int
    temp_c: float
    max_thickness_in: int
    days: int
    source: str
    how: str


_CODE_AND_CDC = (
    "former 9 CFR 318.10(c)(2) Table 1, same text in 7 Pa. Code 1.333; J."
    " Am. Med. Assoc. 1954;155:1394; CDC (home freezing)"
)
_CODE = "former 9 CFR 318.10(c)(2) Table 1; 7 Pa. Code 1.333"
_CODE_STATE_PRINTS_10 = "former 9 CFR 318.10(c)(2) Table 1; a state code prints 10: use 20"

TRICHINA_FREEZING = (
    FreezingRow(5, -15, 6, 20, _CODE_AND_CDC, "read"),
    FreezingRow(-10, -23.3, 6, 10, _CODE, "read"),
    FreezingRow(-20, -28.9, 6, 6, _CODE, "read"),
    FreezingRow(5, -15, 27, 30, _CODE, "read"),
    FreezingRow(-10, -23.3, 27, 20, _CODE_STATE_PRINTS_10, "quoted"),
    FreezingRow(-20, -28.9, 27, 12, _CODE, "read"),
)

# Chill the pork to this or colder before the count begins [°C].
CHILL_FIRST_C = 4.0

# Who gets credit: domestic pork under one of the names of the trade, exactly; a shorter word that
# is also said of wild animals ("hog", "swine") is not enough. (name, source) of each statement.
DOMESTIC_PORK = (
    "pork", "pig", "piglet", "suckling pig", "sow", "gilt", "barrow", "pork belly", "pork loin",
    "pork shoulder", "pork leg", "pork collar", "pork neck", "pork jowl", "pork back fat",
    "pork back", "pork fat", "pork trim", "pork meat", "domestic pork", "domestic pig",
    "domestic hog", "domestic swine", "farmed pork", "farmed pig", "farm pig", "farm pork",
    "market hog", "iberian pork", "heritage pork",
)  # fmt: skip

# Why other meat gets none.
NO_CREDIT_SOURCE = (
    "CDC, Trichinellosis: Prevention & Control (2019): freezing wild game meats, unlike freezing "
    "pork products, may not effectively kill all worms because some worm species that infect wild "
    "game animals are freeze-resistant"
)
NO_CREDIT_HOW = "read"
