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

    def sign(self, x: float, y: float, char: str) -> None:
        """A sign over whatever is there."""
        self.sheet.sign(self.x(x), self.y(y), char)

    def rows(self) -> list[str]:
        """The lines from the top, the moments last."""
        labels = {self.sheet.row(self.y(value)): label for value, label in self._levels}
        lines = [
            right(labels.get(n, ""), self.margin) + (TICK if n in labels else EDGE) + row
            for n, row in enumerate(self.sheet.rows())
        ]
        return [*lines, self._below()]

    def _below(self) -> str:
        """The labels of the moments, each begun in its cell; one without room is left out."""
        text, room = "", self.margin + 1 + self.sheet.width
        for value, label in self._moments:
            at = self.margin + 1 + round(self.x(value) * (self.sheet.width - 1))
            if at >= cells(text) + (1 if text else 0) and at + cells(label) <= room:
                text += " " * (at - cells(text)) + label
        return text
