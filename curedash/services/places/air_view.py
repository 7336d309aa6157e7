"""What is known of the air of each place: last reading, a day's mean and range, a week's curve."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from sqlite3 import Connection
from typing import Any

from curedash.domain.fast_json import loads
from curedash.domain.needs.place_needs import BY_HAND, days_of, loaded_at
from curedash.domain.places.air import WindowStats
from curedash.domain.places.vapour import dew_point_c, vapour_deficit_hpa
from curedash.domain.records import LotState, Place, Reading
from curedash.services.needs.place_needs import views
from curedash.services.places.place_days import bounds_of, zone_of_place
from curedash.store import lots, places, rack, roll_ups, sensors

HANGING = ("drying", "ferment")
DAY_S, QUARTER_S = 86_400, 21_600
WEEK_S = 7 * DAY_S
POINTS = 168  # buckets of a curve: one an hour for a week


@dataclass(frozen=True, slots=True)
class SensorAir:
    """The last day of one series of readings of a place."""

    name: str  # empty: by hand
    last: Reading
    temp: WindowStats | None  # over 24 h
    rh: WindowStats | None


@dataclass(frozen=True, slots=True)
class PlaceAir:
    """A place as its row shows it; sensors are never averaged, the first is the one shown."""

    place: Place
    series: tuple[SensorAir, ...]  # the one heard of last first
    last: Reading | None
    age_s: float | None
    hanging_g: float
    lots: int
    loaded_at: float | None  # epoch s


@dataclass(frozen=True, slots=True)
class AirPoint:
    """One stretch of a curve."""

    at: int
    temp_lo_c: float | None
    temp_hi_c: float | None
    temp_c: float | None
    rh_lo_pct: float | None
    rh_hi_pct: float | None
    rh_pct: float | None
    dew_point_c: float | None
    deficit_hpa: float | None


@dataclass(frozen=True, slots=True)
class Failure:
    """A time for which a person said that the place was off or warm, cut to what is shown."""

    since: float  # epoch s
    until: float
    highest_c: float


def _weight_g(lot: LotState) -> float:
    """What is known of the weight of a lot [g], 0 where nobody weighed it."""
    return lot.last_net_g or lot.green_g or 0.0


def air_of_places(
    conn: Connection, now: datetime, within: Sequence[LotState] | None = None
) -> list[PlaceAir]:
    """Every place with its air and what hangs there."""
    inside = rack.open_lots(conn) if within is None else within
    names = {sensor.id: sensor.name for sensor in sensors.all_sensors(conn)}
    now_s, found = now.timestamp(), []
    for view in views(conn, inside, now):
        newest = {reading.sensor_id: reading for reading in view.readings}
        series = [
            SensorAir(names.get(day.sensor_id, ""), newest[day.sensor_id], day.temp_24h, day.rh_24h)
            for day in days_of(view, now_s)
        ]
        series.sort(key=lambda item: (item.last.sensor_id == BY_HAND, -item.last.at))
        last = series[0].last if series else places.last_reading(conn, view.place.id, int(now_s))
        age_s = None if last is None else now_s - last.at
        hanging_g = sum(_weight_g(lot) for lot in view.lots if lot.stage in HANGING)
        load = (hanging_g, len(view.lots), loaded_at(view.lots))
        found.append(PlaceAir(view.place, tuple(series), last, age_s, *load))
    return found


def recent_means(conn: Connection, item: PlaceAir, now: datetime) -> list[float | None]:
    """The mean temperature of each of the last seven days [°C], the newest last.

    That of the sensor which is shown; None for a day without a reading.
    """
    days = 7
    if item.last is None:
        return [None] * days
    until = int(now.timestamp()) + 1
    since = until - days * DAY_S
    found: list[list[float]] = [[] for _ in range(days)]
    quarters = roll_ups.curve(conn, item.place.id, since, until, QUARTER_S)
    for sensor_id, at, _lo, _hi, temp_c, *_rh in quarters:
        middle = min(until - 1, max(since, at + QUARTER_S // 2))
        if sensor_id == item.last.sensor_id and temp_c is not None:
            found[(middle - since) // DAY_S].append(temp_c)
    return [sum(means) / len(means) if means else None for means in found]


def curves(conn: Connection, place: Place, now: datetime) -> dict[str, list[AirPoint]]:
    """The curve of each sensor of a place over the last week, by the sensor's name."""
    until = int(now.timestamp()) + 1
    bucket_s = WEEK_S // POINTS
    names = {sensor.id: sensor.name for sensor in sensors.all_sensors(conn)}
    found: dict[str, list[AirPoint]] = {}
    for sensor_id, at, *values in roll_ups.curve(conn, place.id, until - WEEK_S, until, bucket_s):
        point: tuple[Any, ...] = (at + bucket_s // 2, *values, *_humid(values[2], values[5]))
        found.setdefault(names.get(sensor_id, ""), []).append(AirPoint(*point))
    return found


def failures(conn: Connection, place: Place, now: datetime) -> list[Failure]:
    """The failures a person wrote down that touch the last week, oldest first."""
    until = now.timestamp()
    since, found = until - WEEK_S, []
    for event in lots.events(conn, place_id=place.id, kind="outage"):
        data = loads(event.data or "{}")
        if event.lot_id is not None or data.get("limit_c") is not None or data.get("to") is None:
            continue
        if data["to"] >= since and data["from"] <= until:
            begin, end = max(since, data["from"]), min(until, data["to"])
            found.append(Failure(begin, end, data["highest_c"]))
    return found


def long_curves(
    conn: Connection, place: Place, now: datetime, days: int
) -> dict[str, list[AirPoint]]:
    """The days of months and years from what was boiled down, by the sensor's name."""
    zone = zone_of_place(conn, place)
    last = now.astimezone(zone).date().toordinal()
    names = {sensor.id: sensor.name for sensor in sensors.all_sensors(conn)}
    found: dict[str, list[AirPoint]] = {}
    for day in roll_ups.days(conn, place.id, last - days, last):
        if not day.n:
            continue
        start, end = bounds_of(date.fromordinal(day.day), zone)
        temp = (day.temp_min_c, day.temp_max_c, day.temp_mean_c)
        rh = (day.rh_min_pct, day.rh_max_pct, day.rh_mean_pct)
        point = AirPoint((start + end) // 2, *temp, *rh, *_humid(temp[2], rh[2]))
        found.setdefault(names.get(day.sensor_id, ""), []).append(point)
    return found


def _humid(temp_c: float | None, rh_pct: float | None) -> tuple[float | None, float | None]:
    """Dew point [°C] and vapour-pressure deficit [hPa], None where they cannot be computed."""
    if temp_c is None or rh_pct is None or not 0 < rh_pct <= 100 or not -40 <= temp_c <= 50:
        return None, None
    return dew_point_c(temp_c, rh_pct), vapour_deficit_hpa(temp_c, rh_pct)
