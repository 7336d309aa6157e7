"""Where the terminal's own cursor stands: a screen reader reads what is beside it."""

from typing import Any

from textual.app import App
from textual.geometry import Offset

from curedash.tui.chassis.textual_inside import write_to_terminal

_PRIVATE_MODE = "\x1b[?"
SHOW, HIDE = f"{_PRIVATE_MODE}25h", f"{_PRIVATE_MODE}25l"  # DECTCEM


class Caret:
    """The cursor of the terminal: shown at the caret, without one hidden at the marked line."""

    def __init__(self, app: App[Any]) -> None:
        self._app = app
        self.at = Offset()
        self.shown = False

    def put_at(self, at: Offset) -> None:
        """There is a caret."""
        self.marks(at)
        if not self.shown:
            self.shown = True
            self._write(SHOW)

    def gone(self) -> None:
        """Nobody types any more."""
        if self.shown:
            self.shown = False
            self._write(HIDE)

    def marks(self, at: Offset) -> None:
        """A line is marked and nobody types."""
        self.at = self._app.cursor_position = at

    def _write(self, sequence: str) -> None:
        write_to_terminal(self._app, sequence)
