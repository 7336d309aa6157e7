"""The blocks of a paper on A4 or Letter pages, each with its title and number."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from curedash.papers import curve_svg
from curedash.papers.blocks import Block, Figure, Heading, Items, PageBreak, Para, Table
from curedash.papers.pdf import FONT, LEADING, MM_PER_POINT, Canvas, drawable

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN_MM, FOOT_MM = 16.0, 10.0
BODY_PT, SMALL_PT = 10.0, 8.0
HEAD_PT = {1: 18.0, 2: 13.0, 3: 11.0}
CELL_MM = 1.2


def as_pdf(blocks: Sequence[Block], made_at: datetime, page: str = "a4") -> bytes:
    """The paper as a PDF file."""
    title = next((b.text for b in blocks if isinstance(b, Heading)), "curedash")
    sheet = Pages(title, made_at, *PAGES[page])
    for block, coming in zip(blocks, [*blocks[1:], None], strict=True):
        if isinstance(block, PageBreak) and isinstance(coming, Heading) and coming.level == 1:
            sheet.title = drawable(coming.text)  # its foot names the lot that stands on the page
        sheet.put(block)
    return sheet.bytes()


class Pages:
    """Blocks set one under the other, on as many pages as they need."""

    def __init__(self, title: str, made_at: datetime, width: float, height: float) -> None:
        self.canvas = Canvas(width, height, title, made_at)
        self.title = drawable(title)
        self.left, self.room = MARGIN_MM, width - 2 * MARGIN_MM
        self.bottom = height - MARGIN_MM - FOOT_MM
        self.y, self.number = 0.0, 0
        self._new_page()

    def put(self, block: Block) -> None:
        """Set one block."""
        if isinstance(block, Heading):
            self._heading(block)
        elif isinstance(block, Para):
            self._para(block)
        elif isinstance(block, Items):
            self._items(block)
        elif isinstance(block, Table):
            self._table(block)
        elif isinstance(block, Figure):
            self._figure(block)
        else:
            self._new_page()

    def bytes(self) -> bytes:
        """The finished file."""
        return self.canvas.bytes()

    def _new_page(self) -> None:
        self.canvas.page()
        self.number += 1
        self.y = MARGIN_MM
        foot = self.canvas.height_mm - MARGIN_MM
        name = self.canvas.wrapped(self.title, SMALL_PT, self.room - 20)[0]
        self.canvas.write(self.left, foot, name, SMALL_PT)
        self.canvas.write(self.left, foot, str(self.number), SMALL_PT, align="R", width=self.room)

    def _need(self, height: float) -> None:
        """Begin a new page unless there is room for so much [mm]."""
        if self.y + height > self.bottom and self.y > MARGIN_MM:
            self._new_page()

    def _lines(
        self, lines: Sequence[str], size_pt: float, *, bold: bool = False, indent: float = 0.0
    ) -> None:
        high = size_pt * MM_PER_POINT * LEADING
        for line in lines:
            self._need(high)
            self.canvas.write(self.left + indent, self.y, line, size_pt, bold=bold)
            self.y += high

    def _heading(self, block: Heading) -> None:
        size = HEAD_PT[block.level]
        high = size * MM_PER_POINT
        self._need(5 * high)
        self.y += 0.0 if self.y == MARGIN_MM else 0.9 * high
        self._lines(self.canvas.wrapped(block.text, size, self.room, bold=True), size, bold=True)
        self.y += 0.3 * high

    def _para(self, block: Para) -> None:
        lines = self.canvas.wrapped(block.text, BODY_PT, self.room, block.strong)
        self._lines(lines, BODY_PT, bold=block.strong)
        self.y += 1.6

    def _items(self, block: Items) -> None:
        side = BODY_PT * MM_PER_POINT
        for n, text in enumerate(block.texts):
            lines = self.canvas.wrapped(text, BODY_PT, self.room - 2 * side)
            self._need(min(len(lines), 3) * side * LEADING)
            if block.ticks is None:
                self.canvas.write(self.left, self.y, "–", BODY_PT)
            else:
                self.canvas.tick(self.left, self.y, side, block.ticks[n])
            self._lines(lines, BODY_PT, indent=1.7 * side)
            self.y += 0.7
        self.y += 1.2

    # ── tables ────────────────────────────────────────────────────────────────────────────

    def _table(self, table: Table) -> None:
        size = BODY_PT if len(table.heads) < 6 else SMALL_PT + 0.5
        widths = self._widths(table, size)
        if table.headed:
            self._row(table.heads, widths, size, table.numbers, bold=True)
        for row in table.rows:
            high = self._height(row, widths, size, bold=False)
            if self.y + high > self.bottom:
                self._new_page()
                if table.headed:
                    self._row(table.heads, widths, size, table.numbers, bold=True)
            self._row(row, widths, size, table.numbers)
        self.y += 2.5

    def _widths(self, table: Table, size: float) -> list[float]:
        """As wide as the longest cell, the widest ones narrowed until all fit; blanks grow."""
        rows = [table.heads, *table.rows]
        widest = [
            max(self.canvas.width(drawable(row[n]), size, row is table.heads) for row in rows)
            for n in range(len(table.heads))
        ]
        blank = [n for n in range(len(widest)) if any(not row[n] for row in table.rows)]
        widths = [max(w + 2 * CELL_MM + 0.5, 8.0) for w in widest]
        for n in blank:
            widths[n] = max(widths[n], 24.0)
        while sum(widths) > self.room:
            widths[widths.index(max(widths))] -= 1.0
        spare = self.room - sum(widths)
        for n in blank:
            widths[n] += spare / len(blank)
        return widths

    def _height(
        self, row: Sequence[str], widths: Sequence[float], size: float, bold: bool
    ) -> float:
        lines = max(
            len(self.canvas.wrapped(cell, size, width - 2 * CELL_MM, bold))
            for cell, width in zip(row, widths, strict=True)
        )
        least = 0.0 if all(row) else 7.0  # a hand needs room
        return max(lines * size * MM_PER_POINT * LEADING + 2 * CELL_MM, least)

    def _row(
        self,
        row: Sequence[str],
        widths: Sequence[float],
        size: float,
        numbers: tuple[int, ...],
        bold: bool = False,
    ) -> None:
        high = self._height(row, widths, size, bold)
        self._need(high)
        x, line = self.left, size * MM_PER_POINT * LEADING
        for n, (cell, width) in enumerate(zip(row, widths, strict=True)):
            self.canvas.box(x, self.y, width, high, 0.15)
            inner = width - 2 * CELL_MM
            align = "R" if n in numbers else "L"
            for at, words in enumerate(self.canvas.wrapped(cell, size, inner, bold)):
                y = self.y + CELL_MM + at * line
                self.canvas.write(x + CELL_MM, y, words, size, bold=bold, align=align, width=inner)
            x += width
        self.y += high

    # ── the curve ─────────────────────────────────────────────────────────────────────────

    def _figure(self, block: Figure) -> None:
        high = self.room * curve_svg.HEIGHT / curve_svg.WIDTH
        self._need(high + 8)
        drawn = curve_svg.svg(block.curve, font=FONT)
        self.canvas.picture(drawn, self.left, self.y, self.room)
        self.y += high + 1
        self._para(Para(block.caption))
