"""The Rack's statement, the stored forecasts and a million readings, without a screen."""

import gc
import os
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime

sys.path.insert(0, os.path.dirname(__file__))
from figures import Figure, most, ratio, tell
from large_household import build_apart

from curedash.__main__ import OBJECTS_BEFORE_COLLECTING
from curedash.domain.drying.forecast import Basis, forecast
from curedash.domain.drying.forecast.posterior import Posterior
from curedash.services.places.air_view import air_of_places
from curedash.store import derived, rack
from curedash.store.open import open_db

OPEN = "AND lot.stage NOT IN ('closed', 'discarded') ORDER BY lot.position, lot.id"


def times_ms(runs: int, *jobs: Callable[[], object]) -> list[list[float]]:
    """Milliseconds of each job, in turn; garbage collected in between, not meanwhile."""
    found: list[list[float]] = [[] for _ in jobs]
    for _ in range(runs):
        for job, times in zip(jobs, found, strict=True):
            gc.collect()
            start = time.perf_counter()
            job()
            times.append((time.perf_counter() - start) * 1000)
    return found


def statement_of(conn: sqlite3.Connection) -> str:
    """The statement the Rack really sends, caught from the driver."""
    sent: list[str] = []
    conn.set_trace_callback(sent.append)
    rack.open_lots(conn)
    conn.set_trace_callback(None)
    return next(text for text in sent if "FROM lot" in text)


def queries(files: dict[int, str]) -> list[Figure]:
    """All open lots as records against the rows of the same statement."""
    found = []
    for lots, file in files.items():
        conn = open_db(file, read_only=True)
        statement = statement_of(conn)
        runs = 30 if lots < 1000 else 9
        ours, bare = times_ms(
            runs,
            lambda: rack.open_lots(conn),  # noqa: B023
            lambda: conn.execute(statement).fetchall(),  # noqa: B023
        )
        found.append(ratio(f"Rack query, {lots} lots, to its statement", ours, bare, 1.5))
        found.append(most(f"Rack query, {lots} lots", ours, "ms", 150.0 if lots == 5000 else None))
        conn.close()
    return found


# ── forecasts ─────────────────────────────────────────────────────────────────────────────


def forecasts(file: str) -> list[Figure]:
    """Stored windows read; one weigh-in taken in; a lot of sixty weigh-ins from nothing."""
    conn = open_db(file, read_only=True)
    numbers = [lot.id for lot in rack.open_lots(conn)]
    (read,) = times_ms(30, lambda: [derived.forecast(conn, number) for number in numbers])
    conn.close()
    points = [(float(d), 1 - 0.34 * (1 - 2.718281828 ** (-d / 30.0))) for d in range(60)]
    before = forecast(Basis(points[:-1], 38.0, base_g=1200.0)).posterior
    kept = None if before is None else before.to_bytes()

    def one_more() -> None:
        old = None if kept is None else Posterior.from_bytes(kept)
        seen = forecast(Basis(points, 38.0, base_g=1200.0, posterior=old)).posterior
        assert seen is not None
        seen.to_bytes()

    added, anew = times_ms(60, one_more, lambda: forecast(Basis(points, 38.0, base_g=1200.0)))
    return [
        most(f"forecasts: {len(numbers)} stored read", read, "ms", 5.0),
        most("forecasts: one more weigh-in", added, "ms", 5.0),
        most("forecasts: 60 weigh-ins from nothing", anew, "ms", 60.0),
    ]


# ── readings ──────────────────────────────────────────────────────────────────────────────


def readings(folder: str, file: str, most_readings: int) -> list[Figure]:
    """What the Places screen reads, with a thousand readings and with very many."""
    asked = []
    now = datetime.now(UTC)
    conns = []
    for count in (1000, most_readings):
        name = os.path.join(folder, f"air{count}.db")
        with sqlite3.connect(file) as source, sqlite3.connect(name) as copy:
            source.backup(copy)
        conn = open_db(name)
        fill(conn, count, now)
        conns.append(conn)
        asked.append(lambda conn=conn: air_of_places(conn, now))
    few, many = times_ms(15, *asked)
    for conn in conns:
        conn.close()
    name = f"{most_readings:,} readings to 1,000, what Places reads"
    return [ratio(name, many, few, 1.2)]


def fill(conn: sqlite3.Connection, count: int, now: datetime) -> None:
    """One sensor that read its place every five minutes up to now, and nothing else there."""
    place = conn.execute("SELECT min(id) FROM place").fetchone()[0]
    end, step = int(now.timestamp()), 300
    conn.execute("BEGIN")
    conn.execute("DELETE FROM reading")
    conn.execute("DELETE FROM heard")
    rows = ((place, end - step * n, 1, 3.0 + n % 7 / 7, 75.0 + n % 11 / 3) for n in range(count))
    conn.executemany("INSERT INTO reading VALUES (?, ?, ?, ?, ?, NULL)", rows)
    conn.execute("INSERT INTO heard VALUES (?, 1, ?, NULL, NULL)", (place, end))
    conn.execute("COMMIT")


def measure(folder: str, *, quick: bool = False) -> list[Figure]:
    """Every figure without a screen; quick: without 5,000 lots and with fewer readings."""
    gc.set_threshold(OBJECTS_BEFORE_COLLECTING)  # as in the program
    files = {}
    for lots in (50, 500) if quick else (50, 500, 5000):
        files[lots] = os.path.join(folder, f"rack{lots}.db")
        build_apart(files[lots], lots, 60)
    found = queries(files) + forecasts(files[50])
    return found + readings(folder, files[50], 100_000 if quick else 1_000_000)


def main() -> int:
    """Measure and tell."""
    with tempfile.TemporaryDirectory() as folder:
        return tell(measure(folder, quick="--quick" in sys.argv))


if __name__ == "__main__":
    sys.exit(main())
