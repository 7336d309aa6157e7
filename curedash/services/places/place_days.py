"""The calendar days of a place, in its own zone."""

from datetime import date, datetime, time, timedelta, tzinfo
from sqlite3 import Connection

from curedash.domain.records import Place
from curedash.domain.times import zone_of
from curedash.services.household import household


def zone_of_place(conn: Connection, place: Place) -> tzinfo:
    """The zone in which a place counts its days."""
    return zone_of(place.zone) if place.zone else household.zone(conn)


def bounds_of(day: date, zone: tzinfo) -> tuple[int, int]:
    """First second of a calendar day and of the next one; 23 to 25 hours apart."""
    first = datetime.combine(day, time(), zone)
    after = datetime.combine(day + timedelta(days=1), time(), zone)
    return int(first.timestamp()), int(after.timestamp())
