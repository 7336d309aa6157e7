"""The file at the path is the one that is held: restored, imported, moved and replaced files."""

import errno
import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from curedash.__main__ import main
from curedash.domain.errors import CuredashError, FileTrouble, Refused
from curedash.papers import whole_json
from curedash.papers.acceptance import workable
from curedash.services.file import backup
from curedash.services.file.restore import restore
from curedash.services.household.note import add_note
from curedash.store import backup as store_backup
from curedash.store import dump, naming
from curedash.store.file_trouble import SCHEMA_VERSION, is_read_only
from curedash.store.open import Moved, OtherHousehold, open_db
from curedash.store.rescue import Rescued
from tests.endurance.household import NOW, build, by
from tests.endurance.long_restores import run as restores_under_writers

NOTES = "SELECT count(*) FROM event WHERE kind = 'note'"
HOLDER = """
import sys
from tests.endurance.household import NOW, by
from curedash.services.household.note import add_note
from curedash.store.open import open_db
conn = open_db(sys.argv[1])
for number in range(8):
    add_note(conn, by(NOW), 1, "A1", f"held {number}")
print("saved", flush=True)
sys.stdin.read()
"""


def note(conn: sqlite3.Connection, text: str = "a note") -> None:
    add_note(conn, by(NOW), 1, "A1", text)


def notes(path: str) -> int:
    with closing(sqlite3.connect(path)) as conn:
        assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return int(conn.execute(NOTES).fetchone()[0])


def exported(path: str) -> str:
    with closing(open_db(path)) as conn, dump.snapshot(conn):
        return "".join(whole_json.lines(conn, lambda _: None))


def leave_a_log(path: str) -> None:
    """Eight notes that are in the log only: their program is killed, then the file is removed."""
    program = subprocess.Popen(
        [sys.executable, "-c", HOLDER, path],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=Path(__file__).parents[2],
    )
    assert program.stdout is not None
    assert program.stdout.readline() == b"saved\n"
    program.send_signal(signal.SIGKILL)
    program.wait()
    program.stdout.close()
    if program.stdin is not None:
        program.stdin.close()
    assert os.path.getsize(path + "-wal") > 0
    os.remove(path)


# ── a log left behind ─────────────────────────────────────────────────────────────────────


def test_a_log_left_behind_is_not_replayed_into_what_is_restored(hanging: str) -> None:
    with closing(open_db(hanging)) as conn:
        made = backup.back_up(conn, hanging, None, NOW)
        for number in range(60):
            note(conn, f"later {number}")
    leave_a_log(hanging)
    done = restore(hanging, made, NOW)
    assert notes(hanging) == 0
    with closing(open_db(hanging)) as conn:
        note(conn)
    assert notes(hanging) == 1
    assert done.kept is not None
    assert os.path.getsize(done.kept + "-wal") > 0  # nothing was thrown away


def test_what_is_announced_is_what_reopens(hanging: str) -> None:
    with closing(open_db(hanging)) as conn:
        made = backup.back_up(conn, hanging, None, NOW)
    leave_a_log(hanging)
    done = restore(hanging, made, NOW)
    with closing(open_db(hanging)) as conn:
        held = conn.execute("SELECT count(*) FROM weigh_in").fetchone()[0]
    assert done.contents.weigh_ins == held


def test_an_import_sets_a_log_left_behind_aside(hanging: str) -> None:
    text = exported(hanging)
    leave_a_log(hanging)
    rows = whole_json.restore(hanging, text, lambda _: None, workable(NOW))
    assert notes(hanging) == 0
    with closing(open_db(hanging)) as conn:
        assert dump.count(conn) == rows
    assert any(".left-" in name for name in os.listdir(os.path.dirname(hanging)))


def test_a_new_file_throws_no_log_away(hanging: str) -> None:
    leave_a_log(hanging)
    open_db(hanging, create=True).close()
    (left,) = (name for name in os.listdir(os.path.dirname(hanging)) if ".left-" in name)
    assert os.path.getsize(os.path.join(os.path.dirname(hanging), left)) > 0


# ── restored under an open dashboard ──────────────────────────────────────────────────────


def test_a_copy_with_other_pages_comes_back_under_an_open_dashboard(
    hanging: str, household: sqlite3.Connection
) -> None:
    made = backup.back_up(household, hanging, None, NOW)
    with closing(sqlite3.connect(made)) as conn:
        conn.execute("PRAGMA page_size = 8192")
        conn.execute("VACUUM")
    note(household)
    restore(hanging, made, NOW)
    assert household.execute(NOTES).fetchone() == (0,)
    note(household)
    assert notes(hanging) == 1


def test_a_damaged_file_is_replaced_and_whoever_has_it_open_is_told(
    hanging: str, household: sqlite3.Connection
) -> None:
    from tests.store.test_refusals import break_table

    made = backup.back_up(household, hanging, None, NOW)
    break_table(hanging, "reading_day")
    done = restore(hanging, made, NOW)
    with pytest.raises(Moved, match=r"was replaced while it was open here; nothing was saved"):
        note(household)
    household.close()
    with closing(open_db(hanging)) as conn:
        note(conn)
    assert notes(hanging) == 1
    assert done.kept is not None


def test_an_older_shape_comes_back_as_todays(hanging: str, household: sqlite3.Connection) -> None:
    from tests.data.make_released import released, unpacked

    restore(hanging, unpacked(released()[0], hanging + ".old"), NOW)
    assert household.execute("PRAGMA user_version").fetchone() == (SCHEMA_VERSION,)
    beside = os.listdir(os.path.dirname(hanging))
    assert not [name for name in beside if ".part-" in name]


@pytest.mark.parametrize("damage", [False, True])
def test_restores_under_writers_lose_nothing(tmp_path: Path, damage: bool) -> None:
    figures = restores_under_writers(6, 2, str(tmp_path), damage=damage)
    assert figures["acknowledged"] > 50
    assert figures["missing"] == 0
    assert figures["file whole"] == 1


# ── moved, removed, replaced ──────────────────────────────────────────────────────────────


def move(path: str) -> None:
    os.rename(path, path + ".elsewhere")


def put_another_in_place(path: str) -> None:
    build(path + ".new")
    os.replace(path + ".new", path)


@pytest.mark.parametrize("happens", [os.remove, move, put_another_in_place])
def test_nothing_is_saved_into_a_file_that_lost_its_name(
    hanging: str, household: sqlite3.Connection, happens: Callable[[str], None]
) -> None:
    note(household)
    happens(hanging)
    with pytest.raises(Moved, match="nothing was saved"):
        note(household)
    assert household.execute(NOTES).fetchone() == (1,)


def test_a_file_that_loses_its_name_during_a_save_is_copied_to_a_rescue_file(
    hanging: str, household: sqlite3.Connection
) -> None:
    from curedash.store.work import change

    note(household)

    def save() -> None:
        with change(household, by(NOW), "note", subject="A1") as work:
            work.insert("event", at=by(NOW).now, kind="note", text="in between", lot_id=1)
            os.remove(hanging)

    with pytest.raises(Rescued) as told:
        save()
    rescued = household.rescue  # type: ignore[attr-defined]
    assert rescued is not None
    assert f"are in {os.path.basename(rescued)} beside it" in str(told.value)
    assert notes(rescued) == 2
    assert [copy.kind for copy in backup.copies(hanging)] == ["rescued"]
    restore(hanging, rescued, NOW)
    assert notes(hanging) == 2


def test_a_rescue_file_goes_into_the_persons_own_folder_if_need_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, by
) -> None:
    from curedash.store.rescue import rescue

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "gone"
    folder.mkdir()
    build(str(folder / "h.db"))
    with closing(open_db(str(folder / "h.db"))) as conn:
        shutil.rmtree(folder)
        words = rescue(conn)
        assert conn.rescue is not None
        assert conn.rescue.startswith(str(tmp_path / "state"))
        assert conn.rescue in words


def test_another_household_in_the_same_file_is_noticed(
    hanging: str, household: sqlite3.Connection, tmp_path: Path
) -> None:
    """A copy over the file keeps its inode; the household inside is another."""
    from curedash.store.work import change
    from tests.endurance.household import HUNG

    other = str(tmp_path / "other.db")
    with closing(open_db(other, create=True)) as conn:
        with change(conn, by(HUNG, "somebody else"), "build") as work:
            work.insert("setting", name="zone", value="UTC")
        conn.execute("PRAGMA journal_mode = delete")
    restore(hanging, other, NOW)
    with pytest.raises(OtherHousehold, match="Another household"):
        note(household)


def test_a_newer_shape_meanwhile_is_only_read(hanging: str, household: sqlite3.Connection) -> None:
    with closing(sqlite3.connect(hanging)) as newer:
        newer.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    with pytest.raises(FileTrouble, match="update the program; nothing was saved"):
        note(household)
    assert is_read_only(household)
    assert household.execute(NOTES).fetchone() == (0,)


def test_a_save_looks_at_the_file_in_next_to_no_time(household: sqlite3.Connection) -> None:
    """Two looks at the name a save, against the milliseconds of the disk."""
    start = time.perf_counter()
    for _ in range(1000):
        household.require_same()  # type: ignore[attr-defined]
        household.is_at_its_path()  # type: ignore[attr-defined]
    assert time.perf_counter() - start < 1.0


# ── a name is taken once ──────────────────────────────────────────────────────────────────


def test_an_import_never_destroys_what_was_made_meanwhile(hanging: str, tmp_path: Path) -> None:
    path = str(tmp_path / "new.db")

    def meanwhile(_: sqlite3.Connection) -> None:
        build(path)

    with pytest.raises(Refused, match="made by another program meanwhile"):
        whole_json.restore(path, exported(hanging), lambda _: None, meanwhile)
    with closing(open_db(path)) as conn:
        note(conn)
    assert notes(path) == 1
    assert not [name for name in os.listdir(tmp_path) if ".part-" in name]


def test_an_empty_household_is_filled_only_while_it_is_empty(hanging: str, tmp_path: Path) -> None:
    """Somebody adds a place between the look and the lock."""
    path = str(tmp_path / "new.db")
    open_db(path, create=True).close()
    text = exported(hanging)

    def tables_read_late(known: list[dump.Table]) -> dump.StoredTables:
        from curedash.services.places.places import add_place

        with closing(open_db(path)) as conn:
            add_place(conn, by(NOW), "Fridge")
        told = json.loads(text)["tables"]
        return {name: (told[name]["columns"], told[name]["rows"]) for name in told if known}

    with pytest.raises(Refused, match="holds a household already"):
        dump.restore(path, SCHEMA_VERSION, tables_read_late, lambda _: None, workable(NOW))
    with closing(open_db(path)) as conn:
        assert conn.execute("SELECT name FROM place").fetchall() == [("Fridge",)]


def test_two_restores_of_one_second_keep_what_was_there_twice(hanging: str) -> None:
    with closing(open_db(hanging)) as conn:
        made = backup.back_up(conn, hanging, None, NOW)
        note(conn)
    first, second = restore(hanging, made, NOW), restore(hanging, made, NOW)
    assert first.kept != second.kept
    assert first.kept is not None
    assert second.kept is not None
    assert [notes(first.kept), notes(second.kept)] == [1, 0]


# ── names of parts ────────────────────────────────────────────────────────────────────────


def test_parts_have_names_nobody_can_plant_a_link_at(hanging: str, tmp_path: Path) -> None:
    assert naming.part_name("x") != naming.part_name("x")
    victim = tmp_path / "victim"
    victim.write_text("mine")
    os.symlink(victim, tmp_path / "planted")
    with pytest.raises(FileExistsError):
        naming.open_part(str(tmp_path / "planted"))
    assert victim.read_text() == "mine"
    os.symlink(tmp_path / "nowhere" / "x", tmp_path / "copy.db")
    with closing(open_db(hanging)) as conn, pytest.raises(CuredashError):
        backup.back_up(conn, hanging, str(tmp_path / "copy.db"), NOW)


# ── programs that stay ────────────────────────────────────────────────────────────────────


def test_watch_follows_the_file_that_bears_the_name(hanging: str, tmp_path: Path) -> None:
    """Replaced: it goes on with the new one. Removed: it says so and waits until it is back."""
    said = tmp_path / "said"
    with open(said, "w") as err:
        program = subprocess.Popen(
            [sys.executable, "-m", "curedash", "--db", hanging, "watch", "--every", "1"],
            stdout=subprocess.DEVNULL,
            stderr=err,
            cwd=Path(__file__).parents[2],
        )
    try:
        until(lambda: os.path.exists(hanging + "-wal"))
        time.sleep(1.0)
        with closing(open_db(hanging)) as conn:
            copy = backup.back_up(conn, hanging, None, NOW)
        os.replace(copy, hanging)
        until(lambda: "was replaced; the file that is there now" in said.read_text())
        os.rename(hanging, hanging + ".elsewhere")
        until(lambda: "There is no file" in said.read_text())
        os.rename(hanging + ".elsewhere", hanging)
        length = len(said.read_text())
        time.sleep(2.5)
        assert "There is no file" not in said.read_text()[length + 200 :]
        assert program.poll() is None
    finally:
        program.kill()
        program.wait()


def until(done: Callable[[], bool], seconds: float = 20.0) -> None:
    end = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < end
        time.sleep(0.1)


@pytest.fixture
def disk_that_fails_behind_a_name(monkeypatch: pytest.MonkeyPatch) -> None:
    """From the moment a file is given a free name nothing more is taken by the disk."""
    link, fsync, remove = os.link, os.fsync, os.remove
    failing = []

    def given(*names: str, **how: bool) -> None:
        link(*names, **how)
        failing.append(names)

    def fails(real: Callable[..., None]) -> Callable[..., None]:
        def call(*words: object) -> None:
            if failing:
                raise OSError(errno.EIO, "Input/output error")
            real(*words)

        return call

    monkeypatch.setattr(os, "link", given)
    monkeypatch.setattr(os, "fsync", fails(fsync))
    monkeypatch.setattr(os, "remove", fails(remove))


@pytest.mark.parametrize("verb", ["import", "restore", "backup"])
def test_a_disk_that_fails_behind_the_name_is_not_called_not_written(
    hanging: str, tmp_path: Path, disk_that_fails_behind_a_name: None, verb: str, capsys
) -> None:
    """The file is there and cannot be taken away: nobody may say that it is not."""
    new = str(tmp_path / "new.db")
    if verb == "import":
        export = tmp_path / "e.json"
        assert main(["--db", hanging, "export", str(export)]) == 0
        words = ["--db", new, "import", str(export)]
    elif verb == "restore":
        words = ["--db", new, "restore", str(shutil.copy(hanging, tmp_path / "copy.db"))]
    else:
        words = ["--db", hanging, "backup", new]
    capsys.readouterr()
    assert main(["--now", NOW.isoformat(), *words]) == 74
    said = " ".join(capsys.readouterr().err.split())
    assert said.startswith("The disk failed while ")
    assert "it is not known whether the file is complete" in said


def test_a_disk_that_fails_in_the_midst_of_bringing_back_leaves_it_open(
    hanging: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The pages of the commit may be whole in the log; only before the last page it is sure."""

    class Copy:
        def __init__(self, remaining: int, words: str) -> None:
            self.remaining, self.words = remaining, words

        def backup(self, _target: object, *, pages: int, progress: Callable[..., None]) -> None:
            progress(sqlite3.SQLITE_OK, self.remaining, pages + 30)
            raise sqlite3.OperationalError(self.words)

    monkeypatch.setattr(store_backup, "is_gone", lambda _: False)
    kept: list[sqlite3.Connection] = []
    for words in ("disk I/O error", "database or disk is full"):
        with pytest.raises(FileTrouble, match="nothing was saved"):
            store_backup.bring_back(Copy(2, words), hanging, kept.append)
        with pytest.raises(store_backup.Unsure, match="it is not known whether it was"):
            store_backup.bring_back(Copy(1, words), hanging, kept.append)
    assert len(kept) == 4


def test_what_was_set_aside_before_the_disk_failed_is_named(
    hanging: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(_path: str) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(naming, "to_disk", fails)
    with pytest.raises(FileTrouble, match=f"What was in {hanging} is in {hanging}.kept now"):
        naming.set_aside(hanging, f"{hanging}.kept")
    assert os.path.exists(f"{hanging}.kept")


def test_a_part_that_cannot_be_removed_hides_nothing(tmp_path: Path, monkeypatch) -> None:
    def fails(_path: str) -> None:
        raise OSError(errno.EIO, "Input/output error")

    (tmp_path / "h.db.part-1").write_text("x")
    monkeypatch.setattr(os, "remove", fails)
    naming.clear(str(tmp_path / "h.db.part-1"))
