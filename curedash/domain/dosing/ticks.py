"""A weight ticked off the dose sheet against the planned one: a slip is asked about."""

from __future__ import annotations

from math import isfinite

from curedash.domain.dosing.words import plain
from curedash.domain.errors import Refused

MAX_WEIGHED_G = 1e6
# A weight further from the plan than this factor is asked about (design value).
ODD_FACTOR = 1.5
# Factors that look like a slip of the decimal mark (design value).
TENFOLD = (8.0, 12.5)


def tick_doubt(
    name: str, planned_g: float, weighed_g: float, division_g: float = 0.0
) -> str | None:
    """Ask about a weight that hardly fits the plan.

    Parameters
    ----------
    name : the ingredient
    planned_g : what the sheet says [g], 0 or more
    weighed_g : what the scale showed [g], 0 or more; anything else is refused
    division_g : division of the scale [g]; a difference within it is never odd

    Returns
    -------
    a question with the likely slip first, or None where the weight fits

    Source
    ------
    design values

    Example
    -------
    >>> tick_doubt("curing salt", 2.8, 28)
    'curing salt 28 g, planned 2.8 g: ten times as much, a slip of the decimal mark?'
    >>> tick_doubt("curing salt", 2.8, 2.9) is None
    True
    """
    if not (isfinite(weighed_g) and 0 <= weighed_g < MAX_WEIGHED_G):
        raise Refused("What went in weighs 0 g or more.")
    if abs(weighed_g - planned_g) <= division_g or planned_g <= 0:
        return None
    start = f"{name} {plain(weighed_g)} g, planned {plain(planned_g)} g"
    if weighed_g == 0:
        return f"{start}: was it left out?"
    factor = weighed_g / planned_g
    if TENFOLD[0] <= factor <= TENFOLD[1]:
        return f"{start}: ten times as much, a slip of the decimal mark?"
    if TENFOLD[0] <= 1 / factor <= TENFOLD[1]:
        return f"{start}: a tenth, a slip of the decimal mark?"
    if factor > ODD_FACTOR:
        return f"{start}: {_two_digits(factor)} times as much?"
    if factor < 1 / ODD_FACTOR:
        return f"{start}: only {plain(100 * factor, 2)} % of it?"
    return None


def likely_fix_g(planned_g: float, weighed_g: float) -> float | None:
    """The weight that was probably meant where the decimal mark slipped.

    Parameters
    ----------
    planned_g : what the sheet says [g], 0 or more
    weighed_g : what was typed [g], 0 or more

    Returns
    -------
    a tenth or ten times of it [g], None where it looks like no slip

    Source
    ------
    design values `TENFOLD`

    Example
    -------
    >>> likely_fix_g(2.8, 28), likely_fix_g(2.8, 0.28), likely_fix_g(2.8, 5)
    (2.8, 2.8, None)
    """
    if planned_g <= 0 or weighed_g <= 0:
        return None
    factor = weighed_g / planned_g
    if TENFOLD[0] <= factor <= TENFOLD[1]:
        return round(weighed_g / 10, 6)
    return round(weighed_g * 10, 6) if TENFOLD[0] <= 1 / factor <= TENFOLD[1] else None


def wants_words(planned_g: float, weighed_g: float) -> bool:
    """Say whether so much went in that only a reason in words records it, never one key.

    Parameters
    ----------
    planned_g : what the sheet says [g], 0 or more
    weighed_g : what was typed [g], 0 or more

    Returns
    -------
    True over 1.5 times the plan

    Source
    ------
    design value `ODD_FACTOR`

    Example
    -------
    >>> wants_words(2.8, 28), wants_words(2.8, 4), wants_words(2.8, 0.28)
    (True, False, False)
    """
    return planned_g > 0 and weighed_g > planned_g * ODD_FACTOR


def _two_digits(factor: float) -> str:
    """A factor as one says it: about 4400, 1.8."""
    shown = float(f"{factor:.1e}")
    return f"{'about ' if factor >= 100 and shown != factor else ''}{plain(shown, 2)}"
