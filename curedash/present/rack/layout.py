"""The columns of the Rack at each width, their heads, and the axis of dates they may share."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta

from curedash.domain.record import record, replace
from curedash.present.words import day, left, right

STEPS_D = (1, 2, 3, 5, 7, 14)  # days a cell of the axis may stand for: design values
PANE_FROM = 140  # columns from which one lot is shown beside the list
PANE_LEAST, PANE_MOST = 39, 80
LEAST_COLUMNS, LEAST_LINES = 40, 10  # below them one sentence is all there is room for


@record
class Layout:
    """Widths in cells of the columns at one breakpoint; 0 leaves a column out."""

    columns: int
    lot: int
    meat: int
    stage: int
    place: int
    loss: int
    rate: int
    ago: int
    trend: int
    to_go: int
    ready: int
    axis: int = 0


PHONE = Layout(40, 4, 13, 0, 0, 6, 0, 0, 0, 0, 12)
NARROW = Layout(60, 4, 21, 0, 0, 6, 0, 0, 0, 8, 15)
MIDDLE = Layout(80, 4, 21, 8, 0, 6, 4, 0, 8, 7, 13)
WIDE = Layout(100, 4, 20, 8, 14, 6, 4, 4, 8, 7, 14)
BESIDE = Layout(100, 4, 22, 8, 0, 6, 4, 0, 8, 7, 14, axis=17)  # the place stands in the pane
WIDEST = Layout(120, 4, 23, 8, 14, 6, 4, 4, 8, 7, 14, axis=16)
LAYOUTS = (WIDEST, WIDE, MIDDLE, NARROW, PHONE)


def layout_for(columns: int) -> Layout:
    """The widest layout that fits; on a phone the meat has what the other columns leave."""
    if columns >= PANE_FROM:
        list_columns = columns - pane_columns(columns)
        return WIDEST if list_columns >= WIDEST.columns else BESIDE
    for layout in LAYOUTS[:-1]:
        if columns >= layout.columns:
            return layout
    spare = max(0, columns - PHONE.columns)
    return replace(PHONE, columns=PHONE.columns + spare, meat=PHONE.meat + spare)


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


def axis_of(windows: Iterable[tuple[date, date]], today: date, cells: int) -> Axis | None:
    """The axis on which these windows stand under each other; None without room for one.

    Example
    -------
    >>> axis_of([(date(2026, 12, 3), date(2026, 12, 20))], date(2026, 11, 25), 16).step_d
    2
    """
    if not cells:
        return None
    far = max((last for _, last in windows), default=today)
    wanted = (far - today).days + 1
    step = next((each for each in STEPS_D if each * cells >= wanted), STEPS_D[-1])
    return Axis(today, step, cells)


def axis_heads(axis: Axis) -> str:
    """Its first day and one in its second half: ``28 Nov   22 Dec``."""
    at = (axis.cells + 1) // 2
    first, later = day(axis.first), day(axis.first + timedelta(days=at * axis.step_d))
    return left(left(first, at) + later, axis.cells)


# ── the heads ─────────────────────────────────────────────────────────────────────────────


#: the columns from left to right: the field of the layout, its head, the side it is set to
HEADS: tuple[tuple[str, str, Callable[[str, int], str]], ...] = (
    ("lot", "Lot", left),
    ("meat", "Meat", left),
    ("stage", "Stage", left),
    ("place", "Place", left),
    ("loss", "Lost", right),
    ("rate", "%/d", right),
    ("ago", "Ago", right),
    ("trend", "Trend", left),
    ("to_go", "To go", right),
    ("ready", "Ready", left),
)


def heads_line(layout: Layout, axis: Axis | None = None) -> str:
    """The heads of the columns."""
    parts = [side(head, w) for name, head, side in HEADS if (w := getattr(layout, name))]
    if layout.axis:
        parts.append(axis_heads(axis) if axis is not None else " " * layout.axis)
    return left("  " + " ".join(parts), layout.columns)
