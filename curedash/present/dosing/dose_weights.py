"""A weight of a dose as the scale it is weighed on shows it: grams, or ounces with their grams.

Doses stay in grams whatever is shown; only where a scale of the household steps in ounces does a
person weigh ounces out, so they stand first there.
"""

from collections.abc import Sequence

from curedash.domain.dosing.request import Scale
from curedash.domain.dosing.rounding import best_scale
from curedash.domain.facts.units import G_PER_OZ
from curedash.domain.records import DoseLine
from curedash.domain.typed.numbers import tidy
from curedash.present.numbers import number

MOST_DECIMALS = 2  # of a weight on a sheet
LEAST_G = 0.001  # no household scale shows less
_DUST = 1e-6


def in_ounces(division_g: float) -> bool:
    """Whether a scale steps in ounces: they are the rounder number.

    Example
    -------
    >>> in_ounces(2.8349523125), in_ounces(0.1), in_ounces(2.8)
    (True, False, False)
    """
    ounces = division_g / G_PER_OZ
    return abs(ounces - round(ounces, 2)) < _DUST and abs(division_g - round(division_g, 2)) > _DUST


def ounces_on(grams: float, division_g: float) -> str:
    """What a scale in ounces shows for a weight; empty for one in grams, or between its marks.

    Example
    -------
    >>> ounces_on(232.466089625, 2.8349523125), ounces_on(230, 2.8349523125), ounces_on(28, 0.1)
    ('8.2 oz', '', '')
    """
    if not in_ounces(division_g) or abs(grams / division_g - round(grams / division_g)) > _DUST:
        return ""
    return f"{tidy(round(grams / G_PER_OZ, 2))} oz"


def dose_words(grams: float, division_g: float | None, decimals: int | None = None) -> str:
    """A weight as it is weighed out; ``decimals`` of one in grams, else as many as it has.

    Example
    -------
    >>> dose_words(232.466089625, 2.8349523125), dose_words(28, 0.1, 1), dose_words(28, None)
    ('8.2 oz (232.5 g)', '28.0 g', '28 g')
    """
    ounces = "" if division_g is None else ounces_on(grams, division_g)
    if ounces:
        return f"{ounces} ({number(grams, 1)} g)"
    return f"{grams_words(grams) if decimals is None else number(grams, decimals)} g"


def grams_words(grams: float) -> str:
    """Grams as they are, without an exponent and without dust.

    Example
    -------
    >>> grams_words(22.89), grams_words(1.275e-17), grams_words(0.0)
    ('22.89', 'under 0.001', '0')
    """
    return f"under {LEAST_G:g}" if 0 < grams < LEAST_G else tidy(round(grams, 3))


def division_for(grams: float, scales: Sequence[Scale]) -> float | None:
    """The division of the scale a dose is weighed on; None where the scales are not known."""
    return best_scale(scales, grams).division_g if scales else None


def line_division(line: DoseLine, scales: Sequence[Scale]) -> float | None:
    """The division of the scale one line of a sheet is weighed on."""
    return division_for(line.planned_g, scales)


def any_ounces(lines: Sequence[DoseLine], scales: Sequence[Scale]) -> bool:
    """Whether something of a sheet is weighed out in ounces."""
    sizes = ((line.planned_g, line_division(line, scales)) for line in lines)
    return any(size is not None and ounces_on(grams, size) for grams, size in sizes)


def times_words(given_g: float, planned_g: float) -> str:
    """How far a weight is from its plan, in two digits: ``about 4400 times``.

    Example
    -------
    >>> times_words(100000, 22.89), times_words(28, 2.8), times_words(0.3, 22.89)
    ('about 4400 times', '10 times', 'about 1.3 % of')
    """
    ratio = given_g / planned_g
    value, words = (ratio, "times") if ratio >= 1 else (100 * ratio, "% of")
    shown = float(f"{value:.1e}")
    about = "" if abs(shown - value) < 1e-9 * value else "about "
    return f"{about}{tidy(shown)} {words}"
