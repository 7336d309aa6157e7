"""The pane beside the list: the marked lot, its curve on dates, and its next steps."""

from __future__ import annotations

from datetime import date, timedelta, tzinfo
from itertools import pairwise

from curedash.domain.drying.lot_figures import chance_short
from curedash.domain.times import local_day
from curedash.present.braille import Sheet
from curedash.present.display_units import mass
from curedash.present.numbers import number
from curedash.present.rack.columns import cure_words, far_words, out_day, state_of
from curedash.present.rack.meat import whole_name
from curedash.present.rack.row import Step
from curedash.present.rack.state import OVERDUE, reached_or_to_go, window_words
from curedash.present.words import (
    ABOUT,
    NOTHING,
    Line,
    Span,
    ago,
    cells,
    cut,
    day,
    filled,
    left,
    odds_words,
    percent,
    plain,
    stage,
    wrapped,
)

#: always in this order; one that has nothing to say is left out
_HEADS = ("state", "cure", "pH", "lost", "target", "to go", "rate", "ready", "out", "weighed")

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.services.rack import RackRow

EDGE = "│ "
CURVE_LINES = 9  # at most; each costs bytes when the cursor moves
LEAST_CURVE = 5
FACT_LINES = 10  # name, style and place, six figures, the chance, one between
STEP_LINES = 7  # between figures and curve, so that the curve has its place on every lot
TARGET = "─"


def pane_lines(
    row: RackRow, steps: list[Step], width: int, height: int, today: date, zone: tzinfo
) -> list[Line]:
    """The marked lot in ``height`` lines of ``width`` cells."""
    room = width - len(EDGE) - 1  # the last cell stays blank
    lines = [*_facts(row, room, zone, today), (), *_steps(steps, room)]
    begin = max(FACT_LINES + (STEP_LINES if steps else 0), len(lines)) + 1
    curve_room = min(CURVE_LINES, height - begin)
    if curve_room >= LEAST_CURVE and len(row.figures.way) > 1:
        lines += [()] * (begin - len(lines))
        lines += _curve(row, room, curve_room, today, zone)
    lines = lines[:height]
    lines += [()] * (height - len(lines))
    return [filled([(EDGE, "quiet"), *line], width) for line in lines]


def _facts(row: RackRow, width: int, zone: tzinfo, today: date) -> list[Line]:
    lot = row.lot
    name = f"{lot.code} {whole_name(lot)}"
    about = [plain(lot.style_name), plain(lot.place or "")]
    lines: list[Line] = [((cut(name, width), "title"),)]
    lines.append(((cut(" · ".join(each for each in about if each), width), "quiet"),))
    pairs = _pairs(row, width - 9, zone, today)
    odds = odds_words(chance_short(lot))
    lines += [_pair(head, pairs[head], width) for head in _HEADS if pairs.get(head)]
    return [*lines, *([_pair("chance", odds, width)] if odds else [])]


def _pairs(row: RackRow, width: int, zone: tzinfo, today: date) -> dict[str, str]:
    """What there is to say of a lot, by its head."""
    lot, figures = row.lot, row.figures
    states, _tone = state_of(row, today)
    state = states[0]
    hung = lot.stage in ("drying", "on-hold")
    pairs = {"state": f"{state}, day {figures.day}" if state == stage(lot.stage) else state}
    if figures.day_of is not None:
        pairs["cure"] = cure_words(row)
    elif lot.stage == "ferment":
        known = row.ferment is not None and row.ferment.ph is not None
        pairs["pH"] = far_words(row, width).removeprefix("pH ") if known else "none yet"
    if figures.loss_pct is not None and figures.base_g is not None and lot.stage != "ferment":
        sign = ABOUT if figures.approx else ""
        pairs["lost"] = (
            f"{sign}{percent(figures.loss_pct)} of {figures.base} {mass(figures.base_g)}"
        )
    if lot.stage != "keeping":
        low, high = (number(end, 0) for end in figures.target_pct)
        pairs["target"] = f"{low}–{high} % of {lot.target_base} weight"
    if hung:
        pairs["to go"] = reached_or_to_go(row).removesuffix(" to go")
    if lot.stage == "drying" and figures.rate_pct_per_day is not None:
        pairs["rate"] = f"{number(figures.rate_pct_per_day, 2)} % a day"
    when = window_words(row, width, zone, today)
    if lot.stage == "in-cure":
        late = states[-1] == OVERDUE
        pairs["out"] = f"due {day(out_day(lot, zone))}" if late else when.removeprefix("out ")
    elif lot.stage in ("drying", "equalising", "salt-rest"):
        pairs["ready"] = when.removeprefix(NOTHING)
    if figures.days_since_weigh_in is not None and lot.stage != "keeping":
        pairs["weighed"] = ago(figures.days_since_weigh_in)
    return pairs


def _pair(head: str, words: str, width: int) -> Line:
    return (left(head, 9), "quiet"), (cut(words, width - 9), "")


def _steps(steps: list[Step], width: int) -> list[Line]:
    """What is to be done, each with its key, in as many lines as it takes."""
    lines: list[Line] = []
    for step in steps:
        head = left(step.key, max(2, cells(step.key) + 1))
        for at, text in enumerate(wrapped(plain(step.words), width - cells(head), 3)):
            first: Span = (head, "key") if at == 0 else (" " * cells(head), "")
            lines.append((first, (text, step.level)))
    return lines


def _curve(row: RackRow, width: int, height: int, today: date, zone: tzinfo) -> list[Line]:
    """Loss on the way to its target; ahead of the last weigh-in the fan of its window."""
    way, far = row.figures.way, row.figures.way_far or 1.0
    hung = local_day(row.lot.hang_at or "", zone)
    now_d = float((today - hung).days)
    window = row.figures.window if row.lot.stage == "drying" else None
    ends = () if window is None else tuple(float((end - hung).days) for end in window)
    last_d = max(way[-1][0], now_d, *ends, 1.0)
    top = max(far, way[-1][1]) * 1.05
    sheet = Sheet(width, height - 1)
    for share in {1.0, far}:
        sheet.level(share / top, TARGET)
    if now_d < last_d:
        for n in range(4 * height):
            sheet.dot(now_d / last_d, n / (4 * height) * 0.08)
    for (day0, share0), (day1, share1) in pairwise(way):
        sheet.line(day0 / last_d, share0 / top, day1 / last_d, share1 / top)
    if way[-1][1] < 1 and len(ends) > 1:
        for end_d in ends:
            end = (end_d / last_d, 1.0 / top)
            sheet.line(way[-1][0] / last_d, way[-1][1] / top, *end, every=3)
    lines: list[Line] = [((text, ""),) for text in sheet.rows()]
    return [*lines, ((_dates(hung, last_d, ends, width), "quiet"),)]


def _dates(hung: date, last_d: float, ends: tuple[float, ...], width: int) -> str:
    """The axis: the day it was hung, and the window as a bracket with its days."""
    first = day(hung)
    if not ends:
        last = day(hung + timedelta(days=round(last_d)))
        return left(first, width - cells(last)) + last
    begin = round(ends[0] / last_d * (width - 1))
    drawn = "└" + "─" * max(0, width - 2 - begin) + "┘"
    at = min(max(begin, 0), width - 2)
    return left(left(first, at)[:at] + drawn, width)
