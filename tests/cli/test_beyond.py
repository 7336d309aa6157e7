"""Numbers, dates and files beyond all measure: one sentence, nothing saved, and soon."""

import json
import os
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from curedash.__main__ import main
from curedash.domain.errors import FileTrouble, NotFound, Refused
from curedash.store.open import open_db
from curedash.store.outside import read_bytes, read_text
from tests.endurance.household import build

NOW = "2026-11-25T18:00Z"
HUGE = "9" * 20


@pytest.fixture
def house(tmp_path, monkeypatch):
    build(f"{tmp_path}/h.db")
    monkeypatch.chdir(tmp_path)

    def run(*words: str) -> int:
        return main(["--db", "h.db", "--now", NOW, *words])

    return run


def changes() -> int:
    conn = open_db("h.db")
    count = conn.execute("SELECT count(*) FROM change").fetchone()[0]
    conn.close()
    return count


@pytest.mark.parametrize(
    "words",
    [
        ["undo", HUGE],
        ["undo", "-" + HUGE],
        ["void", "A1", "--weigh-in", HUGE],
        ["correct", "A1", "900", "--weigh-in", HUGE],
        ["history", "--change", HUGE],
        ["history", "--limit", HUGE],
        ["handover", "--days", HUGE],
        ["calendar", "--days", HUGE],
        ["away", "remove", HUGE],
        ["backup", "--keep", HUGE],
        ["label", "--copies", HUGE],
        ["air", "thin", "--older-than", HUGE + "d"],
        ["book", "--liked", HUGE],
        ["style", "copy", "bresaola", "mine", "--planned-days", "1e400"],
        ["style", "copy", "bresaola", "mine", "--planned-days", "nan"],
        ["style", "copy", "bresaola", "mine", "--weigh-every", "inf"],
        ["weigh", "A1", "1e400"],
        ["weigh", "A1", HUGE * 9],
        ["weigh", "A1", "900", "--at", "9" * 30],
        ["rebase", "A1", "trimmed", "--count", HUGE],
        ["weigh", "A1", "900", "--at", "0001-01-01"],
        ["weigh", "A1", "900", "--at", "9999-12-31"],
        ["weigh", "A1", "900", "--at", "0001-01-01T00:00+14:00"],
        ["plan", "bresaola", "--ready-by", "9999-12-31", "--thickness", "70mm"],
        ["away", "add", "0001-01-01", "9999-12-31"],
    ],
)
def test_numbers_and_dates_beyond_all_measure(house, capsys, words) -> None:
    before, start = changes(), time.monotonic()
    code = house(*words)
    said = capsys.readouterr()
    assert code in (64, 65, 66), (code, said)
    assert said.err.count("\n") == 1
    assert changes() == before
    assert time.monotonic() - start < 3.0


@pytest.mark.parametrize(
    "now", ["0001-01-01T00:00+14:00", "9999-12-31T23:59-12:00", "9000-01-01", "0099-01-01"]
)
def test_a_present_moment_outside_our_time_is_refused_at_once(house, capsys, now) -> None:
    start = time.monotonic()
    assert main(["--db", "h.db", "--now", now, "lots"]) == 64
    assert "--now takes a year from 1990 to 2199" in capsys.readouterr().err
    assert time.monotonic() - start < 2.0


DEEP = {"a.toml": "a = " + "[" * 50_000 + "]" * 50_000, "b.json": "[" * 200_000}


@pytest.mark.parametrize(
    "words",
    [
        ["style", "add", "a.toml"],
        ["import", "b.json"],
        ["forecast", "b.json"],
        ["forecast", "a.toml"],
    ],
)
def test_files_nested_without_end(house, capsys, words) -> None:
    for name, text in DEEP.items():
        with open(name, "w") as file:
            file.write(text)
    before = changes()
    assert house(*words) in (64, 65, 66, 74)
    assert capsys.readouterr().err.count("\n") == 1
    assert changes() == before


def test_a_view_nested_without_end_is_said_and_the_usual_one_stands(house, capsys) -> None:
    from curedash.services.household.preferences import view_path

    os.makedirs(os.path.dirname(view_path()))
    with open(view_path(), "w") as file:
        file.write(DEEP["a.toml"][:90_000])
    assert house("lots") == 0
    assert "the default view is used" in capsys.readouterr().err


@pytest.mark.parametrize("path", ["/dev/full", "/dev/zero", "/dev/urandom"])
@pytest.mark.parametrize("words", [["style", "add"], ["import"]])
def test_a_file_that_never_ends_is_refused(house, capsys, path, words) -> None:
    start = time.monotonic()
    assert house(*words, path) in (64, 65)
    assert "has no end" in capsys.readouterr().err
    assert time.monotonic() - start < 2.0


def test_files_of_others_are_read_so_far_and_no_further(tmp_path) -> None:
    path = f"{tmp_path}/x"
    with open(path, "w") as file:
        file.write("﻿12345")
    assert read_text(path, 8) == "12345"
    with pytest.raises(Refused, match="longer than"):
        read_bytes(path, 7)
    with pytest.raises(Refused, match="folder"):
        read_bytes(str(tmp_path), 7)
    with pytest.raises(NotFound):
        read_bytes(f"{tmp_path}/y", 7)
    with pytest.raises(FileTrouble):
        read_bytes("a\0b", 7)
    with open(path, "wb") as file:
        file.write(b"\xff\xfe")
    with pytest.raises(FileTrouble, match="UTF-8"):
        read_text(path, 7)


def test_a_style_may_come_from_a_pipe(house) -> None:
    assert house("style", "copy", "bresaola", "mine") == 0
    shown = subprocess.run(
        [sys.executable, "-m", "curedash", "--db", "h.db", "style", "show", "mine"],
        capture_output=True,
        text=True,
        check=True,
        env={
            **os.environ,
            "PYTHONPATH": os.path.dirname(
                os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
            ),
        },
    )
    assert shown.stdout
    read, write = os.pipe()
    os.write(write, b"name = ")
    os.close(write)
    assert house("style", "add", f"/dev/fd/{read}") == 64
    os.close(read)


def test_a_sheet_of_five_thousand_lines_takes_seconds(house, capsys) -> None:
    """Twice the lines take twice the time, not four times."""
    took = {}
    for count in (400, 1600):
        for name in ("s.db", "s.db-wal", "s.db-shm"):
            if os.path.exists(name):
                os.remove(name)
        build("s.db")
        began = datetime(2026, 10, 27)
        with open("s.csv", "w") as file:
            file.write("date,lot,weight\n")
            for n in range(count):
                at = began + timedelta(minutes=5 * n)
                file.write(f"{at.isoformat()},A1,{1000 - n * 0.05:.2f} g\n")
        start = time.process_time()
        assert main(["--db", "s.db", "--now", NOW, "import", "s.csv", "--yes"]) == 0
        took[count] = time.process_time() - start
    assert took[1600] < 4 * 2.0 * took[400], took


def test_readings_of_the_double_hour_survive_a_restart_within_it(house, monkeypatch) -> None:
    """Vienna, 25 Oct 2026: 02:00–03:00 comes twice (IANA tz database)."""
    assert house("settings", "set", "zone", "Europe/Vienna") == 0
    assert house("place", "add", "Kammer") == 0
    zone, lines = ZoneInfo("Europe/Vienna"), []
    first = datetime(2026, 10, 24, 23, 0, tzinfo=UTC)
    for minute in range(180):
        local = (first + timedelta(minutes=minute)).astimezone(zone).replace(tzinfo=None)
        lines.append(f"{local.isoformat()},{12 + minute / 100:.2f},75\n")
    for part in (lines[:150], lines[150:]):
        with open("part.csv", "w") as file:
            file.writelines(part)
        with open("part.csv", "rb") as source:
            monkeypatch.setattr("sys.stdin", type("Stdin", (), {"buffer": source}))
            assert house("air", "read", "Kammer") == 0
    conn = open_db("h.db")
    rows = [row[0] for row in conn.execute("SELECT at FROM reading ORDER BY at")]
    conn.close()
    start = int(first.timestamp())
    assert rows == [start + 60 * minute for minute in range(180)], json.dumps(len(rows))


@pytest.mark.parametrize("path", ["/dev/zero", "/dev/full", "/"])
def test_a_password_file_that_never_ends_is_refused(path) -> None:
    from curedash.feeds.broker import Broker, _password

    with pytest.raises(Refused, match="cannot be read"):
        _password(Broker("localhost", 1883, "us", password_file=path))


@pytest.mark.parametrize(
    "words",
    [
        ["check", "--metrics", "a\0b"],
        ["--db", "a\0b", "lots"],
        ["--db", "\ud800", "lots"],
        ["note", "A1", "a\0b"],
        ["style", "add", "\ud800"],
    ],
)
def test_words_that_are_no_text_are_refused(house, capsys, words) -> None:
    before = changes()
    assert house(*words) == 64
    assert "is not UTF-8 text" in capsys.readouterr().err
    assert changes() == before
