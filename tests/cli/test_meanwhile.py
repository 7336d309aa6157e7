"""What another program changes between reading and saving is said, and nothing is stored."""

import importlib
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime

import pytest

from curedash.store import work
from tests.demo import copy_demo

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
    copy_demo(db_path, datetime(2026, 11, 25, 18, tzinfo=UTC))
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


#: what this one is about to save, and what another program does to the same before it is saved
CROSSED = [
    (("misdose", "G1", "--given", "salt=44g"), ("misdose", "G1", "--given", "curing-salt=7g")),
    (("finish", "D1", "1091 g", "--yes"), ("correct", "D1", "--tare", "35 g")),
    (("stage", "D1", "equalising", "--yes"), ("correct", "D1", "--tare", "35 g")),
    (("hold", "D1", "--yes", "--note", "away"), ("weigh", "D1", "1080 g", "--yes")),
    (("move", "D1", "Pantry fridge", "--yes"), ("move", "D1", "Landing fridge", "--yes")),
    (("place", "set", "Cellar", "--temp", "8..13C"), ("place", "set", "Cellar", "--rh", "71..81%")),
    (("style", "set", "bresaola", "--loss", "33..38"), ("style", "set", "bresaola", "--salt", "3")),
    (("style", "remove", "mine"), ("style", "set", "mine", "--salt", "3")),
    (("settings", "set", "keep-days", "90"), ("settings", "set", "keep-days", "80")),
    (("settings", "set", "zone", "Paris"), ("settings", "set", "zone", "Vienna")),
    (("settings", "scale", "fine 0.1 g 500 g"), ("settings", "scale", "fine 0.2 g 500 g")),
    (("settings", "forget-scale", "fine"), ("settings", "scale", "fine 0.2 g 500 g")),
    (("rules", "set", "sensor-silent", "6"), ("rules", "set", "sensor-silent", "9")),
    (("rules", "reset", "sensor-silent"), ("rules", "set", "sensor-silent", "9")),
    (("void", "D1"), ("weigh", "D1", "1080 g", "--yes")),
    (("divide", "D1", "400 g", "300 g", "--yes"), ("correct", "D1", "--tare", "35 g")),
    (("discard", "D1", "slime"), ("weigh", "D1", "1080 g", "--yes")),
    (("opened", "D1", "even", "equalise", "--yes"), ("weigh", "D1", "1080 g", "--yes")),
    (("freeze", "L1", "--warmest", "-18C"), ("freeze", "L1", "--warmest", "-20C")),
    (
        (
            *("batch", "add", "--name", "Eye", "--species", "beef", "--style", "bresaola"),
            *("--green", "1134 g", "--thickness", "80mm", "--scale", "0.1", "--rules", "us"),
        ),
        ("style", "set", "bresaola", "--salt", "3"),
    ),
    (
        (
            *("batch", "add", "--style", "bresaola", "--name", "Eye", "--stage", "drying"),
            *("--since", "2026-11-10", "--weight", "900 g", "--place", "Cellar"),
        ),
        ("style", "set", "bresaola", "--loss", "40..45"),
    ),
    (("undo", "{last}"), ("style", "set", "mine", "--salt", "3")),
]


@pytest.mark.parametrize(
    ("mine", "theirs"), CROSSED, ids=lambda words: "-".join(words[:3]).replace(" ", "-")
)
def test_what_another_program_changes_before_it_is_saved_stores_nothing(
    seeded, db_path, monkeypatch, mine, theirs
) -> None:
    """A process of its own changes the same row or lot after this one has read the file."""
    assert seeded("settings", "scale", "fine 0.5 g 500 g").code == 0
    assert seeded("rules", "set", "sensor-silent", "5").code == 0
    assert seeded("freeze", "L1", "--from", "2026-11-20", "--warmest", "-17C").code == 0
    assert seeded("style", "copy", "bresaola", "mine").code == 0
    begin = work._begin
    before = newest(db_path)
    mine = [word.format(last=before) for word in mine]

    def after_another(conn) -> None:
        monkeypatch.setattr(work, "_begin", begin)
        ended = subprocess.run(
            [sys.executable, "-m", "curedash", *theirs], env=os.environ, capture_output=True
        )
        assert ended.returncode == 0, ended.stderr
        begin(conn)

    monkeypatch.setattr(work, "_begin", after_another)
    done = seeded(*mine)
    assert done.code == 65, (done.out, done.err)
    assert len(done.err.strip().splitlines()) == 1
    assert "changed it meanwhile: " in done.err or "changed it since" in done.err
    assert newest(db_path) == before + 1
    assert seeded(*mine).code == 0 or mine[0] == "undo"  # given again it rests on what is there


def newest(db_path: str) -> int:
    with closing(sqlite3.connect(db_path)) as conn:
        return int(conn.execute("SELECT max(id) FROM change").fetchone()[0])
