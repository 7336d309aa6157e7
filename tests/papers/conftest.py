"""A household with a lot in every stage, built by the same services a person uses."""

import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest

from curedash.papers.lot_facts import LotFacts, facts_of
from curedash.services.find import require_lot
from curedash.store.open import open_db
from tests.build import NOW
from tests.demo import copy_demo


@pytest.fixture(scope="session")
def household(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The demo's file, built once; tests copy it before they change anything."""
    path = str(tmp_path_factory.mktemp("household") / "demo.db")
    copy_demo(path, NOW)
    return path


@pytest.fixture
def house(household: str, tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """A copy of it, open."""
    path = tmp_path / "house.db"
    path.write_bytes(Path(household).read_bytes())
    conn = open_db(str(path))
    yield conn
    conn.close()


@pytest.fixture
def facts(house: sqlite3.Connection) -> Callable[[str], LotFacts]:
    """What is known of a lot of it."""
    return lambda code: facts_of(house, require_lot(house, code), NOW)


@pytest.fixture
def at() -> datetime:
    """The moment the papers are made."""
    return NOW


def text_of_pdf(data: bytes, folder: Path) -> str:
    """The text another program finds in a PDF."""
    (folder / "paper.pdf").write_bytes(data)
    done = subprocess.run(
        ["pdftotext", "-layout", str(folder / "paper.pdf"), "-"], capture_output=True, check=True
    )
    return done.stdout.decode()
