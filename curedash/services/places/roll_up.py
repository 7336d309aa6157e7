"""Days of readings boiled down once they are over, and old readings thinned out."""

from collections.abc import Callable
from datetime import UTC, date, datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.errors import Refused
from curedash.domain.places.air import DayRoll, WindowStats, max_gap_s, roll_up
from curedash.domain.records import AirDay, Place, Reading
from curedash.services.household import household
from curedash.services.places.place_days import bounds_of, zone_of_place
from curedash.store import places, roll_ups, settings
from curedash.store.work import By, change, quiet

AT_ONCE = 8  # days in one go, so that nobody waits long
CHUNK_DAYS = 30
THINNED = "air-thinned-before"  # setting: ordinal of the first day whose readings are whole


def roll_up_days(conn: Connection, now: datetime, at_once: int = AT_ONCE) -> int:
    """Boil down days that are over and were not yet; how many of them."""
    done = 0
    for place in places.all_places(conn):
        zone = zone_of_place(conn, place)
        for day, start, end in _days_to_do(conn, place, zone, now):
            if done >= at_once:
                return done
            roll_ups.put_days(conn, place.id, _rolled(conn, place, day, start, end))
            done += 1
    return done


def _days_to_do(
    conn: Connection, place: Place, zone: tzinfo, now: datetime
) -> list[tuple[int, int, int]]:
    first_at = roll_ups.first_at(conn, place.id)
    if first_at is None:
        return []
    first = datetime.fromtimestamp(first_at, UTC).astimezone(zone).date().toordinal()
    today = now.astimezone(zone).date().toordinal()
    known = roll_ups.known_days(conn, place.id)
    missing = [day for day in range(first, today) if day not in known]
    bounds = [(day, *bounds_of(date.fromordinal(day), zone)) for day in missing]
    return roll_ups.days_with_readings(conn, place.id, bounds)


def _rolled(conn: Connection, place: Place, day: int, start: int, end: int) -> list[AirDay]:
    gap_s = max_gap_s(place.watch)
    series: dict[int, list[Reading]] = {}
    for reading in places.good_readings(conn, place.id, int(start - gap_s), end - 1):
        series.setdefault(reading.sensor_id, []).append(reading)
    found = []
    for sensor_id, readings in series.items():
        points = [(float(r.at), r.temp_c, r.rh_pct) for r in readings]
        rolled = roll_up(points, start, end, gap_s)
        if rolled.count:
            found.append(_air_day(day, sensor_id, rolled))
    # a day of nothing but bad readings counts as looked at
    return found or [AirDay(day, 0, 0, None, None, None, None, None, None)]


def checked_days(conn: Connection) -> tuple[frozenset[tuple[int, int]], list[str]]:
    """Boiled-down days held against their readings; days that were thinned out are left out.

    Returns
    -------
    place and ordinal of each day that is what its readings make, and those that are not, in words;
    a zone or a way of watching that was changed makes such a difference too
    """
    whole_from = int(settings.get(conn, THINNED) or 0)
    fine, odd = set(), []
    for place in places.all_places(conn):
        zone = zone_of_place(conn, place)
        kept: dict[int, list[AirDay]] = {}
        for day in roll_ups.days(conn, place.id, whole_from, date.max.toordinal()):
            kept.setdefault(day.day, []).append(day)
        for ordinal, there in kept.items():
            start, end = bounds_of(date.fromordinal(ordinal), zone)
            made = _rolled(conn, place, ordinal, start, end)
            if sorted(made, key=_by_sensor) == sorted(there, key=_by_sensor):
                fine.add((place.id, ordinal))
            else:
                odd.append(f"{place.name}, {date.fromordinal(ordinal)}")
    return frozenset(fine), odd


def _by_sensor(day: AirDay) -> int:
    return day.sensor_id


def _air_day(day: int, sensor_id: int, rolled: DayRoll) -> AirDay:
    return AirDay(day, sensor_id, rolled.count, *_three(rolled.temp), *_three(rolled.rh))


def _three(stats: WindowStats | None) -> tuple[float | None, float | None, float | None]:
    return (None, None, None) if stats is None else (stats.low, stats.high, stats.mean)


def thin(
    conn: Connection,
    by: By,
    keep_days: int,
    now: datetime,
    tell: Callable[[str], None] = lambda _words: None,
) -> int:
    """Keep of readings older than so many days only the extremes of each hour; how many went.

    Their days are boiled down first, so minimum, maximum and mean of each day stay exact.
    ``tell`` is given a few words now and then: a million readings take ten seconds.

    Raises
    ------
    Refused: less than a month would be left
    """
    if keep_days < CHUNK_DAYS:
        raise Refused(f"At least {CHUNK_DAYS} days of single readings must stay.")
    rolled = 0
    while done := roll_up_days(conn, now, at_once=CHUNK_DAYS):
        rolled += done
        tell(f"{rolled} days condensed")
    before = now.astimezone(household.zone(conn)).date().toordinal() - keep_days
    first_whole = int(settings.get(conn, THINNED) or 0)
    if before <= first_whole:
        return 0
    with change(conn, by, "thin readings", subject=f"older than {keep_days} d") as work:
        settings.put(work, THINNED, str(before))
    gone = 0
    for place in places.all_places(conn):
        tell(f"thinning out {place.name}")
        gone += _thin_place(conn, place, before)
    return gone


def _thin_place(conn: Connection, place: Place, before: int) -> int:
    zone, gone = zone_of_place(conn, place), 0
    end, _ = bounds_of(date.fromordinal(before), zone)
    start = roll_ups.first_at(conn, place.id)
    while start is not None and start < end:
        stop = min(end, start + CHUNK_DAYS * 86_400)
        with quiet(conn):
            gone += roll_ups.thin(conn, place.id, start, stop)
        start = stop
    return gone
