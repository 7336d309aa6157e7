"""A bar on stderr for work that takes longer than a second, when somebody is looking."""

import sys
from time import monotonic

from curedash.present.words import count

AFTER_S, EVERY_S, WIDTH = 1.0, 0.2, 30


class Progress:
    """Called with what is done so far; silent at first, and always where no person looks."""

    def __init__(self, what: str, total: int) -> None:
        self.what, self.total = what, max(total, 1)
        self.shown = False
        self.started = self.last = monotonic()
        self.watched = sys.stderr.isatty()

    def __call__(self, done: int) -> None:
        """So much is done."""
        now = monotonic()
        if not self.watched or now - self.started < AFTER_S or now - self.last < EVERY_S:
            return
        self.shown, self.last = True, now
        full = min(WIDTH, WIDTH * done // self.total)
        bar = "#" * full + "." * (WIDTH - full)
        print(f"\r{self.what} [{bar}] {done} of {count(self.total, 'row')}", end="",
              file=sys.stderr, flush=True)  # fmt: skip

    def end(self) -> None:
        """Leave the line of the bar."""
        if self.shown:
            print(file=sys.stderr)
