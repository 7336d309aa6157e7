"""Keep a file of today's shape, with rows in every table, for the tests of later migrations.

    python tests/data/make_released.py

Run once before a release that changes the shape; a file that is there is never written again.
"""

import gzip
import os
import sqlite3
import sys
import tempfile
from contextlib import closing
from datetime import UTC, datetime

from curedash.services.file.demo import build_demo
from curedash.store.file_trouble import SCHEMA_VERSION

FOLDER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "released")
MADE = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)

#: what the demo leaves empty
MORE = (
    "INSERT INTO draft VALUES ('batch', '2026-11-25T18:00:00Z', '{\"touched\": {}}')",
    "INSERT INTO away (from_day, to_day) VALUES ('2026-12-20', '2026-12-27')",
    "INSERT INTO need (cause, lot_id, level, message, action, opened_at)"
    " VALUES ('weigh-in-due', 1, 'today', 'weigh-in due', 'weigh', '2026-11-25T18:00:00Z')",
)


def released(folder: str = FOLDER) -> list[str]:
    """The files of earlier shapes, oldest first."""
    names = sorted(name for name in os.listdir(folder) if name.endswith(".db.gz"))
    return [os.path.join(folder, name) for name in names]


def unpacked(file: str, target: str) -> str:
    """A copy of a released file that may be written."""
    with gzip.open(file) as packed, open(target, "wb") as plain:
        plain.write(packed.read())
    return target


def make(path: str) -> None:
    """Build the file, small and in one piece."""
    build_demo(path, MADE)
    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        conn.execute("DELETE FROM reading WHERE at % 36000 > 900")
        for statement in MORE:
            conn.execute(statement)
        conn.execute("PRAGMA journal_mode = delete")
        conn.execute("VACUUM")


def main() -> int:
    """Write the file of today's shape, unless it is there."""
    target = os.path.join(FOLDER, f"v{SCHEMA_VERSION}.db.gz")
    if os.path.exists(target):
        print(f"{target} is there already; a released shape is never written again")
        return 1
    with tempfile.TemporaryDirectory() as folder:
        path = f"{folder}/released.db"
        make(path)
        with open(path, "rb") as plain, open(target, "wb") as packed:
            packed.write(gzip.compress(plain.read(), 9, mtime=0))
    print(f"{target}: {os.path.getsize(target)} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
