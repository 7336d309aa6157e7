"""Rows of places and their readings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from sqlite3 import Connection

from curedash.domain.record import from_row
from curedash.domain.records import Place, Reading
from curedash.store.rows import many, one, value
from curedash.store.work import Work, quiet

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


EVER = 1 << 60  # a second later than any reading


def add(work: Work, **values: Any) -> int:
    """A new place; its id."""
    return work.insert("place", **values)


def update(work: Work, place_id: int, **values: Any) -> None:
    """Change columns of one place."""
    work.update("place", place_id, **values)


def all_places(conn: Connection) -> list[Place]:
    """Every place in the order they were made."""
    return many(conn, Place, "place WHERE voided_at IS NULL ORDER BY position, id")


def by_name(conn: Connection, name: str) -> Place | None:
    """The place with this name, whatever its case."""
    return one(conn, Place, "place WHERE name = ? AND voided_at IS NULL", (name.strip(),))


def add_readings(conn: Connection, place_id: int, readings: Iterable[Reading]) -> int:
    """Save readings durably in one transaction; one at the same second replaces the earlier."""
    kept = list(readings)
    with quiet(conn):
        insert_readings(conn, place_id, kept)
    return len(kept)


def insert_readings(conn: Connection, place_id: int, readings: Sequence[Reading]) -> None:
    """Save readings inside a running transaction, and when each series was heard of."""
    conn.executemany(
        "INSERT OR REPLACE INTO reading VALUES (?, ?, ?, ?, ?, ?)",
        [(place_id, r.at, r.sensor_id, r.temp_c, r.rh_pct, r.bad) for r in readings],
    )
    for sensor_id in {r.sensor_id for r in readings}:
        series = [r for r in readings if r.sensor_id == sensor_id]
        good = max((r.at for r in series if usable(r)), default=None)
        bad = max((r for r in series if not usable(r)), key=lambda r: r.at, default=None)
        bad_at, why = (None, None) if bad is None else (bad.at, bad.bad)
        conn.execute(
            "INSERT INTO heard VALUES (:place, :sensor, :good, :bad_at, :why)"
            " ON CONFLICT DO UPDATE SET"
            " last_at = max(ifnull(last_at, :good), ifnull(:good, last_at)),"
            " bad = CASE WHEN ifnull(:bad_at, -1) >= ifnull(bad_at, -1) THEN :why ELSE bad END,"
            " bad_at = max(ifnull(bad_at, :bad_at), ifnull(:bad_at, bad_at))",
            {"place": place_id, "sensor": sensor_id, "good": good, "bad_at": bad_at, "why": why},
        )


def reading_at(conn: Connection, place_id: int, at: int) -> Reading | None:
    """The reading by hand of that second."""
    by_hand = "reading WHERE place_id = ? AND at = ? AND sensor_id = 0"
    return one(conn, Reading, by_hand, (place_id, at))


def take_out(conn: Connection, place_id: int, at: int) -> None:
    """Take the reading by hand of that second out, and what was heard of by it.

    Call inside a transaction.
    """
    by_hand = "reading WHERE place_id = ? AND at = ? AND sensor_id = 0"
    conn.execute(f"DELETE FROM {by_hand}", (place_id, at))
    conn.execute("DELETE FROM heard WHERE place_id = ? AND sensor_id = 0", (place_id,))
    newest = "SELECT max(at) FROM reading WHERE place_id = :place AND sensor_id = 0 AND"
    conn.execute(
        f"INSERT INTO heard SELECT :place, 0, ({newest} {_GOOD}), ({newest} NOT {_GOOD}),"
        f" (SELECT bad FROM reading WHERE place_id = :place AND sensor_id = 0 AND NOT {_GOOD}"
        " ORDER BY at DESC LIMIT 1)"
        " WHERE EXISTS (SELECT 1 FROM reading WHERE place_id = :place AND sensor_id = 0)",
        {"place": place_id},
    )


def heard(conn: Connection) -> dict[int, list[tuple[int, int | None, int | None, Any]]]:
    """Of each place its series: sensor, newest usable second, newest unusable one and why."""
    found: dict[int, list[tuple[int, int | None, int | None, Any]]] = {}
    for place_id, *series in conn.execute("SELECT * FROM heard ORDER BY place_id, sensor_id"):
        found.setdefault(place_id, []).append(tuple(series))
    return found


def readings(
    conn: Connection, place_id: int, since: int, until: int | None = None
) -> list[Reading]:
    """Good and bad readings of one place between two epoch seconds, oldest first."""
    between = "reading WHERE place_id = ? AND at BETWEEN ? AND ? ORDER BY at"
    return many(conn, Reading, between, (place_id, since, EVER if until is None else until))


#: Marks that spoil the humidity of a reading and leave its temperature as it is.
HUMIDITY_ONLY = ("humidity-at-end", "zero-humidity")
_GOOD = f"(bad IS NULL OR bad IN {HUMIDITY_ONLY} AND temp_c IS NOT NULL)"
_VALUES = "at, temp_c, CASE WHEN bad IS NULL THEN rh_pct END, sensor_id, NULL"


def usable(reading: Reading) -> bool:
    """Whether at least the temperature of a reading may be weather."""
    return reading.bad is None or (reading.bad in HUMIDITY_ONLY and reading.temp_c is not None)


def good_readings(conn: Connection, place_id: int, since: int, until: int) -> list[Reading]:
    """What may be weather between two epoch seconds, oldest first; a bad humidity left out."""
    rows = conn.execute(
        f"SELECT {_VALUES} FROM reading WHERE place_id = ? AND at >= ? AND at <= ? AND {_GOOD}"
        " ORDER BY at, sensor_id",
        (place_id, since, until),
    )
    return [from_row(Reading, row) for row in rows]


def daily_air(
    conn: Connection, place_id: int, bounds: Sequence[tuple[int, int, int]]
) -> list[tuple[int, float, float]]:
    """Mean temperature [°C] and humidity [%] of each day (its ordinal) that has both.

    Parameters
    ----------
    bounds : (ordinal, first second, first second of the next) of calendar days of the place's
        zone; those boiled down already are read as such, only the others are averaged here
    """
    if not bounds:
        return []
    rolled = conn.execute(
        "SELECT day, avg(temp_mean_c), avg(rh_mean_pct) FROM reading_day"
        " WHERE place_id = ? AND day BETWEEN ? AND ? GROUP BY day",
        (place_id, bounds[0][0], bounds[-1][0]),
    )
    days = {day: (temp_c, rh_pct) for day, temp_c, rh_pct in rolled}
    missing = [bound for bound in bounds if bound[0] not in days]
    # most places have no sensor: asked once, not day by day
    if missing and has_readings(conn, place_id, missing[0][1], missing[-1][2]):
        for day, start, end in missing:
            days[day] = conn.execute(
                "SELECT avg(temp_c), avg(rh_pct) FROM reading"
                " WHERE place_id = ? AND at >= ? AND at < ? AND bad IS NULL",
                (place_id, start, end),
            ).fetchone()
    return [(day, *mean) for day, mean in sorted(days.items()) if None not in mean]


def has_readings(conn: Connection, place_id: int, start: int, end: int) -> bool:
    """Whether a place has any reading from one second to before another."""
    between = "SELECT 1 FROM reading WHERE place_id = ? AND at >= ? AND at < ? LIMIT 1"
    return value(conn, between, (place_id, start, end)) is not None


def last_reading(conn: Connection, place_id: int, until: int | None = None) -> Reading | None:
    """The newest good reading of a place, None if it never had one."""
    row = conn.execute(
        f"SELECT {_VALUES} FROM reading WHERE place_id = ? AND at <= ? AND {_GOOD}"
        " ORDER BY at DESC LIMIT 1",
        (place_id, EVER if until is None else until),
    ).fetchone()
    return None if row is None else from_row(Reading, row)
