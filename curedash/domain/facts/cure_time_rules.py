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


CURE_TIME_RULES = (
    CureTimeRule(
        name="one week per inch",
        unit="inch",
        applies_to=("box", "bag"),
        fixed_days=0,
        per_unit_lo=7,
        per_unit_hi=7,
        example_days=(24.5, 24.5),
        formula="7 * inches",
        source="extension rule for box-cured ham (1 inch per week); common practice",
        how="quoted",
        most_mm=7 * 25.4,
    ),
    CureTimeRule(
        name="quarter inch a day to the core plus two",
        unit="inch",
        applies_to=("bag",),
        fixed_days=2,
        per_unit_lo=2,
        per_unit_hi=2,
        example_days=(9, 9),
        formula="inches / 2 / 0.25 + 2",
        source="common practice",
        how="quoted",
        most_mm=4 * 25.4,
    ),
    CureTimeRule(
        name="two days per half inch plus two",
        unit="inch",
        applies_to=("bag",),
        fixed_days=2,
        per_unit_lo=4,
        per_unit_hi=4,
        example_days=(16, 16),
        formula="2 * inches / 0.5 + 2",
        source="common practice",
        how="quoted",
        most_mm=4 * 25.4,
    ),
    CureTimeRule(
        name="three days per inch plus four",
        unit="inch",
        applies_to=("bag",),
        fixed_days=4,
        per_unit_lo=3,
        per_unit_hi=3,
        example_days=(14.5, 14.5),
        formula="3 * inches + 4",
        source="practitioners' thread",
        how="quoted",
        most_mm=4 * 25.4,
    ),
    CureTimeRule(
        name="two days per pound",
        unit="lb",
        applies_to=("bag",),
        fixed_days=0,
        per_unit_lo=2,
        per_unit_hi=2,
        example_days=(8.8, 8.8),
        formula="2 * lb",
        source="extension slides (bag-cured ham); Purdue Extension 1919",
        how="quoted",
        most_g=12_000,
    ),
    CureTimeRule(
        name="two to three weeks per kg",
        unit="kg",
        applies_to=("bag",),
        fixed_days=0,
        per_unit_lo=14,
        per_unit_hi=21,
        example_days=(28, 42),
        formula="14..21 * kg",
        source="practitioners' thread 2018",
        how="quoted",
        most_g=3_000,
    ),
    CureTimeRule(
        name="three and a half to four days per pound (sweet pickle)",
        unit="lb",
        applies_to=("brine",),
        fixed_days=0,
        per_unit_lo=3.5,
        per_unit_hi=4,
        example_days=(15.4, 17.6),
        formula="3.5..4 * lb",
        source="USDA farm bulletin 'Pork: slaughtering, cutting, preserving'",
        how="read",
        most_g=12_000,
    ),
    CureTimeRule(
        name="three days plus one per kg",
        unit="kg",
        applies_to=("box",),
        fixed_days=3,
        per_unit_lo=1,
        per_unit_hi=1,
        example_days=(5, 5),
        formula="3 + kg",
        source=(
            "EU definition of jambon sec, Reg. 1333/2008 Annex II; bone-in ham, "
            "then 7 d after salting and 45 d ageing"
        ),
        how="read",
        most_g=15_000,
    ),
    CureTimeRule(
        name="fourteen days minimum in a sealed bag",
        unit="",
        applies_to=("bag",),
        fixed_days=14,
        per_unit_lo=0,
        per_unit_hi=0,
        example_days=(14, 14),
        formula="14",
        source="common practice (home dry cure of beef round)",
        how="quoted",
        most_g=3_000,
    ),
)

# Read on public pages, beside the table above: a counted time for the salt box.
MORE_CURE_TIME_RULES = (
    CureTimeRule(
        name="two to three days per pound in salt",
        unit="lb",
        applies_to=("box",),
        fixed_days=0,
        per_unit_lo=2,
        per_unit_hi=3,
        example_days=(8.8, 13.2),
        formula="2..3 * lb",
        source="food encyclopaedia, entry 'dry-salting' (ham, bacon, pork; per 1 lb or 500 g)",
        how="quoted",
        most_g=12_000,
    ),
    CureTimeRule(
        name="twenty-four hours in salt (thin pieces)",
        unit="",
        applies_to=("box-thin",),
        fixed_days=1,
        per_unit_lo=0,
        per_unit_hi=0,
        example_days=(1, 1),
        formula="1",
        source="three published recipes for duck breast covered in salt",
        how="quoted",
        most_mm=30,
    ),
)

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
