"""The library of styles: how a cut is usually salted, dried and pulled; a start, to be edited.

Loss targets marked `quoted` lean on a practitioners' page of average losses (salami and whole
cuts); everything marked `memory` is common practice that was not read anywhere for this table.
`disagree` says how sources differ. Percentages of salt are total salt on green meat.
"""

from __future__ import annotations

from dataclasses import dataclass

_LOSS_TABLE = "practitioners' page of average losses (of green weight); the rest common practice"
_PRACTICE = "common practice"

# A style nobody has written down yet: the usual range for lean whole muscle.
NEW_STYLE_LOSS_PCT = (30.0, 40.0)

# fmt: off
_WHOLE = (("us", "dry-cured"), ("eu", "non-heat-treated"), ("eu-before-2025", "non-heat-treated"),
          ("ca", "cured-meat"), ("gb", "non-heat-treated"))
_GROUND = (("us", "comminuted"), ("eu", "non-heat-treated"), ("eu-before-2025", "non-heat-treated"),
           ("ca", "cured-meat"), ("gb", "non-heat-treated"))
_TO_FRY = (("us", "bacon-dry-cured"), ("eu", "non-heat-treated"),
           ("eu-before-2025", "non-heat-treated"), ("ca", "side-bacon"),
           ("gb", "non-heat-treated"))


@dataclass(frozen=True, slots=True)
class StyleRow:
    """One style as written down."""

    id: str
    name: str
    species: str = ""
    cut: str = ""
    method: str = "equilibrium"
    salt_pct: float = 2.75
    salt_lo_pct: float = 2.25
    salt_hi_pct: float = 3.5
    curing_salt: str = "no2"
    cure_pct: float = 0.25
    product_classes: tuple[tuple[str, str], ...] = ()
    loss_lo_pct: float = NEW_STYLE_LOSS_PCT[0]
    loss_hi_pct: float = NEW_STYLE_LOSS_PCT[1]
    base: str = "hang"
    min_age_days: int = 0
    planned_days: int | None = None
    weigh_every_days: float = 7.0
    temp_lo_c: float = 10.0
    temp_hi_c: float = 15.0
    rh_lo_pct: float = 70.0
    rh_hi_pct: float = 80.0
    shape: str = "slab"
    source: str = "made here"
    how: str = "memory"
    disagree: str = ""
    by_date_only: bool = False
    two_stage: bool = False
    fermented: bool = False
    cook_before_eating: bool = False
    no_nitrite: bool = False
    weighed_as_group: bool = False
    has_rest: bool = False


STYLES = (
    StyleRow(
        "bresaola", "air-dried beef", "beef", "eye of round", "equilibrium",
        2.75, 2.25, 3.5, "no2", 0.25, _WHOLE, 35, 40, "hang", 28, 56, 7,
        10, 15, 70, 80, "round", _PRACTICE, "memory",
        "From 30 % (soft, thin slices) to 45 %; some count from the green weight.",
    ),
    StyleRow(
        "coppa", "collar", "pork", "collar (neck end of the shoulder)", "equilibrium",
        2.75, 2.25, 3.25, "no2", 0.25, _WHOLE, 30, 38, "hang", 42, 70, 7,
        10, 15, 72, 82, "round", _LOSS_TABLE, "quoted",
        "The recipe says 30 %; a lean collar is often taken to 38 or 40 %.",
    ),
    StyleRow(
        "lonza", "loin", "pork", "loin", "equilibrium",
        2.75, 2.25, 3.25, "no2", 0.25, _WHOLE, 30, 38, "hang", 28, 49, 7,
        10, 15, 72, 82, "slab", _PRACTICE, "memory",
        "From 28 to 40 %; lean loins get leathery above that.",
    ),
    StyleRow(
        "pancetta-flat", "flat belly", "pork", "belly", "equilibrium",
        2.5, 2.0, 3.0, "no1", 0.25, _WHOLE, 20, 30, "hang", 14, 28, 7,
        10, 15, 70, 80, "slab", _LOSS_TABLE, "quoted",
        "The page prints 25 %; fat bellies hardly reach 20 %, others ask for 30 to 40 %.",
    ),
    StyleRow(
        "pancetta-rolled", "rolled belly", "pork", "belly, rolled", "equilibrium",
        2.5, 2.0, 3.0, "no2", 0.25, _WHOLE, 20, 30, "hang", 42, 70, 7,
        10, 15, 72, 80, "round", _LOSS_TABLE, "quoted",
        "The page prints 25 %; nitrate in belly only where it is eaten dried, never fried.",
    ),
    StyleRow(
        "belly-to-fry", "belly to be fried", "pork", "belly", "equilibrium",
        2.25, 1.75, 2.75, "no1", 0.25, _TO_FRY, 5, 15, "hang", 3, 10, 7,
        2, 12, 65, 80, "slab", _PRACTICE, "memory",
        "Often only dried for a day and smoked; no loss is aimed at.",
        cook_before_eating=True,
    ),
    StyleRow(
        "guanciale", "cheek", "pork", "cheek (jowl)", "equilibrium",
        2.75, 2.5, 3.5, "no2", 0.25, _WHOLE, 18, 28, "hang", 28, 42, 7,
        10, 15, 70, 80, "slab", _LOSS_TABLE, "quoted",
        "The page prints 18 to 20 %; 30 % is often asked for and seldom reached.",
    ),
    StyleRow(
        "lardo", "back fat", "pork", "back fat", "equilibrium",
        3.0, 2.5, 3.5, "no2", 0.25, _WHOLE, 5, 10, "hang", 90, 120, 30,
        2, 12, 75, 90, "slab", _LOSS_TABLE, "quoted",
        "By the date: 3 to 6 months in salt and spices; the page prints 10 %, it hardly dries.",
        by_date_only=True,
    ),
    StyleRow(
        "leg-boned", "boned leg", "pork", "leg, boned and tied", "equilibrium",
        3.0, 2.5, 3.5, "no2", 0.25, _WHOLE, 30, 35, "hang", 120, 210, 14,
        10, 15, 70, 80, "round", _LOSS_TABLE, "quoted",
        "The page prints 30 to 35 %; large legs are judged as much by months as by loss.",
        has_rest=True,
    ),
    StyleRow(
        "leg-bone-in", "bone-in leg", "pork", "leg, bone in, skin on", "salt-box",
        4.0, 3.0, 6.0, "plain", 0.0, _WHOLE, 28, 35, "green", 270, 400, 30,
        10, 18, 65, 80, "round", _LOSS_TABLE, "quoted",
        "From 25 to 36 % of the green weight; 9 to 24 months. Larded half-way.",
        two_stage=True, no_nitrite=True, has_rest=True,
    ),
    StyleRow(
        "leg-small", "small leg muscle", "pork", "one muscle of the leg, cased", "equilibrium",
        2.75, 2.25, 3.25, "no2", 0.25, _WHOLE, 33, 38, "hang", 60, 90, 7,
        10, 15, 72, 82, "round", _PRACTICE, "memory",
        "From 30 to 40 %, by size.",
    ),
    StyleRow(
        "duck-breast", "duck breast", "duck", "breast, skin on", "equilibrium",
        2.75, 2.25, 3.5, "no1", 0.25, _WHOLE, 25, 32, "hang", 10, 21, 3,
        8, 14, 68, 78, "slab", "three published recipes: 20 %, 30 % and by feel", "quoted",
        "Recipes say 20 to 30 %; many cover it in salt for a day instead of weighing the salt.",
    ),
    StyleRow(
        "venison", "air-dried venison", "venison", "leg muscle or loin", "equilibrium",
        2.75, 2.5, 3.25, "no2", 0.25, _WHOLE, 33, 40, "hang", 21, 42, 7,
        10, 15, 70, 80, "round", _PRACTICE, "memory",
        "Very lean: some stop at 30 %. Wild game: freezing gives no credit.",
    ),
    StyleRow(
        "salami-thin", "thin salami", "pork", "ground, casing up to 45 mm", "ground",
        2.75, 2.5, 3.0, "no2", 0.25, _GROUND, 35, 40, "hang", 14, 30, 4,
        12, 15, 75, 85, "round", _LOSS_TABLE, "quoted",
        "The page prints 35 to 40 %, sausages to 45 %.",
        fermented=True, weighed_as_group=True,
    ),
    StyleRow(
        "salami-thick", "thick salami", "pork", "ground, casing from 60 mm", "ground",
        2.75, 2.5, 3.0, "no2", 0.25, _GROUND, 33, 38, "hang", 42, 75, 7,
        12, 15, 75, 85, "round", _LOSS_TABLE, "quoted",
        "The page prints 35 to 40 %; thick ones are often pulled a little earlier.",
        fermented=True,
    ),
    StyleRow(
        "sticks", "sticks", "pork", "ground, casing up to 28 mm", "ground",
        2.5, 2.25, 2.75, "no1", 0.25, _GROUND, 35, 45, "hang", 5, 12, 2,
        12, 16, 70, 82, "round", _PRACTICE, "memory",
        "From 30 % (soft) to 50 %.",
        fermented=True, weighed_as_group=True,
    ),
    StyleRow(
        "beef-pasted", "pressed and pasted beef", "beef", "loin or round, pressed flat",
        "equilibrium", 3.0, 2.5, 4.0, "no2", 0.25, _WHOLE, 35, 42, "hang", 21, 35, 4,
        8, 15, 65, 78, "slab", _PRACTICE, "memory",
        "Pressed, half-dried, then pasted: the paste is tare. Salt box or weighed, both are usual.",
        two_stage=True,
    ),
    StyleRow(
        "beef-strips", "soured strips", "beef", "strips of round, 25 mm", "equilibrium",
        2.25, 2.0, 3.0, "plain", 0.0, _WHOLE, 45, 55, "hang", 3, 6, 1,
        15, 25, 40, 65, "slab", _PRACTICE, "memory",
        "Wet 40 %, dry 60 %; vinegar and warm moving air instead of curing salt.",
        no_nitrite=True, weighed_as_group=True,
    ),
    StyleRow(
        "loin-smoked", "cold-smoked loin", "pork", "loin, cold-smoked", "equilibrium",
        2.75, 2.25, 3.25, "no1", 0.25, _WHOLE, 18, 28, "hang", 14, 28, 7,
        8, 15, 70, 82, "round", _PRACTICE, "memory",
        "From 10 % (moist, kept cold) to 35 %.",
    ),
)
# fmt: on
