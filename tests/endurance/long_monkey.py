"""Random keys over all pages, and random bytes, in a real terminal: nothing ends the dashboard.

    long_monkey.py [--minutes N] [--seed S] [--bytes]      10 minutes of keys unless told otherwise

Each round opens the demo in a pseudo-terminal and opens some page; then keys come as a person, a
child or a cat would press them, or, with ``--bytes``, bytes as a broken line or a binary file
would send them. Wrong is: any exit but 0 and 130, a trace, a screen that does not answer Ctrl-C,
a file that is not whole. What was sent is printed then; the seed brings it back.
"""

import errno
import fcntl
import os
import pty
import random
import select
import shutil
import signal
import sqlite3
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections import Counter
from contextlib import closing
from datetime import UTC, datetime

from curedash.services.file.demo import build_demo
from curedash.tui.chassis.commands import of_page

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
FINE = (0, 130)
ANSWERS_WITHIN_S = 20.0
QUIET_S = 0.03
SPECIAL = {
    "up": "\x1b[A",
    "down": "\x1b[B",
    "left": "\x1b[D",
    "right": "\x1b[C",
    "home": "\x1b[H",
    "end": "\x1b[F",
    "page up": "\x1b[5~",
    "page down": "\x1b[6~",
    "delete": "\x1b[3~",
    "tab": "\t",
    "back tab": "\x1b[Z",
    "enter": "\r",
    "escape": "\x1b",
    "backspace": "\x7f",
    "ctrl+u": "\x15",
    "ctrl+w": "\x17",
    "ctrl+z": "\x1a",
    "F1": "\x1bOP",
    "F2": "\x1bOQ",
    "F5": "\x1b[15~",
    "F10": "\x1b[21~",
    "space": " ",
}
TYPED = "0123456789.,kgmlbozC%±-:/ abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ?+*#@!\"'äß…"
PIECES = (
    b"\x1b[",
    b"\x1b]",
    b"\x1bP",
    b"\x1b_",
    b"\x1b^",
    b"\x1bX",
    b"\x1bO",
    b"\x1b",
    b"\x1b\\",
    b"\a",
    b"\x1b[200~",
    b"\x1b[201~",
    b"\x1b[48;24;80;1;1t",
    b"\x1b[48;0;0;0;0t",
    b"\x1b[I",
    b"\x1b[O",
    b"\x1b[<0;5;5M",
    b"\x1b[<0;5;5m",
    b"\x1b[M   ",
    b"\x1b[?2026;1$y",
    b"\x1b[1;1R",
    b"\x1b[?2048;1$y",
    b"\xff",
    b"\xc3",
    b"\xf0\x9f",
    b"\x80\x80",
    b"\0",
    b"\r",
    b"1181\r",
    b"q",
    b"\x1b[27u",
    b"\x1b[57362u",
    b"\x1b[97;5u",
    b"\x1b[99999999999;3u",
    b"\x9b1;2;3m",
)


class Dashboard:
    """The program in a terminal of its own."""

    def __init__(self, path: str, home: str) -> None:
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        names = ("DATA", "CONFIG", "STATE", "CACHE")
        own = {"HOME": home, **{f"XDG_{name}_HOME": home for name in names}}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "curedash", "--db", path, "--now", NOW.isoformat()],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            cwd=home,
            env={
                **os.environ,
                **own,
                "TERM": "xterm-256color",
                "PYTHONPATH": os.pathsep.join(["", *sys.path]),
            },
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(slave)
        self.seen = b""

    def read(self, quiet_s: float = QUIET_S) -> None:
        """Take what it paints until it is quiet for a moment."""
        while select.select([self.master], [], [], quiet_s)[0]:
            try:
                data = os.read(self.master, 65536)
            except OSError as gone:
                if gone.errno == errno.EIO:
                    return
                raise
            if not data:
                return
            self.seen = (self.seen + data)[-200_000:]

    def until(self, words: bytes, seconds: float = 60.0) -> None:
        """Wait until it has painted this."""
        end = time.monotonic() + seconds
        while words not in self.seen and self.process.poll() is None:
            assert time.monotonic() < end, self.seen[-2000:]
            self.read(0.1)

    def send(self, data: bytes) -> None:
        """Type it, reading meanwhile what is painted."""
        end = time.monotonic() + ANSWERS_WITHIN_S
        while data and self.process.poll() is None and time.monotonic() < end:
            if select.select([], [self.master], [], 0.1)[1]:
                try:
                    data = data[os.write(self.master, data[:512]) :]
                except OSError:
                    return
            self.read(0.0)

    def leave(self) -> int | None:
        """Ctrl-C, and the exit code; None if nothing came of it."""
        end = time.monotonic() + ANSWERS_WITHIN_S
        asked = 0.0
        while self.process.poll() is None and time.monotonic() < end:
            if time.monotonic() - asked > 3.0:
                asked = time.monotonic()
                self.send(b"\x03")
            self.read(0.05)
        code = self.process.poll()
        if code is None:
            self.process.kill()
            self.process.wait()
        os.close(self.master)
        return code


def keys(rng: random.Random) -> bytes:
    """A few keys: single ones, held ones, something typed, a paste."""
    kind = rng.random()
    if kind < 0.35:
        return rng.choice(TYPED).encode()
    if kind < 0.75:
        return rng.choice(list(SPECIAL.values())).encode()
    if kind < 0.85:
        return rng.choice([*SPECIAL.values(), *TYPED]).encode() * rng.randrange(2, 25)
    if kind < 0.95:
        return f"{rng.randrange(1, 3000)}{rng.choice(['', ' g', ' oz', '.5', '%'])}\r".encode()
    text = "".join(rng.choice(TYPED + "\n\t") for _ in range(rng.randrange(1, 80)))
    return b"\x1b[200~" + text.encode() + b"\x1b[201~"


def noise(rng: random.Random) -> bytes:
    """Bytes as nobody types them."""
    kind = rng.random()
    if kind < 0.4:
        return b"".join(rng.choice(PIECES) for _ in range(rng.randrange(1, 6)))
    if kind < 0.7:
        return rng.randbytes(rng.randrange(1, 40))
    if kind < 0.8:
        return rng.choice(PIECES) + bytes(rng.choice(b"0123456789;:<?M") for _ in range(60))
    if kind < 0.85:
        return rng.randbytes(rng.randrange(100, 5000))
    return keys(rng)


def session(
    rng: random.Random, demo: str, folder: str, *, sends: int, of_bytes: bool, until: float
) -> tuple[str, int]:
    """One start: what went wrong (empty: nothing), and how many keys or pieces were sent."""
    path = f"{folder}/h.db"
    for name in os.listdir(folder):
        shutil.rmtree(f"{folder}/{name}", ignore_errors=True)
        if os.path.isfile(f"{folder}/{name}"):
            os.remove(f"{folder}/{name}")
    shutil.copy(demo, path)
    seat = Dashboard(path, folder)
    seat.until(b"weigh")
    page = rng.choice([command.keys[0] for command in of_page("rack") if command.keys])
    sent = [page.encode() if len(page) == 1 else b"\r"]
    seat.send(sent[0])
    for _ in range(sends):
        if seat.process.poll() is not None or time.monotonic() > until:
            break
        sent.append(noise(rng) if of_bytes else keys(rng))
        seat.send(sent[-1])
        seat.read()
    code = seat.leave()
    return _wrong(code, seat, path, folder, sent), len(sent)


def _wrong(code: int | None, seat: Dashboard, path: str, folder: str, sent: list[bytes]) -> str:
    found = []
    if code not in FINE:
        found.append("it did not answer" if code is None else f"exit {code}")
    trace = f"{folder}/curedash/trace.log"
    if os.path.exists(trace):
        with open(trace) as log:
            found.append(log.read()[-3000:])
    if b"Traceback" in seat.seen:
        found.append("a trace on the screen")
    with closing(sqlite3.connect(path)) as conn:
        if conn.execute("PRAGMA integrity_check").fetchone() != ("ok",):
            found.append("the file is not whole")
    if found:
        found.append(f"last sent: {sent[-12:]!r}; on the screen: {seat.seen[-300:]!r}")
    return "\n".join(found)


def run(
    seconds: float, seed: int, *, of_bytes: bool = False, sends: int = 150, rounds: int = 1 << 60
) -> Counter[str]:
    """Rounds until the time is up; what is wrong is printed."""
    figures = Counter({"rounds": 0, "sent": 0, "wrong": 0})
    until = time.monotonic() + seconds
    with tempfile.TemporaryDirectory() as top:
        demo, folder = f"{top}/demo.db", f"{top}/home"
        os.mkdir(folder)
        build_demo(demo, NOW)
        while time.monotonic() < until and figures["rounds"] < rounds:
            rng = random.Random(f"{seed}-{figures['rounds']}")
            wrong, sent = session(rng, demo, folder, sends=sends, of_bytes=of_bytes, until=until)
            figures["rounds"] += 1
            figures["sent"] += sent
            if wrong:
                figures["wrong"] += 1
                print(f"round {figures['rounds'] - 1} of seed {seed}:\n{wrong}", flush=True)
    return figures


def main() -> int:
    """Print the figures; 1 if anything was wrong."""
    words = sys.argv[1:]
    given = {
        name: float(words[words.index(name) + 1])
        for name in ("--minutes", "--seed")
        if name in words
    }
    of_bytes = "--bytes" in words
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    seed = int(given.get("--seed", time.time()))
    kinds = [True] if of_bytes else [False, True] if not given else [False]
    code = 0
    for kind in kinds:
        figures = run(60 * given.get("--minutes", 10.0), seed, of_bytes=kind)
        said = ", ".join(f"{name} {count}" for name, count in figures.items())
        print(f"monkey: {'bytes' if kind else 'keys'}, seed {seed}: {said}", flush=True)
        code |= int(figures["wrong"] > 0)
    return code


if __name__ == "__main__":
    sys.exit(main())
