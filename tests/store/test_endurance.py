"""Quick versions of the endurance scripts: the same checks, a few times instead of thousands."""

import asyncio
import os
import shutil
import sys
from pathlib import Path

import pytest

from tests.endurance import (
    long_bad_files,
    long_entries,
    long_full_disk,
    long_injection,
    long_kills,
    long_limits,
    long_monkey,
    long_terminal,
    long_verb_kills,
    long_verbs,
    long_words,
    long_writers,
)


def test_what_was_acknowledged_survives_a_kill(tmp_path: Path) -> None:
    figures = long_kills.run(12, str(tmp_path))
    assert figures["acknowledged"] > 0
    assert (figures["missing"], figures["damaged"]) == (0, 0)


def test_a_killed_verb_was_saved_whole_or_not_at_all(tmp_path: Path) -> None:
    figures = long_verb_kills.run(26, str(tmp_path))
    assert figures["killed"] + figures["acknowledged"] == 26
    assert (figures["half"], figures["damaged"]) == (0, 0)


def test_four_processes_lose_nothing(tmp_path: Path) -> None:
    figures = long_writers.run(40, str(tmp_path))
    assert figures == {
        "weigh_ins": 160,
        "in_log": 160,
        "out_of_order": 0,
        "readings": 40,
        "damaged": 0,
        "errors": 0,
    }


def test_two_programs_at_once_leave_what_two_in_turn_leave(tmp_path: Path) -> None:
    chosen = tuple(
        verb
        for verb in long_verbs.VERBS
        if verb[0]
        in ("correct", "divide", "finish", "import", "move", "restore", "snooze", "stage")
        or verb[0] in ("swap", "turn", "undo", "weigh")
    )
    figures = long_verbs.run(1, str(tmp_path), chosen)
    assert (figures["verbs"], figures["faults"]) == (len(chosen), 0)


def test_a_quota_that_is_reached_loses_nothing(tmp_path: Path) -> None:
    figures = long_full_disk.run(1, str(tmp_path), mount=False)
    assert figures["refused"] == figures["after_room"] == 1
    assert (figures["missing"], figures["damaged"]) == (0, 0)


def test_damaged_files_open_or_are_refused_and_stay(tmp_path: Path) -> None:
    found = long_bad_files.run(25, str(tmp_path), seed=7)
    assert found["files"] == found["opened"] + found["refused"] == 25
    for name in ("refused_and_changed", "more_than_a_sentence", "undocumented", "traces"):
        assert found[name] == 0, name


def test_no_entry_is_a_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", sys.stdin)  # put back afterwards
    found = long_entries.run(300, str(tmp_path))
    assert found["accepted"] > 0
    for name in (
        "faults",
        "not finite",
        "not finite in the file",
        "other than the echo",
        "more than a sentence",
        "sent to the terminal",
    ):
        assert found[name] == 0, name


@pytest.mark.parametrize(
    "way", [long_terminal.closed_window, long_terminal.nohup, long_terminal.interrupted]
)
def test_the_terminal_goes_away(way) -> None:
    end = long_terminal.run(way)
    assert end.good, end


@pytest.mark.external("tmux")
def test_its_tmux_is_killed() -> None:
    assert shutil.which("tmux")
    end = long_terminal.run(long_terminal.tmux_killed)
    assert end.good, end


def test_a_larger_household_opens(tmp_path: Path) -> None:
    path = f"{tmp_path}/large.db"
    long_limits.build(path, 40, 2000)
    assert os.path.getsize(path) > 500_000
    figures = asyncio.run(long_limits.first_screen(path))
    assert figures["rack_s"] < 20


@pytest.mark.parametrize("of_bytes", [False, True])
def test_no_key_and_no_byte_ends_the_dashboard(of_bytes: bool) -> None:
    found = long_monkey.run(120, 7, of_bytes=of_bytes, sends=60, rounds=1)
    assert found["rounds"] == 1
    assert found["wrong"] == 0


def test_no_words_of_the_shell_are_a_fault() -> None:
    found = long_words.run(120, 7, most=250)
    assert found["calls"] == 250
    assert found["wrong"] == 0


@pytest.mark.external("gcc")
def test_what_is_announced_is_what_reopens_whatever_call_fails() -> None:
    """Some of the calls of each command; the long form takes every one of them."""
    assert long_injection.start("--about", "9").returncode == 0


@pytest.mark.external("gcc")
def test_a_disk_that_fails_in_the_midst_of_saving_is_not_called_not_stored() -> None:
    """The pages of a commit may be whole in the log although the disk would not say so."""
    assert long_injection.start("--about", "40", "save over a log").returncode == 0
