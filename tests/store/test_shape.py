"""A file made from a copy, as tests elsewhere have it, is the file that the steps make."""

import sqlite3
from pathlib import Path

import pytest

from curedash.store import open as opening
from curedash.store.open import open_db
from tests.shape import make


def contents(path: Path) -> tuple[list[str], int]:
    """Every statement that makes the file again, without the moment of a step; its version."""
    conn = sqlite3.connect(path)
    conn.execute("UPDATE _sqlite_migrations SET applied_at = ''")
    found = sorted(conn.iterdump()), int(conn.execute("PRAGMA user_version").fetchone()[0])
    conn.close()
    return found


def test_a_file_from_a_copy_is_that_of_the_steps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_db(str(tmp_path / "steps.db"), create=True).close()
    monkeypatch.setattr(opening, "_make", make)
    open_db(str(tmp_path / "copy.db"), create=True).close()
    assert contents(tmp_path / "copy.db") == contents(tmp_path / "steps.db")
    assert len(contents(tmp_path / "steps.db")[0]) > 50
