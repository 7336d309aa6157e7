"""Rules of thumb for the days in the cure, as people state them, each named with its source.

`days_lo`, `days_hi` = `fixed` + `per_unit` × (inches, pounds or kilograms); `example_days` are the
days for a piece of 89 mm and 2 kg. `applies_to` names the methods: bag, brine, box. `most` is the
largest piece the rule is used for, by its own measure; above it the rule gives no days.
"""

from typing import NamedTuple


class CureTimeRule(NamedTuple):
    """One rule of thumb: fixed days plus days per inch, pound or kilogram."""

    name: str
    unit: str
    applies_to: tuple[str, ...]
    fixed_days: float
    per_unit_lo: float
    per_unit_hi: float
    example_days: tuple[float, float]
    formula: str
    source: str
    how: str
    most_mm: float | None = None  # thickness
    most_g: float | None = None  # green weight


# fmt: off
CURE_TIME_RULES = (
    CureTimeRule("one week per inch", "inch", ("box", "bag"),
                 0, 7, 7, (24.5, 24.5), "7 * inches",
                 "extension rule for box-cured ham (1 inch per week); common practice", "quoted",
                 most_mm=7 * 25.4),
    CureTimeRule("quarter inch a day to the core plus two", "inch", ("bag",),
                 2, 2, 2, (9, 9), "inches / 2 / 0.25 + 2",
                 "common practice", "quoted", most_mm=4 * 25.4),
    CureTimeRule("two days per half inch plus two", "inch", ("bag",),
                 2, 4, 4, (16, 16), "2 * inches / 0.5 + 2",
                 "common practice", "quoted", most_mm=4 * 25.4),
    CureTimeRule("three days per inch plus four", "inch", ("bag",),
                 4, 3, 3, (14.5, 14.5), "3 * inches + 4",
                 "practitioners' thread", "quoted", most_mm=4 * 25.4),
    CureTimeRule("two days per pound", "lb", ("bag",),
                 0, 2, 2, (8.8, 8.8), "2 * lb",
                 "extension slides (bag-cured ham); Purdue Extension 1919", "quoted",
                 most_g=12_000),
    CureTimeRule("two to three weeks per kg", "kg", ("bag",),
                 0, 14, 21, (28, 42), "14..21 * kg",
                 "practitioners' thread 2018", "quoted", most_g=3_000),
    CureTimeRule("three and a half to four days per pound (sweet pickle)", "lb", ("brine",),
                 0, 3.5, 4, (15.4, 17.6), "3.5..4 * lb",
                 "USDA farm bulletin 'Pork: slaughtering, cutting, preserving'", "read",
                 most_g=12_000),
    CureTimeRule("three days plus one per kg", "kg", ("box",),
                 3, 1, 1, (5, 5), "3 + kg",
                 "EU definition of jambon sec, Reg. 1333/2008 Annex II; bone-in ham, then 7 d "
                 "after salting and 45 d ageing", "read", most_g=15_000),
    CureTimeRule("fourteen days minimum in a sealed bag", "", ("bag",),
                 14, 0, 0, (14, 14), "14",
                 "common practice (home dry cure of beef round)", "quoted", most_g=3_000),
)

# Read on public pages, beside the table above: a counted time for the salt box.
MORE_CURE_TIME_RULES = (
    CureTimeRule("two to three days per pound in salt", "lb", ("box",),
                 0, 2, 3, (8.8, 13.2), "2..3 * lb",
                 "food encyclopaedia, entry 'dry-salting' (ham, bacon, pork; per 1 lb or 500 g)",
                 "quoted", most_g=12_000),
    CureTimeRule("twenty-four hours in salt (thin pieces)", "", ("box-thin",),
                 1, 0, 0, (1, 1), "1",
                 "three published recipes for duck breast covered in salt", "quoted", most_mm=30),
)
# fmt: on

# Where no thickness is known, the heaviest weighed dose the rules by weight are used for [g];
# the largest pieces above are those the sources speak of, as far as they do; design values.
WITHOUT_THICKNESS_MOST_G = 3_000.0
# Longer than any rule of the table makes a cure or a salt rest [d]; design values.
LONGEST_CURE_DAYS = 90.0
LONGEST_REST_DAYS = 120.0
# Outside these nobody cures by these rules [°C], [% salt]; design values around 2 to 5 °C.
RULES_TEMPS_C = (-1.0, 7.0)
RULES_LEAST_SALT_PCT = 1.0

# Thickest piece for which the thin-piece rule is offered [mm]: a duck breast; design value.
THIN_PIECE_MM = 30.0
