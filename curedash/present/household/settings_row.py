"""One row of Settings, and how it is drawn."""

from __future__ import annotations

from itertools import zip_longest

from curedash.domain.record import record
from curedash.present.words import NOTHING, Line, Span, cells, left, plain, right, text_of, wrapped

OWN = " *"  # behind what the household chose
GRID_LABEL = 20
CELL = 11
CELL_NARROW = 10
ALERT_LABEL = 62
CUT = "…"
LABELS = ((78, 28), (56, 22))  # cells of a row → those of its label
PHONE_LABEL = 20
MOST_LINES = 3  # of one row


@record
class Cell:
    """One value of a row that has several."""

    which: str
    value: str
    help: str


@record
class Row:
    """One line of the Settings screen."""

    kind: str  # what Enter does with it
    which: str  # the scale, place, rule …
    label: str
    value: str
    help: str = ""
    cells: tuple[Cell, ...] = ()  # of a grid
    brief: str = ""  # the value in fewer words, where it is too long

    @property
    def key(self) -> tuple[str, str]:
        """What stays the same when the value changes."""
        return self.kind, self.which


def head(label: str, value: str) -> Row:
    """A head with what it says of the rows below."""
    return Row("head", label, label, value)


def row_lines(row: Row, width: int, column: int | None = None) -> list[Line]:
    """A row: what it is, then what was chosen; of a grid the chosen cell in brackets.

    What is longer than a line goes on below it.
    """
    if row.cells:
        return [_grid_line(row, width, column)]
    if row.kind == "head":
        return _head_lines(row, width)
    if row.kind == "alert":
        return _alert_lines(row, width)
    label = _label_cells(width)
    names = wrapped(row.label, label, MOST_LINES)
    values = wrapped(_value(row, width), width - label - 4, MOST_LINES)
    return [
        (("   " + left(name, label) + " ", "quiet"), (value, ""))
        for name, value in zip_longest(names, values, fillvalue="")
    ]


def _label_cells(width: int) -> int:
    return next((cells for least, cells in LABELS if width >= least), PHONE_LABEL)


def _value(row: Row, width: int) -> str:
    """What was chosen, in the words that fit on one line."""
    value = plain(row.value) or NOTHING
    return row.brief if row.brief and cells(value) > width - _label_cells(width) - 4 else value


def _head_lines(row: Row, width: int) -> list[Line]:
    """What it says of the rows below goes on under itself, or under the head where that is long."""
    room = width - 4 - cells(row.label)
    first, *more = wrapped(plain(row.value), room, MOST_LINES) or [""]
    lines: list[Line] = [((f" {row.label} ", "title"), (f"  {first}", "quiet"))]
    return lines + [((" " * (4 + cells(row.label)) + text, "quiet"),) for text in more]


def _alert_lines(row: Row, width: int) -> list[Line]:
    """The value is at the right of the first line of its words."""
    room = min(width - 15, ALERT_LABEL)
    first, *more = wrapped(row.label, room - 1, MOST_LINES)
    lines: list[Line] = [(("   " + left(first, room), "quiet"), (right(row.value, 11), ""))]
    return lines + [(("     " + text, "quiet"),) for text in more]


def whole_words(row: Row, width: int) -> str:
    """What a line says that was cut on it; nothing where it is seen whole.

    Example
    -------
    >>> whole_words(Row("file", "", "file", "/home/anna/households/curing.db"), 45)
    'file: /home/anna/households/curing.db'
    """
    if row.cells:
        return ""
    cut_off = any(CUT in text_of(line) for line in row_lines(row, width))
    if not cut_off and (row.kind in ("head", "alert") or _value(row, width) != row.brief):
        return ""
    return plain(row.value) if row.kind == "head" else f"{row.label}: {plain(row.value)}"


def _grid_line(row: Row, width: int, column: int | None) -> Line:
    """The label, then cells of one width with their values under each other."""
    wide = CELL if width >= GRID_LABEL + 3 + 3 * CELL else CELL_NARROW
    room = min(GRID_LABEL, width - 3 * wide - 3)
    title = row.kind == "head"
    named = row.label
    if title and cells(named) > room + 1:
        named = named.rpartition(": ")[2].capitalize()
    label = " " + left(named, room + 2) if title else "   " + left(named, room)
    spans: list[Span] = [(label, "title" if title else "quiet")]
    for at, cell in enumerate(row.cells):
        here = at == column
        value = cell.value.removesuffix(OWN)
        text = (f"[{value}]" if here else f"{value} ") + ("*" if value != cell.value else " ")
        tone = "typed" if here else "quiet" if title else ""
        spans.append((" " * max(0, wide - cells(text)) + text, tone))
    return tuple(spans)
