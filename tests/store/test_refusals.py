"""Files that cannot be used: one sentence each, and the file as it was."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime

import pytest

from curedash.__main__ import main
from curedash.domain.errors import Busy, FileTrouble, NotFound
from curedash.store import log
from curedash.store.file_trouble import SCHEMA_VERSION, is_read_only
from curedash.store.open import open_db
from curedash.store.rack import open_lots
from curedash.store.work import change
from curedash.tui.chassis.writer import Writer
from tests.endurance.household import by
from tests.store.conftest import as_somebody_else


def content(path: str) -> bytes:
    with open(path, "rb") as file:
        return file.read()


def refusal(path: str) -> str:
    """The one sentence with which the file is refused; the file has not changed by then."""
    before = content(path)
    with pytest.raises(FileTrouble) as refused:
        open_db(path)
    assert content(path) == before
    said = str(refused.value)
    assert said.endswith(".")
    assert "\n" not in said
    return said


def test_a_truncated_file_is_refused_or_found_damaged(hanging: str) -> None:
    whole = content(hanging)
    for size in (15, 16, 99, 100, 1000, 4095):
        with open(hanging, "wb") as file:
            file.write(whole[:size])
        said = refusal(hanging)
        assert "is damaged" in said or "not a curedash file" in said


def test_an_empty_file_counts_as_missing(db_path: str) -> None:
    open(db_path, "w").close()
    with pytest.raises(NotFound):
        open_db(db_path)
    open_db(db_path, create=True).close()


def test_a_broken_page_is_said_in_one_sentence(hanging: str) -> None:
    break_table(hanging, "lot")
    run = [sys.executable, "-m", "curedash", "--db", hanging, "lots"]
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode == 74
    assert done.stderr == f"{hanging} is damaged; go back to a copy with 'curedash restore'.\n"


def break_table(path: str, table: str) -> None:
    """Overwrite the first page of a table."""
    with closing(sqlite3.connect(path)) as raw:
        page = raw.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,))
        number = page.fetchone()[0]
    with open(path, "r+b") as file:
        file.seek((number - 1) * 4096)
        file.write(b"\xff" * 4096)


def test_a_first_page_of_noise_is_refused(hanging: str) -> None:
    with open(hanging, "r+b") as file:
        file.seek(100)
        file.write(b"\xaa" * 900)
    assert "is damaged" in refusal(hanging)


@pytest.mark.parametrize("version", [0, 1, 7])
def test_somebody_elses_database_keeps_every_byte(db_path: str, version: int) -> None:
    with closing(sqlite3.connect(db_path)) as other:
        other.execute("CREATE TABLE recipes (id)")
        other.execute(f"PRAGMA user_version = {version}")
    assert "not a curedash file" in refusal(db_path)
    assert not os.path.exists(db_path + "-wal")


def test_a_version_number_that_cannot_be_is_damage(hanging: str) -> None:
    for version in (0, -3):
        with closing(sqlite3.connect(hanging)) as raw:
            raw.execute(f"PRAGMA user_version = {version}")
        assert "is damaged" in refusal(hanging)


def test_no_ordinary_file(tmp_path: object) -> None:
    os.mkfifo(f"{tmp_path}/pipe")
    for path in (f"{tmp_path}/pipe", "/dev/null"):
        with pytest.raises(FileTrouble, match="not an ordinary file"):
            open_db(path, create=True)


def test_a_file_in_the_way_of_its_folder(db_path: str) -> None:
    open(db_path, "w").close()
    with pytest.raises(FileTrouble):
        open_db(f"{db_path}/inside.db", create=True)


def test_a_file_somebody_else_keeps_to_himself(hanging: str) -> None:
    open_folders(hanging)
    os.chmod(hanging, 0o600)
    said = as_somebody_else(lambda: str(open_db(hanging)))
    owner = as_somebody_else(lambda: __import__("pwd").getpwuid(os.stat(hanging).st_uid).pw_name)
    if os.getuid() == 0:
        assert f"FileTrouble: {hanging} belongs to {owner} and you may not read it" in said


def test_a_file_one_may_only_read_is_read_and_not_written(hanging: str) -> None:
    open_folders(hanging)
    os.chmod(hanging, 0o444)
    os.chmod(os.path.dirname(hanging), 0o555)

    def read_then_write() -> str:
        conn = open_db(hanging)
        assert is_read_only(conn)
        codes = [lot.code for lot in open_lots(conn)]
        try:
            with change(conn, by(), "choose") as work:
                work.put("setting", "zone", value="UTC")
        except FileTrouble as trouble:
            return f"{codes} {trouble}"
        return "written"

    said = as_somebody_else(read_then_write)
    os.chmod(os.path.dirname(hanging), 0o755)
    assert said.startswith("['A1'] This login may read the file but not change it")
    assert said.endswith("nothing was saved.")


def test_a_folder_nothing_can_be_made_in(tmp_path: object) -> None:
    open_folders(f"{tmp_path}/x")
    os.chmod(str(tmp_path), 0o555)
    said = as_somebody_else(lambda: str(open_db(f"{tmp_path}/new/h.db", create=True)))
    os.chmod(str(tmp_path), 0o755)
    assert said.startswith("FileTrouble: Cannot make the folder")
    assert said.endswith("Permission denied; name another file with --db.")


def open_folders(path: str) -> None:
    """Let everybody walk down to the folder of this file."""
    folder = os.path.dirname(path)
    while folder != "/":
        if not os.stat(folder).st_mode & 0o001:
            os.chmod(folder, 0o755)
        folder = os.path.dirname(folder)


def test_what_the_driver_puts_beside_the_file_is_private_too(hanging: str) -> None:
    old = os.umask(0)
    try:
        conn = open_db(hanging)
        with change(conn, by(), "choose") as work:
            work.put("setting", "zone", value="UTC")
        for ending in ("", "-wal", "-shm"):
            assert os.stat(hanging + ending).st_mode & 0o777 == 0o600
        conn.close()
    finally:
        os.umask(old)


def test_a_locked_file_is_busy_not_frozen(hanging: str) -> None:
    holder = open_db(hanging)
    holder.execute("BEGIN IMMEDIATE")
    other = open_db(hanging, timeout_s=0.05)
    with pytest.raises(Busy, match="try again"), change(other, by(), "choose") as work:
        work.put("setting", "zone", value="UTC")
    holder.execute("ROLLBACK")
    with change(other, by(), "choose") as work:
        work.put("setting", "zone", value="UTC")
    other.close()
    holder.close()


def test_a_newer_file_is_shown_and_not_written(hanging: str) -> None:
    with closing(sqlite3.connect(hanging)) as raw:
        raw.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    before = content(hanging)
    run = [sys.executable, "-m", "curedash", "--db", hanging, "--now", "2026-11-25T18:00Z"]
    shown = subprocess.run([*run, "lots"], capture_output=True, text=True, check=False)
    assert shown.returncode == 0, shown.stderr
    assert "A1" in shown.stdout
    refused = subprocess.run(
        [*run, "weigh", "A1", "900"], capture_output=True, text=True, check=False
    )
    assert refused.returncode == 74
    assert "newer version" in refused.stderr
    assert content(hanging) == before


@pytest.mark.parametrize(
    ("named", "name"),
    [
        ({"LOGNAME": "anna", "USER": "root"}, "anna"),  # POSIX, Base Definitions, 8.3
        ({"USER": "jon"}, "jon"),
        ({"LOGNAME": "", "USER": "jon"}, "jon"),
    ],
)
def test_a_person_has_one_name_in_the_log_of_shell_and_screen(
    named: dict[str, str], name: str, db_path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for variable in ("LOGNAME", "USER"):
        monkeypatch.delenv(variable, raising=False)
    for variable, value in named.items():
        monkeypatch.setenv(variable, value)
    monkeypatch.setenv("CUREDASH_DB", db_path)
    assert main(["place", "add", "Shed"]) == 0
    seen: list[str] = []
    writer = Writer(db_path, lambda: datetime(2026, 11, 25, tzinfo=UTC))
    seen.append(writer.by_broker().actor)
    with closing(open_db(db_path)) as conn:
        seen.append(next(log.newest(conn)).actor)
    assert seen == [name, name]
