"""Files of every released shape are brought up to date; a step that fails changes nothing."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from curedash.domain.errors import FileTrouble
from curedash.services.file import backup
from curedash.services.file.doctor import examine
from curedash.services.file.restore import restore
from curedash.store import dump, migrations, open
from curedash.store.inspect import curve_kept_wrong
from curedash.store.open import open_db
from curedash.store.rack import all_lots
from tests.data.make_released import make, released, unpacked
from tests.endurance.household import NOW

COUNTS = ("lot", "weigh_in", "change", "reading", "stage_entry", "dose_line", "draft", "need")


def counts(conn: sqlite3.Connection) -> list[int]:
    return [conn.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in COUNTS]


def shape(conn: sqlite3.Connection) -> list[tuple[str, str, str]]:
    """Tables with their columns in order of name, and what else the schema names."""
    columns = conn.execute(
        "SELECT t.name, c.name, c.type FROM pragma_table_list t, pragma_table_xinfo(t.name) c"
        " WHERE t.schema = 'main' AND substr(t.name, 1, 7) <> 'sqlite_' ORDER BY 1, 2"
    ).fetchall()
    others = conn.execute(
        "SELECT type, name, tbl_name FROM sqlite_master WHERE type IN ('index', 'trigger')"
        " AND sql IS NOT NULL ORDER BY 1, 2"
    ).fetchall()
    return columns + others


@pytest.mark.parametrize("file", released(), ids=os.path.basename)
def test_a_released_file_opens_with_all_its_rows(file: str, tmp_path: Path) -> None:
    path = unpacked(file, f"{tmp_path}/old.db")
    with closing(sqlite3.connect(path)) as raw:
        before, version = counts(raw), raw.execute("PRAGMA user_version").fetchone()[0]
    with closing(open_db(path)) as conn, closing(open_db(f"{tmp_path}/new.db", create=True)) as new:
        assert conn.execute("PRAGMA user_version").fetchone() == (open.SCHEMA_VERSION,)
        assert counts(conn) == before
        assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert conn.execute("PRAGMA foreign_key_check").fetchone() is None
        assert shape(conn) == shape(new)
        assert len(all_lots(conn)) == before[0]
    copies = backup.copies(path)
    assert len(copies) == (1 if version < open.SCHEMA_VERSION else 0)
    assert {f.level for f in examine(path, NOW, thorough=True)} <= {"no-finding", "look"}


def test_every_released_shape_but_todays_is_kept() -> None:
    kept = [os.path.basename(file) for file in released()]
    assert kept[: open.SCHEMA_VERSION - 1] == [f"v{n}.db.gz" for n in range(1, open.SCHEMA_VERSION)]


def test_the_file_that_would_be_kept_has_rows_everywhere(tmp_path: Path) -> None:
    path = f"{tmp_path}/made.db"
    make(path)
    with closing(open_db(path)) as conn:
        assert all(count > 0 for count in counts(conn)), dict(
            zip(COUNTS, counts(conn), strict=True)
        )


@pytest.fixture
def next_version(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[Database], None]], None]:
    """Let the program have one more step in its migrations."""

    def having(step: Callable[[Database], None]) -> None:
        steps = Migrations("curedash")
        steps()(migrations.first_shape)
        for known in migrations.curedash._migrations[1:]:
            steps(name=known.name)(known.fn)
        steps()(step)
        monkeypatch.setattr(migrations, "curedash", steps)
        monkeypatch.setattr(open, "SCHEMA_VERSION", open.SCHEMA_VERSION + 1)

    return having


def test_a_new_step_runs_once_after_a_copy(hanging: str, next_version) -> None:
    def wider(db: Database) -> None:
        db.execute("ALTER TABLE lot ADD COLUMN colour TEXT")
        db.execute(f"PRAGMA user_version = {open.SCHEMA_VERSION}")

    old = open.SCHEMA_VERSION
    next_version(wider)
    with closing(open_db(hanging)) as conn:
        assert conn.execute("SELECT code, colour FROM lot").fetchall() == [("A1", None)]
    open_db(hanging).close()
    copies = backup.copies(hanging)
    assert [copy.kind for copy in copies] == ["before"]
    with closing(sqlite3.connect(copies[0].path)) as copy:
        assert copy.execute("PRAGMA user_version").fetchone() == (old,)
    restore(hanging, copies[0].path, NOW)  # the copy comes back as it was, and is migrated again
    with closing(open_db(hanging)) as conn:
        assert conn.execute("SELECT colour FROM lot").fetchall() == [(None,)]


def breaks_down(db: Database) -> None:
    db.execute("ALTER TABLE lot ADD COLUMN colour TEXT")
    db.execute("INSERT INTO nowhere VALUES (1)")


def raises(db: Database) -> None:
    db.execute("DROP TABLE draft")
    raise KeyError("a bug")


def leaves_rows_pointing_nowhere(db: Database) -> None:
    db.execute("UPDATE stage_entry SET lot_id = 999")
    db.execute(f"PRAGMA user_version = {open.SCHEMA_VERSION}")


@pytest.mark.parametrize("step", [breaks_down, raises, leaves_rows_pointing_nowhere])
def test_a_step_that_fails_leaves_file_and_copy(hanging: str, next_version, step) -> None:
    def dump() -> list[str]:
        with closing(sqlite3.connect(hanging)) as raw:
            return [*raw.iterdump(), str(raw.execute("PRAGMA user_version").fetchone())]

    before, old = dump(), open.SCHEMA_VERSION
    next_version(step)
    with pytest.raises(FileTrouble) as refused:
        open_db(hanging)
    assert "as it was" in str(refused.value)
    assert "\n" not in str(refused.value)
    assert dump() == before
    (copy,) = backup.copies(hanging)
    with closing(sqlite3.connect(copy.path)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert raw.execute("PRAGMA user_version").fetchone() == (old,)


def test_a_lock_during_a_migration_is_busy_not_a_failure(hanging: str, next_version) -> None:
    from curedash.domain.errors import Busy

    next_version(lambda db: db.execute(f"PRAGMA user_version = {open.SCHEMA_VERSION}"))
    holder = sqlite3.connect(hanging, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with pytest.raises(Busy):
        open_db(hanging, timeout_s=0.05)
    assert backup.copies(hanging) == []
    holder.execute("ROLLBACK")
    holder.close()
    open_db(hanging).close()


def test_the_kept_curve_is_what_the_weigh_ins_say_and_doctor_sees_when_not(tmp_path: Path) -> None:
    path = unpacked(released()[0], f"{tmp_path}/old.db")
    with closing(open_db(path)) as conn:
        assert curve_kept_wrong(conn) == []
        code, lot_id = conn.execute(
            "SELECT code, lot.id FROM lot JOIN weigh_in w ON w.lot_id = lot.id LIMIT 1"
        ).fetchone()
        conn.execute("UPDATE kept_curve SET net_g = net_g + 1 WHERE lot_id = ?", (lot_id,))
        assert [line.split(":")[0] for line in curve_kept_wrong(conn)] == [code]
        (weights,) = (f for f in examine(path, NOW, thorough=True) if f.what == "weights")
        assert weights.level == "bad"
        conn.execute("UPDATE weigh_in SET voided_at = NULL WHERE lot_id = ?", (lot_id,))
        assert curve_kept_wrong(conn) == [], "any change of a weigh-in puts it right"


def test_no_export_holds_what_is_kept(tmp_path: Path) -> None:
    with closing(open_db(f"{tmp_path}/new.db", create=True)) as conn:
        assert "kept_curve" not in [table.name for table in dump.tables(conn)]
        assert "weigh_in" in [table.name for table in dump.tables(conn)]
