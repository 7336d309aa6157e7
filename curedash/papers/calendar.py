"""A calendar file (iCalendar, RFC 5545) that a phone takes in again and again without doubling.

Every event has a UID made of the file's own name, the lot and what it is about, so it stays the
same when its day moves; its SEQUENCE rises exactly when something in it changed. What was told
and is no more comes as cancelled until its day is over.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from sqlite3 import Connection
from typing import TYPE_CHECKING, Any

from curedash.domain.needs.diary import DiaryItem
from curedash.domain.record import record
from curedash.domain.times import utc_text, zone_of
from curedash.papers.time_zone import component
from curedash.present.needs.diary import details, title
from curedash.services.household import household
from curedash.services.needs.diary import read_diary
from curedash.store import calendar_memory

if TYPE_CHECKING:
    from icalendar import Event

DAYS, HOUR = 120, 18
EVENT_LENGTH = timedelta(minutes=30)
MOST_OF = {"weigh": 6, "ferment-look": 7}  # of one lot; later ones come with the next file
ALARMED = ("act", "today")


@record
class Entry:
    """One event before it is written."""

    uid: str
    words: str
    text: str
    first: date
    last: date
    at: datetime | None  # None: whole days
    alarm: bool


def calendar_file(conn: Connection, now: datetime, *, days: int = DAYS, hour: int = HOUR) -> str:
    """The days to come as a calendar file; what was told is remembered in the household's file.

    Parameters
    ----------
    days : how far ahead
    hour : when what has no hour of its own is put into the day (local)
    """
    from icalendar import Calendar

    diary = read_diary(conn, now, days=days)
    entries = [_entry(conn, item, diary.zone, hour) for item in _shown(diary.items)]
    told = calendar_memory.stored_events(conn)
    kept = {entry.uid: _sequenced(entry, told.get(entry.uid), now) for entry in entries}
    calendar = Calendar()
    calendar.add("prodid", "-//curedash//diary//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", "Curing")
    name = household.zone_name(conn)
    if zone_of(name) is not UTC and name != "Etc/UTC":  # UTC is written as such
        calendar.add_component(component(name, diary.zone, now, now + timedelta(days=days)))
    for entry in entries:
        calendar.add_component(_event(entry, kept[entry.uid], now))
    for uid, known in _gone(told, kept, diary.today):
        kept[uid] = known
        calendar.add_component(_cancelled(uid, known, diary.zone, now))
    calendar_memory.store_events(conn, kept)
    return str(calendar.to_ical().decode("utf-8"))


def _shown(items: tuple[DiaryItem, ...]) -> list[DiaryItem]:
    """Of what repeats only the next few of each lot."""
    seen: Counter[tuple[str, int]] = Counter()
    shown = []
    for item in items:
        alike = item.kind, item.lot.id if item.lot else 0
        seen[alike] += 1
        if seen[alike] <= MOST_OF.get(item.kind, DAYS):
            shown.append(item)
    return shown


def _entry(conn: Connection, item: DiaryItem, zone: tzinfo, hour: int) -> Entry:
    lot_id = 0 if item.lot is None else item.lot.id
    uid = f"{item.key}.{lot_id}.{calendar_memory.file_id(conn)}@curedash"
    at = item.at
    if at is None and item.level in ALARMED:
        at = datetime.combine(item.first, time(hour), zone)
    own = None if at is None else at.astimezone(zone)
    text, alarm = "\n".join(details(item)), item.level in ALARMED
    return Entry(uid, title(item), text, item.first, item.last, own, alarm)


def _sequenced(entry: Entry, known: dict[str, Any] | None, now: datetime) -> dict[str, Any]:
    """What is remembered of an event: its SEQUENCE, raised if anything in it changed."""
    when = "" if entry.at is None else utc_text(entry.at)
    seen = f"{entry.first} {entry.last} {when} {entry.words}\n{entry.text}"
    digest = hashlib.sha256(seen.encode()).hexdigest()[:16]
    if known is not None and known["digest"] == digest:
        return known
    return {
        "sequence": 0 if known is None else known["sequence"] + 1,
        "digest": digest,
        "changed": utc_text(now),
        "last": entry.last.isoformat(),
        "words": entry.words,
        "at": when or None,
        "first": entry.first.isoformat(),
    }


def _gone(
    told: dict[str, dict[str, Any]], kept: dict[str, dict[str, Any]], today: date
) -> list[tuple[str, dict[str, Any]]]:
    """Events told earlier that are no more, until their day is over."""
    found = []
    for uid, known in sorted(told.items()):
        if uid in kept or date.fromisoformat(known["last"]) < today:
            continue
        if known["digest"] != "cancelled":
            known = known | {"digest": "cancelled", "sequence": known["sequence"] + 1}
        found.append((uid, known))
    return found


def _event(entry: Entry, kept: dict[str, Any], now: datetime) -> Event:
    from icalendar import Alarm, Event

    event = Event()
    event.add("uid", entry.uid)
    event.add("summary", entry.words)
    event.add("description", entry.text)
    _add_times(event, entry.first, entry.last, entry.at)
    _add_state(event, kept, now)
    if entry.alarm:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", entry.words)
        alarm.add("trigger", timedelta(0))
        event.add_component(alarm)
    else:
        event.add("transp", "TRANSPARENT")
    return event


def _cancelled(uid: str, known: dict[str, Any], zone: tzinfo, now: datetime) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", uid)
    event.add("summary", known["words"])
    event.add("status", "CANCELLED")
    first, last = (date.fromisoformat(known[name]) for name in ("first", "last"))
    at = None if known["at"] is None else datetime.fromisoformat(known["at"]).astimezone(zone)
    _add_times(event, first, last, at)
    _add_state(event, known, now)
    return event


def _add_times(event: Event, first: date, last: date, at: datetime | None) -> None:
    if at is None:
        event.add("dtstart", first)
        event.add("dtend", last + timedelta(days=1))  # RFC 5545: the end is not included
    else:
        event.add("dtstart", at)
        event.add("dtend", at + EVENT_LENGTH)


def _add_state(event: Event, kept: dict[str, Any], now: datetime) -> None:
    event.add("sequence", kept["sequence"])
    event.add("dtstamp", now.astimezone(UTC))
    event.add("last-modified", datetime.fromisoformat(kept["changed"]))
