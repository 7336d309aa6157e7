"""Days of readings boiled down, curves of many readings in few points, and thinning."""

from collections.abc import Iterable, Sequence
from sqlite3 import Connection

from curedash.domain.record import as_dict
from curedash.domain.records import AirDay
from curedash.store.places import HUMIDITY_ONLY, has_readings
from curedash.store.rows import many, put, value
from curedash.store.work import quiet

_GOOD = f"(bad IS NULL OR bad IN {HUMIDITY_ONLY} AND temp_c IS NOT NULL)"
_RH = "CASE WHEN bad IS NULL THEN rh_pct END"
Bucket = tuple[
    int, int, float | None, float | None, float | None, float | None, float | None, float | None
]


def first_at(conn: Connection, place_id: int) -> int | None:
    """The oldest reading of a place [epoch s]."""
    found: int | None = value(conn, "SELECT min(at) FROM reading WHERE place_id = ?", (place_id,))
    return found


def days(conn: Connection, place_id: int, first: int, last: int) -> list[AirDay]:
    """The days condensed between two ordinals, oldest first."""
    between = "reading_day WHERE place_id = ? AND day BETWEEN ? AND ? ORDER BY day, sensor_id"
    return many(conn, AirDay, between, (place_id, first, last))


def known_days(conn: Connection, place_id: int) -> set[int]:
    """Ordinals of the days that are boiled down already."""
    rows = conn.execute("SELECT DISTINCT day FROM reading_day WHERE place_id = ?", (place_id,))
    return {int(row[0]) for row in rows}


def days_with_readings(
    conn: Connection, place_id: int, bounds: Sequence[tuple[int, int, int]]
) -> list[tuple[int, int, int]]:
    """Those of (day, first second, end) in which the place has any reading."""
    return [bound for bound in bounds if has_readings(conn, place_id, *bound[1:])]


def put_days(conn: Connection, place_id: int, rolled: Iterable[AirDay]) -> None:
    """Store days that were boiled down."""
    with quiet(conn):
        put(conn, "reading_day", [{"place_id": place_id} | as_dict(day) for day in rolled])


def forget_days(conn: Connection, place_id: int, ordinals: Iterable[int]) -> None:
    """Drop the days that late readings belong to; they are boiled down anew.

    Call inside a transaction. Days whose readings were thinned stay as they are.
    """
    conn.executemany(
        "DELETE FROM reading_day WHERE place_id = ? AND day = ? AND day >= ifnull("
        "(SELECT CAST(value AS INTEGER) FROM setting WHERE name = 'air-thinned-before'), 0)",
        [(place_id, day) for day in ordinals],
    )


def curve(conn: Connection, place_id: int, since: int, until: int, bucket_s: int) -> list[Bucket]:
    """Lowest, highest and mean temperature and humidity of each sensor in each bucket.

    Returns
    -------
    (sensor, first second of the bucket, °C low, high, mean, % low, high, mean), oldest first
    """
    rows = conn.execute(
        "SELECT sensor_id, at / :bucket * :bucket AS bucket, min(temp_c), max(temp_c), avg(temp_c),"
        f" min({_RH}), max({_RH}), avg({_RH}) FROM reading"
        f" WHERE place_id = :place AND at >= :since AND at < :until AND {_GOOD}"
        " GROUP BY sensor_id, bucket ORDER BY bucket, sensor_id",
        {"bucket": bucket_s, "place": place_id, "since": since, "until": until},
    )
    return list(rows)


def thin(conn: Connection, place_id: int, since: int, before: int, bucket_s: int = 3600) -> int:
    """Keep of each sensor and hour only the readings that are its extremes; how many went.

    Call inside a transaction.
    """
    conn.execute(
        "CREATE TEMP TABLE IF NOT EXISTS kept (at INTEGER, sensor_id INTEGER,"
        " PRIMARY KEY (at, sensor_id)) WITHOUT ROWID"
    )
    conn.execute("DELETE FROM kept")
    for column in ("temp_c", "rh_pct"):
        for extreme in ("min", "max"):
            conn.execute(
                "INSERT OR IGNORE INTO kept SELECT at, sensor_id FROM (SELECT at, sensor_id,"
                f" {extreme}({column}) FROM reading WHERE place_id = ? AND at >= ? AND at < ?"
                f" AND {_GOOD} AND {column} IS NOT NULL GROUP BY sensor_id, at / ?)",
                (place_id, since, before, bucket_s),
            )
    return conn.execute(
        "DELETE FROM reading WHERE place_id = ? AND at >= ? AND at < ? AND NOT EXISTS"
        " (SELECT 1 FROM kept WHERE kept.at = reading.at AND kept.sensor_id = reading.sensor_id)",
        (place_id, since, before),
    ).rowcount
