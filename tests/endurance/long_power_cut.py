"""The plug is pulled: of what was not yet forced to the disk, any part may be missing.

    long_power_cut.py [CUTS]      500 unless told otherwise; needs strace

A process that weighs is watched by ``strace``: every write to the file and its log, every
``fdatasync``, every acknowledgement. From that the disk at any moment is put together: what was
synced is there; of each later write any 512-byte sectors, or none. The file of that moment has to
open whole and hold every weight that was acknowledged before it.
"""

import os
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, timedelta

from curedash.services.find import lot_with_id
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.open import open_db
from tests.endurance.household import HUNG, build, by

SECTOR = 512
WRITES = 60
CALL = re.compile(
    r'^\d+ (\w+)\((?:(\d+)<([\\x0-9a-f]*)>|"([\\x0-9a-f]+)")'
    r'(?:, "([\\x0-9a-f]*)")?(?:, (\d+))?(?:, (\d+))?.*= (-?\d+)'
)


@dataclass
class File:
    """One file: what is on the disk for certain, and what was written since."""

    certain: bytearray = field(default_factory=bytearray)
    since: list[tuple[int, bytes]] = field(default_factory=list)  # offset; -1: cut to a length
    exists: bool = True

    def sync(self) -> None:
        """Everything written so far is on the disk."""
        for at, data in self.since:
            self.certain = _written(self.certain, at, data)
        self.since = []

    def after_a_cut(self, rng: random.Random) -> bytes:
        """What may be left of it."""
        left = bytearray(self.certain)
        kind = rng.random()
        for at, data in self.since:
            if at < 0:
                left = _written(left, at, data) if rng.random() < 0.5 else left
            elif kind < 0.3:  # everything got through
                left = _written(left, at, data)
            else:
                for start in range(0, len(data), SECTOR):
                    if rng.random() < kind:
                        left = _written(left, at + start, data[start : start + SECTOR])
        return bytes(left)


def _written(content: bytearray, at: int, data: bytes) -> bytearray:
    if at < 0:
        length = int(data)
        return content[:length].ljust(length, b"\0")
    content = content.ljust(at, b"\0")
    content[at : at + len(data)] = data
    return content


def work(path: str) -> None:
    """What is watched: weigh and acknowledge; fold the log into the file, open it again."""
    conn = open_db(path)
    for step in range(WRITES):
        now = HUNG + timedelta(seconds=step)
        seen = preview(lot_with_id(conn, 1), f"{900 - step / 4:.2f} g", now, UTC)
        weigh(conn, by(now), 1, seen, note="x" * (step * 37 % 900), keep_doubtful=True)
        os.write(1, f"{step} ".encode())
        if step % 20 == 9:
            conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
        if step % 20 == 19:
            conn.close()
            conn = open_db(path)
    os._exit(0)


def watched(path: str, folder: str) -> list[tuple[str, str, int, bytes]]:
    """What the process did to the disk: call, file, place, data."""
    trace = f"{folder}/trace"
    calls = "pwrite64,write,ftruncate,fsync,fdatasync,unlink"
    subprocess.run(
        [
            "strace",
            "-f",
            "-qq",
            "-y",
            "-xx",
            "-s",
            "100000",
            "-e",
            f"trace={calls}",
            "-o",
            trace,
            sys.executable,
            "-c",
            f"from tests.endurance.long_power_cut import work; work({path!r})",
        ],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    events = []
    with open(trace, encoding="ascii") as lines:
        for line in lines:
            found = CALL.match(line)
            if found is None or int(found[8]) < 0:
                continue
            name = _plain(found[3] or found[4]).decode(errors="replace")
            if found[1] == "write" and found[2] == "1":
                events.append(("acknowledged", "", 0, _plain(found[5])))
            elif name.startswith(path) and not name.endswith("-shm"):
                size = re.search(r">, (\d+)\)", line) if found[1] == "ftruncate" else None
                data = size[1].encode() if size else _plain(found[5] or "")
                events.append((found[1], name, int(found[7] or 0), data))
    return events


def _plain(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))


def run(cuts: int, folder: str, seed: int = 1) -> dict[str, int]:
    """Cut the power so often; what was acknowledged by then and is missing."""
    path = f"{folder}/household.db"
    build(path)
    with open(path, "rb") as file:
        first = file.read()
    events = watched(path, folder)
    rng = random.Random(seed)
    figures = {
        "cuts": 0,
        "events": len(events),
        "acknowledged": 0,
        "missing": 0,
        "damaged": 0,
        "syncs": sum(event[0].endswith("sync") for event in events),
    }
    for _ in range(cuts):
        files, acknowledged = _until(rng.randrange(len(events) + 1), events, path, first)
        missing, whole = _look(files, path, f"{folder}/cut.db", acknowledged, rng)
        figures["cuts"] += 1
        figures["acknowledged"] += len(acknowledged)
        figures["missing"] += missing
        figures["damaged"] += not whole
    return figures


def _until(
    end: int, events: list[tuple[str, str, int, bytes]], path: str, first: bytes
) -> tuple[dict[str, File], set[int]]:
    """The files as they stand after so many events, and what was acknowledged."""
    files = {path: File(bytearray(first))}
    acknowledged = set()
    for call, name, at, data in events[:end]:
        file = files.setdefault(name, File())
        if call == "acknowledged":
            acknowledged.add(int(data))
        elif call == "pwrite64":
            file.since.append((at, data))
        elif call == "ftruncate":
            file.since.append((-1, data))
        elif call == "unlink":
            files[name] = File(exists=False)
        else:
            file.sync()
            file.exists = True
    return files, acknowledged


def _look(
    files: dict[str, File], path: str, target: str, acknowledged: set[int], rng: random.Random
) -> tuple[int, bool]:
    """Write the files of that moment, open them, count."""
    for ending in ("", "-wal", "-shm", "-journal"):
        if os.path.exists(target + ending):
            os.remove(target + ending)
    for name, file in files.items():
        if name.startswith(path) and (file.exists or file.since):
            with open(target + name.removeprefix(path), "wb") as out:
                out.write(file.after_a_cut(rng))
    with closing(open_db(target)) as conn:
        whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        kept = {round((900 - row[0]) * 4) for row in _weights(conn)}
        logged = conn.execute("SELECT count(*) FROM change WHERE verb = 'weigh'").fetchone()[0]
    return len(acknowledged - kept), whole and logged == len(kept)


def _weights(conn: sqlite3.Connection) -> list[tuple[float]]:
    return conn.execute("SELECT gross_g FROM weigh_in WHERE kind = 'stage'").fetchall()


def main() -> int:
    """Print the figures; 1 if anything acknowledged is missing or a file was damaged."""
    if shutil.which("strace") is None:
        print("power cut: strace is not installed, left out")
        return 0
    cuts = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        figures = run(cuts, folder)
    words = ", ".join(f"{name} {value}" for name, value in figures.items())
    print(f"power cut: {WRITES} saves, {words} ({time.monotonic() - start:.0f} s)")
    return int(figures["missing"] > 0 or figures["damaged"] > 0)


if __name__ == "__main__":
    sys.exit(main())
