"""A process that weighs is killed at random moments: whatever it acknowledged is in the file.

    long_kills.py [KILLS]      1000 unless told otherwise

The child reports each acknowledged save on a pipe; the parent kills it (SIGKILL), counts what was
reported and compares with the file. Now and then the child also makes the daily copy, folds the
log into the file, or opens a file that is not there yet, so that those are cut short as well.

One kill in four meets a restore or an import instead, over a file that another process that was
killed left with a log beside it: the file is whole then, and holds what it held before or what was
brought back; everything acknowledged is in it or in what is kept beside it.
"""

import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from datetime import UTC, timedelta

from curedash.papers import whole_json
from curedash.papers.acceptance import workable
from curedash.services.file import backup
from curedash.services.file.restore import restore
from curedash.services.find import lot_with_id
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import dump
from curedash.store.open import open_db
from tests.endurance.household import HUNG, build, by

LONGEST_S = 0.08


def run(kills: int, folder: str, seed: int = 1) -> dict[str, int]:
    """Kill so often and count what was acknowledged, what is missing, what is damaged."""
    rng = random.Random(seed)
    path = f"{folder}/household.db"
    build(path)
    acknowledged: set[float] = set()
    figures = {
        "kills": 0,
        "acknowledged": 0,
        "missing": 0,
        "damaged": 0,
        "copies": 0,
        "restores": 0,
        "imports": 0,
        "brought back": 0,
    }
    for number in range(kills):
        if number % 4 == 3:
            _kill_what_brings_back(folder, number, rng, figures)
            continue
        acknowledged |= _one_kill(path, number, rng)
        figures["kills"] += 1
        found, dump = _look(path)
        figures["missing here"] = len(acknowledged - found)
        figures["damaged"] += not dump
        if number % 50 == 49:
            figures["copies"] += _look_at_copies(path)
    figures["missing"] += figures.pop("missing here", 0)
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


def _kill_what_brings_back(
    folder: str, number: int, rng: random.Random, figures: dict[str, int]
) -> None:
    """Kill a restore or an import; the file is one or the other then, and nothing is missing."""
    path = f"{folder}/back-{number}.db"
    build(path)
    with closing(open_db(path)) as conn:
        copy = backup.back_up(conn, path, f"{folder}/back-{number}.copy", HUNG)
        with dump.snapshot(conn):
            text = "".join(whole_json.lines(conn, lambda _: None))
    said = _one_kill(path, number, rng)  # leaves a log beside the file
    imports = rng.random() < 0.4
    if imports or rng.random() < 0.3:
        os.rename(path, f"{path}.replaced-by-hand")
        if os.path.exists(f"{path}-wal"):
            shutil.copy(f"{path}-wal", f"{path}.replaced-by-hand-wal")
    child = os.fork()
    if child == 0:
        try:
            if imports:
                whole_json.restore(path, text, lambda _: None, workable(HUNG))
            else:
                restore(path, copy, HUNG + timedelta(days=1))
        finally:
            os._exit(0)
    time.sleep(rng.uniform(0, 0.25))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    figures["kills"] += 1
    figures["imports" if imports else "restores"] += 1
    found: set[float] = set()
    for name in sorted(os.listdir(folder)):
        if name.startswith(f"back-{number}.db") and not name.endswith(("-wal", "-shm", "-journal")):
            if any(word in name for word in (".part-", ".left-", "-new-")):
                continue
            there, fine = _look(f"{folder}/{name}")
            found |= there
            figures["damaged"] += not fine
    figures["missing"] += len(said - found)
    figures["acknowledged_before"] = figures.get("acknowledged_before", 0) + len(said)
    figures["brought back"] += os.path.exists(path) and len(_look(path)[0]) == 1
    for name in os.listdir(folder):
        if name.startswith(f"back-{number}."):
            os.remove(f"{folder}/{name}")


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
        dump = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        weights = {row[0] for row in conn.execute("SELECT gross_g FROM weigh_in")}
        lines = conn.execute("SELECT count(*) FROM change WHERE verb = 'weigh'").fetchone()[0]
    return weights, dump and lines == len(weights) - 1


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
