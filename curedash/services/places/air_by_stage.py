"""The air a lot lay in: for each stay in a stage and place its means, extremes and warm hours."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import CLOSED, DISCARDED
from curedash.domain.places.air import HOUR_S, WindowStats, hours_above, max_gap_s, window_stats
from curedash.domain.record import replace
from curedash.domain.records import Place, StageEntry
from curedash.domain.times import moment
from curedash.services.needs.alert_rules import rules_of
from curedash.store import places, roll_ups, settings

THINNED = "air-thinned-before"  # first day whose readings are whole (its ordinal)


@dataclass(frozen=True, slots=True)
class Stay:
    """One stay of a lot, with what is known of the air meanwhile."""

    stage: str
    start: datetime
    end: datetime
    ended: bool
    place: Place | None
    note: str | None
    temp: WindowStats | None
    rh: WindowStats | None
    limit_c: float | None  # of a day's mean in this stage
    above_h: float | None  # hours above it


def stays_of(conn: Connection, entries: Sequence[StageEntry], now: datetime) -> list[Stay]:
    """The stays of a lot from its stage entries, oldest first."""
    known = {place.id: place for place in places.all_places(conn)}
    limits = rules_of(conn)[1].limits
    found = []
    for number, entry in enumerate(entries):
        last = number + 1 == len(entries)
        end = now if last else moment(entries[number + 1].at)
        place = None if entry.place_id is None else known.get(entry.place_id)
        limit_c = limits.get(entry.stage, (None, None, None))[0]
        start = moment(entry.at)
        over = entry.stage in (CLOSED, DISCARDED)
        air = (None, None, None) if over else _air(conn, place, start, end, limit_c)
        temp, rh, above_h = air
        stay = (entry.stage, start, end, not last, place, entry.note)
        found.append(Stay(*stay, temp, rh, limit_c, above_h))
    return found


def _air(
    conn: Connection, place: Place | None, start: datetime, end: datetime, limit_c: float | None
) -> tuple[WindowStats | None, WindowStats | None, float | None]:
    """Of the series that was read most; sensors are never averaged."""
    if place is None or end <= start:
        return None, None, None
    first, last, gap_s = int(start.timestamp()), int(end.timestamp()), max_gap_s(place.watch)
    rows = places.good_readings(conn, place.id, int(first - gap_s), last)
    if not rows:
        return None, None, None
    sensor_id = Counter(row.sensor_id for row in rows).most_common(1)[0][0]
    own = [row for row in rows if row.sensor_id == sensor_id]
    temps = [(float(row.at), row.temp_c) for row in own if row.temp_c is not None]
    rhs = [(float(row.at), row.rh_pct) for row in own if row.rh_pct is not None]
    hours = (last - first) / HOUR_S
    temp = window_stats(temps, last, hours, gap_s)
    rh = window_stats(rhs, last, hours, gap_s)
    above = None if limit_c is None else hours_above(temps, limit_c, first, last, gap_s)[0]
    return _with_days(conn, place, sensor_id, start, end, temp, rh, above)


def _with_days(
    conn: Connection,
    place: Place,
    sensor_id: int,
    start: datetime,
    end: datetime,
    temp: WindowStats | None,
    rh: WindowStats | None,
    above_h: float | None,
) -> tuple[WindowStats | None, WindowStats | None, float | None]:
    """Where old readings were thinned to their extremes, the days' own means count instead."""
    whole_from = int(settings.get(conn, THINNED) or 0)
    if start.date().toordinal() >= whole_from:
        return temp, rh, above_h
    known = roll_ups.days(conn, place.id, start.date().toordinal(), end.date().toordinal())
    days = [day for day in known if day.sensor_id == sensor_id and day.n]
    temp = _mean_of([day.temp_mean_c for day in days], temp)
    rh = _mean_of([day.rh_mean_pct for day in days], rh)
    return temp, rh, None  # only extremes are left: hours cannot be counted any more


def _mean_of(means: list[float | None], stats: WindowStats | None) -> WindowStats | None:
    known = [mean for mean in means if mean is not None]
    if stats is None or not known:
        return stats
    return replace(stats, mean=sum(known) / len(known))
