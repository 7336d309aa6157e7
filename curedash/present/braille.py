"""A sheet of Braille dots, two by four in each cell, with signs laid over them."""

from __future__ import annotations

_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))  # Unicode 16.0, block 2800
EMPTY = 0x2800


class Sheet:
    """Dots on ``width`` × ``height`` cells; x grows to the right, y upwards, both from 0 to 1."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = max(1, width), max(1, height)
        self._dots = [[0] * self.width for _ in range(self.height)]
        self._signs: dict[tuple[int, int], str] = {}

    def line(self, x0: float, y0: float, x1: float, y1: float, *, every: int = 1) -> None:
        """A straight line; with ``every`` above 1 only each so many dots of it."""
        across, up = 2 * self.width - 1, 4 * self.height - 1
        steps = max(1, round(max(abs(x1 - x0) * across, abs(y1 - y0) * up)))
        for step in range(0, steps + 1, every):
            part = step / steps
            self.dot(x0 + part * (x1 - x0), y0 + part * (y1 - y0))

    def dot(self, x: float, y: float) -> None:
        """One dot; outside the sheet nothing."""
        column, row = self._place(x, y)
        if 0 <= column < 2 * self.width and 0 <= row < 4 * self.height:
            self._dots[row // 4][column // 2] |= _DOTS[row % 4][column % 2]

    def sign(self, x: float, y: float, char: str) -> None:
        """A sign in the cell of this place, over its dots."""
        column, row = self._place(x, y)
        if 0 <= column < 2 * self.width and 0 <= row < 4 * self.height:
            self._signs[column // 2, row // 4] = char

    def level(self, y: float, char: str) -> None:
        """A sign in every empty cell at one height."""
        _, row = self._place(0.0, y)
        if 0 <= row < 4 * self.height:
            for column in range(self.width):
                self._signs.setdefault((column, -1 - row // 4), char)

    def column(self, x: float, low: float, high: float, char: str) -> None:
        """A sign in every empty cell of one column, from one height to another."""
        column, _ = self._place(x, 0.0)
        if not 0 <= column < 2 * self.width:
            return
        for row in range(max(0, self.row(high)), min(self.height - 1, self.row(low)) + 1):
            self._signs.setdefault((column // 2, -1 - row), char)

    def row(self, y: float) -> int:
        """Which line a height lies in, 0 the highest; it may lie outside."""
        return self._place(0.0, y)[1] // 4

    def rows(self) -> list[str]:
        """The lines, the highest first."""
        return ["".join(self._cell(x, y) for x in range(self.width)) for y in range(self.height)]

    def _cell(self, x: int, y: int) -> str:
        if (x, y) in self._signs:
            return self._signs[x, y]
        if self._dots[y][x]:
            return chr(EMPTY + self._dots[y][x])
        return self._signs.get((x, -1 - y), " ")

    def _place(self, x: float, y: float) -> tuple[int, int]:
        return round(x * (2 * self.width - 1)), round((1 - y) * (4 * self.height - 1))
