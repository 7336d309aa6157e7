"""A small file system fills up while somebody weighs: what was acknowledged is in the file.

    long_full_disk.py [ROUNDS]      20 unless told otherwise

Each round fills a file system of 3 MB (loop-mounted ext4; else tmpfs; else a quota on file size)
until a weigh-in is refused, kills the writer in every second round, and looks. After room is made
the next weigh-in is taken. The refusal has to be one sentence and to store nothing.
"""

import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, timedelta

from curedash.domain.errors import FileTrouble
from curedash.services.file import backup
from curedash.services.find import lot_with_id
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.open import Connection, open_db
from tests.endurance.household import HUNG, NOW, build, by

SIZE = 3_000_000
SPARE = 400_000  # let go of when full


def run(rounds: int, folder: str, *, mount: bool = True) -> dict[str, int | str]:
    """Fill so often; what was acknowledged, what is missing, what was said."""
    total: dict[str, int | str] = {
        "rounds": 0,
        "acknowledged": 0,
        "missing": 0,
        "damaged": 0,
        "refused": 0,
        "copies_refused": 0,
        "after_room": 0,
    }
    for number in range(rounds):
        with small(f"{folder}/small", mount) as (where, kind):
            found = _one_round(where, number, quota=kind == "quota")
        total["kind"] = kind
        total["rounds"] = int(total["rounds"]) + 1
        for name, value in found.items():
            total[name] = int(total[name]) + value
    return total


def _one_round(where: str, number: int, *, quota: bool) -> dict[str, int]:
    path = f"{where}/household.db"
    build(path)
    with open(f"{where}/spare", "wb") as spare:
        spare.write(b"x" * SPARE)
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        try:
            _fill(path, write, quota, wait=number % 2 == 1)
        except BaseException as fault:
            print(f"fault: {fault!r}", file=sys.stderr)
        os._exit(0)
    os.close(write)
    said = ""
    with os.fdopen(read) as pipe:
        for line in pipe:
            said += line
            if line.startswith("refused") and number % 2 == 1:
                os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.remove(f"{where}/spare")
    return _look(path, said.splitlines())


def _fill(path: str, pipe: int, quota: bool, *, wait: bool) -> None:
    """Weigh until the disk takes no more, then try the copy as well."""
    if quota:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1_000_000, 1_000_000))
    conn = open_db(path)
    for step in range(1_000_000):
        try:
            _weigh(conn, step)
        except FileTrouble as trouble:
            os.write(pipe, f"refused {trouble}\n".encode())
            break
        os.write(pipe, f"{step}\n".encode())
    try:
        backup.daily(conn, path, NOW)
    except FileTrouble as trouble:
        os.write(pipe, f"no copy {trouble}\n".encode())
    if wait:
        time.sleep(60)
    conn.close()


def _weigh(conn: Connection, step: int) -> None:
    now = HUNG + timedelta(seconds=step)
    seen = preview(lot_with_id(conn, 1), f"{900 - step / 1e6:.6f} g", now, UTC)
    weigh(conn, by(now), 1, seen, note="x" * 200, keep_doubtful=True)


def _look(path: str, said: list[str]) -> dict[str, int]:
    steps = [int(line) for line in said if line.isdecimal()]
    refusals = [line for line in said if line.startswith("refused")]
    assert all("disk" in line and line.endswith((".", "closer.")) for line in refusals), refusals
    with closing(open_db(path)) as conn:
        whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        kept = {row[0] for row in conn.execute("SELECT at FROM weigh_in WHERE kind = 'stage'")}
        wanted = {(HUNG + timedelta(seconds=s)).strftime("%Y-%m-%dT%H:%M:%SZ") for s in steps}
        extra = len(kept - wanted)
        _weigh(conn, 1_000_000)
    return {
        "acknowledged": len(steps),
        "missing": len(wanted - kept),
        "refused": len(refusals),
        "damaged": int(not whole) + extra,
        "after_room": 1,
        "copies_refused": sum(line.startswith("no copy") for line in said),
    }


@contextmanager
def small(folder: str, mount: bool) -> Iterator[tuple[str, str]]:
    """A folder on a small file system, and what kind it is."""
    os.makedirs(folder, exist_ok=True)
    kind = _mounted(folder) if mount and os.getuid() == 0 else "quota"
    try:
        yield folder, kind
    finally:
        if kind != "quota":
            subprocess.run(["umount", folder], check=True)
        else:
            shutil.rmtree(folder)


def _mounted(folder: str) -> str:
    image = f"{folder}.image"
    with open(image, "wb") as file:
        file.truncate(SIZE)
    made = shutil.which("mkfs.ext4") and _done("mkfs.ext4", "-q", "-O", "^has_journal", image)
    if made and _done("mount", "-o", "loop", image, folder):
        return "ext4"
    if _done("mount", "-t", "tmpfs", "-o", f"size={SIZE}", "none", folder):
        return "tmpfs"
    return "quota"


def _done(*words: str) -> bool:
    return subprocess.run(words, capture_output=True, check=False).returncode == 0


def main() -> int:
    """Print the figures; 1 if anything is missing or damaged, or nothing was refused."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    start = time.monotonic()
    bad = False
    for mount in (True, False):
        with tempfile.TemporaryDirectory() as folder:
            figures = run(rounds, folder, mount=mount)
        words = ", ".join(f"{name} {value}" for name, value in figures.items())
        print(f"full disk: {words} ({time.monotonic() - start:.0f} s)")
        bad |= bool(figures["missing"] or figures["damaged"]) or figures["refused"] != rounds
    return int(bad)


if __name__ == "__main__":
    sys.exit(main())
