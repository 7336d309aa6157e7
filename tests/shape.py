"""The shape of a new household file from memory.

The steps that lead to it run once a process and not before each of some thousand tests; the tests
of the store, and every program that a test starts, run them themselves.
"""

import sqlite3
from functools import cache
from typing import Any

import pytest

from curedash.store import open as opening

TABLES_FIRST = "ORDER BY type <> 'table', type, rowid"


@cache
def shape() -> tuple[tuple[str, ...], tuple[tuple[Any, ...], ...], int]:
    """The statements of a new file, the steps it went through, and its version."""
    with sqlite3.connect(":memory:", isolation_level=None) as made:
        REAL(made, ":memory:")
        sql = "SELECT sql FROM sqlite_master WHERE sql NOT NULL AND name NOT LIKE 'sqlite_%' "
        statements = tuple(row[0] for row in made.execute(sql + TABLES_FIRST))
        steps = tuple(made.execute("SELECT * FROM _sqlite_migrations"))
        version = int(made.execute("PRAGMA user_version").fetchone()[0])
    made.close()
    return statements, steps, version


REAL = opening._apply


def apply(conn: Any, path: str) -> None:
    """What the steps do to an empty file; any other gets the steps."""
    if conn.execute("SELECT 1 FROM sqlite_master").fetchone() is not None:
        REAL(conn, path)
        return
    statements, steps, version = shape()
    for statement in statements:
        conn.execute(statement)
    marks = ", ".join("?" * len(steps[0]))
    conn.executemany(f"INSERT INTO _sqlite_migrations VALUES ({marks})", steps)
    conn.execute(f"PRAGMA user_version = {version}")


@pytest.fixture(autouse=True)
def made_from_memory(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Everywhere but in the tests of the store."""
    if "store" not in request.path.parts:
        monkeypatch.setattr(opening, "_apply", apply)
