"""The columns of the Rack at each width, their heads, and the axis of dates they may share."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta

from curedash.domain.record import record, replace
from curedash.present.words import cells, day, left, right

STEPS_D = (1, 2, 3, 5, 7, 14, 28, 56)  # days a cell of the axis may stand for: design values
PANE_FROM = 140  # columns from which one lot is shown beside the list
PANE_LEAST, PANE_MOST = 39, 80
LEAST_COLUMNS, LEAST_LINES = 40, 10  # below them one sentence is all there is room for
MARK, MARK_FROM = "┊", 4  # of the scale of the axis, and its first cell behind "now"
HEAD = 3  # cells before the lot: its sign, the pointer, a blank
MEAT_MOST = 40  # wider names than this are rare: what is left stays blank


@record
class Layout:
    """Widths in cells of the columns at one breakpoint; 0 leaves a column out.

    The last cell of a line stays blank.
    """

    columns: int
    lot: int
    meat: int
    place: int
    far: int
    rate: int
    trend: int
    when: int
    axis: int
    act: int


TINY = Layout(40, 4, 10, 0, 7, 0, 0, 12, 0, 0)
PHONE = Layout(45, 4, 11, 0, 7, 0, 0, 12, 0, 3)
NARROW = Layout(60, 4, 17, 0, 10, 0, 0, 14, 0, 7)
MIDDLE = Layout(80, 4, 20, 0, 10, 0, 4, 20, 0, 13)
WIDE = Layout(100, 4, 29, 0, 12, 4, 8, 20, 0, 13)
WIDEST = Layout(120, 4, 25, 14, 10, 0, 7, 20, 16, 13)
BESIDE = Layout(100, 4, 23, 0, 10, 0, 4, 20, 16, 13)  # the pane has the place
LAYOUTS = (WIDEST, WIDE, MIDDLE, NARROW, PHONE, TINY)


def layout_for(columns: int, code_cells: int = 4) -> Layout:
    """The widest layout that fits; the meat has the cells that are left over.

    Parameters
    ----------
    columns : of the screen
    code_cells : of the longest code shown
    """
    if columns >= PANE_FROM:
        columns -= pane_columns(columns)
        found = WIDEST if columns >= WIDEST.columns else BESIDE
    else:
        found = next((each for each in LAYOUTS if columns >= each.columns), TINY)
    lot = max(1, code_cells)
    spare = max(0, columns - found.columns)
    meat = found.meat + found.lot - lot
    more = max(0, min(spare, MEAT_MOST - meat)) if found.columns >= MIDDLE.columns else spare
    return replace(found, columns=found.columns + spare, lot=lot, meat=max(1, meat + more))


def pane_columns(columns: int) -> int:
    """Cells of the pane beside the list with the line between them; 0 where there is no room.

    Example
    -------
    >>> pane_columns(139), pane_columns(140), pane_columns(160), pane_columns(300)
    (0, 40, 40, 81)
    """
    if columns < PANE_FROM:
        return 0
    beside = columns - WIDEST.columns
    if beside < PANE_LEAST + 1:
        return columns - BESIDE.columns
    return min(beside, PANE_MOST + 1)


# ── the axis of dates ─────────────────────────────────────────────────────────────────────


@record
class Axis:
    """Dates as cells: the first one is today's."""

    first: date
    step_d: int
    cells: int

    def cell(self, on: date) -> int:
        """Which cell a day lies in; it may lie before the first or after the last."""
        return (on - self.first).days // self.step_d

    def on(self, cell: int) -> date:
        """The first day of a cell."""
        return self.first + timedelta(days=cell * self.step_d)

    def marks(self) -> dict[int, str]:
        """Cell → the day that is named above it; of one month the next is its number alone."""
        found: dict[int, str] = {}
        month, free = 0, MARK_FROM
        for cell in range(MARK_FROM, self.cells):
            on = self.on(cell)
            words = str(on.day) if on.month == month else day(on)
            if free <= cell <= self.cells - cells(words):
                found[cell] = words
                month, free = on.month, cell + cells(words) + 2
        return found


def axis_of(windows: Iterable[tuple[date, date]], today: date, cells: int) -> Axis | None:
    """The axis on which these windows are drawn under each other; None without room for one.

    Example
    -------
    >>> axis_of([(date(2026, 12, 3), date(2026, 12, 20))], date(2026, 11, 25), 16).step_d
    2
    """
    if cells < 1:
        return None
    far = max((last for _, last in windows), default=today)
    wanted = (far - today).days + 1
    step = next((each for each in STEPS_D if each * cells >= wanted), STEPS_D[-1])
    return Axis(today, step, cells)


def axis_heads(axis: Axis) -> str:
    """Its scale: today, and the days below whose marks the rows are read."""
    text = "now"
    for cell, words in axis.marks().items():
        text = left(text, cell) + MARK + words
    return text


# ── the heads ─────────────────────────────────────────────────────────────────────────────


#: the columns from left to right: the field of the layout, its head, the side it is set to
HEADS: tuple[tuple[str, str, Callable[[str, int], str]], ...] = (
    ("lot", "", left),
    ("meat", "Meat", left),
    ("place", "Place", left),
    ("far", "How far", left),
    ("rate", "%/d", right),
    ("trend", "Trend", left),
    ("when", "Ready, or step ends", left),
    ("axis", "", left),
    ("act", "Do, on row ›", left),
)


def heads_line(layout: Layout, axis: Axis | None = None, order_key: str = "") -> str:
    """The heads of the columns; lot and meat have one, which says in what order the rows are.

    ``order_key`` puts the rows in order; empty while they are.
    """
    own: dict[str, str | None] = {"axis": "" if axis is None else axis_heads(axis)}
    if layout.act < MIDDLE.act:
        own["act"] = "Do"
    if layout.when < MIDDLE.when:
        own["when"] = "State, when"
    if 0 < layout.trend < cells("Trend"):  # too narrow for a head: it shares the one before it
        own |= {"far": left("How far, trend", layout.far + 1 + layout.trend), "trend": None}
    parts = [
        side(words, max(w, cells(words)) if name == "far" else w)
        for name, head, side in HEADS[2:]
        if (w := getattr(layout, name)) and (words := own.get(name, head)) is not None
    ]
    first = left(order_head(layout.lot + 1 + layout.meat, order_key), layout.lot + 1 + layout.meat)
    return left(" " * HEAD + " ".join([first, *parts]), layout.columns)


def order_head(width: int, order_key: str) -> str:
    """In what order the lots are, or the key that puts them in order, in as many words as fit.

    Example
    -------
    >>> order_head(25, ""), order_head(17, ""), order_head(25, "o"), order_head(17, "o")
    ('Lot, urgent first', 'Lot, urgent first', 'Lot, o: urgent first', 'o: urgent first')
    """
    choices = ("Lot, urgent first", "Urgent first", "Lot", "Lot")
    if order_key:
        choices = (f"Lot, {order_key}: urgent first", f"{order_key}: urgent first", "Lot", "Lot")
    return next((words for words in choices if cells(words) <= width), choices[-1])
