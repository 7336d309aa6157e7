"""A process that weighs is killed at random moments: whatever it acknowledged is in the file.

    long_kills.py [KILLS]      1000 unless told otherwise

The child reports each acknowledged save on a pipe; the parent kills it (SIGKILL), counts what was
reported and compares with the file. Now and then the child also makes the daily copy, folds the
log into the file, or opens a file that is not there yet, so that those are cut short as well.
"""

import os
import random
import signal
import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from datetime import UTC, timedelta

from curedash.services import backup
from curedash.services.find import lot_with_id
from curedash.services.weigh import preview, weigh
from curedash.store.open import open_db
from tests.endurance.household import HUNG, build, by

LONGEST_S = 0.08


def run(kills: int, folder: str, seed: int = 1) -> dict[str, int]:
    """Kill so often and count what was acknowledged, what is missing, what is damaged."""
    rng = random.Random(seed)
    path = f"{folder}/household.db"
    build(path)
    acknowledged: set[float] = set()
    figures = {"kills": 0, "acknowledged": 0, "missing": 0, "damaged": 0, "copies": 0}
    for number in range(kills):
        acknowledged |= _one_kill(path, number, rng)
        figures["kills"] += 1
        found, whole = _look(path)
        figures["missing"] = len(acknowledged - found)
        figures["damaged"] += not whole
        if number % 50 == 49:
            figures["copies"] += _look_at_copies(path)
    figures["acknowledged"] = len(acknowledged)
    figures["in_file"] = len(found)
    return figures


def _one_kill(path: str, number: int, rng: random.Random) -> set[float]:
    """Let a child write until it is killed; the weights it acknowledged."""
    read, write = os.pipe()
    after_s, work = rng.uniform(0, LONGEST_S), rng.random()
    child = os.fork()
    if child == 0:
        os.close(read)
        try:
            _write_on(path, number, write, work)
        finally:
            os._exit(1)
    os.close(write)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(read) as pipe:
        said = pipe.read()
    return {float(line) for line in said.split("\n")[:-1]}


def _write_on(path: str, number: int, pipe: int, work: float) -> None:
    """Weigh without end; each weight differs, so that each can be found again."""
    if work < 0.1:
        open_db(f"{path}-new-{number}", create=True).close()
    conn = open_db(path)
    for step in range(1_000_000):
        now = HUNG + timedelta(seconds=number * 1000 + step)
        grams = 900 - (number * 400 + step) / 10_000
        lot = lot_with_id(conn, 1)
        seen = preview(lot, f"{grams!r} g", now, UTC)
        weigh(conn, by(now, f"kill-{number}"), 1, seen, keep_doubtful=True)
        os.write(pipe, f"{grams!r}\n".encode())
        if work > 0.9 and step % 10 == 5:
            backup.daily(conn, path, now + timedelta(days=number))
        elif work > 0.8 and step % 10 == 5:
            conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")


def _look(path: str) -> tuple[set[float], bool]:
    """The weights in the file, each with its line in the log, and whether the file is whole."""
    with closing(open_db(path)) as conn:
        whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        weights = {row[0] for row in conn.execute("SELECT gross_g FROM weigh_in")}
        lines = conn.execute("SELECT count(*) FROM change WHERE verb = 'weigh'").fetchone()[0]
    return weights, whole and lines == len(weights) - 1


def _look_at_copies(path: str) -> int:
    """Whatever bears the name of a copy, or of a new file, is whole; how many there were."""
    copies = [copy.path for copy in backup.copies(path)]
    for copy in copies:
        with closing(sqlite3.connect(f"file:{copy}?mode=ro", uri=True)) as conn:
            assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",), copy
    folder = os.path.dirname(path)
    for name in os.listdir(folder):
        if "-new-" in name and not name.endswith(("-wal", "-shm", "-journal")):
            open_db(f"{folder}/{name}", create=True).close()
            os.remove(f"{folder}/{name}")
    return len(copies)


def main() -> int:
    """Print the figures; 1 if anything acknowledged is missing or the file was damaged."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        figures = run(kills, folder)
    words = ", ".join(f"{name} {value}" for name, value in figures.items())
    print(f"kills: {words} ({time.monotonic() - start:.0f} s)")
    return int(figures["missing"] > 0 or figures["damaged"] > 0)


if __name__ == "__main__":
    sys.exit(main())
