"""Planning backwards: the latest day to salt, so that it is ready by a day."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil, exp, sqrt

from curedash.domain.errors import Refused
from curedash.domain.record import record

# How far the drying days of lots of one style lie apart, as standard deviation of their logarithm,
# and the share of it within which eight in ten lie.
DAYS_SD = 0.25  # design value
EIGHT_IN_TEN = 1.2816  # normal distribution, 90th percentile

ENOUGH, TIGHT, UNLIKELY, TOO_LATE = "enough", "tight", "unlikely", "too-late"


@record
class PlanBack:
    """The latest days to salt, by how fast the household's lots dried, and how that stands."""

    ready_by: date
    salt_by_slow: date  # the slowest lots would still make it
    salt_by_usual: date
    salt_by_quick: date  # only the quickest would
    standing: str  # enough | tight | unlikely | too-late
    ready_if_today: tuple[date, date, date]  # quick, usual, slow


def plan_back(
    ready_by: date,
    today: date,
    *,
    cure_days: float,
    drying_days: tuple[float, float, float],
    rest_days: float = 0.0,
    equalise_days: float = 0.0,
) -> PlanBack:
    """Count back from the day it is wanted to the latest salting day.

    Parameters
    ----------
    ready_by : the day it is wanted
    today : today
    cure_days : usual days in the cure [d], 0 or more
    drying_days : quick, usual and slow drying [d], ascending, above 0
    rest_days : salt rest [d], 0 or more
    equalise_days : equalising in a sealed bag afterwards [d], 0 or more

    Returns
    -------
    the latest days, whole days rounded up; ``enough`` while the slow ones would make it,
    ``tight`` while the usual ones would, ``unlikely`` while the quick ones would, else
    ``too-late``; days below 0 or out of order raise ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> plan = plan_back(date(2026, 12, 24), date(2026, 9, 20), cure_days=14,
    ...                  drying_days=(45, 60, 90), equalise_days=14)
    >>> plan.salt_by_usual.isoformat(), plan.standing
    ('2026-09-27', 'tight')
    """
    quick, usual, slow = drying_days
    if not 0 < quick <= usual <= slow or min(cure_days, rest_days, equalise_days) < 0:
        raise Refused("Days in cure, rest and drying are 0 or more, quick before slow.")
    around = ceil(cure_days) + ceil(rest_days) + ceil(equalise_days)
    by_quick, by_usual, by_slow = (
        ready_by - timedelta(days=around + ceil(days)) for days in drying_days
    )
    standing = TOO_LATE
    for word, day in ((UNLIKELY, by_quick), (TIGHT, by_usual), (ENOUGH, by_slow)):
        if today <= day:
            standing = word
    ready = tuple(today + timedelta(days=around + ceil(days)) for days in drying_days)
    return PlanBack(ready_by, by_slow, by_usual, by_quick, standing, (ready[0], ready[1], ready[2]))


def next_days(lots: int, low: float, median: float, high: float) -> tuple[float, float, float]:
    """Quick, usual and slow drying of the next lot, from the lots that were finished.

    Parameters
    ----------
    lots : how many were finished, 1 or more
    low, median, high : their drying days [d], above 0

    Returns
    -------
    days [d]; few lots that were alike leave the next one as open as 8 in 10 of their kind

    Source
    ------
    prediction interval of a normal logarithm with a known spread, `DAYS_SD` (a design value)

    Example
    -------
    >>> [round(days) for days in next_days(1, 42, 42, 42)]
    [27, 42, 66]
    """
    factor = exp(EIGHT_IN_TEN * DAYS_SD * sqrt(1 + 1 / lots))
    return min(low, median / factor), median, max(high, median * factor)
