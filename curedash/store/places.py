"""Rows of places and their readings."""

import sqlite3
from collections.abc import Iterable
from typing import Any

from curedash.domain.records import Place, Reading
from curedash.store.work import Work, quiet

_COLUMNS = "id, name, temp_lo_c, temp_hi_c, rh_lo_pct, rh_hi_pct, watch, zone"


def add(work: Work, **values: Any) -> int:
    """A new place; its id."""
    return work.insert("place", **values)


def update(work: Work, place_id: int, **values: Any) -> None:
    """Change columns of one place."""
    work.update("place", place_id, **values)


def all_places(conn: sqlite3.Connection) -> list[Place]:
    """Every place in the order they were made."""
    rows = conn.execute(
        f"SELECT {_COLUMNS} FROM place WHERE voided_at IS NULL ORDER BY position, id"
    )
    return [Place(*row) for row in rows]


def by_name(conn: sqlite3.Connection, name: str) -> Place | None:
    """The place with this name, whatever its case."""
    row = conn.execute(
        f"SELECT {_COLUMNS} FROM place WHERE name = ? AND voided_at IS NULL", (name.strip(),)
    ).fetchone()
    return None if row is None else Place(*row)


def add_readings(conn: sqlite3.Connection, place_id: int, readings: Iterable[Reading]) -> int:
    """Store readings durably in one transaction; one at the same second replaces the earlier."""
    rows = [(place_id, r.at, r.sensor_id, r.temp_c, r.rh_pct, r.bad) for r in readings]
    with quiet(conn):
        conn.executemany("INSERT OR REPLACE INTO reading VALUES (?, ?, ?, ?, ?, ?)", rows)
    return len(rows)


def readings(
    conn: sqlite3.Connection, place_id: int, since: int, until: int | None = None
) -> list[Reading]:
    """Good and bad readings of one place between two epoch seconds, oldest first."""
    rows = conn.execute(
        "SELECT at, temp_c, rh_pct, sensor_id, bad FROM reading"
        " WHERE place_id = ? AND at >= ? AND at <= ? ORDER BY at",
        (place_id, since, until if until is not None else 1 << 60),
    )
    return [Reading(*row) for row in rows]


def good_readings(conn: sqlite3.Connection, place_id: int, since: int, until: int) -> list[Reading]:
    """Readings that may be weather, between two epoch seconds, oldest first."""
    return [r for r in readings(conn, place_id, since, until) if r.bad is None]


def last_reading(
    conn: sqlite3.Connection, place_id: int, until: int | None = None
) -> Reading | None:
    """The newest good reading of a place, None if it never had one."""
    row = conn.execute(
        "SELECT at, temp_c, rh_pct, sensor_id, bad FROM reading WHERE place_id = ? AND at <= ?"
        " AND bad IS NULL ORDER BY at DESC LIMIT 1",
        (place_id, until if until is not None else 1 << 60),
    ).fetchone()
    return None if row is None else Reading(*row)
