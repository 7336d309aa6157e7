"""One bit of the file is flipped: does ``doctor --thorough`` see each flip that changed data?

    long_flips.py [FLIPS]      101 that changed data unless told otherwise

The demo's household, its days of air boiled down and today's copy beside it, as a day with the
dashboard leaves them. A flip counts if any table reads otherwise than before.
"""

import os
import random
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing

from curedash.services.file import backup
from curedash.services.file.demo import build_demo
from curedash.services.file.doctor import examine
from curedash.services.places import roll_up
from curedash.store.open import open_db
from tests.build import NOW

Dump = dict[str, object]


def built(folder: str, *, copy: bool = True) -> str:
    """The household; with the copy of today beside it."""
    path = f"{folder}/household.db"
    build_demo(path, NOW)
    with closing(open_db(path)) as conn:
        while roll_up.roll_up_days(conn, NOW):
            pass
        if copy:
            backup.daily(conn, path, NOW)
        conn.execute("PRAGMA journal_mode = delete")
    return path


def dump(path: str) -> Dump:
    """Everything in the file as it reads; a word where a table cannot be read."""
    found: Dump = {}
    uri = f"file:{path}?mode=ro&immutable=1"
    with closing(sqlite3.connect(uri, uri=True)) as conn:
        conn.text_factory = bytes
        try:
            names = conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
            found[""] = conn.execute("SELECT type, name, sql FROM sqlite_master").fetchall()
        except sqlite3.Error as trouble:
            return {"": str(trouble)}
        for (name,) in names:
            table = name.decode("utf-8", "replace")
            try:
                rows = conn.execute(f'SELECT * FROM "{table}" NOT INDEXED').fetchall()
                found[table] = sorted(map(repr, rows))
            except sqlite3.Error as trouble:
                found[table] = str(trouble)
    return found


def run(flips: int, path: str, seed: int = 1) -> tuple[Counter[str], list[str]]:
    """So many flips that changed data: how many were seen, and in which tables the others were."""
    rng, figures, missed = random.Random(seed), Counter[str](), []
    with open(path, "rb") as file:
        good = file.read()
    before = dump(path)
    while figures["changed data"] < flips:
        at, bit = rng.randrange(len(good)), 1 << rng.randrange(8)
        with open(path, "wb") as file:
            file.write(good[:at] + bytes([good[at] ^ bit]) + good[at + 1 :])
        now = dump(path)
        tables = [name for name in {*before, *now} if before.get(name) != now.get(name)]
        if not tables:
            figures["changed nothing"] += 1
            continue
        figures["changed data"] += 1
        if any(f.level in ("bad", "look") and f.what in SEEING for f in looked(path)):
            figures["seen"] += 1
        else:
            missed.append(f"byte {at}: {', '.join(tables)}")
    with open(path, "wb") as file:
        file.write(good)
    return figures, missed


SEEING = ("inside", "shape", "weights", "log", "air", "file", "clock")


def looked(path: str) -> list:
    """What the doctor finds."""
    found = examine(path, NOW, thorough=True)
    for ending in ("-wal", "-shm"):
        if os.path.exists(path + ending):
            os.remove(path + ending)
    return found


def main() -> int:
    """Print the figures; 1 if fewer than 94 of 100 were seen."""
    flips = int(sys.argv[1]) if len(sys.argv) > 1 and sys.argv[1].isdigit() else 101
    start = time.monotonic()
    for copy in (True, False):
        with tempfile.TemporaryDirectory() as folder:
            figures, missed = run(flips, built(folder, copy=copy))
        where = "with today's copy" if copy else "without any copy"
        print("\n".join(missed))
        print(f"flips {where}: {dict(figures)} ({time.monotonic() - start:.0f} s)")
        if copy:
            enough = figures["seen"] >= 0.94 * flips
    return int(not enough)


if __name__ == "__main__":
    sys.exit(main())
