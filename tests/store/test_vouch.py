"""What the doctor holds against what: flips are seen, and no healthy household is suspected."""

import os
import re
import sqlite3
from contextlib import closing
from datetime import UTC, timedelta
from pathlib import Path

import pytest

from curedash.services.file import backup
from curedash.services.file.demo import build_demo
from curedash.services.file.doctor import examine
from curedash.services.file.restore import restore
from curedash.services.household.note import add_note
from curedash.services.household.undo import redo_last, undo_last
from curedash.services.places import roll_up
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import pages
from curedash.store.open import open_db
from tests.build import NOW
from tests.data.make_released import released, unpacked
from tests.endurance.household import by
from tests.endurance.long_flips import built, run


def found(path: str) -> dict[str, str]:
    """Every finding that is not a plain yes, but for the copies."""
    return {
        f.what: f.found
        for f in examine(path, NOW, thorough=True)
        if f.level != "no-finding" and f.what != "copies"
    }


def said(path: str, what: str) -> str:
    return next(f.found for f in examine(path, NOW, thorough=True) if f.what == what)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The demo's household with its days of air boiled down and a copy of today."""
    return built(str(tmp_path_factory.mktemp("demo")))


def test_nine_in_ten_flips_that_change_data_are_seen(demo: str) -> None:
    """The endurance script takes 101; 95 of them are asked for."""
    figures, missed = run(30, demo, seed=3)
    assert figures["seen"] >= 28, missed


def test_a_healthy_household_is_not_suspected(demo: str) -> None:
    assert found(demo) == {}
    assert "and with household.db.backup-2026-11-25" in said(demo, "log")


@pytest.mark.parametrize("old", released(), ids=os.path.basename)
def test_a_household_that_grew_up_from_an_older_shape_is_not_suspected(
    old: str, tmp_path: Path
) -> None:
    path = unpacked(old, f"{tmp_path}/old.db")
    open_db(path).close()
    assert "log" not in found(path), found(path)


def test_what_was_undone_redone_and_restored_is_not_suspected(hanging: str) -> None:
    """Behind a restore the log begins to differ from that of the copy before it."""
    with closing(open_db(hanging)) as conn:
        add_note(conn, by(NOW), 1, "A1", "before")
        made = backup.back_up(conn, hanging, None, NOW)
        for number in range(3):
            at = NOW + timedelta(minutes=number)
            seen = preview(lot(conn), f"{900 - number} g", at, UTC)
            weigh(conn, by(at), 1, seen, keep_doubtful=True)
        undo_last(conn, by(NOW + timedelta(minutes=5)))
        redo_last(conn, by(NOW + timedelta(minutes=6)))
        undo_last(conn, by(NOW + timedelta(minutes=7)))
        backup.daily(conn, hanging, NOW)
    assert found(hanging) == {}
    restore(hanging, made, NOW + timedelta(minutes=8))
    with closing(open_db(hanging)) as conn:
        add_note(conn, by(NOW + timedelta(minutes=-1), "another run"), 1, "A1", "after")
        add_note(conn, by(NOW + timedelta(minutes=-1), "another run"), 1, "A1", "and more")
    assert found(hanging) == {}


def test_readings_that_were_thinned_out_are_not_suspected(tmp_path: Path) -> None:
    path = f"{tmp_path}/demo.db"
    build_demo(path, NOW)
    later = NOW + timedelta(days=200)
    with closing(open_db(path)) as conn:
        backup.daily(conn, path, NOW)
        assert roll_up.thin(conn, by(later), 30, later) > 0
    assert "log" not in found(path)
    assert "air" not in found(path)


def test_what_nothing_says_twice_is_counted(tmp_path: Path) -> None:
    path = f"{tmp_path}/demo.db"
    build_demo(path, NOW)
    with closing(open_db(path)) as conn:
        readings = conn.execute("SELECT count(*) FROM reading").fetchone()[0]
        lines = conn.execute("SELECT count(*) FROM change").fetchone()[0]
    assert said(path, "unchecked").startswith(f"{readings} readings, {lines} lines of the log")


def test_the_pages_of_what_is_said_once_are_named(tmp_path: Path) -> None:
    """Bent on a page that is not named, it is found; the driver's dbstat says which is which."""
    path = f"{tmp_path}/household.db"
    build_demo(path, NOW)
    told = said(path, "unchecked")
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
        leaves = [
            row[0]
            for row in conn.execute(
                "SELECT pageno FROM dbstat WHERE name IN ('change', 'reading')"
                " AND pagetype <> 'internal' ORDER BY pageno"
            )
        ]
    assert told.endswith(f"only this file has them ({pages.words(leaves)})")
    with closing(open_db(path)) as conn:
        backup.back_up(conn, path, None, NOW)
        assert "unchecked" not in [one.what for one in examine(path, NOW, thorough=True)]
        add_note(conn, by(NOW), 1, "A1", "a spot")
    told = said(path, "unchecked")
    assert re.fullmatch(
        r"0 readings, 1 lines of the log cannot be compared: only this file .* \(page \d+\)", told
    )


def test_every_page_that_the_driver_finds_damaged_is_named(tmp_path: Path) -> None:
    path = f"{tmp_path}/household.db"
    build_demo(path, NOW)
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("PRAGMA journal_mode = DELETE")
        size = conn.execute("PRAGMA page_size").fetchone()[0]
        bad = [
            row[0]
            for row in conn.execute(
                "SELECT pageno FROM dbstat WHERE name = 'change' AND pagetype = 'leaf'"
                " ORDER BY pageno DESC LIMIT 2"
            )
        ]
    with open(path, "r+b") as file:
        for number in bad:
            file.seek((number - 1) * size)
            file.write(b"\xff")
    inside = said(path, "inside")
    assert inside.endswith(f"({pages.words(sorted(bad))})")


@pytest.mark.parametrize(
    ("bend", "says"),
    [
        ("UPDATE lot SET tare_g = tare_g + 1 WHERE code = 'C1'", "lot "),
        ("UPDATE event SET text = text || 'x' WHERE id = 1", "event 1"),
        ("DELETE FROM dose_line WHERE id = 5", "dose_line 5"),
        ("UPDATE kept_curve SET points = points || ' '", "the stored curve of lot"),
        ("CREATE TRIGGER odd AFTER INSERT ON lot BEGIN SELECT 1; END", "trigger odd"),
        ("UPDATE reading SET temp_c = temp_c + 1e-9 WHERE rowid_of = 1", "the reading of place"),
    ],
)
def test_what_was_bent_is_named(demo: str, tmp_path: Path, bend: str, says: str) -> None:
    path = f"{tmp_path}/household.db"
    for name in os.listdir(os.path.dirname(demo)):
        if name.startswith("household.db") and not name.endswith(("-wal", "-shm")):
            with (
                closing(sqlite3.connect(f"{os.path.dirname(demo)}/{name}")) as source,
                closing(sqlite3.connect(f"{tmp_path}/{name}")) as target,
            ):
                source.backup(target)
    newest = "at = (SELECT max(at) FROM reading) "
    with closing(sqlite3.connect(path)) as conn:
        conn.execute(bend.replace("rowid_of = 1", newest))
        conn.commit()
    assert says in said(path, "log")


def lot(conn: sqlite3.Connection):
    from curedash.services.find import lot_with_id

    return lot_with_id(conn, 1)
