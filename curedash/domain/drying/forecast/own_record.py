"""What a household's own windows of before say about the width and the middle of the next.

A finished lot counts once, however often it was weighed: its windows say nearly the same. What
few lots say is drawn towards none, and however far off they were the factors stay within bounds.
A window that was corrected is scored as it was told, so the correction never runs beyond what the
misses say.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from curedash.domain.drying.forecast.layer import Trust
from curedash.domain.record import record, replace

PRIOR_LOTS = 10.0  # design value: none counts as much as so many lots
MOST_SHIFT = 0.2  # design value: of the logarithm of the days left
WIDTHS = (0.75, 1.5)  # design value: of the half-widths
MOST_MISS = 1.0  # design value: a window missed by more, in logarithms, counts as this
MOST_HALF_WIDTHS = 3.0  # design value: likewise, in half-widths
#: Mean distance from the middle in half-widths where 80 % lie inside and the logarithm of the days
#: left is normal: √(2/π) / 1.2816 (derived)
USUAL_HALF_WIDTHS = 0.6226
MOST_DAYS = 1e5  # design value: a day further off was never told
LEAST_DAYS = 1e-3  # design value: a window of minutes says nothing
_LEAST_HALF_WIDTH = 0.02  # design value: of a window of hours

WindowDays = tuple[float, float, float, float]  # day it was forecast, first, middle and last day


@record
class LotScore:
    """How the windows of one lot did: mean miss (logarithm, late above 0), mean in half-widths."""

    miss: float
    half_widths: float


@record
class OwnRecord:
    """What is done to the next window: added to the logarithm of days left, times half-widths."""

    lots: int
    shift: float
    width: float


def score_lot(told: Sequence[WindowDays], reached: float) -> LotScore | None:
    """Score the windows of one lot.

    Parameters
    ----------
    told : days since hanging [d]: when told, first, middle, last day
    reached : day it reached its target [d since hanging]

    Returns
    -------
    the means over its windows; None where none was told before that day

    Example
    -------
    >>> score = score_lot([(10.0, 18.0, 20.0, 23.0)], 20.0)
    >>> score.miss, score.half_widths
    (0.0, 0.0)
    """
    misses, widths = [], []
    for at, lo, middle, hi in told:
        ordered = 0.0 <= at < min(reached, middle) and lo <= middle <= hi
        if not ordered or max(reached, hi) > MOST_DAYS or min(reached, middle) - at < LEAST_DAYS:
            continue
        miss = math.log((reached - at) / (middle - at))
        end = math.log((hi - at) / (middle - at)) if miss > 0 else 0.0
        if miss <= 0:
            end = math.log((middle - at) / (lo - at)) if lo > at + LEAST_DAYS else MOST_MISS
        misses.append(max(-MOST_MISS, min(MOST_MISS, miss)))
        widths.append(min(MOST_HALF_WIDTHS, abs(miss) / max(end, _LEAST_HALF_WIDTH)))
    if not misses:
        return None
    return LotScore(sum(misses) / len(misses), sum(widths) / len(widths))


def learned(scores: Sequence[LotScore]) -> OwnRecord:
    """What the scores of finished lots say about the next window.

    Parameters
    ----------
    scores : one a lot; none leaves the next window as it is

    Returns
    -------
    shift within ±0.2, width within 0.75–1.5

    Source
    ------
    means drawn towards none by a prior worth ten lots (design value), as the mean of a normal
    with known spread under a normal prior

    Example
    -------
    >>> learned([])
    OwnRecord(lots=0, shift=0.0, width=1.0)
    >>> wide = learned([LotScore(0.1, 1.5)] * 5)
    >>> round(wide.shift, 3), round(wide.width, 3)
    (0.033, 1.47)
    """
    n = len(scores)
    shift = sum(one.miss for one in scores) / (n + PRIOR_LOTS)
    seen = sum(one.half_widths for one in scores) + PRIOR_LOTS * USUAL_HALF_WIDTHS
    width = seen / ((n + PRIOR_LOTS) * USUAL_HALF_WIDTHS)
    low, high = WIDTHS
    return OwnRecord(n, max(-MOST_SHIFT, min(MOST_SHIFT, shift)), max(low, min(high, width)))


def corrected(seen: Trust, own: OwnRecord | None) -> Trust:
    """What the laws say, shifted and widened by the household's own record where it has one."""
    if own is None or not own.lots:
        return seen
    return replace(
        seen,
        log_left=seen.log_left + own.shift,
        below=seen.below * own.width,
        above=seen.above * own.width,
    )
