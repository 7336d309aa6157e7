"""A program in a real pty, its bytes counted and read back through a terminal emulator."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from collections.abc import Callable, Sequence

import pyte

QUIET_S = 0.12  # no byte for this long: the program has painted what it was going to


class Terminal:
    """One program at one size; ``spawned`` is the clock at its start."""

    def __init__(self, argv: Sequence[str], columns: int = 100, rows: int = 30, **env: str) -> None:
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self.received = 0
        self.spawned = time.perf_counter()
        size = struct.pack("HHHH", rows, columns, 0, 0)
        self.pid, self._fd = pty.fork()
        if self.pid == 0:
            known = {
                k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES", "NO_COLOR")
            }
            fcntl.ioctl(0, termios.TIOCSWINSZ, size)  # before the program asks for it
            os.execve(argv[0], list(argv), known | {"TERM": "xterm-256color"} | env)

    def resize(self, columns: int, rows: int) -> None:
        """Make the window another size."""
        self.screen.resize(rows, columns)
        fcntl.ioctl(self._fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        os.kill(self.pid, signal.SIGWINCH)

    def read(self, wait_s: float, most_bytes: int = 1 << 16) -> int:
        """Take what comes within a time; how many bytes (0: nothing came, -1: it ended)."""
        ready, _, _ = select.select([self._fd], [], [], wait_s)
        if not ready:
            return 0
        try:
            data = os.read(self._fd, most_bytes)
        except OSError:
            return -1
        if not data:
            return -1
        self.received += len(data)
        self._stream.feed(data)
        return len(data)

    def until(self, seen: Callable[[Terminal], bool], limit_s: float = 20.0) -> float:
        """Seconds since the start until the screen shows something."""
        end = time.perf_counter() + limit_s
        while not seen(self):
            if time.perf_counter() > end or self.read(0.02) < 0:
                raise TimeoutError("\n".join(self.screen.display))
        return time.perf_counter() - self.spawned

    def settle(self, quiet_s: float = QUIET_S) -> None:
        """Wait until it has been quiet for a while."""
        while self.read(quiet_s) > 0:
            pass

    def send(self, keys: str) -> None:
        """Type keys."""
        os.write(self._fd, keys.encode())

    def press(self, keys: str, quiet_s: float = QUIET_S) -> tuple[float, int]:
        """Milliseconds from a key to the first byte painted, and the bytes until it is quiet."""
        before = self.received
        start = time.perf_counter()
        self.send(keys)
        while self.received == before:
            if self.read(1.0) <= 0:
                break
        first = time.perf_counter() - start
        self.settle(quiet_s)
        return first * 1000, self.received - before

    def text(self) -> str:
        """The screen as text."""
        return "\n".join(self.screen.display)

    def resident_mib(self) -> float:
        """Resident memory [MiB]."""
        with open(f"/proc/{self.pid}/status", encoding="ascii") as status:
            line = next(line for line in status if line.startswith("VmRSS"))
        return int(line.split()[1]) / 1024

    def cpu_s(self) -> float:
        """Processor time so far, of all threads [s]."""
        try:  # to the nanosecond, where the kernel tells
            tasks = os.listdir(f"/proc/{self.pid}/task")
            return sum(_scheduled_s(self.pid, task) for task in tasks)
        except OSError:
            pass
        with open(f"/proc/{self.pid}/stat", encoding="ascii") as stat:
            fields = stat.read().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def close(self) -> None:
        """End it."""
        try:
            os.kill(self.pid, signal.SIGTERM)
            for _ in range(200):
                if os.waitpid(self.pid, os.WNOHANG)[0]:
                    break
                self.read(0.02)
            else:
                os.kill(self.pid, signal.SIGKILL)
                os.waitpid(self.pid, 0)
        except (ProcessLookupError, ChildProcessError):
            pass
        os.close(self._fd)


def _scheduled_s(pid: int, task: str) -> float:
    with open(f"/proc/{pid}/task/{task}/schedstat", encoding="ascii") as told:
        return int(told.read().split()[0]) / 1e9
