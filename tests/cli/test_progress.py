"""Work longer than a second says so on one line, in a terminal only, and takes the line away."""

import io
import os
import pty
import re
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from time import sleep

import pytest

from curedash.cli import progress
from curedash.services.file.demo import build_demo
from tests.cli.conftest import Done

Shell = Callable[..., Done]
AT_ONCE = (
    "import sys; from curedash.cli import progress; progress.AFTER_S = progress.EVERY_S = 0.0;"
    "from curedash.__main__ import main; sys.exit(main())"
)


class Terminal(io.StringIO):
    """A stream that somebody looks at."""

    def isatty(self) -> bool:
        return True


def watch(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Somebody looks from here on, and does not wait a second."""
    seen = Terminal()
    monkeypatch.setattr(sys, "stderr", seen)
    monkeypatch.setattr(progress, "AFTER_S", 0.05)
    return seen


def last_line(text: str) -> str:
    """What is left on the line after every return and wipe."""
    return text.rpartition("\n")[2].rpartition("\r")[2].replace("\x1b[K", "")


def in_a_terminal(*words: str) -> str:
    """What a command shows on stderr when that is a terminal, without waiting a second."""
    ours, theirs = pty.openpty()
    running = subprocess.Popen(
        [sys.executable, "-c", AT_ONCE, *words], stdout=subprocess.DEVNULL, stderr=theirs
    )
    os.close(theirs)
    seen = b""
    try:
        while piece := os.read(ours, 4096):
            seen += piece
    except OSError:  # the other end is closed
        pass
    os.close(ours)
    assert running.wait() == 0
    return seen.decode()


def test_building_a_demo_counts_in_place(tmp_path: Path) -> None:
    seen = in_a_terminal("demo", "--build", str(tmp_path / "d.db"))
    assert re.search(r"\rdemo \[#+\.*\] \d+ of \d+ steps", seen)
    assert seen.count("\r\n") == 2
    assert "\r\x1b[K13 open lots" in seen


def test_nobody_looks_nothing_moves(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "curedash", "demo", "--build", str(tmp_path / "d.db")],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr.splitlines() == [f"building the demo in {tmp_path}/d.db …", "13 open lots"]


def test_the_steps_of_a_demo_come_to_their_sum(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    build_demo(
        str(tmp_path / "d.db"),
        datetime(2026, 11, 25, 18, tzinfo=UTC),
        tell=lambda done, of: told.append((done, of)),
    )
    counts = [done for done, _ in told]
    assert counts == sorted(counts)
    assert {of for _, of in told} == {counts[-1]}


def test_what_cannot_be_counted_tells_its_seconds_and_goes(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = watch(monkeypatch)
    work = progress.Working("label")
    sleep(0.3)
    work.end()
    assert "label … 0 s" in terminal.getvalue()
    assert last_line(terminal.getvalue()) == ""


def test_quick_work_says_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = watch(monkeypatch)
    progress.Working("label").end()
    progress.Progress("export", 3)(1)
    assert terminal.getvalue() == ""


@pytest.mark.parametrize("words", [["doctor"], ["label"], ["calendar", "--json"]])
def test_only_what_may_take_long_says_so(
    hanging: Shell, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    begun: list[str] = []
    monkeypatch.setattr("curedash.cli.context.Context.works", lambda self, what: begun.append(what))
    hanging(*words)
    hanging("lots")
    assert begun == [words[0]]
