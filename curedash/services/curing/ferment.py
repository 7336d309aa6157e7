"""The ferment of a lot: its pH log, and degree-hours from the readings of where it hung."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.degree_hours import LONGEST_GAP_H
from curedash.domain.curing.ferment import HOUR_S, FermentState, ferment_state
from curedash.domain.curing.stages import FERMENT
from curedash.domain.fast_json import loads
from curedash.domain.records import Event, LotState
from curedash.domain.times import moment, utc_text
from curedash.store import lots, places

PH = "ph"
Stay = tuple[int | None, float, float]  # place, from, until [epoch s]


def ph_log(conn: Connection, lot: LotState) -> list[tuple[Event, float]]:
    """Every pH of a lot, oldest first."""
    return [
        (event, float(loads(event.data or "{}")["ph"]))
        for event in lots.events(conn, lot_id=lot.id, kind=PH)
    ]


def ferment_of(conn: Connection, lot: LotState, now: datetime) -> FermentState | None:
    """How far the ferment of a lot has come; None for a lot that is not fermenting."""
    if lot.stage != FERMENT:
        return None
    since_s, now_s = moment(lot.stage_at).timestamp(), now.timestamp()
    phs = [
        (moment(event.at).timestamp(), ph)
        for event, ph in ph_log(conn, lot)
        if lot.stage_at <= event.at <= utc_text(now)
    ]
    return ferment_state(since_s, max(since_s, now_s), _series(conn, lot, since_s, now_s), phs)


def _series(
    conn: Connection, lot: LotState, since_s: float, now_s: float
) -> list[list[tuple[float, float]]]:
    """The readings of each sensor where the lot hung; after a move all sensors go on as one."""
    stays = _stays(conn, lot, since_s, now_s)
    parts = [_of_stay(conn, stay, first=n == 0) for n, stay in enumerate(stays)]
    if len(parts) == 1:
        return list(parts[0].values())
    warmest: dict[float, float] = {}
    for part in parts:
        for points in part.values():
            for at, temp_c in points:
                warmest[at] = max(temp_c, warmest.get(at, temp_c))
    return [sorted(warmest.items())]


def _of_stay(conn: Connection, stay: Stay, *, first: bool) -> dict[int, list[tuple[float, float]]]:
    place_id, start_s, end_s = stay
    if place_id is None:
        return {}
    early_s = start_s - (LONGEST_GAP_H * HOUR_S if first else 0)
    found: dict[int, list[tuple[float, float]]] = {}
    for reading in places.good_readings(conn, place_id, int(early_s), int(end_s)):
        if reading.temp_c is not None:
            found.setdefault(reading.sensor_id, []).append((float(reading.at), reading.temp_c))
    return found


def _stays(conn: Connection, lot: LotState, since_s: float, now_s: float) -> list[Stay]:
    """Where the lot hung since the ferment began."""
    moved = [e for e in lots.events(conn, lot_id=lot.id, kind="moved") if e.at > lot.stage_at]
    stays: list[Stay] = []
    start = since_s
    for event in moved:
        at = moment(event.at).timestamp()
        stays.append((loads(event.data or "{}").get("from"), start, at))
        start = at
    return [*stays, (lot.place_id, start, now_s)]
