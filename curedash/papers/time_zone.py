"""The zone of a calendar file: every change of the clock near its days, each written out.

A phone must not have to know the zone. Rules and long lists of dates are read differently by
different programs; single changes are read alike by all that were tried.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING

from curedash.domain.record import record

if TYPE_CHECKING:
    from icalendar import Timezone

AROUND = timedelta(days=370)  # at least one change before the first day and one after the last


@record
class Change:
    """A change of the clock: the last moment before it by the old offset, and both offsets."""

    at: datetime  # UTC
    before: timedelta
    after: timedelta
    name: str
    summer: bool


def changes(zone: tzinfo, first: datetime, last: datetime) -> list[Change]:
    """The changes of the clock between two moments, found to the second.

    Example
    -------
    >>> from zoneinfo import ZoneInfo
    >>> year = datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC)
    >>> [c.at.isoformat() for c in changes(ZoneInfo("Europe/Vienna"), *year)]
    ['2026-03-29T01:00:00+00:00', '2026-10-25T01:00:00+00:00']
    """
    found = []
    day = first
    while day < last:
        nxt = min(day + timedelta(days=1), last)
        if _offset(zone, day) != _offset(zone, nxt):
            at = _between(zone, day, nxt)
            found.append(_change(zone, at, _offset(zone, at - timedelta(seconds=1))))
        day = nxt
    return found


def _change(zone: tzinfo, at: datetime, before: timedelta) -> Change:
    """What a clock of the zone shows from a moment on."""
    local = at.astimezone(zone)
    return Change(at, before, _offset(zone, at), local.tzname() or "", bool(local.dst()))


def component(name: str, zone: tzinfo, first: datetime, last: datetime) -> Timezone:
    """The zone as a component of a calendar file."""
    from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

    made = Timezone()
    made.add("tzid", name)
    found = changes(zone, first - AROUND, last + AROUND)
    start = first - AROUND
    for change in (_change(zone, start, _offset(zone, start)), *found):
        part = TimezoneDaylight() if change.summer else TimezoneStandard()
        part.add("dtstart", (change.at + change.before).replace(tzinfo=None))
        part.add("tzoffsetfrom", change.before)
        part.add("tzoffsetto", change.after)
        part.add("tzname", change.name)
        made.add_component(part)
    return made


def _offset(zone: tzinfo, at: datetime) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta(0)


def _between(zone: tzinfo, before: datetime, after: datetime) -> datetime:
    """The second of the change."""
    low, high = int(before.timestamp()), int(after.timestamp())
    offset = _offset(zone, before)
    while high - low > 1:
        middle = (low + high) // 2
        if _offset(zone, datetime.fromtimestamp(middle, UTC)) == offset:
            low = middle
        else:
            high = middle
    return datetime.fromtimestamp(high, UTC)
