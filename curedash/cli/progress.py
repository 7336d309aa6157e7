"""One line on stderr, in place, for work that takes longer than a second; only in a terminal."""

import os
import sys
from threading import Event, Thread
from time import monotonic

from curedash.present.words import count

AFTER_S, EVERY_S, WIDTH = 1.0, 0.2, 30
WIPE = "\r\x1b[K"


def somebody_looks() -> bool:
    """Whether stderr is a terminal on which a line can be taken back."""
    return sys.stderr is not None and sys.stderr.isatty() and os.environ.get("TERM") != "dumb"


class Progress:
    """Called with what is done so far; silent at first, and always where no person looks."""

    def __init__(self, what: str, total: int, unit: str = "row") -> None:
        self.what, self.total, self.unit = what, max(total, 1), unit
        self.shown = False
        self.started = self.last = monotonic()
        self.watched = somebody_looks()

    def __call__(self, done: int, total: int | None = None) -> None:
        """So much is done, of so much."""
        now = monotonic()
        if not self.watched or now - self.started < AFTER_S or now - self.last < EVERY_S:
            return
        self.total = self.total if total is None else max(total, 1)
        self.shown, self.last = True, now
        full = min(WIDTH, WIDTH * done // self.total)
        bar = "#" * full + "." * (WIDTH - full)
        print(
            f"\r{self.what} [{bar}] {done} of {count(self.total, self.unit)}",
            end="",
            file=sys.stderr,
            flush=True,
        )

    def end(self) -> None:
        """Take the line of the bar away."""
        if self.shown:
            print(WIPE, end="", file=sys.stderr, flush=True)


class Working:
    """Says how long it has been at it, where nothing can be counted; gone when it ends."""

    def __init__(self, what: str) -> None:
        self.what = what
        self._ended = Event()
        self._thread = Thread(target=self._tick, daemon=True)
        self._thread.start()

    def _tick(self) -> None:
        started, wait_s, shown = monotonic(), AFTER_S, False
        while not self._ended.wait(wait_s):
            shown, wait_s = True, 1.0
            seconds = f"{monotonic() - started:.0f} s"
            print(f"{WIPE}{self.what} … {seconds}", end="", file=sys.stderr, flush=True)
        if shown:
            print(WIPE, end="", file=sys.stderr, flush=True)

    def end(self) -> None:
        """Take the line away; whatever is printed next stands on its own line."""
        self._ended.set()
        self._thread.join()
