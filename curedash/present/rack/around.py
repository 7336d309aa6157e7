"""What stands around the lots of the Rack: title, the marked lot in words, the needs, the signs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, tzinfo

from curedash.domain.needs.lot_needs import Need
from curedash.domain.wording import by_number
from curedash.present.display_units import retold
from curedash.present.rack.meat import cut_and_piece, with_animal
from curedash.present.rack.row import IN_WINDOW, MIDDLE_DAY, OLD
from curedash.present.rack.state import MAY_NOT_COME
from curedash.present.rack.trend import BEYOND, REACHED, STEPS
from curedash.present.words import (
    ABOUT,
    LEVEL_WORDS,
    NOTHING,
    SIGNS,
    Line,
    Span,
    ago,
    cells,
    count,
    cut,
    filled,
    fitting,
    left,
    moment_words,
    plain,
    weekday,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.records import StoredNeed
    from curedash.services.rack import RackRow

LEAST_GAP = 3  # cells between a need and what it asks for

#: What the signs of a line mean, for the screen of its keys: the one list there is.
LEGEND = (
    (SIGNS["act"], "now: must not wait"),
    (SIGNS["today"], "today: due, or to be looked at; no sign: nothing to do"),
    (STEPS[1] + STEPS[4] + REACHED + BEYOND, "bar to its target, one cell a week; then past it"),
    ("ready", "inside its target range; over: lighter; cured: may leave the cure"),
    ("overdue", "its last day is over; stalled: it may never get there"),
    (f"9 Dec{MAY_NOT_COME}", "one chance in five or more that it never gets there"),
    (NOTHING, "unknown, or not shown in this stage"),
    (ABOUT, "depends on an estimated weight"),
    ("~", "by rule of thumb, not from its weigh-ins"),
    (f"{OLD}16 %", "its weigh-in is overdue: the numbers are of that day"),
    ("%/d", "percent lost a day; Ago: days since it was weighed"),
    (IN_WINDOW + MIDDLE_DAY + IN_WINDOW, "pull window on dates, its middle day; at 120 columns"),
)


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
    brief = needs_counts(needs)
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
        shown = [f"{wide}loss from {base} weight", f"  loss from {base}", f"  from {base}"]
    signed = [f"{each} · {order_key} orders" for each in shown[:2]] if order_key else []
    return [counts + each for each in (*signed, *shown)]


def needs_counts(needs: Sequence[Need]) -> str:
    """Needs by level: ``1 now · 2 today``."""
    act = sum(need.level == "act" for need in needs)
    return f"{act} {LEVEL_WORDS['act']} · {len(needs) - act} {LEVEL_WORDS['today']}"


def counts_words(rows: Sequence[RackRow], needs: Sequence[Need]) -> str:
    """The lots there are, and the needs by level: ``13 lots · 2 now · 7 today``."""
    return f"{count(len(rows), 'lot')} · {needs_counts(needs)}"


def need_words(need: Need) -> str:
    """One need as it stands at the foot: where, then what."""
    where = need.lot or need.place
    return plain(f"{where}: {retold(need.message)}" if where else need.message)


def nothing_words(asleep: Sequence[StoredNeed], zone: tzinfo) -> str:
    """That nothing needs anybody now, and until when something is only snoozed."""
    if not asleep:
        return "Nothing needs you today."
    until = moment_words(asleep[0].snoozed_until or "", zone)
    return by_number(
        len(asleep),
        f"Nothing needs you now; 1 snoozed, until {until}.",
        f"Nothing needs you now; {len(asleep)} snoozed, the first until {until}.",
    )


def needs_strip(
    needs: Sequence[Need],
    width: int,
    lines: int = 2,
    *,
    asks: Callable[[Need], str] = lambda _: "",
    more_key: str = "",
) -> list[Line]:
    """The most urgent needs at the foot, as many as fit; one a line where there are lines.

    Parameters
    ----------
    needs : the worst first
    width : cells of a line
    lines : how many there are
    asks : what a need asks for, in two words; at the end of its line where it is alone there
    more_key : the key that shows all of them, named behind the number of those left out
    """
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
        last = len(out) + 1 == lines and at < len(needs)
        if len(spans) == 1 and not last and (asked := asks(needs[at - 1])):
            room = width - used - cells(asked)
            spans += [(" " * room + asked, "quiet")] if room >= LEAST_GAP else []
        out.append(filled(spans, width))
    if at < len(needs):
        keyed = f" ({more_key})" if more_key else ""
        out[-1] = _with_rest(out[-1], f"  + {len(needs) - at} more{keyed}", width)
    return out


def _with_rest(line: Line, words: str, width: int) -> Line:
    room = width - cells(words)
    if line and not line[-1][0].strip():
        line = line[:-1]
    return (*filled(line, room), (words, "quiet"))


# ── the marked lot ────────────────────────────────────────────────────────────────────────

MARKED = "›"


def marked_line(row: RackRow, key: str, width: int, *, weigh_key: str) -> Line:
    """The marked lot by its whole name, and its next action with its key.

    ``key`` answers the lot's worst need; without one it is told when it was weighed last.
    """
    lot = row.lot
    name = f"{lot.code} {with_animal(lot, cut_and_piece(lot))}"
    if row.needs:
        need = row.needs[0]
        said, asked = plain(retold(need.message)), plain(retold(need.action))
        keyed = f" ({key})" if key else ""
        room = width - cells(f"{MARKED} {keyed}")
        for words in (f"{name}: {said}: {asked}", f"{name}: {asked}", f"{lot.code}: {asked}"):
            if cells(words) <= room:
                break
        spans: list[Span] = [(f"{MARKED} {cut(words, room)}", need.level)]
        return filled([*spans, (keyed, "key")], width)
    since = row.figures.days_since_weigh_in
    parts = [name, plain(lot.place or "")]
    if since is not None and lot.stage != "keeping":
        parts.append(f"weighed {ago(since)}")
    told = fitting(
        [part for part in (*parts, f"digits or {weigh_key} weigh it") if part], width - 2
    )
    return filled([(f"{MARKED} {told}", "quiet")], width)
