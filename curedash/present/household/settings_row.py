"""One row of Settings, and how it is drawn."""

from __future__ import annotations

from curedash.domain.record import record
from curedash.present.words import NOTHING, Line, Span, cells, cut, left, plain, right, text_of

OWN = " *"  # behind what the household chose
GRID_LABEL = 20
CELL = 11
CELL_NARROW = 10
ALERT_LABEL = 62
CUT = "…"


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

    @property
    def key(self) -> tuple[str, str]:
        """What stays the same when the value changes."""
        return self.kind, self.which


def head(label: str, value: str) -> Row:
    """A head with what it says of the rows below."""
    return Row("head", label, label, value)


def row_line(row: Row, width: int, column: int | None = None) -> Line:
    """A row as a line: what it is, then what was chosen; of a grid the chosen cell in brackets."""
    if row.cells:
        return _grid_line(row, width, column)
    if row.kind == "head":
        room = width - 3 - len(row.label)
        return ((f" {row.label} ", "title"), (cut(f"  {plain(row.value)}", room), "quiet"))
    if row.kind == "alert":
        room = min(width - 15, ALERT_LABEL)
        return (("   " + left(row.label, room), "quiet"), (right(row.value, 11), ""))
    label = 20 if width < 80 else 28
    return (
        ("   " + left(row.label, label) + " ", "quiet"),
        (cut(row.value or NOTHING, width - label - 4), ""),
    )


def whole_words(row: Row, width: int) -> str:
    """What a line says that was cut on it; nothing where it is seen whole.

    Example
    -------
    >>> whole_words(Row("signs", "", "signs", "by the terminal: Braille dots and blocks"), 45)
    'signs: by the terminal: Braille dots and blocks'
    """
    if row.cells or CUT not in text_of(row_line(row, width)):
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
