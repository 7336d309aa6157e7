"""The Rack in words: one line a lot at 60, 80, 100 or 120 columns, its heads, title and needs.

Widths are fixed per breakpoint, so a repainted line never moves its neighbours. The sign in the
first cell and the words carry the meaning; tones only repeat it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta, tzinfo
from math import ceil

from curedash.domain.drying.lot_figures import DECIDE_FIRST, STALLED
from curedash.domain.needs.lot_needs import Need
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.times import local_day, moment
from curedash.present.display_units import by_weight, retold, to_go
from curedash.present.numbers import number
from curedash.present.words import (
    ABOUT,
    NOTHING,
    SIGNS,
    Line,
    Span,
    cells,
    count,
    cut,
    day,
    days,
    filled,
    left,
    moment_words,
    plain,
    right,
    stage,
    weekday,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.records import StoredNeed
    from curedash.services.rack import RackRow

BLOCKS = "▁▂▃▄▅▆▇"  # no full block: trends of neighbouring lines would touch
LEAST_SPAN = 0.04  # design value: a weight that moved less than 4 % draws a flat trend
ROUGH = 0.03  # design value: ± of a hang weight from which its loss is shown in whole percent
OLD = "*"  # behind a loss whose weigh-in is older than the lot's rhythm


@record
class Layout:
    """Widths in cells of the columns at one breakpoint; 0 leaves a column out."""

    columns: int
    lot: int
    piece: int
    stage: int
    place: int
    day: int
    loss: int
    to_go: int
    rate: int
    trend: int
    window: int
    gap: int
    ago: int = 0

    @property
    def short(self) -> bool:
        """Use the short words of the stages."""
        return self.stage < 10


NARROW = Layout(60, 4, 9, 8, 0, 5, 6, 8, 0, 0, 12, 1)
MIDDLE = Layout(80, 5, 12, 10, 0, 5, 6, 8, 4, 7, 13, 1)
WIDE = Layout(100, 6, 15, 10, 0, 6, 7, 8, 5, 10, 16, 2)
WIDEST = Layout(120, 6, 15, 10, 12, 6, 7, 8, 5, 10, 16, 2, ago=4)
LAYOUTS = (WIDEST, WIDE, MIDDLE, NARROW)


def layout_for(columns: int) -> Layout:
    """The widest layout that fits."""
    for layout in LAYOUTS:
        if columns >= layout.columns:
            return layout
    return NARROW


# ── one lot ───────────────────────────────────────────────────────────────────────────────


def row_line(row: RackRow, layout: Layout, zone: tzinfo) -> Line:
    """One lot as a line of exactly ``layout.columns`` cells."""
    lot, gap = row.lot, " " * layout.gap
    tone = row.level if row.level in ("act", "today") else ""
    head = SIGNS.get(row.level, " ") + " " + left(lot.code, layout.lot) + " "
    name = left(plain(lot.piece) or plain(lot.batch_name), layout.piece) + gap
    middle = left(stage(lot.stage, short=layout.short), layout.stage) + gap
    if layout.place:
        middle += left(plain(lot.place or NOTHING), layout.place) + gap
    middle += right(day_words(row), layout.day) + gap
    spans: list[Span] = [(head, tone or "strong"), (name, ""), (middle, "quiet")]
    return filled([*spans, *_figures(row, layout, gap, zone)], layout.columns)


def _figures(row: RackRow, layout: Layout, gap: str, zone: tzinfo) -> list[Span]:
    """Loss, grams to go, rate, trend and window; a long note may use the empty cells before it."""
    figures = row.figures
    if figures.loss_pct is None:
        room = layout.loss + layout.to_go + layout.gap
        room += (layout.rate + layout.gap) if layout.rate else 0
        room += (layout.trend + layout.gap) if layout.trend else 0
        room += (layout.ago + layout.gap) if layout.ago else 0
        spare = layout.trend + layout.gap if layout.trend else 0
        note = window_words(row, layout.window + spare, zone)
        own = layout.window + spare
        blank = room + layout.gap + layout.window - own
        dashes = right(NOTHING, layout.loss) + gap + right(NOTHING, layout.to_go)
        return [(left(dashes, blank) if blank > 0 else "", "quiet"), (left(note, own), "")]
    loss = (ABOUT if figures.approx else "") + number(figures.loss_pct, _decimals(row.lot)) + "%"
    behind = OLD + gap[1:] if is_old(row) else gap
    still = right(to_go_words(row, layout.to_go), layout.to_go)
    text = right(loss, layout.loss) + behind + still + gap
    quiet = ""
    if layout.ago:
        quiet += right(_ago_words(row, layout.ago), layout.ago) + gap
    if layout.rate:
        rate = figures.rate_pct_per_day if row.lot.stage == "drying" else None
        quiet += right(NOTHING if rate is None else number(rate, 2), layout.rate) + gap
    if layout.trend:
        quiet += left(trend(figures.trend, layout.trend), layout.trend) + gap
    return [(text, "strong"), (quiet, "quiet"), (window_words(row, layout.window, zone), "")]


def _decimals(lot: LotState) -> int:
    """Of a loss: none where the hang weight may be off by a tenth."""
    unsure = lot.hang_pm_g is not None and lot.hang_g is not None
    return 0 if unsure and (lot.hang_pm_g or 0.0) > ROUGH * (lot.hang_g or 0.0) else 1


def day_words(row: RackRow) -> str:
    """Days in the stage, of the planned days where there is a plan: whole ones, as it comes out."""
    of = row.figures.day_of
    return f"{row.figures.day}" if of is None else f"{row.figures.day}/{whole_days(of)}"


def whole_days(days: float) -> int:
    """Planned days as calendar days: never rounded down, as the day out is counted.

    Example
    -------
    >>> whole_days(17.2), whole_days(18.0)
    (18, 18)
    """
    return ceil(days - 1e-9)


def is_old(row: RackRow) -> bool:
    """Whether the newest weight of a drying lot is older than the rhythm it is weighed in."""
    since = row.figures.days_since_weigh_in
    return row.lot.stage == "drying" and since is not None and since > row.lot.weigh_every_days


def _ago_words(row: RackRow, width: int) -> str:
    """How long ago it was weighed: ``28 d``."""
    since = row.figures.days_since_weigh_in
    if since is None or row.lot.stage == "keeping":
        return NOTHING
    words = f"{since} d"
    return words if len(words) <= width else words.replace(" ", "")


def to_go_words(row: RackRow, width: int) -> str:
    """Grams until the heavier end of the target, or how far past it: ``167``, ``108 past``."""
    grams = row.figures.to_go_g
    if grams is None or row.lot.stage == "keeping":
        return NOTHING
    return to_go(grams, width)


def trend(values: Sequence[float], width: int) -> str:
    """The values as block characters, oldest first, on their own range.

    Example
    -------
    >>> trend([1000, 950, 900, 860], 8)
    '▇▅▃▁'
    >>> trend([1000, 999, 998], 8)
    '▇▇▇'
    """
    shown = values[-width:]
    if len(shown) < 2:
        return ""
    top = max(shown)
    span = max(top - min(shown), LEAST_SPAN * top) or 1.0
    last = len(BLOCKS) - 1
    return "".join(BLOCKS[last - round((top - value) / span * last)] for value in shown)


def window_words(row: RackRow, width: int, zone: tzinfo) -> str:
    """When it is to be pulled, taken out or looked at, in as many words as fit."""
    for words in _window_choices(row, zone):
        if cells(words) <= width:
            return words
    return cut(_window_choices(row, zone)[-1], width)


def _window_choices(row: RackRow, zone: tzinfo) -> list[str]:
    """The longest wording first."""
    lot, figures = row.lot, row.figures
    if figures.window_note == DECIDE_FIRST:
        return [DECIDE_FIRST]
    if figures.window is not None:
        if figures.to_go_g is not None and figures.to_go_g <= 0:
            return [f"since {day(figures.window[0])}"]
        if figures.window_passed:
            return [f"passed {day(figures.window[1])}", f"past {day(figures.window[1])}"]
        span = days(*figures.window)
        first = figures.window[0]
        shorter = f"from {day(first)}"
        if "rule" in figures.window_note:
            return [f"{span}, by rule", f"~{span}", f"from ~{day(first)}", f"~{day(first)}…"]
        return [span, shorter]
    if figures.window_note == STALLED:
        return [STALLED, "stalled, may not", "stalled"]
    if lot.stage == "in-cure" and lot.cure_usual_days is not None:
        ends = moment(lot.stage_at).astimezone(zone) + timedelta(days=lot.cure_usual_days)
        last = whole_days(lot.cure_usual_days)
        whole = local_day(lot.stage_at, zone) + timedelta(days=last)
        out = day(ends.date() if lot.has_stop else whole)
        if lot.has_stop:
            return [f"out by {out}, not later", f"out by {out}", f"by {out}"]
        return [f"out {out}, can wait", f"out {out}"]
    if lot.stage_until is not None and lot.stage in ("equalising", "salt-rest", "on-hold"):
        until = day(local_day(lot.stage_until, zone))
        return [f"until {until}"]
    if lot.stage == "raw" and lot.dose_open:
        return [f"{count(lot.dose_open, 'dose line')} to tick", f"{lot.dose_open} to tick"]
    if lot.stage == "drying" and lot.hang_g is None:
        return ["not weighed yet", "not weighed"]
    return [NOTHING]


#: What the signs of a line mean, for the screen of its keys: the one list there is.
LEGEND = (
    (SIGNS["act"], "act: must not wait"),
    (SIGNS["today"], "today: due, or to be looked at; no sign: quiet"),
    (NOTHING, "not known, or not shown in this stage"),
    (ABOUT, "rests on an estimated weight"),
    ("~", "by rule of thumb, not from its weigh-ins"),
    ("12/19", "day 12 of the 19 in the cure"),
    (OLD, "weigh-in overdue: the numbers are of the last one"),
    ("past", "so much lighter than its target asks"),
    ("Ago", "days since it was weighed, at 120 columns"),
    ("%/d", "percent lost a day"),
    (BLOCKS[::-1][:4], "weight since hanging, oldest at the left"),
)


# ── around the lots ───────────────────────────────────────────────────────────────────────


def heads_line(layout: Layout) -> str:
    """The heads of the columns."""
    gap = " " * layout.gap
    parts = ["  " + left("Lot", layout.lot) + " " + left("Piece", layout.piece)]
    parts.append(left("Stage", layout.stage))
    if layout.place:
        parts.append(left("Place", layout.place))
    parts += [
        right("Day", layout.day),
        right("Lost", layout.loss),
        right(by_weight("To go, g", "To go"), layout.to_go),
    ]
    if layout.ago:
        parts.append(right("Ago", layout.ago))
    if layout.rate:
        parts.append(right("%/d", layout.rate))
    if layout.trend:
        parts.append(left("Trend", layout.trend))
    parts.append(left("Pull window" if layout.window >= 12 else "Pull", layout.window))
    return left(gap.join(parts), layout.columns)


def title_line(
    rows: Sequence[RackRow],
    needs: Sequence[Need],
    *,
    base: str,
    today: date,
    width: int,
    filtered: str = "",
    order_key: str = "",
) -> Line:
    """What the household looks like at a glance, the base of the loss, and the day.

    ``order_key`` puts the rows in order; it is named while they are not, if there is room.
    """
    date_words = weekday(today)
    room = width - cells(date_words)
    left_part = left("RACK", 7 if width < 80 else 16)
    choices = _title_choices(counts_words(rows, needs), base, filtered, order_key, width)
    brief = counts_words(rows, needs, quiet=False)
    choices += _title_choices(brief, base, filtered, order_key, width)[-1:]
    fitting = (words for words in choices if cells(left_part + words) + 1 <= room)
    words = next(fitting, choices[-1])
    words = cut(words, room - cells(left_part) - 1)
    tail = " " * max(1, room - cells(left_part + words))
    return filled([(left_part, "title"), (words, ""), (tail, ""), (date_words, "quiet")], width)


def _title_choices(counts: str, base: str, filtered: str, order_key: str, width: int) -> list[str]:
    """The longest wording first; the base is always named, the key for the order if it fits."""
    wide = "  " if width < 80 else "     "
    if filtered:
        shown = [wide + filtered, "  " + filtered]
    else:
        shown = [f"{wide}loss of {base} weight", f"  loss of {base}", f"  of {base}"]
    signed = [f"{each} · {order_key} orders" for each in shown[:2]] if order_key else []
    return [counts + each for each in (*signed, *shown)]


def needs_counts(needs: Sequence[Need]) -> str:
    """Needs by level, as they are told one by one: ``1 act · 2 today``."""
    act = sum(need.level == "act" for need in needs)
    return f"{act} act · {len(needs) - act} today"


def counts_words(rows: Sequence[RackRow], needs: Sequence[Need], *, quiet: bool = True) -> str:
    """Needs by level, gathered as they stand below, and the lots that need nobody.

    ``quiet=False`` leaves out the latter, where there is no room.
    """
    still = sum(not row.level for row in rows)
    return needs_counts(needs) + (f" · {still} quiet" if quiet else "")


def need_words(need: Need) -> str:
    """One need as it stands at the foot: where, then what."""
    where = need.lot or need.place
    return plain(f"{where}: {retold(need.message)}" if where else need.message)


def nothing_words(asleep: Sequence[StoredNeed], zone: tzinfo) -> str:
    """That nothing needs anybody now, and until when something is only snoozed."""
    if not asleep:
        return "Nothing needs you today."
    until = moment_words(asleep[0].snoozed_until or "", zone)
    first = "" if len(asleep) == 1 else "the first "
    return f"Nothing needs you now; {len(asleep)} snoozed, {first}until {until}."


def needs_strip(needs: Sequence[Need], width: int, lines: int = 2) -> list[Line]:
    """The most urgent needs at the foot, as many as fit; one a line where there are lines."""
    out: list[Line] = []
    at = 0
    roomy = len(needs) <= lines
    for _ in range(lines):
        spans: list[Span] = []
        used = 0
        while at < len(needs):
            need = needs[at]
            text = f"{SIGNS.get(need.level, ' ')} {need_words(need)}"
            lead = "    " if spans else ""
            if spans and (roomy or used + cells(lead + text) > width):
                break
            text = cut(text, width - used - cells(lead))
            spans.append((lead + text, need.level))
            used += cells(lead + text)
            at += 1
        out.append(filled(spans, width))
    rest = len(needs) - at
    if rest > 0:
        out[-1] = _with_rest(out[-1], f"  + {rest} more", width)
    return out


def _with_rest(line: Line, words: str, width: int) -> Line:
    room = width - cells(words)
    if line and not line[-1][0].strip():
        line = line[:-1]
    return (*filled(line, room), (words, "quiet"))
