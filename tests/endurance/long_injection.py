"""Every system call on the household's files fails once, and the process dies at each of them.

    long_injection.py [--minutes N] [--about N] [--workers N] [JOB …] [WAY …]

Every call of every job (save, restore …) in every way (EIO …) unless told otherwise. ``--about``
tries so many points of each job, spread over its calls and ways; ``--workers`` shares them out.
A point takes some 20 to 40 ms of one core: each is a forked process with the package already
loaded, and the files lie in memory (``/dev/shm``) where there is such a folder.

Save, restore, import, migrate and backup are run as commands; the n-th call on a file in their
folder gives EIO, ENOSPC or EINTR, or every call from the n-th on does, or the process is killed
before or after it. What the command announced (exit code and words) is then compared with what
the files hold when they are opened again. Wants gcc: ``injection.c`` stands between the program
and the system.
"""

import errno
import gc
import gzip
import importlib
import io
import json
import os
import select
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing, redirect_stderr, redirect_stdout
from dataclasses import dataclass

from tests.endurance.household import build

NOW = "2026-11-25T18:00Z"
HERE = os.path.dirname(os.path.abspath(__file__))
RELEASED = os.path.join(os.path.dirname(HERE), "data", "released", "v1.db.gz")
LIMIT_S = 30.0
MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
KILL_BEFORE, KILL_AFTER = -1, -2
#: name → errno or kill, and whether all later calls fail too
WAYS = {
    "EIO": (errno.EIO, False),
    "ENOSPC": (errno.ENOSPC, False),
    "EINTR": (errno.EINTR, False),
    "EIO from there on": (errno.EIO, True),
    "ENOSPC from there on": (errno.ENOSPC, True),
    "killed before": (KILL_BEFORE, False),
    "killed after": (KILL_AFTER, False),
}
STORED = (0, 73)
#: what a command may leave with; 70 is a fault
KNOWN = (0, 64, 65, 66, 73, 74)
#: the number of a call and the way it fails; a way, how it ended, whether that is wrong
Point = tuple[int, str]
Seen = tuple[str, str, bool]


@dataclass
class Run:
    """What one run announced; no code where it was killed."""

    code: int | None
    said: str
    calls: int
    hit: bool

    def is_refused(self) -> bool:
        """Whether it announced that nothing was saved."""
        return self.code is not None and self.code not in STORED and "not known" not in self.said


@dataclass
class Held:
    """What a file holds; ``whole`` is False where it cannot be believed."""

    whole: bool
    version: int = 0
    weights: tuple[float, ...] = ()
    changes: int = 0


def held(path: str) -> Held | None:
    """What reopens under this name; None if nothing is there."""
    if not os.path.exists(path):
        return None
    try:
        with closing(sqlite3.connect(path)) as conn:
            whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            version = conn.execute("PRAGMA user_version").fetchone()[0]
            rows = conn.execute("SELECT gross_g FROM weigh_in ORDER BY id").fetchall()
            changes = conn.execute("SELECT count(*) FROM change").fetchone()[0]
    except sqlite3.Error:
        return Held(False)
    return Held(whole, version, tuple(row[0] for row in rows), changes)


def beside(folder: str, part: str) -> list[Held | None]:
    """What the files with this in their name hold."""
    names = sorted(name for name in os.listdir(folder) if part in name)
    return [
        held(f"{folder}/{name}")
        for name in names
        if not name.endswith(("-wal", "-shm", "-journal"))
    ]


def quietly(*words: str) -> None:
    """Run a command of the preparation."""
    from curedash.__main__ import main

    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        assert main(["--now", NOW, *words]) == 0


class Job:
    """A command, the folder it begins in, and what may be found afterwards."""

    name = ""
    words: tuple[str, ...] = ()

    def prepare(self, folder: str) -> None:
        """Make the files it begins with."""

    def wrong(self, folder: str, run: Run) -> str:
        """What does not fit what was announced; empty if all does."""
        raise NotImplementedError


class Save(Job):
    """A weigh-in."""

    name, words = "save", ("--db", "h.db", "weigh", "A1", "900", "--yes")

    def prepare(self, folder: str) -> None:
        build(f"{folder}/h.db")

    def wrong(self, folder: str, run: Run) -> str:
        found = held(f"{folder}/h.db")
        if found is None or not found.whole:
            return "the file is not whole"
        there = 900.0 in found.weights
        if run.code in STORED and not there:
            return "announced as stored and not there"
        if run.is_refused() and there:
            return "announced as not stored and there"
        if found.changes != len(found.weights):
            return "weigh-in without its line in the log"
        return ""


class SaveBeside(Save):
    """A weigh-in into a file whose log another process left behind when it was killed."""

    name = "save over a log"

    def prepare(self, folder: str) -> None:
        build(f"{folder}/h.db")
        child = os.fork()
        if child == 0:
            from curedash.__main__ import main

            keeping = sqlite3.connect(f"{folder}/h.db")
            keeping.execute("SELECT * FROM lot").fetchall()
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            main(["--db", f"{folder}/h.db", "--now", NOW, "weigh", "A1", "950", "--yes"])
            os.kill(os.getpid(), signal.SIGKILL)
        os.waitpid(child, 0)

    def wrong(self, folder: str, run: Run) -> str:
        found = held(f"{folder}/h.db")
        lost = found is not None and found.whole and 950.0 not in found.weights
        return "what the log held is lost" if lost else super().wrong(folder, run)


class Restore(Job):
    """A copy over a file that holds more."""

    name, words = "restore", ("--db", "h.db", "restore", "copy.db")

    def prepare(self, folder: str) -> None:
        build(f"{folder}/h.db")
        quietly("--db", f"{folder}/h.db", "backup", f"{folder}/copy.db")
        quietly("--db", f"{folder}/h.db", "weigh", "A1", "900", "--yes")

    def wrong(self, folder: str, run: Run) -> str:
        found = held(f"{folder}/h.db")
        if found is None or not found.whole:
            return "the file is not whole"
        went_back = 900.0 not in found.weights
        if run.code in STORED and not went_back:
            return "announced as brought back and is not"
        if run.is_refused() and went_back:
            return "announced as not brought back and is"
        kept = [one for one in beside(folder, ".replaced-") if one is not None and one.whole]
        if went_back and not any(900.0 in one.weights for one in kept):
            return "what was there is kept nowhere"
        return ""


class RestoreBroken(Job):
    """A copy over a file that is broken: what is left of it is kept byte by byte."""

    name, words = "restore over a broken file", ("--db", "h.db", "restore", "copy.db")
    rubbish = b"SQLite format 3\0" + b"broken" * 2000

    def prepare(self, folder: str) -> None:
        build(f"{folder}/copy.db")
        with open(f"{folder}/h.db", "wb") as file:
            file.write(self.rubbish)

    def wrong(self, folder: str, run: Run) -> str:
        names = [name for name in os.listdir(folder) if name == "h.db" or ".replaced-" in name]
        kept = []
        for name in names:
            with open(f"{folder}/{name}", "rb") as file:
                kept.append(file.read() == self.rubbish)
        if not any(kept):
            return "what was there is kept nowhere"
        found = held(f"{folder}/h.db")
        back = found is not None and found.whole
        if run.code in STORED and not back:
            return "announced as brought back and is not"
        if run.is_refused() and back:
            return "announced as not brought back and is"
        return ""


class Import(Job):
    """A whole export into a new file."""

    name, words = "import", ("--db", "new.db", "import", "e.json")

    def prepare(self, folder: str) -> None:
        build(f"{folder}/old.db")
        quietly("--db", f"{folder}/old.db", "export", f"{folder}/e.json")
        os.remove(f"{folder}/old.db")

    def wrong(self, folder: str, run: Run) -> str:
        found = held(f"{folder}/new.db")
        whole = found is not None and found.whole and found.weights == (1000.0,)
        if found is not None and not whole:
            return "half a file bears the name"
        if run.code in STORED and not whole:
            return "announced as stored and not there"
        if run.is_refused() and found is not None:
            return "announced as not stored and there"
        return ""


class Migrate(Job):
    """A file of the first released shape is opened."""

    name, words = "migrate", ("--db", "h.db", "lots")

    def prepare(self, folder: str) -> None:
        with gzip.open(RELEASED) as packed, open(f"{folder}/h.db", "wb") as file:
            file.write(packed.read())
        self.before = held(f"{folder}/h.db")

    def wrong(self, folder: str, run: Run) -> str:
        from curedash.store.file_trouble import SCHEMA_VERSION

        found = held(f"{folder}/h.db")
        assert self.before is not None
        if found is None or not found.whole:
            return "the file is not whole"
        if found.weights != self.before.weights or found.changes < self.before.changes:
            return "something is lost"
        if found.version not in (1, SCHEMA_VERSION):
            return f"stopped half-way at shape {found.version}"
        if run.code == 0 and found.version != SCHEMA_VERSION:
            return "announced as opened and is of the old shape"
        return ""


class Backup(Job):
    """A copy under a new name."""

    name, words = "backup", ("--db", "h.db", "backup", "copy.db")

    def prepare(self, folder: str) -> None:
        build(f"{folder}/h.db")

    def wrong(self, folder: str, run: Run) -> str:
        found, there = held(f"{folder}/copy.db"), held(f"{folder}/h.db")
        if there is None or not there.whole or there.weights != (1000.0,):
            return "the file is not as it was"
        whole = found is not None and found.whole and found.weights == (1000.0,)
        if found is not None and not whole:
            return "half a copy bears the name"
        if run.code in STORED and not whole:
            return "announced as copied and not there"
        if run.is_refused() and found is not None:
            return "announced as not copied and there"
        return ""


JOBS: tuple[type[Job], ...] = (Save, SaveBeside, Restore, RestoreBroken, Import, Migrate, Backup)


class Between:
    """The library that stands between the program and the system."""

    def __init__(self) -> None:
        import ctypes

        self._own = ctypes.CDLL(None)

    def arm(self, folder: str, nth: int, way: str) -> None:
        what, again = WAYS[way]
        self._own.inject_arm(folder.encode(), nth, what, int(again))

    def disarm(self) -> tuple[int, bool]:
        self._own.inject_disarm()
        return self._own.inject_count(), bool(self._own.inject_hit())


def one_run(between: Between, job: Job, folder: str, nth: int, way: str) -> Run:
    """Run the command in a process of its own, its n-th call failing."""
    from curedash.__main__ import main

    read, write = os.pipe()
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        os.close(read)
        tell = os.dup(write)  # the program may close its own output
        os.dup2(write, 1)
        os.dup2(write, 2)
        sys.stdout, sys.stderr = os.fdopen(1, "w", buffering=1), os.fdopen(2, "w", buffering=1)
        os.chdir(folder)
        between.arm(folder, nth, way)
        try:
            code = main(["--now", NOW, *job.words])
        except BaseException as fault:
            print(f"Traceback: {fault!r}")
            code = 70
        calls, hit = between.disarm()
        os.write(tell, f"\n{code} {calls} {int(hit)}".encode())
        os._exit(0)
    os.close(write)
    said, end = b"", time.monotonic() + LIMIT_S
    while time.monotonic() < end:
        if select.select([read], [], [], 0.5)[0]:
            piece = os.read(read, 65536)
            if not piece:
                break
            said += piece
    else:
        os.kill(child, signal.SIGKILL)
        said += b"Traceback: it hangs"
    os.close(read)
    status = os.waitpid(child, 0)[1]
    text = said.decode("utf-8", "replace")
    if os.WIFSIGNALED(status):
        other = os.WTERMSIG(status) != signal.SIGKILL
        return Run(None, text + ("Traceback: a signal" if other else ""), 0, True)
    text, _, last = text.rpartition("\n")
    code, calls, hit = last.split()
    return Run(int(code), text, int(calls), hit == "1")


def load_beforehand(job: Job, folder: str) -> None:
    """Load here what the command loads, so that no process has to load it again."""
    from curedash.__main__ import main

    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        for stream in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
        os.chdir(folder)
        main(["--now", NOW, *job.words])
        os.write(write, " ".join(sys.modules).encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as names:
        for name in names.read().split():
            if name != "__main__":
                importlib.import_module(name)
    os.waitpid(child, 0)


def points_of(calls: int, about: int, ways: tuple[str, ...]) -> list[Point]:
    """Every call in every way; or about so many of them, spread over calls and ways."""
    points = [(nth, way) for nth in range(1, calls + 1) for way in ways]
    step = max(1, len(points) // about) if about else 1
    step += step > 1 and step % len(ways) == 0  # else it would be one way only
    return points[step // 2 :: step]


def try_points(
    between: Between, job: Job, template: str, points: list[Point], until: float
) -> Counter[Seen]:
    """How many points of each way ended how; what is wrong is printed line by line."""
    seen = Counter[Seen]()
    for nth, way in points:
        if until and time.monotonic() > until:
            break
        folder = tempfile.mkdtemp(dir=os.path.dirname(template))
        shutil.copytree(template, folder, dirs_exist_ok=True)
        done = one_run(between, job, folder, nth, way)
        wrong = _fault(done) or job.wrong(folder, done)
        seen[way, "killed" if done.code is None else str(done.code), bool(wrong)] += 1
        if wrong:
            print(
                f"{job.name}, call {nth} {way}: {wrong} (exit {done.code})\n"
                f"    {done.said.strip()[-300:]}",
                flush=True,
            )
        shutil.rmtree(folder)
    return seen


def share_out(
    between: Between, job: Job, template: str, points: list[Point], until: float, workers: int
) -> Counter[Seen]:
    """Let so many processes try the points in turn; what all of them saw."""
    parts = []
    for number in range(workers):
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            seen = try_points(between, job, template, points[number::workers], until)
            with os.fdopen(write, "w") as told:
                json.dump(list(seen.items()), told)
            sys.stdout.flush()
            os._exit(0)
        os.close(write)
        parts.append((child, read))
    total = Counter[Seen]()
    for child, read in parts:
        with os.fdopen(read) as told:
            for key, count in json.load(told):
                total[tuple(key)] += count
        os.waitpid(child, 0)
    return total


def told(job: Job, calls: int, seen: Counter[Seen]) -> None:
    """Print the figures of a job, way by way."""
    ended = Counter[str]()
    for (_, end, _), count in seen.items():
        ended[end] += count
    ends = ", ".join(f"{code} × {count}" for code, count in sorted(ended.items()))
    print(f"injection: {job.name}: {calls} calls; ended with {ends}")
    for way in WAYS:
        own = [(end, wrong, count) for (name, end, wrong), count in seen.items() if name == way]
        killed = sum(count for end, _, count in own if end == "killed")
        wrong = sum(count for _, wrong, count in own if wrong)
        print(
            f"    {way}: points {sum(count for *_, count in own)}, killed {killed}, wrong {wrong}",
            flush=True,
        )


def run(
    jobs: tuple[type[Job], ...] = JOBS,
    about: int = 0,
    until: float = 0.0,
    workers: int = 1,
    ways: tuple[str, ...] = tuple(WAYS),
) -> dict[str, int]:
    """Go through all points, or ``about`` so many a job, in so many processes.

    ``until`` ends it [monotonic s].
    """
    between, figures = Between(), Counter({"runs": 0, "killed": 0, "refused": 0, "wrong": 0})
    for kind in jobs:
        job = kind()
        with tempfile.TemporaryDirectory() as top:
            template = f"{top}/template"
            os.mkdir(template)
            job.prepare(template)
            shutil.copytree(template, f"{top}/loaded")
            load_beforehand(job, f"{top}/loaded")
            shutil.copytree(template, f"{top}/count")
            calls = one_run(between, job, f"{top}/count", 1 << 30, "EIO").calls
            gc.collect()
            gc.freeze()  # else each process copies the pages of what it never changes
            points = points_of(calls, about, ways)
            seen = share_out(between, job, template, points, until, workers)
            told(job, calls, seen)
            for (_, end, wrong), count in seen.items():
                figures["runs"] += count
                figures["killed"] += count * (end == "killed")
                figures["refused"] += count * (end == "74")
                figures["wrong"] += count * wrong
    return dict(figures)


def _fault(done: Run) -> str:
    if "Traceback" in done.said:
        return "a trace"
    if done.code is not None and done.code not in KNOWN:
        return f"left with {done.code}"
    return ""


def compiled(folder: str) -> str:
    """The library, made by gcc."""
    made = f"{folder}/injection.so"
    subprocess.run(
        ["gcc", "-shared", "-fPIC", "-O1", "-w", "-o", made, f"{HERE}/injection.c", "-ldl"],
        check=True,
    )
    return made


def start(*words: str) -> subprocess.CompletedProcess[str]:
    """This script with the library in between, in a home of its own."""
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        own = dict.fromkeys(("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"), folder)
        env = {
            **os.environ,
            **own,
            "TMPDIR": folder,
            "LD_PRELOAD": compiled(folder),
            "PYTHONPATH": os.path.dirname(os.path.dirname(HERE)),
            "TZ": "UTC",
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        return subprocess.run(
            [sys.executable, os.path.abspath(__file__), *words], env=env, text=True, check=False
        )


def main() -> int:
    """Print the figures; 1 if what was announced is not what reopens."""
    words = sys.argv[1:]
    if "injection.so" not in os.environ.get("LD_PRELOAD", ""):
        return start(*words).returncode
    given = {"--minutes": 0.0, "--about": 0.0, "--workers": 1.0}
    for name in given:
        if name in words:
            at = words.index(name)
            given[name] = float(words[at + 1])
            del words[at : at + 2]
    minutes = given["--minutes"]
    began = time.monotonic()
    jobs = tuple(job for job in JOBS if job.name in words) or JOBS
    figures = run(
        jobs,
        about=int(given["--about"]),
        workers=int(given["--workers"]),
        ways=tuple(way for way in WAYS if way in words) or tuple(WAYS),
        until=began + 60 * minutes if minutes else 0.0,
    )
    words = [f"{name} {count}" for name, count in figures.items()]
    print(f"injection: {', '.join(words)} ({time.monotonic() - began:.0f} s)")
    return int(figures["wrong"] > 0)


if __name__ == "__main__":
    sys.exit(main())
