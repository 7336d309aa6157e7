"""What the weigh-ins of a drying piece show early: too fast, slowing down, stalled, nearly there.

Points are (day since hanging [d], loss of the hang weight [%]), in order of time. The thresholds
are design values, not a standard.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from curedash.domain.errors import Refused
from curedash.domain.quantity_text import millimetres
from curedash.domain.record import record

Points = Sequence[tuple[float, float]]

RATE_SPAN_DAYS = 15.0  # two weekly weigh-ins and the one before
RATE_APART_DAYS = 0.2  # nearer than five hours two weights tell of the scale, not of the drying
FAST_THIN = (45.0, 20.0)  # diameter [mm], most loss in the first week [%]
FAST_THICK = (60.0, 16.0)
COLLAPSE_SHARE = 0.6
COLLAPSE_BELOW_PCT = 25.0
NARROW_ENOUGH = 0.95


@record
class FirstWeek:
    """Loss in the first week [%] beside the most that is usual for the diameter [%]."""

    loss_pct: float
    most_pct: float
    too_fast: bool


def rate_pct_per_day(points: Points) -> float | None:
    """Drying rate of late: the median slope between weigh-ins, so one slip does little.

    Parameters
    ----------
    points : (day [d], loss [%]); those of the last days count, and where these hold no two
        weigh-ins 0.2 d apart, the last and the one before them

    Returns
    -------
    rate [% per day], over pairs more than 0.2 d apart; None where there is no such pair; raises
    Refused for what is not a number or runs backwards

    Source
    ------
    Theil 1950, Sen 1968: the median of all pairwise slopes; span and 0.2 d are design values

    Example
    -------
    >>> rate_pct_per_day([(0, 0), (7, 9), (14, 14), (21, 18)])
    0.6428571428571429
    """
    _check(points)
    if not points:
        return None
    last = points[-1][0]
    late = [p for p in points if last - p[0] <= RATE_SPAN_DAYS]
    if last - late[0][0] <= RATE_APART_DAYS:
        late = [*[p for p in points if last - p[0] > RATE_APART_DAYS][-1:], points[-1]]
    slopes = [
        (loss - loss_before) / apart
        for at, (day, loss) in enumerate(late)
        for day_before, loss_before in late[:at]
        if (apart := day - day_before) > RATE_APART_DAYS
    ]
    return median(slopes) if slopes else None


def median(values: Sequence[float]) -> float:
    """The middle value, or the mean of the two in the middle."""
    ordered, half = sorted(values), len(values) // 2
    return ordered[half] if len(ordered) % 2 else 0.5 * (ordered[half - 1] + ordered[half])


def loss_at(points: Points, day: float) -> float | None:
    """Loss on a day between two weigh-ins, straight between them.

    Parameters
    ----------
    points : (day [d], loss [%])
    day : day since hanging [d]

    Returns
    -------
    loss [%], None outside the weigh-ins

    Source
    ------
    linear interpolation

    Example
    -------
    >>> loss_at([(0, 0), (10, 12)], 7)
    8.4
    """
    for (d0, l0), (d1, l1) in pairwise(points):
        if d0 <= day <= d1:
            return l1 if d1 == d0 else l0 + (l1 - l0) * (day - d0) / (d1 - d0)
    return None


def most_in_first_week_pct(diameter_mm: float) -> float:
    """The most a piece should lose in its first week before its rim is in doubt.

    Parameters
    ----------
    diameter_mm : diameter as hung [mm], above 0; raises Refused otherwise

    Returns
    -------
    loss [%]: 20 up to 45 mm, 16 from 60 mm, straight between

    Source
    ------
    design value, not a standard

    Example
    -------
    >>> most_in_first_week_pct(40), most_in_first_week_pct(52.5), most_in_first_week_pct(90)
    (20.0, 18.0, 16.0)
    """
    if not 0.0 < diameter_mm < math.inf:
        raise Refused(
            "A diameter of {thick} makes no sense: give {least} to {most}.",
            thick=millimetres(diameter_mm),
            least=millimetres(1, "1"),
            most=millimetres(400),
        )
    (thin, high), (thick, low) = FAST_THIN, FAST_THICK
    share = min(max((diameter_mm - thin) / (thick - thin), 0.0), 1.0)
    return high + share * (low - high)


def too_fast(points: Points, diameter_mm: float) -> FirstWeek | None:
    """Whether a piece lost so much in its first week that a hard rim is likely.

    Parameters
    ----------
    points : (day [d], loss [%]), the hang weight first
    diameter_mm : diameter as hung [mm]

    Returns
    -------
    first week's loss beside the most that is usual; None until a weigh-in lies at day 7 or later,
    unless the most is passed before

    Source
    ------
    `most_in_first_week_pct`

    Example
    -------
    >>> too_fast([(0, 0), (3, 9), (7, 18)], 80).too_fast
    True
    """
    _check(points)
    most = most_in_first_week_pct(diameter_mm)
    week = loss_at(points, 7.0)
    if week is None:
        early = [loss for day, loss in points if day < 7.0]
        if not early or max(early) <= most:
            return None
        week = max(early)
    return FirstWeek(week, most, week > most)


def rate_collapse(points: Points) -> float | None:
    """How far the rate fell from days 3–10 to the last seven days, at unchanged humidity.

    Parameters
    ----------
    points : (day [d], loss [%]), the hang weight first

    Returns
    -------
    fall as a share of the early rate [1] where it is over 0.6 below 25 % loss, else None; whether
    the humidity was steady is for the caller to say

    Source
    ------
    design value, not a standard

    Example
    -------
    >>> round(rate_collapse([(0, 0), (3, 6), (10, 15), (17, 17), (24, 18)]), 2)
    0.89
    """
    _check(points)
    if not points or points[-1][0] < 17.0 or points[-1][1] >= COLLAPSE_BELOW_PCT:
        return None
    day, loss = points[-1]
    third, tenth, before = loss_at(points, 3.0), loss_at(points, 10.0), loss_at(points, day - 7.0)
    if third is None or tenth is None or before is None or tenth <= third:
        return None
    fall = 1.0 - ((loss - before) / 7.0) / ((tenth - third) / 7.0)
    return fall if fall > COLLAPSE_SHARE else None


def days_to_loss(points: Points, loss_pct: float) -> float | None:
    """Days from the last weigh-in until a loss is passed at the rate of late: over target soon.

    Parameters
    ----------
    points : (day [d], loss [%])
    loss_pct : the loss asked about [%], e.g. the target's last value

    Returns
    -------
    days [d], 0 when it is passed, None when nothing moves; too early for a drying piece, since
    drying slows

    Source
    ------
    straight line at `rate_pct_per_day`

    Example
    -------
    >>> days_to_loss([(0, 0), (7, 14)], 20)
    3.0
    """
    rate = rate_pct_per_day(points)
    if not points:
        return None
    if points[-1][1] >= loss_pct:
        return 0.0
    if rate is None or rate <= 0.0:
        return None
    return (loss_pct - points[-1][1]) / rate


def weigh_again_by(
    as_of_day: float,
    narrows: Sequence[tuple[float, float]],
    opens_day: float | None = None,
    every_days: float = 7.0,
) -> float:
    """Day by which one more weigh-in tells most about the pull window.

    Parameters
    ----------
    as_of_day : day of the last weigh-in [d since hanging]
    narrows : (day, how much a weigh-in there would tell [0–1]), from a forecast
    opens_day : day the pull window opens [d since hanging], never passed
    every_days : the style's rhythm, never passed [d]

    Returns
    -------
    day since hanging [d]: the first that tells nearly as much as the best within the rhythm

    Source
    ------
    correlation of the loss on that day with the day the target is reached, over the posterior

    Example
    -------
    >>> weigh_again_by(20.0, [(21.0, 0.3), (23.0, 0.8), (26.0, 0.82), (30.0, 0.9)])
    23.0
    """
    last = as_of_day + every_days
    if opens_day is not None:
        last = min(last, max(opens_day, as_of_day + 1.0))
    inside = [(day, tells) for day, tells in narrows if as_of_day + 1.0 <= day <= last]
    best = max((tells for _, tells in inside), default=0.0)
    if best <= 0.0:
        return last
    return next(day for day, tells in inside if tells >= NARROW_ENOUGH * best)


def _check(points: Points) -> None:
    for day, loss in points:
        if not (math.isfinite(day) and math.isfinite(loss)):
            raise Refused("A weigh-in is not a number: give a day and a loss.")
    for (before, _), (day, _) in pairwise(points):
        if day < before:
            raise Refused("The weigh-ins run backwards: sort them by day.")
