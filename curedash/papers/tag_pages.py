"""Tags laid out on paper: the type as large as the label allows, the code never left out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from curedash.papers.pdf import LEADING, MM_PER_POINT, Canvas, drawable
from curedash.papers.sheet_sizes import SheetSize
from curedash.papers.tags import NEVER_LEFT_OUT, Row, Tag
from curedash.present.display_units import in_pounds

LARGEST_PT, SMALLEST_PT, STEP_PT = 13.0, 3.5, 0.25  # of the smallest label a pull weight is 5.6 pt
READABLE_PT = 7.0  # under this the least important rows are left out first
CODE_SIZE = 3.0  # of the label's own type size
GAP = 0.35  # between rows, of the type size
ACROSS, NARROW_MM, MOST_TALLER_MM = 3, 40.0, 6.0


def tag_pages(tags: Sequence[Tag], size: SheetSize, made_at: datetime) -> bytes:
    """The tags as a PDF file, several to a sheet or one a page."""
    title = "tags " + " ".join(dict.fromkeys(tag.code for tag in tags))
    canvas = Canvas(size.page_width_mm, size.page_height_mm, title, made_at)
    per_page = size.columns * size.rows
    for number, tag in enumerate(tags):
        if number % per_page == 0:
            canvas.page()
        row, column = divmod(number % per_page, size.columns)
        x = size.margin_mm + column * size.tag_width_mm
        y = size.margin_mm + row * size.tag_height_mm
        if size.is_sheet:
            canvas.pdf.set_draw_color(150)
            canvas.box(x, y, size.tag_width_mm, size.tag_height_mm, 0.1)
            canvas.pdf.set_draw_color(0)
        inset = size.inset_mm
        Layout(canvas, tag, size.tag_width_mm - 2 * inset, size.tag_height_mm - 2 * inset).draw(
            x + inset, y + inset
        )
    return canvas.bytes()


class Layout:
    """One tag fitted into a rectangle."""

    def __init__(self, canvas: Canvas, tag: Tag, width: float, height: float) -> None:
        self.canvas, self.tag = canvas, tag
        self.width, self.height = width, height
        self.code_side = min(24.0, max(13.0, 0.34 * min(width, height)))
        self.taller = 0.0  # what is left over makes the boxes to write in taller [mm each]
        self.rows, self.size_pt = self._fitted()
        boxed = sum(_down(row, width) for row in self.rows if row.kind == "boxes")
        if boxed:
            spare = self.height - self._flow(self.rows, self.size_pt)
            self.taller = min(max(spare, 0.0) / boxed, MOST_TALLER_MM)

    def _fitted(self) -> tuple[tuple[Row, ...], float]:
        """The rows kept and the largest type size at which they fit."""
        rows = self.tag.rows
        for least in sorted({row.worth for row in rows}):
            rows = tuple(row for row in rows if row.worth >= least)
            floor = SMALLEST_PT if least == NEVER_LEFT_OUT else READABLE_PT
            size_pt = LARGEST_PT
            while size_pt >= floor:
                if self._flow(rows, size_pt) <= self.height:
                    return rows, size_pt
                size_pt -= STEP_PT
        return rows, SMALLEST_PT

    def draw(self, x: float, y: float) -> None:
        """Draw the tag with its top left corner at x, y [mm]."""
        self.canvas.code(x + self.width - self.code_side, y, self.code_side, self.tag.code)
        self._flow(self.rows, self.size_pt, (x, y))

    def _flow(
        self, rows: Sequence[Row], size_pt: float, at: tuple[float, float] | None = None
    ) -> float:
        """Set the rows one under the other; drawn if a corner is given; the height used [mm]."""
        line = size_pt * MM_PER_POINT
        y = self._heading(size_pt, at)
        for row in rows:
            room = self._room(y)
            if row.kind == "text":
                y = self._text(row, y, room, size_pt, at)
            elif row.kind == "tick":
                y = self._tick(row, y, room, size_pt, at)
            else:
                y = self._text(row, y, room, size_pt, at)
                y = self._boxes(row, y, self._room(y), size_pt, at)
            y += GAP * line
        return max(y - GAP * line, self.code_side)

    def _room(self, y: float) -> float:
        """Width left beside the QR code at this height [mm]."""
        beside = y < self.code_side
        return self.width - (self.code_side + 1.0 if beside else 0.0)

    def _heading(self, size_pt: float, at: tuple[float, float] | None) -> float:
        """The lot code, as large as its room allows."""
        text, big = drawable(self.tag.code), CODE_SIZE * size_pt
        room = self._room(0)
        while self.canvas.width(text, big, bold=True) > room and big > SMALLEST_PT:
            big *= 0.95
        if at is not None:
            self.canvas.write(at[0], at[1], text, big, bold=True)
        return big * MM_PER_POINT * LEADING

    def _text(
        self,
        row: Row,
        y: float,
        room: float,
        size_pt: float,
        at: tuple[float, float] | None,
        indent: float = 0.0,
    ) -> float:
        size = row.size * size_pt
        for words in self.canvas.wrapped(row.text, size, room - indent, row.bold):
            if at is not None:
                self.canvas.write(at[0] + indent, at[1] + y, words, size, bold=row.bold)
            y += size * MM_PER_POINT * LEADING
        return y

    def _tick(
        self, row: Row, y: float, room: float, size_pt: float, at: tuple[float, float] | None
    ) -> float:
        side = row.size * size_pt * MM_PER_POINT
        if at is not None:
            self.canvas.tick(at[0], at[1] + y, side, bool(row.boxes[0]))
        return self._text(row, y, room, size_pt, at, indent=1.5 * side)

    def _boxes(
        self, row: Row, y: float, room: float, size_pt: float, at: tuple[float, float] | None
    ) -> float:
        """Boxes to write in, or (for turns) small ones with their day beside them."""
        line = row.size * size_pt * MM_PER_POINT * LEADING
        if row.kind == "turns":
            return self._turns(row, y, room, size_pt, at)
        down = _down(row, room)
        across = -(-len(row.boxes) // down)
        wide, high = room / across, max(2.1 * line, 5.5) + self.taller
        if at is not None:
            for number, _ in enumerate(row.boxes):
                left = at[0] + (number % across) * wide
                top = at[1] + y + (number // across) * high
                self.canvas.box(left, top, wide - 0.8, high - 0.8)
                foot, small = top + high - 0.8 - line, 0.8 * row.size * size_pt
                if in_pounds():
                    self.canvas.write(left + wide / 2 - 3.2, foot, "lb", small)
                unit = "oz" if in_pounds() else "g"
                self.canvas.write(
                    left + wide - 1.6 - self.canvas.width(unit, small), foot, unit, small
                )
        return y + down * high

    def _turns(
        self, row: Row, y: float, room: float, size_pt: float, at: tuple[float, float] | None
    ) -> float:
        size = row.size * size_pt
        side = size * MM_PER_POINT
        x, line = 0.0, size * MM_PER_POINT * LEADING
        for label in row.boxes:
            wide = 1.4 * side + self.canvas.width(label, size) + 1.2 * side
            if x and x + wide > room:
                x, y = 0.0, y + line
            if at is not None:
                self.canvas.box(at[0] + x, at[1] + y + 0.12 * side, side, side)
                self.canvas.write(at[0] + x + 1.4 * side, at[1] + y, label, size)
            x += wide
        return y + line


def _down(row: Row, room: float) -> int:
    """How many lines of boxes there are in this width."""
    across = ACROSS if room > NARROW_MM else 2
    return -(-len(row.boxes) // across)
