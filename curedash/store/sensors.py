"""Rows of sensors, and the marks their readings got afterwards."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.domain.records import Reading, Sensor
from curedash.store.places import HUMIDITY_ONLY
from curedash.store.rows import many, one
from curedash.store.work import Work

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def add(work: Work, place_id: int, name: str, **values: Any) -> int:
    """A new sensor; its id."""
    return work.insert("sensor", place_id=place_id, name=name, **values)


def update(work: Work, sensor_id: int, **values: Any) -> None:
    """Change columns of one sensor."""
    work.update("sensor", sensor_id, **values)


def all_sensors(conn: Connection) -> list[Sensor]:
    """Every sensor, by place, in the order they came."""
    return many(conn, Sensor, "sensor ORDER BY place_id, id")


def by_name(conn: Connection, place_id: int, name: str) -> Sensor | None:
    """The sensor of a place with this name."""
    return one(conn, Sensor, "sensor WHERE place_id = ? AND name = ?", (place_id, name))


def latest(
    conn: Connection, place_id: int, sensor_id: int, since: int, limit: int
) -> list[Reading]:
    """The newest readings of one series since an epoch second, bad ones too, oldest first."""
    rows = conn.execute(
        "SELECT at, temp_c, rh_pct, sensor_id, bad FROM reading WHERE place_id = ? AND at >= ?"
        " AND sensor_id = ? ORDER BY at DESC LIMIT ?",
        (place_id, since, sensor_id, limit),
    ).fetchall()
    return [Reading(*row) for row in reversed(rows)]


def mark(conn: Connection, place_id: int, sensor_id: int, since: int, until: int, bad: str) -> int:
    """Mark readings of one series that turned out to be no weather; how many.

    Call inside a transaction. Unless only the humidity is at fault, the series then was last
    heard of before them.
    """
    marked = conn.execute(
        "UPDATE reading SET bad = ? WHERE place_id = ? AND at BETWEEN ? AND ? AND sensor_id = ?"
        " AND bad IS NULL",
        (bad, place_id, since, until, sensor_id),
    ).rowcount
    if bad in HUMIDITY_ONLY:
        return marked
    before = conn.execute(
        "SELECT at FROM reading WHERE place_id = ? AND at < ? AND sensor_id = ? AND bad IS NULL"
        " ORDER BY at DESC LIMIT 1",
        (place_id, since, sensor_id),
    ).fetchone()
    conn.execute(
        "UPDATE heard SET last_at = ? WHERE place_id = ? AND sensor_id = ? AND last_at <= ?",
        (None if before is None else before[0], place_id, sensor_id, until),
    )
    return marked
