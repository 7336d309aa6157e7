"""The needs of every place, from the readings of the last day."""

import sqlite3
from collections.abc import Sequence
from datetime import datetime, timedelta

from curedash.domain.air import HOUR_S, max_gap_s
from curedash.domain.needs import Need
from curedash.domain.place_needs import (
    AFTER_FAILURE_H,
    DEFAULT_AIR_RULES,
    LOOK_BACK_H,
    AirRules,
    Heard,
    PlaceView,
    heard_of,
    place_needs,
)
from curedash.domain.records import LotState, Place, Reading, Sensor
from curedash.domain.times import utc_text
from curedash.store import memory, places, sensors


def needs_of_places(
    conn: sqlite3.Connection,
    lots: Sequence[LotState],
    now: datetime,
    rules: AirRules = DEFAULT_AIR_RULES,
) -> list[Need]:
    """What needs somebody at the places, each cause once."""
    now_s = now.timestamp()
    return [need for view in views(conn, lots, now) for need in place_needs(view, now_s, rules)]


def views(conn: sqlite3.Connection, lots: Sequence[LotState], now: datetime) -> list[PlaceView]:
    """Every place with its lots and its readings of the last day."""
    stored = memory.open_needs(conn)
    lately = memory.causes_cleared_since(conn, utc_text(now - timedelta(hours=AFTER_FAILURE_H)))
    known, heard = sensors.all_sensors(conn), places.heard(conn)
    found = []
    for place in places.all_places(conn):
        own = [sensor for sensor in known if sensor.place_id == place.id]
        series = [Heard(at[0], "", *at[1:]) for at in heard.get(place.id, ())]
        found.append(PlaceView(
            place,
            [lot for lot in lots if lot.place_id == place.id],
            _readings(conn, place, own, now.timestamp()),
            heard_of(own, series),
            frozenset(need.cause for need in stored if need.place_id == place.id),
            frozenset(cause for place_id, cause in lately if place_id == place.id),
        ))  # fmt: skip
    return found


def _readings(
    conn: sqlite3.Connection, place: Place, own: Sequence[Sensor], now_s: float
) -> list[Reading]:
    """Usable readings of the last day and a gap before, without those of retired sensors."""
    since = int(now_s - LOOK_BACK_H * HOUR_S - max_gap_s(place.watch))
    retired = {sensor.id for sensor in own if sensor.retired_at is not None}
    return [
        reading
        for reading in places.good_readings(conn, place.id, since, int(now_s))
        if reading.sensor_id not in retired
    ]
