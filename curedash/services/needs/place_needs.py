"""The needs of every place, from the readings of the last day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from sqlite3 import Connection

from curedash.domain.needs.lot_needs import Need
from curedash.domain.needs.place_needs import (
    AFTER_FAILURE_H,
    DEFAULT_AIR_RULES,
    LOOK_BACK_H,
    AirRules,
    Failed,
    Heard,
    PlaceView,
    heard_of,
    most_at_risk,
    place_needs,
)
from curedash.domain.places.air import HOUR_S, max_gap_s
from curedash.domain.records import LotState, Place, Reading, Sensor
from curedash.domain.times import utc_text
from curedash.store import derived, places, sensors
from curedash.store import lots as log

FAILED_BEGAN = timedelta(days=90)  # how far back failures are looked for
FAILED_ASKED = timedelta(days=30)  # design value: how long a failure waits for a decision

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def needs_of_places(
    conn: Connection, lots: Sequence[LotState], now: datetime, rules: AirRules = DEFAULT_AIR_RULES
) -> list[Need]:
    """What needs somebody at the places, each cause once."""
    now_s = now.timestamp()
    return [need for view in views(conn, lots, now) for need in place_needs(view, now_s, rules)]


def views(conn: Connection, lots: Sequence[LotState], now: datetime) -> list[PlaceView]:
    """Every place with its lots and its readings of the last day."""
    stored = derived.open_needs(conn)
    lately = derived.causes_cleared_since(conn, utc_text(now - timedelta(hours=AFTER_FAILURE_H)))
    known, heard = sensors.all_sensors(conn), places.heard(conn)
    failed = _failed(conn, lots, now)
    found = []
    for place in places.all_places(conn):
        own = [sensor for sensor in known if sensor.place_id == place.id]
        series = [Heard(at[0], "", *at[1:]) for at in heard.get(place.id, ())]
        inside = [lot for lot in lots if lot.place_id == place.id]
        read = (_readings(conn, place, own, now.timestamp()), heard_of(own, series))
        standing = frozenset(need.cause for need in stored if need.place_id == place.id)
        cleared = frozenset(cause for place_id, cause in lately if place_id == place.id)
        view = PlaceView(place, inside, *read, standing, cleared, failed.get(place.id, ()))
        found.append(view)
    return found


def _failed(conn: Connection, lots: Sequence[LotState], now: datetime) -> dict[int, list[Failed]]:
    """Of each place the failures a person wrote down, with the lots that wait for a decision."""
    events = log.outages_since(conn, utc_text(now - FAILED_BEGAN))
    if not events:
        return {}
    from curedash.domain.fast_json import loads

    known = {lot.id: lot for lot in lots}
    found: dict[int, list[Failed]] = {}
    for event in events:
        data = loads(event.data or "{}")
        until = data.get("to")
        if event.lot_id is not None or event.place_id is None or until is None:
            continue
        if data.get("limit_c") is not None or until < (now - FAILED_ASKED).timestamp():
            continue  # seen by a sensor, it was an alert while it lasted
        ended = utc_text(datetime.fromtimestamp(until, UTC))
        touched = (
            known.get(e.lot_id)
            for e in events
            if e.lot_id is not None and (e.place_id, e.at) == (event.place_id, event.at)
        )
        waiting = [lot for lot in touched if lot is not None and not _decided(lot, ended)]
        failed = Failed(_when(conn, data), data["hours"], data["highest_c"], most_at_risk(waiting))
        found.setdefault(event.place_id, []).append(failed)
    return found


def _decided(lot: LotState, since: str) -> bool:
    return any(look.kind == "decision" and look.at >= since for look in lot.looks)


def _when(conn: Connection, data: dict[str, Any]) -> str:
    """``24 Nov 22:00 to 25 Nov 07:00``, on the household's clock."""
    from curedash.services.household import household

    zone = household.zone(conn)
    began, ended = (datetime.fromtimestamp(data[end], zone) for end in ("from", "to"))
    return f"{began.day} {began:%b %H:%M} to {ended.day} {ended:%b %H:%M}"


def _readings(conn: Connection, place: Place, own: Sequence[Sensor], now_s: float) -> list[Reading]:
    """Usable readings of the last day and a gap before, without those of retired sensors."""
    since = int(now_s - LOOK_BACK_H * HOUR_S - max_gap_s(place.watch))
    retired = {sensor.id for sensor in own if sensor.retired_at is not None}
    return [
        reading
        for reading in places.good_readings(conn, place.id, since, int(now_s))
        if reading.sensor_id not in retired
    ]
