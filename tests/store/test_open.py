"""Opening the file: made once, ours or not, newer, damaged, out of reach."""

import os
import pty
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from curedash.domain.errors import FileTrouble, NotFound
from curedash.store.copying import copy_to
from curedash.store.file_trouble import SCHEMA_VERSION, is_read_only, translate_error, why_read_only
from curedash.store.open import open_db
from curedash.store.work import By, change


def test_a_new_file_has_todays_shape_and_belongs_to_its_owner_alone(db_path: str) -> None:
    conn = open_db(db_path, create=True)
    assert conn.execute("PRAGMA user_version").fetchone()[0] == SCHEMA_VERSION
    assert conn.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    assert conn.execute("PRAGMA synchronous").fetchone()[0] == 2
    assert conn.execute("PRAGMA foreign_keys").fetchone()[0] == 1
    assert stat.S_IMODE(os.stat(db_path).st_mode) == 0o600


def test_every_table_is_strict(conn: sqlite3.Connection) -> None:
    rows = conn.execute("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
    loose = [
        name for name, strict in rows if not strict and not name.startswith(("sqlite_", "_sqlite"))
    ]
    assert loose == []


def test_a_missing_file_is_not_made_by_reading(db_path: str) -> None:
    with pytest.raises(NotFound, match="There is no file"):
        open_db(db_path)
    assert not os.path.exists(db_path)


def test_a_folder_is_named_as_such(tmp_path: object) -> None:
    with pytest.raises(FileTrouble, match="is a folder"):
        open_db(str(tmp_path), create=True)


def test_a_file_that_is_no_database_is_refused_and_not_touched(db_path: str) -> None:
    with open(db_path, "w") as other:
        other.write("shopping list\n" * 500)
    with pytest.raises(FileTrouble, match="not a curedash file"):
        open_db(db_path)
    with open(db_path) as other:
        assert other.read() == "shopping list\n" * 500


def test_somebody_elses_database_is_refused(db_path: str) -> None:
    with sqlite3.connect(db_path) as other:
        other.execute("CREATE TABLE recipes (id)")
    other.close()
    with pytest.raises(FileTrouble, match="not a curedash file"):
        open_db(db_path, create=True)


def test_a_newer_file_opens_for_reading_only(db_path: str) -> None:
    conn = open_db(db_path, create=True)
    conn.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    conn.close()
    newer = open_db(db_path)
    assert is_read_only(newer)
    with pytest.raises(sqlite3.OperationalError):
        newer.execute("INSERT INTO setting VALUES ('zone', 'UTC')")


def test_a_copy_is_consistent_and_private(conn: sqlite3.Connection, tmp_path: object) -> None:
    conn.execute("INSERT INTO setting VALUES ('zone', 'UTC')")
    copy_to(conn, f"{tmp_path}/copy.db")
    copied = open_db(f"{tmp_path}/copy.db")
    assert copied.execute("SELECT value FROM setting").fetchone()[0] == "UTC"
    assert stat.S_IMODE(os.stat(f"{tmp_path}/copy.db").st_mode) == 0o600


def test_opening_an_existing_file_loads_no_migration_library(db_path: str) -> None:
    open_db(db_path, create=True).close()
    code = (
        f"import sys; from curedash.store.open import open_db; open_db({db_path!r});"
        "print([m for m in sys.modules if m.startswith('sqlite_utils')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_weigh_ins_cannot_be_deleted_or_overwritten_and_the_log_only_grows(
    conn: sqlite3.Connection,
) -> None:
    conn.execute(
        "INSERT INTO batch (id, code, name, species, style, method, product_class, rule_set,"
        " recipe, created_at) VALUES (1,'A','x','pork','s','equilibrium','dry-cured','us','{}',"
        "'2026-01-01T00:00:00Z')"
    )
    conn.execute(
        "INSERT INTO lot (batch_id, code, style, style_name, stage, stage_at, green_g,"
        " target_lo_pct, target_hi_pct, created_at) VALUES (1,'A1','s','s','drying',"
        "'2026-01-01T00:00:00Z',1000,30,40,'2026-01-01T00:00:00Z')"
    )
    conn.execute(
        "INSERT INTO weigh_in (lot_id, at, stage, kind, curve, gross_g, tare_g, net_g,"
        " base_factor) VALUES (1,'2026-01-02T00:00:00Z','drying','stage',1,900,0,900,1)"
    )
    with pytest.raises(sqlite3.IntegrityError, match="voided, never deleted"):
        conn.execute("DELETE FROM weigh_in")
    with pytest.raises(sqlite3.IntegrityError, match="never overwritten"):
        conn.execute("UPDATE weigh_in SET net_g = 1")
    conn.execute(
        "INSERT INTO change (at_utc, recorded_at, session, actor, origin, verb, before, after)"
        " VALUES ('','','','','','x','[]','[]')"
    )
    for statement in ("DELETE FROM change", "UPDATE change SET verb = 'y'"):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            conn.execute(statement)


# ── what is said when it cannot be opened, in the shell and when the dashboard starts ─────────


def _folder(path: Path) -> str:
    path.mkdir()
    return "is a folder; name a file with --db."


def _text(path: Path) -> str:
    path.write_text("shopping list\n" * 500)
    return "is not a curedash file; name another with --db."


def _inside_a_file(path: Path) -> str:
    path.parent.rmdir()
    path.parent.write_text("x")
    return "Not a directory; name another with --db."


def _damaged(path: Path) -> str:
    open_db(str(path), create=True).close()
    size = path.stat().st_size
    with open(path, "r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * (size - 4096))
    return "is damaged; go back to a copy with 'curedash restore'."


def _cut_off(path: Path) -> str:
    open_db(str(path), create=True).close()
    os.truncate(path, 9000)
    return "is damaged; go back to a copy with 'curedash restore'."


def _run(path: str, *words: str) -> tuple[int, str, str]:
    """Run a command: its exit code, what it printed, what it said."""
    done = subprocess.run(
        [sys.executable, "-m", "curedash", "--db", path, *words],
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


def _run_in_terminal(path: str) -> tuple[int, str, str]:
    """Start the dashboard, which draws on standard error and only in a terminal."""
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "curedash", "--db", path],
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm"},
    ) as started:
        out = started.communicate(timeout=30)[0].decode()
    err = os.read(ours, 65536).decode().replace("\r\n", "\n")
    os.close(theirs)
    os.close(ours)
    return started.returncode, out, err


@pytest.mark.parametrize("words", [(), ("lots",)], ids=["dashboard", "shell"])
@pytest.mark.parametrize("spoil", [_folder, _text, _inside_a_file, _damaged, _cut_off])
def test_a_file_that_cannot_be_opened_is_one_sentence_with_the_way_out(
    spoil: Callable[[Path], str], words: tuple[str, ...], tmp_path: Path
) -> None:
    (tmp_path / "in").mkdir()
    path = tmp_path / "in" / "h.db"
    said = spoil(path)
    code, out, err = _run_in_terminal(str(path)) if not words else _run(str(path), *words)
    assert code == 74
    assert out == ""
    assert err.count("\n") == 1
    assert err.strip().endswith(said)
    assert str(path) in err


def test_a_newer_file_says_why_it_can_only_be_read(db_path: str) -> None:
    conn = open_db(db_path, create=True)
    assert why_read_only(conn, db_path) is None
    conn.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    conn.close()
    newer = open_db(db_path)
    by, said = By("2026-11-25T09:00:00Z", "mara", "screen", "s"), "a newer version of curedash made"
    with pytest.raises(FileTrouble, match=said), change(newer, by, "choose") as work:
        work.put("setting", "zone", value="UTC")
    assert db_path in str(why_read_only(newer, db_path))


def test_no_room_for_the_index_is_a_full_disk_and_not_a_broken_one(
    db_path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some file systems tell the driver of an input/output error where there is no room."""
    broken = sqlite3.OperationalError("disk I/O error")
    assert "reported an error" in str(translate_error(broken, db_path))
    full = os.statvfs_result((4096, 4096, 256, 0, 0, 0, 0, 0, 0, 255))
    monkeypatch.setattr(os, "statvfs", lambda _path: full)
    assert str(translate_error(broken, db_path)).startswith("The disk is full; nothing was saved.")
