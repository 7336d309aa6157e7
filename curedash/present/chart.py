"""A chart in characters: a sheet of Braille dots between an axis of levels and one of moments."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from curedash.present.braille import Sheet
from curedash.present.words import cells, right

TICK, EDGE = "┤", "│"
Ends = tuple[float, float]
Ticks = Sequence[tuple[float, str]]
Spread = tuple[float, float, float]  # where across, its lowest, its highest


class Chart:
    """A sheet with room for its axes; whatever is outside of them is left out.

    Parameters
    ----------
    width, height : cells and lines there are, axes included
    across, up : the ends of both axes, the second above the first
    levels, moments : what is written at the axes, and where
    """

    def __init__(
        self, width: int, height: int, across: Ends, up: Ends, levels: Ticks, moments: Ticks
    ) -> None:
        self.across, self._up = across, up
        self._levels, self._moments = levels, moments
        self._span: tuple[float, float, str] | None = None
        self.margin = max((cells(label) for _, label in levels), default=0)
        self.sheet = Sheet(max(1, width - self.margin - 1), max(1, height - 1))

    def x(self, value: float) -> float:
        """Where a value lies across, 0 to 1 between the ends."""
        begin, end = self.across
        return (value - begin) / (end - begin)

    def y(self, value: float) -> float:
        """Where a value lies upwards, 0 to 1 between the ends."""
        low, high = self._up
        return (value - low) / (high - low)

    def line(self, points: Sequence[tuple[float, float]], *, every: int = 1) -> None:
        """Straight from point to point; with ``every`` above 1 dotted."""
        for (x0, y0), (x1, y1) in pairwise(points):
            self.sheet.line(self.x(x0), self.y(y0), self.x(x1), self.y(y1), every=every)

    def level(self, value: float, char: str = "─") -> None:
        """A sign in every free cell at one level."""
        self.sheet.level(self.y(value), char)

    def area(self, spreads: Sequence[Spread], char: str) -> None:
        """Fill what lies between lowest and highest, also between one value and the next."""
        pairs = list(pairwise(spreads)) or [(each, each) for each in spreads]
        for (x0, low0, high0), (x1, low1, high1) in pairs:
            steps = 1 + round((self.x(x1) - self.x(x0)) * 2 * self.sheet.width)
            for step in range(steps + 1):
                part = step / steps
                low, high = low0 + part * (low1 - low0), high0 + part * (high1 - high0)
                at = self.x(x0 + part * (x1 - x0))
                self.sheet.column(at, self.y(low), self.y(high), char)

    def column(self, x: float, char: str) -> None:
        """A sign in every free cell of one column."""
        self.sheet.column(self.x(x), 0.0, 1.0, char)

    def letters(self, points: Sequence[tuple[float, float]], char: str) -> None:
        """Straight from point to point in signs instead of dots."""
        for (x0, y0), (x1, y1) in list(pairwise(points)) or [(each, each) for each in points]:
            across = abs(self.x(x1) - self.x(x0)) * self.sheet.width
            steps = 1 + round(max(across, abs(self.y(y1) - self.y(y0)) * self.sheet.height))
            for step in range(steps + 1):
                part = step / steps
                self.sign(x0 + part * (x1 - x0), y0 + part * (y1 - y0), char)

    def sign(self, x: float, y: float, char: str) -> None:
        """A sign over whatever is there."""
        self.sheet.sign(self.x(x), self.y(y), char)

    def bracket(self, begin: float, end: float, label: str) -> None:
        """Span some moments below, with a label beside it; a second one takes its place."""
        self._span = begin, end, label

    def rows(self) -> list[str]:
        """The lines from the top, the moments last."""
        labels = {self.sheet.row(self.y(value)): label for value, label in self._levels}
        lines = [
            right(labels.get(n, ""), self.margin) + (TICK if n in labels else EDGE) + row
            for n, row in enumerate(self.sheet.rows())
        ]
        return [*lines, self._below()]

    def _cell(self, value: float) -> int:
        """In which cell of a line a moment lies."""
        return self.margin + 1 + round(self.x(value) * (self.sheet.width - 1))

    def spanned(self) -> tuple[int, str]:
        """In which cell bracket and label begin, and how they are drawn."""
        if self._span is None:
            return 0, ""
        begin, end, label = self._span
        room, wide = self.margin + 1 + self.sheet.width, cells(label) + 1
        last = min(room - 1, max(self._cell(end), self._cell(begin) + 1))
        first = max(0, min(self._cell(begin), last - 1))
        inner = last - first - 1
        drawn = "└" + "─" * inner + "┘"
        if last + wide < room:
            return first, f"{drawn} {label}"
        if first >= wide:
            return first - wide, f"{label} {drawn}"
        if inner > wide:
            before = (inner - wide - 1) // 2
            return first, f"└{'─' * before} {label} {'─' * (inner - wide - 1 - before)}┘"
        return first, drawn

    def _below(self) -> str:
        """Bracket and label, then the moments that have room, each begun in its cell."""
        room = self.margin + 1 + self.sheet.width
        begin, drawn = self.spanned()
        text = (" " * begin + drawn).ljust(room)
        for value, label in self._moments:
            at, wide = self._cell(value), cells(label)
            if at + wide <= room and not text[max(0, at - 1) : at + wide + 1].strip():
                text = text[:at] + label + text[at + wide :]
        return text.rstrip()
