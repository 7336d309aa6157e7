"""When to weigh, turn and look, and what happens while nobody is at home.

Everything is calendar dates; the zone was settled by whoever made them.
"""

from collections.abc import Sequence
from datetime import date, timedelta

from curedash.domain.errors import Refused
from curedash.domain.record import record

WEIGH_EVERY_DAYS = 7  # design value, a style may have its own
NEAR_TARGET_EVERY_DAYS = 3  # design value
NEAR_TARGET_DAYS = 10  # design value: how soon the pull window must open for that


@record
class Away:
    """Days nobody is at home, both included."""

    first: date
    last: date


def weigh_every_days(
    style_days: float = WEIGH_EVERY_DAYS,
    window_opens: date | None = None,
    today: date | None = None,
) -> float:
    """Choose how often to weigh a hanging lot.

    Parameters
    ----------
    style_days : the style's rhythm [d], above 0; else raises ``Refused``
    window_opens : first day of the pull window, if known
    today : needed to judge the window

    Returns
    -------
    days between weigh-ins: 3 only when the window opens within 10 days, else the style's

    Source
    ------
    design values

    Example
    -------
    >>> weigh_every_days(7, date(2026, 12, 2), date(2026, 11, 25))
    3
    """
    if not style_days > 0:
        raise Refused("A weighing rhythm must be more than 0 days.")
    if window_opens is None or today is None or (window_opens - today).days > NEAR_TARGET_DAYS:
        return style_days
    return min(style_days, NEAR_TARGET_EVERY_DAYS)


def next_weigh_day(last_weighed: date, every_days: float) -> date:
    """Name the day a lot should be weighed next.

    Parameters
    ----------
    last_weighed : day of the last weigh-in, or the day it was hung
    every_days : rhythm [d]

    Returns
    -------
    the day

    Source
    ------
    definition

    Example
    -------
    >>> next_weigh_day(date(2026, 11, 18), 7)
    datetime.date(2026, 11, 25)
    """
    return last_weighed + timedelta(days=max(1, round(every_days)))


def weigh_days_late(last_weighed: date, every_days: float, today: date) -> int | None:
    """Count how late a weigh-in is.

    Parameters
    ----------
    last_weighed : day of the last weigh-in, or the day it was hung
    every_days : rhythm [d]
    today : today

    Returns
    -------
    0 on the day it is due, more when late; None when not due yet

    Source
    ------
    definition

    Example
    -------
    >>> weigh_days_late(date(2026, 11, 15), 7, date(2026, 11, 25))
    3
    """
    late = (today - next_weigh_day(last_weighed, every_days)).days
    return late if late >= 0 else None


def days_between(start: date, every_days: float, first: date, last: date) -> tuple[date, ...]:
    """List the days of a rhythm (turning, weighing, brushing) within a stretch of time.

    Parameters
    ----------
    start : a day the rhythm is counted from, not itself one of its days
    every_days : rhythm [d], above 0; else raises ``Refused``
    first, last : the stretch, both included

    Returns
    -------
    the days in order

    Source
    ------
    definition

    Example
    -------
    >>> days = days_between(date(2026, 11, 1), 7, date(2026, 11, 10), date(2026, 11, 30))
    >>> [day.day for day in days]
    [15, 22, 29]
    """
    if not every_days > 0:
        raise Refused("A rhythm must be more than 0 days.")
    step = max(1, round(every_days))
    gap = (first - start).days
    day = start + timedelta(days=step * max(1, -(-gap // step)))
    days = []
    while day <= last:
        days.append(day)
        day += timedelta(days=step)
    return tuple(days)


def is_away(day: date, blocks: Sequence[Away]) -> bool:
    """Whether nobody is at home on a day.

    Parameters
    ----------
    day : the day
    blocks : days away

    Returns
    -------
    True if the day lies in one of them

    Source
    ------
    definition

    Example
    -------
    >>> is_away(date(2026, 12, 3), [Away(date(2026, 12, 1), date(2026, 12, 5))])
    True
    """
    return any(block.first <= day <= block.last for block in blocks)


def next_day_at_home(day: date, blocks: Sequence[Away], *, step: int = 1) -> date:
    """Move a day out of the days away.

    Parameters
    ----------
    day : the day
    blocks : days away, in any order, overlapping or not
    step : 1 to look later, −1 to look earlier; else raises ``Refused``

    Returns
    -------
    the day itself, or the nearest one at home in that direction

    Source
    ------
    definition

    Example
    -------
    >>> next_day_at_home(date(2026, 12, 3), [Away(date(2026, 12, 1), date(2026, 12, 5))])
    datetime.date(2026, 12, 6)
    """
    if step not in (1, -1):
        raise Refused("Look one day later or one day earlier.")
    while True:
        block = next((block for block in blocks if block.first <= day <= block.last), None)
        if block is None:
            return day
        edge = block.last if step == 1 else block.first
        day = edge + timedelta(days=step)


def window_while_away(block: Away, window: tuple[date, date] | None) -> str:
    """Say whether a pull window falls into days away.

    Parameters
    ----------
    block : the days away; ending before it begins raises ``Refused``
    window : first and last day of the pull window, if known

    Returns
    -------
    ``no``, ``may`` (it opens by then) or ``will`` (it is over by then)

    Source
    ------
    definition

    Example
    -------
    >>> away = Away(date(2026, 12, 1), date(2026, 12, 10))
    >>> window_while_away(away, (date(2026, 12, 8), date(2026, 12, 20)))
    'may'
    """
    if block.last < block.first:
        raise Refused("The days away end before they begin: type the first day first.")
    if window is None or window[0] > block.last:
        return "no"
    return "will" if window[1] <= block.last else "may"
