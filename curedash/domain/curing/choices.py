"""Which choices are open: one table of what was found × stage × hours in the cure.

The mis-dose bench, a lot that was felt or smelled and a lot that was cut open all read it, on the
screens and in the shell. What can no longer help is not in it; over the programme ceiling and for
spoiled meat there is only putting aside, throwing away and deciding.
"""

from collections.abc import Collection
from typing import NamedTuple

from curedash.domain.curing.stages import STAGES
from curedash.domain.errors import Refused

# ── what was found ────────────────────────────────────────────────────────────────────────

AS_PLANNED, SHORT, FAR_SHORT = "as planned", "short", "far short"
SALTY, OVER, FAR_OVER, OVER_CEILING = "salty", "over", "far over", "over the ceiling"
LEAK = "leak"
CLEAN, AMMONIA, SOUR = "clean", "ammonia", "sour"
ROTTEN, SLIME, BLACK = "rotten", "slime", "black"

SPOILED = (SOUR, ROTTEN, SLIME, BLACK)
GRAVE = (OVER_CEILING, *SPOILED)  # one of these leaves only its own rows
AMOUNTS = (AS_PLANNED, SHORT, FAR_SHORT, SALTY, OVER, FAR_OVER, OVER_CEILING)
FOUND = (*AMOUNTS, LEAK, CLEAN, AMMONIA, *SPOILED)

# ── what may be chosen ────────────────────────────────────────────────────────────────────

PUT_ASIDE, THROW_AWAY, DECIDE = "put-aside", "throw-away", "decide"
WEIGH_ANEW, MORE_MEAT, RINSE, ADD = "weigh-anew", "more-meat", "rinse", "add"
NEW_BAG, TOP_UP_LEAK, GO_ON, GO_ON_ASKED = "new-bag", "top-up-leak", "go-on", "go-on-asked"
KEEP_DRYING, EQUALISE, SLICE = "keep-drying", "equalise", "slice"

#: Choices that end in somebody's mouth, or in more meat like it: never offered for GRAVE.
EATING = (SLICE, EQUALISE, KEEP_DRYING, MORE_MEAT, GO_ON, GO_ON_ASKED, ADD, RINSE)

# ── until when ────────────────────────────────────────────────────────────────────────────

ABSORBED_AFTER_H = 6.0  # from then on salt counts as taken up: no rinsing, no meat added
EARLY_H = 48.0  # in the first two days of a weighed cure what is missing may be added
UNTIL_SOURCE = "this program's own hours, from common practice; no printed source gives any"

# From this share of the plan on, too much or too little is far off [times]; a slip, not a scale.
FAR_FACTOR = 1.5

RAW, IN_CURE = ("raw",), ("in-cure",)
NOT_HUNG = ("raw", "in-cure", "salt-rest")
AFTER_CURE = tuple(stage for stage in STAGES if stage not in ("raw", "in-cure"))
HUNG = tuple(stage for stage in STAGES if stage not in NOT_HUNG)
EVERY = tuple(STAGES)
LOOSE = ("equilibrium", "equilibrium-brine", "pack")  # the salt lies on the meat, weighed
MIXED = (*LOOSE, "ground")


class Row(NamedTuple):
    """One choice: what it answers, in which stages, by which methods, until when in the cure."""

    choice: str
    found: tuple[str, ...]
    stages: tuple[str, ...]
    methods: tuple[str, ...] | None = None  # None: every method
    most_hours: float | None = None  # since it was salted; None: no matter


# In the order in which they are offered.
TABLE = (
    Row(PUT_ASIDE, SPOILED, EVERY),
    Row(THROW_AWAY, GRAVE, EVERY),
    Row(PUT_ASIDE, (OVER_CEILING,), EVERY),
    Row(WEIGH_ANEW, (SALTY, OVER, FAR_OVER, OVER_CEILING), RAW),
    Row(ADD, (SHORT, FAR_SHORT), RAW, (*MIXED, "immersion", "injection"), EARLY_H),
    Row(ADD, (SHORT, FAR_SHORT), IN_CURE, LOOSE, EARLY_H),
    Row(MORE_MEAT, (OVER, FAR_OVER), RAW, MIXED, ABSORBED_AFTER_H),
    Row(MORE_MEAT, (OVER, FAR_OVER), IN_CURE, LOOSE, ABSORBED_AFTER_H),
    Row(RINSE, (SALTY, OVER, FAR_OVER), (*RAW, *IN_CURE), LOOSE, ABSORBED_AFTER_H),
    Row(NEW_BAG, (LEAK,), (*RAW, *IN_CURE)),
    Row(TOP_UP_LEAK, (LEAK,), IN_CURE, LOOSE, EARLY_H),
    Row(PUT_ASIDE, (FAR_SHORT,), AFTER_CURE),
    Row(PUT_ASIDE, (FAR_OVER,), EVERY),
    Row(THROW_AWAY, (SALTY, OVER, FAR_OVER), EVERY),
    Row(GO_ON, (AS_PLANNED, SHORT, SALTY, OVER, LEAK), EVERY),
    Row(GO_ON_ASKED, (FAR_SHORT, FAR_OVER), EVERY),
    Row(GO_ON, (CLEAN, AMMONIA), NOT_HUNG),
    Row(KEEP_DRYING, (CLEAN, AMMONIA), HUNG),
    Row(EQUALISE, (CLEAN, AMMONIA), HUNG),
    Row(SLICE, (CLEAN,), HUNG),
    Row(DECIDE, (AMMONIA, *GRAVE), EVERY),
)


class Open(NamedTuple):
    """A choice that is open; ``most_hours`` is said where the stage is not known."""

    choice: str
    most_hours: float | None = None


def open_choices(
    found: Collection[str], stage: str | None, hours: float | None, method: str = "equilibrium"
) -> tuple[Open, ...]:
    """List the choices that are open, in the order in which they are offered.

    Parameters
    ----------
    found : words of `FOUND`; one of `GRAVE` leaves only its own rows
    stage : where the lot is; None: not known, then every row that may still be open is there with
        the hours it holds for
    hours : since salt first went on [h], 0 where none did; None: not known, then what has an end
        is over
    method : how it is salted; a dose without lots is a weighed one

    Returns
    -------
    choices, each once; a word that is not in `FOUND` raises `Refused`

    Source
    ------
    the table of this module: common practice (memory), hours are design values

    Example
    -------
    >>> [one.choice for one in open_choices([OVER_CEILING], "drying", 500.0)]
    ['throw-away', 'put-aside', 'decide']
    >>> [one.choice for one in open_choices([SHORT], "in-cure", 12.0)]
    ['add', 'go-on']
    """
    unknown = [word for word in found if word not in FOUND]
    if unknown:
        raise Refused(f"There is nothing called {unknown[0]!r} to choose by.")
    counted = [word for word in found if word in GRAVE] or list(found)
    rows: dict[str, Open] = {}
    for row in TABLE:
        if not any(word in row.found for word in counted) or not _fits(row, stage, hours, method):
            continue
        most = None if stage is not None else row.most_hours
        rows.setdefault(row.choice, Open(row.choice, most))
    return tuple(rows.values())


def _fits(row: Row, stage: str | None, hours: float | None, method: str) -> bool:
    if row.methods is not None and method not in row.methods:
        return False
    if stage is None:
        return True
    if stage not in row.stages:
        return False
    return row.most_hours is None or (hours is not None and hours <= row.most_hours)


def how_far(planned: float | None, inside: float | None, near_pct: float) -> str:
    """Say how far what went in lies from the plan.

    Parameters
    ----------
    planned, inside : the same quantity, planned and in it; None where it is not known
    near_pct : closer than this nothing is short or over [% of the plan]

    Returns
    -------
    `AS_PLANNED`, `SHORT`, `FAR_SHORT`, `OVER` or `FAR_OVER`; unknown is as planned

    Source
    ------
    design value `FAR_FACTOR`

    Example
    -------
    >>> how_far(156.0, 100.0, 2.0), how_far(156.0, 240.0, 2.0), how_far(0.0, 30.0, 2.0)
    ('far short', 'far over', 'far over')
    """
    if planned is None or inside is None:
        return AS_PLANNED
    if inside > planned:
        if inside > planned * FAR_FACTOR:
            return FAR_OVER
        return OVER if inside > planned * (1 + near_pct / 100) else AS_PLANNED
    if inside < planned / FAR_FACTOR:
        return FAR_SHORT
    return SHORT if inside < planned * (1 - near_pct / 100) else AS_PLANNED
