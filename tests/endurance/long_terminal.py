"""The terminal goes away: the process ends, the file is closed, nothing spins.

    long_terminal.py [TIMES]      each way 5 times unless told otherwise

Ways: the window is closed; the same started under nohup (SIGHUP ignored, only the closed terminal
tells); its tmux server is killed; SIGTERM; SIGTERM while the terminal takes nothing; Ctrl-C. For
each: seconds until the process is gone, CPU seconds it used from then on, the file whole, the
half-typed weight kept, and for Ctrl-C the terminal as it was.
"""

import os
import pty
import select
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass

from tests.endurance.household import NOW, build

LIMIT_S, CPU_LIMIT_S = 5.0, 1.0


@dataclass
class End:
    """How one run ended."""

    way: str
    seconds: float
    cpu_s: float
    code: int
    whole: bool
    draft: bool

    @property
    def good(self) -> bool:
        """Gone in time, without spinning, with the file whole and what was typed kept."""
        kept = self.draft or self.way in ("ctrl-c", "tmux")
        return self.seconds < LIMIT_S and self.cpu_s < CPU_LIMIT_S and self.whole and kept


class Seat:
    """The dashboard in a terminal of its own, half a weight typed."""

    def __init__(self, path: str, *, nohup: bool = False) -> None:
        self.path = path
        self.master, self.slave = pty.openpty()
        self.before = termios.tcgetattr(self.slave)
        words = [sys.executable, "-m", "curedash", "--db", path, "--now", NOW.isoformat()]

        def ready() -> None:
            import fcntl

            if nohup:
                signal.signal(signal.SIGHUP, signal.SIG_IGN)
            else:
                fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        self.process = subprocess.Popen(
            words,
            stdin=self.slave,
            stdout=self.slave,
            stderr=self.slave,
            preexec_fn=ready,
            env={**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", "LINES": "24"},
            start_new_session=True,
        )
        self.seen = b""
        self.until(b"weigh")
        os.write(self.master, b"91")
        self.until(b"on the scale")

    def until(self, words: bytes, seconds: float = 20.0) -> None:
        """Read until these bytes came."""
        end = time.monotonic() + seconds
        while words not in self.seen:
            assert time.monotonic() < end, self.seen[-2000:]
            if select.select([self.master], [], [], 0.1)[0]:
                self.seen += os.read(self.master, 65536)

    def hang_up(self) -> None:
        """Close the window."""
        os.close(self.slave)
        os.close(self.master)
        self.master = self.slave = -1

    def end(self, way: str, do: Callable[[], None], *, drain: bool = False) -> End:
        """Do it and watch the process until it is gone."""
        used, start = cpu_s(self.process.pid), time.monotonic()
        do()
        last = used
        while self.process.poll() is None and time.monotonic() - start < LIMIT_S + 5:
            last = max(last, cpu_s(self.process.pid))
            if drain and select.select([self.master], [], [], 0)[0]:
                self.seen += os.read(self.master, 65536)
            time.sleep(0.01)
        seconds = time.monotonic() - start
        while drain and select.select([self.master], [], [], 0.1)[0]:  # its last words
            self.seen += os.read(self.master, 65536)
        if self.process.poll() is None:
            self.process.kill()
        code = self.process.wait()
        whole, draft = state(self.path)
        return End(way, seconds, last - used, code, whole, draft)

    def close(self) -> None:
        """Let go of the terminal."""
        for number in (self.master, self.slave):
            if number >= 0:
                os.close(number)
        self.master = self.slave = -1


def cpu_s(pid: int) -> float:
    """CPU time a process has used [s]."""
    try:
        with open(f"/proc/{pid}/stat") as file:
            fields = file.read().rpartition(")")[2].split()
    except (FileNotFoundError, ProcessLookupError):
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def state(path: str) -> tuple[bool, bool]:
    """Whether the file is whole and closed, and whether a draft waits in it."""
    with closing(sqlite3.connect(path)) as conn:
        whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        conn.execute("BEGIN EXCLUSIVE")
        conn.execute("ROLLBACK")
        draft = conn.execute("SELECT count(*) FROM draft").fetchone()[0] > 0
    return whole, draft


def closed_window(path: str) -> End:
    """The window is closed, or the SSH connection drops."""
    seat = Seat(path)
    return seat.end("window closed", seat.hang_up)


def nohup(path: str) -> End:
    """Nobody gets a SIGHUP: the process must notice by itself."""
    seat = Seat(path, nohup=True)
    return seat.end("SIGHUP ignored", seat.hang_up)


def terminated(path: str) -> End:
    """SIGTERM, as at shut-down."""
    seat = Seat(path)
    found = seat.end("SIGTERM", lambda: seat.process.send_signal(signal.SIGTERM), drain=True)
    seat.close()
    return found


def stuck(path: str) -> End:
    """SIGTERM while nobody reads what the program paints."""
    seat = Seat(path)
    os.write(seat.master, b"\x1b" + b"?q" * 400)
    time.sleep(0.5)
    found = seat.end("SIGTERM, stuck", lambda: seat.process.send_signal(signal.SIGTERM))
    found.draft = True  # the keys above left the line
    seat.close()
    return found


def interrupted(path: str) -> End:
    """Ctrl-C gives the terminal back as it was."""
    seat = Seat(path)
    found = seat.end("ctrl-c", lambda: os.write(seat.master, b"\x03") and None, drain=True)
    found.whole = found.whole and termios.tcgetattr(seat.slave) == seat.before
    found.whole = found.whole and b"\x1b[?1049l" in seat.seen and b"\x1b[?25h" in seat.seen
    seat.close()
    return found


def tmux_killed(path: str) -> End:
    """The tmux server it runs in is killed."""
    socket = f"curedash-{os.getpid()}"
    tmux = ["tmux", "-L", socket, "-f", "/dev/null"]
    run = f"exec {sys.executable} -m curedash --db {path} --now {NOW.isoformat()}"
    subprocess.run([*tmux, "new-session", "-d", "-x", "80", "-y", "24", run], check=True)
    shown = [*tmux, "capture-pane", "-p"]
    end = time.monotonic() + 20
    while "weigh" not in subprocess.run(shown, capture_output=True, text=True, check=True).stdout:
        assert time.monotonic() < end
        time.sleep(0.1)
    asked = [*tmux, "display-message", "-p", "#{pane_pid} #{pid}"]
    pane, server = subprocess.run(asked, capture_output=True, text=True, check=True).stdout.split()
    used, start = cpu_s(int(pane)), time.monotonic()
    os.kill(int(server), signal.SIGKILL)
    last = used
    while alive(int(pane)) and time.monotonic() - start < LIMIT_S + 5:
        last = max(last, cpu_s(int(pane)))
        time.sleep(0.01)
    seconds = time.monotonic() - start
    whole, draft = state(path)
    return End("tmux", seconds, last - used, 0, whole, draft)


def alive(pid: int) -> bool:
    """Whether a process runs (one that nobody has waited for yet does not)."""
    try:
        with open(f"/proc/{pid}/stat") as file:
            return file.read().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


WAYS = (closed_window, nohup, terminated, stuck, interrupted, tmux_killed)


def run(way: Callable[[str], End]) -> End:
    """One way on a fresh file."""
    with tempfile.TemporaryDirectory() as folder:
        build(f"{folder}/household.db")
        return way(f"{folder}/household.db")


def main() -> int:
    """Print the worst figures of each way; 1 if one of them was not good."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    bad = 0
    for way in WAYS:
        if way is tmux_killed and shutil.which("tmux") is None:
            print("terminal: tmux is not installed, left out")
            continue
        ends = [run(way) for _ in range(times)]
        bad += sum(not end.good for end in ends)
        print(
            f"terminal: {ends[0].way} × {times}: gone after {max(e.seconds for e in ends):.2f} s"
            f" at most, CPU {max(e.cpu_s for e in ends):.2f} s, exit {ends[0].code}, of {times}:"
            f" whole {sum(e.whole for e in ends)}, draft {sum(e.draft for e in ends)}"
        )
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main())
