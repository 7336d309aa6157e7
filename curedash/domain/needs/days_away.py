"""Days nobody is at home, and what falls into them.

Everything is calendar dates; the zone was settled by whoever made them.
"""

from collections.abc import Sequence
from datetime import date, timedelta

from curedash.domain.errors import Refused
from curedash.domain.record import record


@record
class Away:
    """Days nobody is at home, both included."""

    first: date
    last: date


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
