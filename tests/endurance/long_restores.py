"""Copies are brought back while others write: whatever was acknowledged is in the file or kept.

    long_restores.py [RESTORES] [WRITERS]      25 restores under 2 writers unless told otherwise

Each writer is a process of its own that adds notes without end, half of them through one long
connection (as the dashboard does), half opening the file anew (as the shell does), and reports
each acknowledged one on a pipe. Every fifth restore finds a file that was damaged just before.
"""

import os
import random
import signal
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta

from curedash.domain.errors import Busy, CuredashError
from curedash.services.file import backup
from curedash.services.file.restore import restore
from curedash.services.household import note
from curedash.store.open import Moved, open_db
from tests.endurance.household import NOW, build, by


def run(
    restores: int, writers: int, folder: str, seed: int = 1, *, damage: bool = True
) -> dict[str, int]:
    """Bring copies back so often; count what was acknowledged, where it is, what is missing."""
    rng = random.Random(seed)
    path = f"{folder}/household.db"
    build(path)
    with closing(open_db(path)) as conn:
        copy = backup.back_up(conn, path, None, NOW)
    pipes, children = [], []
    for number in range(writers):
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(read)
            try:
                _write_on(path, number, write)
            finally:
                os._exit(1)
        os.close(write)
        pipes.append(read)
        children.append(child)
    refused = broken = 0
    for number in range(restores):
        time.sleep(rng.uniform(0.05, 0.3))
        if damage and number % 5 == 4:
            broken += 1
            _damage(path)
        try:
            restore(path, copy, NOW + timedelta(seconds=number))
        except Busy:
            refused += 1
    time.sleep(0.2)
    for child in children:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    acknowledged: set[str] = set()
    for pipe in pipes:
        with os.fdopen(pipe) as said:
            acknowledged |= set(said.read().split("\n")[:-1])
    found: set[str] = set()
    whole = True
    for name in _every_file(folder, path):
        notes, fine = _notes(name)
        found |= notes
        whole = whole and (fine or name != path)
    return {
        "restores": restores,
        "busy": refused,
        "damaged before": broken,
        "acknowledged": len(acknowledged),
        "missing": len(acknowledged - found),
        "file whole": int(whole),
    }


def _write_on(path: str, number: int, pipe: int) -> None:
    """Write notes without end; a file that was replaced is opened anew."""
    conn = open_db(path)
    for step in range(10_000_000):
        text = f"note {number}-{step}"
        try:
            if number % 2 == 1 and step % 5 == 0:
                conn.close()
                conn = open_db(path)
            note.add_note(conn, by(NOW, f"writer-{number}"), 1, "A1", text)
        except Moved:
            conn.close()
            conn = _patiently(path)
        except (CuredashError, sqlite3.Error):
            time.sleep(0.01)
            if number % 2 == 1:
                conn.close()
                conn = _patiently(path)
        else:
            os.write(pipe, f"{text}\n".encode())


def _patiently(path: str) -> sqlite3.Connection:
    while True:
        try:
            return open_db(path)
        except CuredashError:
            time.sleep(0.01)


def _damage(path: str) -> None:
    """Break a page in the middle, by another process: a disk would not ask either."""
    child = os.fork()
    if child == 0:
        size = os.path.getsize(path)
        with open(path, "r+b") as file:
            file.seek(size // 2 // 4096 * 4096)
            file.write(os.urandom(4096))
        os._exit(0)
    os.waitpid(child, 0)


def _every_file(folder: str, path: str) -> Iterator[str]:
    yield path
    for name in os.listdir(folder):
        if name.endswith(("-wal", "-shm", "-journal")) or ".part-" in name:
            continue
        if f"{folder}/{name}" != path:
            yield f"{folder}/{name}"


def _notes(path: str) -> tuple[set[str], bool]:
    """The notes in a file, and whether it is whole; of a damaged one what can still be read."""
    found: set[str] = set()
    with closing(sqlite3.connect(path)) as conn:
        try:
            whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        except sqlite3.Error:
            whole = False
        newest = 0
        try:
            newest = conn.execute("SELECT max(id) FROM event").fetchone()[0] or 0
        except sqlite3.Error:
            newest = 20_000
        for number in range(1, newest + 1):
            try:
                row = conn.execute("SELECT text FROM event WHERE id = ?", (number,)).fetchone()
            except sqlite3.Error:
                continue
            if row is not None:
                found.add(row[0])
    return found, whole


def main() -> int:
    """Print the figures; 1 if anything acknowledged is missing or the file was damaged."""
    restores = int(sys.argv[1]) if len(sys.argv) > 1 and sys.argv[1].isdigit() else 25
    writers = int(sys.argv[2]) if len(sys.argv) > 2 and sys.argv[2].isdigit() else 2
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        figures = run(restores, writers, folder, damage=False)
    words = ", ".join(f"{name} {value}" for name, value in figures.items())
    print(f"restores: {words} ({time.monotonic() - start:.0f} s)")
    return int(figures["missing"] > 0 or not figures["file whole"])


if __name__ == "__main__":
    sys.exit(main())
