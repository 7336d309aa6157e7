"""What another program changes between reading and saving is said, and nothing is stored."""

import importlib
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime

import pytest

from curedash.services.file.demo import build_demo

VERBS = [
    ("weighing.correct", "correct_weigh_in", ("correct", "D1", "1100 g", "--yes")),
    ("weighing.correct", "correct_start", ("correct", "D1", "--start", "1600 g", "--yes")),
    ("weighing.correct", "correct_green", ("correct", "D1", "--green", "1700 g", "--yes")),
    ("weighing.correct", "put_tare_right", ("correct", "D1", "--tare", "35 g")),
    (
        "weighing.rebase",
        "rebase",
        ("rebase", "D1", "end tasted", "--before", "1090 g", "--after", "1060 g", "--yes"),
    ),
    ("weighing.swap", "swap", ("swap", "D1", "D3")),
    ("drying.opened", "opened", ("opened", "D1", "even", "equalise", "--yes")),
]


@pytest.fixture
def seeded(shell, db_path):
    """The demo, and the shell on it."""
    build_demo(db_path, datetime(2026, 11, 25, 18, tzinfo=UTC))
    for lot in ("D1", "D3"):
        assert shell("weigh", lot, "1091 g", "--yes").code == 0
    return shell


@pytest.mark.parametrize(("module", "service", "words"), VERBS, ids=lambda part: part[0])
def test_the_same_done_meanwhile_by_another_program_counts_once(
    seeded, db_path, monkeypatch, module, service, words
) -> None:
    """The other one is a process of its own that saves after this one has read."""
    room = importlib.import_module(f"curedash.services.{module}")
    with closing(sqlite3.connect(db_path)) as conn:
        (before,) = conn.execute("SELECT count(*) FROM change").fetchone()
    known = getattr(room, service)

    def after_another(*given, **named):
        monkeypatch.setattr(room, service, known)
        theirs = [word.replace("1700 g", "1690 g") for word in words]  # the same is no change
        ended = subprocess.run(
            [sys.executable, "-m", "curedash", *theirs], env=os.environ, capture_output=True
        )
        assert ended.returncode == 0, ended.stderr
        return known(*given, **named)

    monkeypatch.setattr(room, service, after_another)
    done = seeded(*words)
    assert done.code == 65
    corrected_by_id = "That weigh-in was corrected already; it is 1100 g now."
    assert ("changed it meanwhile: " in done.err) or corrected_by_id in done.err
    assert len(done.err.strip().splitlines()) == 1
    with closing(sqlite3.connect(db_path)) as conn:
        (lines,) = conn.execute("SELECT count(*) FROM change").fetchone()
    assert lines == before + 1
