"""What a scale can show: its division, its maximum, and how wrong half a division is."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, isfinite

from curedash.domain.dosing.request import Scale
from curedash.domain.errors import Refused

# Under this many divisions a kitchen scale is often off by a tenth of the dose (design value).
FEW_DIVISIONS = 20
# More than this is too coarse for a curing salt [% of the dose].
COARSE_ERROR_PCT = 10.0
COMMON_DIVISIONS_G = (1.0, 0.5, 0.1, 0.05, 0.01, 0.005, 0.001)


def to_division(grams: float, division_g: float) -> float:
    """Round an amount to the nearest mark of a scale, halves upwards.

    Parameters
    ----------
    grams : amount [g], 0 or more
    division_g : scale division [g], above 0

    Returns
    -------
    what the scale can show [g]

    Source
    ------
    arithmetic

    Example
    -------
    >>> to_division(2.475, 0.1), to_division(27.44, 0.5)
    (2.5, 27.5)
    """
    return _marks(floor(_in_divisions(grams, division_g) + 0.5 + 1e-9), division_g)


def down_to_division(grams: float, division_g: float) -> float:
    """Round an amount down to a mark of a scale.

    Parameters
    ----------
    grams : amount [g], 0 or more
    division_g : scale division [g], above 0

    Returns
    -------
    the highest mark not above the amount [g]

    Source
    ------
    arithmetic

    Example
    -------
    >>> down_to_division(2.475, 0.1), down_to_division(0.3, 0.1)
    (2.4, 0.3)
    """
    return _marks(floor(_in_divisions(grams, division_g) + 1e-9), division_g)


def half_division_error_pct(exact_g: float, division_g: float, portions: int = 1) -> float:
    """Least error of a dose weighed on a scale: half a division against the dose.

    Parameters
    ----------
    exact_g : the dose [g], above 0
    division_g : scale division [g], above 0
    portions : times the pan is filled, 1 or more

    Returns
    -------
    error [% of the dose], to be read as ±

    Source
    ------
    smallest step of a scale; the true error of a kitchen scale is larger

    Example
    -------
    >>> round(half_division_error_pct(0.75, 1.0), 1)
    66.7
    """
    if not isfinite(exact_g) or exact_g <= 0:
        raise Refused(f"A dose of {exact_g:g} g has no weighing error; give more than 0 g.")
    _in_divisions(exact_g, division_g)
    return 100 * portions * division_g / 2 / exact_g


def best_scale(scales: Sequence[Scale], grams: float) -> Scale:
    """Choose the finest scale that still carries an amount, else the one that carries most.

    Parameters
    ----------
    scales : the household's scales, at least one
    grams : amount to weigh [g], 0 or more

    Returns
    -------
    the scale to use; an amount above every maximum is weighed in portions on it

    Source
    ------
    arithmetic

    Example
    -------
    >>> best_scale([Scale(0.01, 200), Scale(1, 5000)], 27.5).division_g
    0.01
    """
    if not scales:
        raise Refused("There is no scale to weigh with; give its smallest step, for example 0.1 g.")
    carrying = [scale for scale in scales if scale.max_g is None or scale.max_g >= grams]
    if carrying:
        return min(carrying, key=lambda scale: scale.division_g)
    return max(scales, key=lambda scale: scale.max_g or 0.0)


def portions_on(scale: Scale, grams: float) -> int:
    """Count how often a scale's pan must be filled for an amount.

    Parameters
    ----------
    scale : the scale
    grams : amount [g], 0 or more

    Returns
    -------
    portions, 1 or more

    Source
    ------
    arithmetic

    Example
    -------
    >>> portions_on(Scale(1, 2000), 4560)
    3
    """
    return 1 if scale.max_g is None else max(1, ceil(grams / scale.max_g - 1e-9))


def finer_division_g(exact_g: float) -> float | None:
    """Name the coarsest common scale division that weighs a dose within ten percent.

    Parameters
    ----------
    exact_g : the dose [g], above 0

    Returns
    -------
    the division [g], or None where no common scale is fine enough

    Source
    ------
    `half_division_error_pct` of this module

    Example
    -------
    >>> finer_division_g(0.75)
    0.1
    """
    for division_g in COMMON_DIVISIONS_G:
        if half_division_error_pct(exact_g, division_g) <= COARSE_ERROR_PCT:
            return division_g
    return None


def _in_divisions(grams: float, division_g: float) -> float:
    if not isfinite(grams) or grams < 0:
        raise Refused(f"{grams:g} g cannot be weighed out; give 0 g or more.")
    if not isfinite(division_g) or division_g <= 0:
        raise Refused(f"A step of {division_g:g} g makes no sense; give 0.1 or 1 g.")
    return grams / division_g


def _marks(count: int, division_g: float) -> float:
    return round(count * division_g, 9)
