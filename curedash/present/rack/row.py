"""One lot as a line of the Rack: what it is, its state, how far, when, and what to do next.

Widths are fixed per breakpoint, so a repainted line never moves its neighbours. The sign in the
first cell and the words carry the meaning; tones only repeat it.
"""

from __future__ import annotations

from datetime import date, tzinfo

from curedash.domain.record import record, replace
from curedash.present.numbers import number
from curedash.present.rack.columns import far_span, fitted, is_stalled_now, span_of, when_span
from curedash.present.rack.layout import HEAD, MARK, Axis, Layout
from curedash.present.rack.meat import meat_words
from curedash.present.rack.trend import TARGET, trend
from curedash.present.words import NOTHING, SIGNS, Line, Span, cells, filled, left, plain, right

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable

    from curedash.services.rack import RackRow

IN_WINDOW, MIDDLE_DAY = "░", "▓"
UNHUNG = ("raw", "in-cure", "ferment")  # stages without a way to a target yet
LEAST_ACT = 13  # cells from which what is done is in its own column, in all its words
LEAST_TARGET = 7  # cells from which the line of the target is seen as a line
NEVER = "may never come"  # on the axis, of a lot that likely never gets there


@record
class Around:
    """What a line needs besides its lot: zone and day, the shared axis, its next action."""

    zone: tzinfo
    axis: Axis | None = None
    action: tuple[str, str] = ("", "")  # key and words
    today: date | None = None


@record
class Step:
    """Something to do next: its key, and what it is."""

    key: str
    words: str
    level: str


def row_line(row: RackRow, layout: Layout, around: Around) -> Line:
    """One lot as a line of exactly ``layout.columns`` cells."""
    if row.lot.stage in UNHUNG:  # no rate and no trend: how far it is has their cells
        wide = sum(each + 1 for each in (layout.rate, layout.trend) if each)
        layout = replace(layout, far=layout.far + wide, rate=0, trend=0)
    spans: list[Span] = [_head(row)]
    for name, words in COLUMNS:
        if width := getattr(layout, name):
            spans += [*words(row, width, around), (" ", "")]
    return filled(_with_verb(spans, layout, around), layout.columns)


def _with_verb(spans: list[Span], layout: Layout, around: Around) -> list[Span]:
    """On a narrow screen the key has its verb where what is before it leaves the cells."""
    key, words = around.action
    if not 0 < layout.act < LEAST_ACT or not key:
        return spans[:-1]
    *before, (state, tone), _blank, _key, _verb, _end = spans
    room = layout.when + 1 + layout.act - cells(state.rstrip())
    act = fitted([f" {key} {short_verb(words)}", f" {key}"], room)
    return [*before, (state.rstrip(), tone), (right(act, room), "key")]


NO_VERB = ("it", "now", "over", "slice")


def short_verb(words: str) -> str:
    """One word for what is done.

    Example
    -------
    >>> [short_verb(words) for words in ("take it out", "rinse, hang", "turn over", "feel, slice")]
    ['out', 'hang', 'turn', 'feel']
    """
    said = [word.strip(",") for word in words.split() if word not in NO_VERB]
    return said[-1] if said else words


def _head(row: RackRow) -> Span:
    return left(SIGNS.get(row.level, " "), HEAD), _tone(row)


def _tone(row: RackRow) -> str:
    return row.level if row.level in ("act", "today") else "strong"


def _code(row: RackRow, width: int, _around: Around) -> list[Span]:
    return [(left(row.lot.code, width), _tone(row))]


def _meat(row: RackRow, width: int, _around: Around) -> list[Span]:
    return [(left(meat_words(row.lot, width), width), "")]


def _place(row: RackRow, width: int, _around: Around) -> list[Span]:
    return [(left(plain(row.lot.place or NOTHING), width), "quiet")]


def _far(row: RackRow, width: int, _around: Around) -> list[Span]:
    return [far_span(row, width)]


def _rate(row: RackRow, width: int, _around: Around) -> list[Span]:
    """What it loses in a day, while it dries."""
    rate = row.figures.rate_pct_per_day if row.lot.stage == "drying" else None
    return [(right(NOTHING if rate is None else number(rate, 2), width), "quiet")]


def _trend(row: RackRow, width: int, _around: Around) -> list[Span]:
    drawn = trend(row.figures.way, width)
    return [(left(drawn if width >= LEAST_TARGET else drawn.rstrip(TARGET), width), "quiet")]


def _when(row: RackRow, width: int, around: Around) -> list[Span]:
    words, tone = when_span(row, width, around.zone, around.today)
    return [(left(words, width), tone)]


def _window(row: RackRow, width: int, around: Around) -> list[Span]:
    """The days ahead on the axis that all rows share."""
    if row.lot.stage == "drying" and is_stalled_now(row) and row.figures.window is None:
        return [(left(NEVER, width), "quiet")]
    cells = width if around.axis is None else around.axis.cells
    return [(left(window_bar(row, around, cells), width), "quiet")]


def _act(row: RackRow, width: int, around: Around) -> list[Span]:
    """What is to be done, its key first."""
    key, words = around.action
    said = fitted([words, short_verb(words), ""], width - cells(key) - 1) if words else ""
    return [(key, "key"), (left(f" {said}" if said else "", width - cells(key)), row.level)]


#: the columns from left to right: field of the layout, what it shows
COLUMNS: tuple[tuple[str, Callable[[RackRow, int, Around], list[Span]]], ...] = (
    ("lot", _code),
    ("meat", _meat),
    ("place", _place),
    ("far", _far),
    ("rate", _rate),
    ("trend", _trend),
    ("when", _when),
    ("axis", _window),
    ("act", _act),
)


def window_bar(row: RackRow, around: Around, width: int) -> str:
    """The days ahead as cells, the middle one darker, on the marks of the scale; an arrow where
    they go on.
    """
    axis, span = around.axis, span_of(row, around.zone)
    if axis is None:
        return " " * width
    drawn = [MARK if at in axis.marks() else " " for at in range(width)]
    if span is None or span[1] < axis.first:
        return "".join(drawn)
    first, last = axis.cell(span[0]), axis.cell(span[1])
    middle = row.figures.median if row.lot.stage == "drying" else span[0]
    for at in range(max(0, first), min(last + 1, width)):
        drawn[at] = MIDDLE_DAY if middle is not None and at == axis.cell(middle) else IN_WINDOW
    return "".join(drawn[:-1]) + ("→" if last >= width else drawn[-1])
