"""One lot as a line of the Rack: what it is, its state, how far, when, and what to do next.

Widths are fixed per breakpoint, so a repainted line never moves its neighbours. The sign in the
first cell and the words carry the meaning; tones only repeat it.
"""

from __future__ import annotations

from datetime import date, tzinfo

from curedash.domain.record import record
from curedash.present.numbers import number
from curedash.present.rack.columns import (
    far_span,
    is_stalled_now,
    ready_words,
    span_of,
    state_or_date,
    state_span,
)
from curedash.present.rack.layout import HEAD, Axis, Layout
from curedash.present.rack.meat import meat_words
from curedash.present.rack.trend import trend
from curedash.present.words import NOTHING, SIGNS, Line, Span, filled, left, plain, right

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable

    from curedash.services.rack import RackRow

IN_WINDOW, MIDDLE_DAY = "░", "▓"
UNHUNG = ("raw", "in-cure", "ferment")  # stages without a way to a target yet
LEAST_VERB = 6  # cells from which a verb is beside its key
NEVER = "may not come"  # on the axis, of a lot that likely never gets there


@record
class Around:
    """What a line needs besides its lot: zone and day, the shared axis, its next action."""

    zone: tzinfo
    axis: Axis | None = None
    action: tuple[str, str] = ("", "")  # key and words
    today: date | None = None
    alike: frozenset[int] = frozenset()  # batches of which several lots are shown


@record
class Step:
    """Something to do next: its key, and what it is."""

    key: str
    words: str
    level: str


def row_line(row: RackRow, layout: Layout, around: Around) -> Line:
    """One lot as a line of exactly ``layout.columns`` cells."""
    spans: list[Span] = [_head(row)]
    for name, words in COLUMNS if layout.state else ONE_FOR_BOTH:
        if width := getattr(layout, name):
            spans += [*words(row, width, around), (" ", "")]
    return filled(spans[:-1], layout.columns)


def _head(row: RackRow) -> Span:
    return left(SIGNS.get(row.level, " "), HEAD), _tone(row)


def _tone(row: RackRow) -> str:
    return row.level if row.level in ("act", "today") else "strong"


def _code(row: RackRow, width: int, _around: Around) -> list[Span]:
    return [(left(row.lot.code, width), _tone(row))]


def _meat(row: RackRow, width: int, around: Around) -> list[Span]:
    words = meat_words(row.lot, width, alike=row.lot.batch_id in around.alike)
    return [(left(words, width), "")]


def _place(row: RackRow, width: int, _around: Around) -> list[Span]:
    return [(left(plain(row.lot.place or NOTHING), width), "quiet")]


def _state(row: RackRow, width: int, around: Around) -> list[Span]:
    return [state_span(row, width, around.today)]


def _far(row: RackRow, width: int, _around: Around) -> list[Span]:
    return [far_span(row, width)]


def _rate(row: RackRow, width: int, _around: Around) -> list[Span]:
    """What it loses in a day, while it dries."""
    if row.lot.stage in UNHUNG:
        return [(" " * width, "")]
    rate = row.figures.rate_pct_per_day if row.lot.stage == "drying" else None
    return [(right(NOTHING if rate is None else number(rate, 2), width), "quiet")]


def _trend(row: RackRow, width: int, _around: Around) -> list[Span]:
    drawn = "" if row.lot.stage in UNHUNG else trend(row.figures.way, width)
    return [(left(drawn, width), "quiet")]


def _ready(row: RackRow, width: int, around: Around) -> list[Span]:
    return [(left(ready_words(row, width, around.zone), width), "")]


def _ready_or_state(row: RackRow, width: int, around: Around) -> list[Span]:
    return [state_or_date(row, width, around.zone, around.today)]


def _window(row: RackRow, width: int, around: Around) -> list[Span]:
    """The days ahead on the axis that all rows share."""
    if row.lot.stage == "drying" and is_stalled_now(row) and row.figures.window is None:
        return [(left(NEVER, width), "quiet")]
    cells = width if around.axis is None else around.axis.cells
    return [(left(window_bar(row, around, cells), width), "quiet")]


def _act(row: RackRow, width: int, around: Around) -> list[Span]:
    """What is to be done, its key first; the key alone where there is no room."""
    key, words = around.action
    if width < LEAST_VERB:
        return [(right(key, width), "key")]
    return [(key, "key"), (left(f" {words}" if words else "", width - len(key)), row.level)]


#: the columns from left to right: field of the layout, what it shows
COLUMNS: tuple[tuple[str, Callable[[RackRow, int, Around], list[Span]]], ...] = (
    ("lot", _code),
    ("meat", _meat),
    ("place", _place),
    ("state", _state),
    ("far", _far),
    ("rate", _rate),
    ("trend", _trend),
    ("ready", _ready),
    ("axis", _window),
    ("act", _act),
)
#: where state and date have one column
ONE_FOR_BOTH = tuple(
    (name, _ready_or_state if name == "ready" else words) for name, words in COLUMNS
)


def window_bar(row: RackRow, around: Around, width: int) -> str:
    """The days ahead as cells, the middle one darker; an arrow where they go on."""
    axis, span = around.axis, span_of(row, around.zone)
    if span is None or axis is None or span[1] < axis.first:
        return " " * width
    first, last = axis.cell(span[0]), axis.cell(span[1])
    if first >= width:
        return " " * (width - 1) + "→"
    drawn = [IN_WINDOW if first <= at <= last else " " for at in range(width)]
    middle = row.figures.median if row.lot.stage == "drying" else span[0]
    if middle is not None and 0 <= axis.cell(middle) < width:
        drawn[axis.cell(middle)] = MIDDLE_DAY
    if last >= width:
        drawn[-1] = "→"
    return "".join(drawn)
