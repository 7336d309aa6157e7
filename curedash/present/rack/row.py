"""One lot as a line of the Rack: what it is, how far, how fast, when, and what to do next.

Widths are fixed per breakpoint, so a repainted line never moves its neighbours. The sign in the
first cell and the words carry the meaning; tones only repeat it.
"""

from __future__ import annotations

from datetime import tzinfo

from curedash.domain.drying.lot_figures import STALLED
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.present.numbers import number
from curedash.present.rack.layout import Axis, Layout
from curedash.present.rack.meat import meat_words
from curedash.present.rack.state import (
    OVER,
    OVERDUE,
    READY,
    day_words,
    is_old,
    phone_words,
    ready_words,
    to_go_words,
)
from curedash.present.rack.trend import trend
from curedash.present.words import (
    ABOUT,
    NOTHING,
    SIGNS,
    Line,
    Span,
    cells,
    filled,
    left,
    plain,
    right,
    stage,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable

    from curedash.services.rack import RackRow

OLD = "*"  # before a loss whose weigh-in is older than the lot's rhythm
ROUGH = 0.03  # design value: ± of a hang weight from which its loss is shown in whole percent
IN_WINDOW, MIDDLE_DAY = "░", "▓"


@record
class Around:
    """What a line needs besides its lot: the zone, the shared axis, its next action."""

    zone: tzinfo
    axis: Axis | None = None
    action: tuple[str, str] = ("", "")  # key and words


@record
class Step:
    """Something to do next: its key, and what it is."""

    key: str
    words: str
    level: str


def row_line(row: RackRow, layout: Layout, around: Around) -> Line:
    """One lot as a line of exactly ``layout.columns`` cells."""
    lot = row.lot
    tone = row.level if row.level in ("act", "today") else ""
    head = SIGNS.get(row.level, " ") + " " + left(lot.code, layout.lot) + " "
    name = left(meat_words(lot, layout.meat, animal=True), layout.meat) + " "
    middle = ""
    if layout.stage:
        middle += left(stage(lot.stage, short=True), layout.stage) + " "
    if layout.place:
        middle += left(plain(lot.place or NOTHING), layout.place) + " "
    spans: list[Span] = [(head, tone or "strong"), (name, ""), (middle, "quiet")]
    spans += _figures(row, layout) if layout.to_go else [(_loss(row, layout) + " ", "strong")]
    if layout.axis and row.figures.window_note == STALLED and not around.action[1]:
        # The axis shows no window: there is room for the whole sentence.
        return filled([*spans, (STALLED, "")], layout.columns)
    spans.append(_ready(row, layout, around.zone))
    if layout.axis:
        spans += [(" ", ""), *_next(row, layout.axis, around)]
    return filled(spans, layout.columns)


def _ready(row: RackRow, layout: Layout, zone: tzinfo) -> Span:
    wording = ready_words if layout.to_go else phone_words
    return left(wording(row, layout.ready, zone), layout.ready), ""


def _figures(row: RackRow, layout: Layout) -> list[Span]:
    """Loss, rate, age and trend, or the days of the cure in their place; then what is to go."""
    still = to_go_words(row, layout.to_go, staged=bool(layout.stage))
    tone = "good" if still in (READY, OVER) else "act" if still == OVERDUE else "strong"
    to_go = (right(still, layout.to_go) + " ", tone)
    if row.figures.loss_pct is None:
        room = _before_to_go(layout)
        return [(left(_cure_words(row, room), room), "quiet"), to_go]
    columns: list[Span] = [
        (
            side(words(row, width), width) + " ",
            "today" if name == "ago" and is_old(row) else "quiet",
        )
        for name, side, words in AFTER_LOSS
        if (width := getattr(layout, name))
    ]
    return [(left(_loss(row, layout), layout.loss + 1), "strong"), *columns, to_go]


def _before_to_go(layout: Layout) -> int:
    """Cells of the columns from the loss to what is to go, with their gaps."""
    names = ("loss", *(name for name, _, _ in AFTER_LOSS))
    return sum(width + 1 for name in names if (width := getattr(layout, name)))


def _loss(row: RackRow, layout: Layout) -> str:
    figures = row.figures
    if figures.loss_pct is None:
        return right(NOTHING, layout.loss)
    about = (OLD if is_old(row) else "") + (ABOUT if figures.approx else "")
    return right(about + number(figures.loss_pct, _decimals(row.lot)) + "%", layout.loss)


def _decimals(lot: LotState) -> int:
    """Of a loss: none where the hang weight may be off by a tenth."""
    unsure = lot.hang_pm_g is not None and lot.hang_g is not None
    return 0 if unsure and (lot.hang_pm_g or 0.0) > ROUGH * (lot.hang_g or 0.0) else 1


def _cure_words(row: RackRow, width: int) -> str:
    """The days of the cure, of the planned ones where there is room; nothing of the other stages.

    ``day 6 of 5`` stands for a day too many.
    """
    if row.figures.day_of is None:
        return right(NOTHING, 6)
    words = " " + day_words(row)
    return words if cells(words) <= width else f" day {row.figures.day}"


def _rate_words(row: RackRow, _width: int) -> str:
    """What it loses in a day, while it dries."""
    rate = row.figures.rate_pct_per_day if row.lot.stage == "drying" else None
    return NOTHING if rate is None else number(rate, 2)


def _ago_words(row: RackRow, width: int) -> str:
    """How long ago it was weighed: ``28 d``."""
    since = row.figures.days_since_weigh_in
    if since is None or row.lot.stage == "keeping":
        return NOTHING
    words = f"{since} d"
    return words if len(words) <= width else words.replace(" ", "")


def _trend_words(row: RackRow, width: int) -> str:
    return trend(row.figures.way, width, row.figures.way_far)


#: the columns between the loss and what is to go: field of the layout, side, what it shows
AFTER_LOSS: tuple[tuple[str, Callable[[str, int], str], Callable[[RackRow, int], str]], ...] = (
    ("rate", right, _rate_words),
    ("ago", right, _ago_words),
    ("trend", left, _trend_words),
)


def _next(row: RackRow, width: int, around: Around) -> list[Span]:
    """The window on the axis that all rows share; where something is to be done, that."""
    key, words = around.action
    if words:
        return [(key, "key"), (left(" " + words, max(0, width - len(key))), row.level)]
    window = row.figures.window
    if window is None or around.axis is None or row.lot.stage != "drying":
        return [(" " * width, "")]
    return [(window_bar(row, around.axis, width), "quiet")]


def window_bar(row: RackRow, axis: Axis, width: int) -> str:
    """The days of the pull window as cells, the middle one darker; an arrow where it goes on."""
    window = row.figures.window
    if window is None:
        return " " * width
    first, last = axis.cell(window[0]), axis.cell(window[1])
    if first >= width:
        return " " * (width - 1) + "→"
    drawn = [IN_WINDOW if first <= at <= last else " " for at in range(width)]
    if row.figures.median is not None and 0 <= axis.cell(row.figures.median) < width:
        drawn[axis.cell(row.figures.median)] = MIDDLE_DAY
    if last >= width:
        drawn[-1] = "→"
    return "".join(drawn)
