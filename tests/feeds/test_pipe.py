"""A pipe of lines into the file."""

import io
import sqlite3
from datetime import UTC, datetime, timedelta

import pytest

from curedash.feeds.arrival import Arrivals
from curedash.feeds.payload import Clock, Fields
from curedash.feeds.pipe import Pipe, Tally, chunks_of_lines
from curedash.services.places import places, sensors
from curedash.services.places.log_air import AirLog
from curedash.store import places as rows
from curedash.store.work import By

START = datetime(2026, 11, 20, tzinfo=UTC)


class Dripping:
    """Bytes that arrive in pieces."""

    def __init__(self, *pieces: bytes) -> None:
        self.pieces = list(pieces)

    def read1(self, size: int = -1, /) -> bytes:
        return self.pieces.pop(0) if self.pieces else b""


def piped(conn: sqlite3.Connection, by: By, now: datetime, source) -> tuple[Tally, list[str], list]:
    place = places.find_place(conn, "Cellar") or places.add_place(conn, by, "Cellar")
    sensor = sensors.ensure_sensor(conn, by, place, "pipe", live=False)
    said: list[str] = []
    pipe = Pipe(
        AirLog(conn), place.id, lambda: sensor.id, Fields(), Clock(UTC), lambda: now, said.append
    )
    tally = pipe.run(source)
    return tally, said, rows.readings(conn, place.id, 0)


def lines(count: int, every_s: int = 60) -> bytes:
    return b"".join(
        (
            f"{(START + timedelta(seconds=n * every_s)).isoformat()},"
            f"{4 + n % 7 / 10},{70 + n % 5}\n"
        ).encode()
        for n in range(count)
    )


def test_every_line_is_kept_whatever_the_pieces(conn, by, now) -> None:
    text = lines(200)
    pieces = [text[n : n + 37] for n in range(0, len(text), 37)]
    tally, said, kept = piped(conn, by, now, Dripping(*pieces))
    assert (tally.stored, tally.unreadable, said) == (200, 0, [])
    assert [r.at for r in kept] == [int(START.timestamp()) + 60 * n for n in range(200)]
    again, _, kept = piped(conn, by, now, io.BytesIO(text))
    assert again.stored == 200
    assert len(kept) == 200


def test_heads_remarks_and_blank_lines_are_no_trouble(conn, by, now) -> None:
    text = b"time,temperature,humidity\n\n# from the logger\n2026-11-20T07:30,3.5,78"
    tally, said, kept = piped(conn, by, now, io.BytesIO(text))
    assert (tally.stored, tally.unreadable, said) == (1, 0, [])
    assert (kept[0].temp_c, kept[0].rh_pct) == (3.5, 78)


def test_rubbish_is_counted_and_quoted_a_few_times(conn, by, now) -> None:
    rubbish = b"\xff\xfe\x00\n" + b"no\n" * 50 + b"2026-11-20T07:30,3.5,78\n" + b"z" * 300_000
    tally, said, kept = piped(conn, by, now, io.BytesIO(rubbish))
    assert (tally.stored, tally.unreadable, len(said)) == (1, 52, 3)
    assert len(kept) == 1


def test_a_line_without_end_does_not_grow() -> None:
    endless = Dripping(*[b"9" * 60_000] * 50)
    assert [len(line) for chunk in chunks_of_lines(endless) for line in chunk] == [4097]


def test_lines_without_a_time_are_taken_as_they_come(conn, by, now) -> None:
    tally, _, kept = piped(conn, by, now, Dripping(b"3.5 78\n3.6 78\n"))
    assert tally.same_second == 1
    assert [(r.at, r.temp_c) for r in kept] == [(int(now.timestamp()), 3.6)]


def test_impossible_values_are_kept_as_no_weather(conn, by, now) -> None:
    text = b"2026-11-20T07:30,85,70\n2026-11-20T07:31,nan,70\n2026-11-20T07:32,4,0\n"
    tally, _, kept = piped(conn, by, now, io.BytesIO(text + b"2026-11-20T07:33,4,71\n"))
    assert tally.marked == {"not-a-number": 1, "power-on": 1, "zero-humidity": 1}
    assert [r.bad for r in kept] == ["power-on", "not-a-number", "zero-humidity", None]
    good = rows.good_readings(conn, 1, 0, 1 << 40)
    assert [(r.temp_c, r.rh_pct) for r in good] == [(4.0, None), (4.0, 71.0)]


def test_stamps_of_a_clock_that_cannot_be_right_are_unsure(conn, by, now) -> None:
    places.add_place(conn, by, "Cellar")
    long_ago = now - timedelta(days=300)
    _, _, kept = piped(conn, by, long_ago, Dripping(b"3.5 78\n2025-11-20T07:30,4,71\n"))
    assert sorted((r.at, r.bad) for r in kept if r.bad) == [
        (int(long_ago.timestamp()), "time-unsure")
    ]


# ── messages without a time, kept by the broker while nobody listened ─────────────────────


def test_a_burst_after_connecting_goes_on_in_the_rhythm_of_the_sensor() -> None:
    arrivals, steady = Arrivals(), 0.0
    arrivals.connected(steady)
    for n in range(6):
        steady = 100.0 + 300 * n
        assert arrivals.time_of("t", 1000 + 300 * n, steady) == 1000 + 300 * n
    arrivals.connected(steady + 3600)
    burst = [arrivals.time_of("t", 2500 + 3600, steady + 3600 + n / 100) for n in range(12)]
    assert burst == [2500 + 300 * n for n in range(1, 13)]
    assert arrivals.time_of("t", 6400, steady + 3900) == 6400


def test_a_burst_never_runs_ahead_of_the_clock() -> None:
    arrivals = Arrivals()
    arrivals.seed("t", [0, 300, 600])
    arrivals.connected(0.0)
    assert [arrivals.time_of("t", 1000, n / 100) for n in range(4)] == [900, 1000, 1000, 1000]


@pytest.mark.parametrize("known", [[], [50.0]])
def test_a_topic_without_a_rhythm_is_stamped_on_arrival(known: list[float]) -> None:
    arrivals = Arrivals()
    arrivals.seed("t", known)
    arrivals.connected(0.0)
    assert arrivals.time_of("t", 1000, 0.1) == 1000
