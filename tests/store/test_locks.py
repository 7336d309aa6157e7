"""A second look at the file must not drop the locks this process holds on it."""

import os
import subprocess
import sys

from curedash.store.open import open_db


def test_the_log_stays_while_this_process_has_the_file_open(db_path: str) -> None:
    """POSIX locks belong to the process: closing any descriptor of the file drops them all.

    Another program that then closes the file would take itself for the last user and delete the
    log in use, which damages the file (sqlite.org, "How To Corrupt An SQLite Database File", 2.2).
    """
    first = open_db(db_path, create=True)
    first.execute("SELECT count(*) FROM lot").fetchone()
    second = open_db(db_path)
    second.execute("INSERT INTO setting VALUES ('household', 'ours')")
    log = os.stat(f"{db_path}-wal").st_ino
    run = [sys.executable, "-m", "curedash", "--db", db_path, "place", "add", "Cellar"]
    subprocess.run(run, check=True, capture_output=True)
    assert os.stat(f"{db_path}-wal").st_ino == log
    second.execute("UPDATE setting SET value = 'still ours' WHERE name = 'household'")
    assert first.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    names = [row[0] for row in first.execute("SELECT name FROM place")]
    assert names == ["Cellar"]
    first.close()
    second.close()
