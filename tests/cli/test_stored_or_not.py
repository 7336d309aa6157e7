"""Exit code and words say whether it was stored, whatever becomes of the answer."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from tests.endurance.household import build

NOW = "2026-11-25T18:00Z"
TELLS = "It is saved, but a later step failed: Not everything could be printed: "
#: a command that changes something, and how often that is in the file
CHANGES = {
    "weigh A1 900 --yes": "SELECT count(*) FROM weigh_in WHERE gross_g = 900",
    "weigh A1 900 --yes --json": "SELECT count(*) FROM weigh_in WHERE gross_g = 900",
    "note A1 hay": "SELECT count(*) FROM event WHERE kind = 'note'",
    "place add Shed": "SELECT count(*) FROM place WHERE name = 'Shed'",
    "air add Cellar 12C 75%": "SELECT count(*) FROM place WHERE watch <> 'not-watched'",
    "hold A1 --note away": "SELECT count(*) FROM lot WHERE stage = 'on-hold'",
}


@pytest.fixture
def house(tmp_path: Path) -> str:
    build(f"{tmp_path}/h.db")
    return f"{tmp_path}/h.db"


def shell(line: str, path: str) -> subprocess.CompletedProcess[str]:
    """The program with its streams as the shell gives them."""
    run = f"{sys.executable} -m curedash --db {path} --now {NOW} {line}"
    return subprocess.run(
        ["sh", "-c", run],
        capture_output=True,
        text=True,
        check=False,
        cwd=os.path.dirname(path),
        timeout=60,
        env={**os.environ, "PYTHONPATH": os.getcwd()},
    )


def ask(path: str, sql: str) -> int:
    conn = sqlite3.connect(path)
    found = conn.execute(sql).fetchone()[0]
    conn.close()
    return int(found)


@pytest.mark.parametrize("words", CHANGES)
@pytest.mark.parametrize("where", ["> /dev/full", ">&-"])
def test_what_cannot_be_printed_is_stored_once_and_said(house: str, words: str, where: str) -> None:
    before = ask(house, CHANGES[words])
    done = shell(f"{words} {where}", house)
    assert (done.returncode, done.stderr.splitlines()[-1][: len(TELLS)]) == (73, TELLS)
    assert ask(house, CHANGES[words]) == before + 1
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("words", ["lots", "lots --json", "export", "check", "history", "--help"])
@pytest.mark.parametrize("where", ["> /dev/full", ">&-"])
def test_a_list_that_cannot_be_printed_is_a_file_trouble(house: str, words, where) -> None:
    done = shell(f"{words} {where}", house)
    assert (done.returncode, done.stderr.count("\n")) == (74, 1)
    assert done.stderr.startswith("Not everything could be printed: ")


@pytest.mark.parametrize("where", ["2> /dev/full", "2>&-", "<&-", "<&- 2>&-"])
def test_talk_that_cannot_be_written_changes_nothing(house: str, where: str) -> None:
    done = shell(f"weigh A1 900 --yes {where}", house)
    assert done.returncode == 0
    assert ask(house, CHANGES["weigh A1 900 --yes"]) == 1
    assert shell(f"weigh Z9 900 {where}", house).returncode == 66


@pytest.mark.parametrize("where", [">&-", "2>&-", "<&-", "<&- >&- 2>&-"])
def test_a_closed_stream_is_never_replaced_by_the_household_file(house: str, where: str) -> None:
    """POSIX open takes the lowest free number: text for a stream must not go into the file."""
    shell(f"note A1 hay {where}", house)
    conn = sqlite3.connect(house)
    assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    conn.close()
    assert ask(house, CHANGES["note A1 hay"]) == 1


@pytest.mark.parametrize("where", ["> /dev/full", ">&-"])
def test_a_copy_that_was_made_is_not_called_a_failure(house: str, where: str) -> None:
    done = shell(f"backup copy.db {where}", house)
    assert done.returncode == 73
    assert os.path.exists(f"{os.path.dirname(house)}/copy.db")


def test_what_follows_from_a_weigh_in_fails_after_it_is_stored(house: str, monkeypatch) -> None:
    """A file that is full just then: the weigh-in is in it, the pull window is not."""
    from curedash.__main__ import main
    from curedash.domain.errors import FileTrouble
    from curedash.services.drying import forecasts

    def full(*_given, **_more):
        raise FileTrouble("The disk is full; nothing was saved. Free some space and try again.")

    monkeypatch.setattr(forecasts, "refresh", full)
    assert main(["--db", house, "--now", NOW, "weigh", "A1", "900", "--yes"]) == 73
    assert ask(house, CHANGES["weigh A1 900 --yes"]) == 1


def test_an_option_is_never_taken_for_a_file(house: str) -> None:
    for words in ("--db --yes lots", "--db -x place add Shed", "--now --json lots"):
        done = shell(words, house)
        assert done.returncode == 64, words
        assert "takes a value" in done.stderr
    assert sorted(os.listdir(os.path.dirname(house))) == ["h.db"]


def test_a_whole_export_is_not_tried_out(house: str) -> None:
    assert shell("export e.json", house).returncode == 0
    done = shell("--db new.db import e.json --dry-run --json", house)
    assert (done.returncode, done.stdout) == (64, "")
    assert "nothing was saved" in done.stderr
    assert not os.path.exists(f"{os.path.dirname(house)}/new.db")


def test_a_refused_copy_leaves_the_number_of_copies_as_it_was(house: str) -> None:
    assert shell("backup b.db", house).returncode == 0
    before = ask(house, "SELECT count(*) FROM change")
    assert shell("backup b.db --keep 1", house).returncode == 65
    assert shell("backup c.db --keep 0", house).returncode == 65
    assert not os.path.exists(f"{os.path.dirname(house)}/c.db")
    assert ask(house, "SELECT count(*) FROM change") == before


def test_readings_nobody_can_read_leave_no_sensor(house: str) -> None:
    before = ask(house, "SELECT count(*) FROM change")
    done = shell("air read Cellar </etc/hostname", house)
    assert done.returncode == 65
    assert ask(house, "SELECT count(*) FROM sensor") == 0
    assert ask(house, "SELECT count(*) FROM change") == before
