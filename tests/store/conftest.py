"""Households for the tests of the file: one with a drying lot, and another user of the machine."""

import os
import sqlite3
from collections.abc import Callable

import pytest

from curedash.store.open import open_db
from curedash.store.work import By
from tests.endurance.household import build

NOBODY = 65534


@pytest.fixture
def hanging(db_path: str, by: By) -> str:
    """A household file with one drying lot, A1."""
    build(db_path)
    return db_path


@pytest.fixture
def household(hanging: str) -> sqlite3.Connection:
    """The same, open."""
    conn = open_db(hanging)
    yield conn
    conn.close()


def as_somebody_else(do: Callable[[], str]) -> str:
    """What ``do`` returns in a child without the rights of the superuser."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.getuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            said = do()
        except BaseException as trouble:
            said = f"{type(trouble).__name__}: {trouble}"
        os.write(write, said.encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return said
