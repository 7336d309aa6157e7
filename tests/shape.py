"""A new household file from a copy of one that was made before.

The steps that lead to it run once a process and not before each of some thousand tests; the tests
of the store, and every program that a test starts, run them themselves.
"""

import tempfile
from functools import cache
from pathlib import Path

import pytest

from curedash.store import open as opening

REAL = opening._make


@cache
def new_file() -> bytes:
    """What a new file holds after all its steps."""
    with tempfile.TemporaryDirectory() as folder:
        path = f"{folder}/new.db"
        REAL(path)  # an empty file: opening it brings it to today's shape
        opening.open_db(path, create=True).close()
        return Path(path).read_bytes()


def make(path: str) -> None:
    """A new file, brought to today's shape before it is opened for the first time."""
    REAL(path)
    Path(path).write_bytes(new_file())


@pytest.fixture(autouse=True)
def made_from_a_copy(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Everywhere but in the tests of the store."""
    if "store" not in request.path.parts:
        monkeypatch.setattr(opening, "_make", make)
