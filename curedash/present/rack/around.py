"""What stands around the lots of the Rack: title, the marked lot in words, the needs, the signs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, tzinfo

from curedash.domain.needs.lot_needs import GATHERED, Need
from curedash.domain.record import record
from curedash.domain.wording import by_number
from curedash.present.display_units import retold
from curedash.present.rack.meat import meat_words, whole_name
from curedash.present.rack.row import IN_WINDOW, MIDDLE_DAY
from curedash.present.rack.state import MAY_NOT_COME
from curedash.present.rack.trend import REACHED, STEPS, TARGET
from curedash.present.signs import key_drawn
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
    packed,
    plain,
    text_of,
    weekday,
    without_brackets,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.records import StoredNeed
    from curedash.services.rack import RackRow

MARKED = "›"
MUST = "must not wait"  # what is for now
BRIEF_NAME = 22  # cells of a name that gives way to what is to be done
LEAST_GAP = 2  # cells between a need and what it asks for

TREND = STEPS[1] + STEPS[4] + REACHED + TARGET
WINDOW = IN_WINDOW + MIDDLE_DAY + IN_WINDOW

#: What the signs of a line mean, for the screen of its keys: the one list there is.
LEGEND = (
    (SIGNS["act"], f"now: {MUST}"),
    (SIGNS["today"], "today: due, or to be looked at; no sign: nothing to do"),
    ("Do", f"the key for what a row needs; it acts on the row with {MARKED}, which ↑↓ move"),
    ("31 of 35 %", "it has lost 31 %; its target begins at 35 %"),
    (TREND, "trend, one cell a week; the line is as high as its target"),
    (WINDOW, "days when it should be ready or come out; the dark one is the middle"),
    ("ready", "inside its target range"),
    ("long ready", "for a week or more"),
    ("2 of 7 days", "in the cure, of those planned"),
    ("in cure", "it has no ready days before it hangs"),
    (ABOUT, "depends on an estimated weight"),
    ("~", "by rule of thumb, not from its weigh-ins"),
    (f"9 Dec{MAY_NOT_COME}", "may never reach its target: the chance is 1 in 5 or more"),
    (NOTHING, "unknown, or not shown in this stage"),
    ("%/d", "percent lost a day, over its last weigh-ins"),
    ("equalising", "in a bag until its moisture is even; then feel it"),
    ("over 9 g", "lighter than its target range"),
    ("cured", "may leave the cure"),
    ("overdue", "its last day is over"),
    ("stalled", "it may never reach its target"),
    ("to salt", "no ingredient of its dose is ticked yet"),
    ("salting", "some ingredients of its dose are ticked"),
)
#: sign → where it occurs on the screen, if not as itself
OCCURS = {
    SIGNS["act"]: rf"(?m)^{SIGNS['act']}",
    SIGNS["today"]: rf"(?m)^{SIGNS['today']}",
    "31 of 35 %": r"\d( of |/)[\d.]+ ?%",
    "2 of 7 days": r"\d( of |/)\d+ d(ays)?\b",
    "ready": r"\bready( since|\s*$)",
    "in cure": "in cure|salt box",
    "over 9 g": r"\bover \d",
    f"9 Dec{MAY_NOT_COME}": rf"\w\{MAY_NOT_COME}",
    NOTHING: rf"(?<=\s){NOTHING}(?=\s)",
    "~": r"~\d",
    TREND: f"[{STEPS}{REACHED}{TARGET}]",
    WINDOW: MIDDLE_DAY,
}


def title_line(
    rows: Sequence[RackRow],
    needs: Sequence[Need],
    *,
    base: str,
    today: date,
    width: int,
    filtered: str = "",
    places: bool = True,
) -> Line:
    """What the household looks like at a glance, the base of the loss, and the day.

    ``places`` counts the needs about places, where no line below shows them.
    """
    date_words = weekday(today)
    left_part = left("RACK", 5 if width < 100 else 8 if width < 120 else 16)
    room = width - 2 - cells(date_words) - cells(left_part)
    brief = signed_counts(needs)
    asked = f"{count(len(needs), 'need')}: {brief}"
    counts = f"{count(len(rows), 'lot')}, {asked}"
    clear = brief.replace(",", f" ({MUST})," if any(n.level == "act" for n in needs) else ",", 1)
    *whole, least = [filtered] if filtered else _base_choices(base)
    wide = "  " if width < 100 else "    "
    airs = _air_choices(needs) if places else [""]
    heads = [
        told.replace(brief, words) + air
        for air in airs
        for words in (clear, brief)
        for told in (counts, asked)
    ]
    choices = [head + wide + words for head in heads for words in whole[:3]]
    choices += [f"{told}  {words}" for told in (counts, asked, brief) for words in whole[1:3]]
    choices += [f"{told}  {words}" for told in (asked, brief) for words in (*whole[3:], least)]
    words = cut(next((each for each in choices if cells(each) <= room), brief), room)
    tail = " " * (1 + room - cells(words))
    return filled([(left_part, "title"), (words, ""), (tail, ""), (date_words, "quiet")], width)


def _base_choices(base: str) -> list[str]:
    """What a percent is of: the longest wording first, the shortest for a phone."""
    since = "lost since hung" if base == "hang" else f"of {base} weight lost"
    return [
        f"% = loss from {base} weight",
        f"% of {base} weight lost",
        f"% {since}",
        f"% from {base}",
        f"% {base}",
    ]


def _air_choices(needs: Sequence[Need]) -> list[str]:
    """How many needs are about places, as no row shows them: the longest wording first."""
    places = [need.place for need in needs if need.lot_id is None and need.cause not in GATHERED]
    if not places:
        return [""]
    named = [f", {len(places)} for {plain(places[0] or '')}"] if len(set(places)) == 1 else []
    return [*named, f", {len(places)} for {by_number(len(places), 'a place', 'places')}"]


def needs_counts(needs: Sequence[Need]) -> str:
    """Needs by level: ``1 now · 2 today``."""
    act = sum(need.level == "act" for need in needs)
    return f"{act} {LEVEL_WORDS['act']} · {len(needs) - act} {LEVEL_WORDS['today']}"


def signed_counts(needs: Sequence[Need]) -> str:
    """The same with the signs of the rows: ``! 1 now, • 2 today``."""
    act = sum(need.level == "act" for need in needs)
    return (
        f"{SIGNS['act']} {act} {LEVEL_WORDS['act']}, "
        f"{SIGNS['today']} {len(needs) - act} {LEVEL_WORDS['today']}"
    )


def counts_words(rows: Sequence[RackRow], needs: Sequence[Need]) -> str:
    """The lots there are, and the needs by level: ``13 lots · 2 now · 7 today``."""
    return f"{count(len(rows), 'lot')} · {needs_counts(needs)}"


def need_words(need: Need) -> str:
    """One need below the rows: where, then why."""
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


@record
class Asked:
    """One need below the rows: why, and what is done about it with which key."""

    level: str
    words: str
    key: str = ""
    does: str = ""


def needs_strip(
    needs: Sequence[Asked], width: int, lines: int = 2, *, rest: int = 0, more_key: str = ""
) -> list[Line]:
    """The most urgent needs, one a line, each with what it asks for; the rest is counted.

    Parameters
    ----------
    needs : the worst first
    width : cells of a line; the last one stays blank
    lines : how many there are
    rest : how many needs are not among these
    more_key : the key that shows all of them, named behind the number of those left out
    """
    shown = needs[:lines]
    out = [_asked_line(need, width, ()) for need in shown]
    left_out = len(needs) - len(shown) + rest
    if left_out and out:
        more = _more(left_out, len(needs) + rest, width, more_key)
        out[-1] = _asked_line(shown[-1], width, more)
    return out + [filled((), width)] * (lines - len(out))


def _more(left_out: int, every: int, width: int, more_key: str) -> list[Span]:
    """How many needs have no line; with a key, that it shows all of them."""
    if not more_key:
        return [(f"+ {left_out} more" if width >= ROOMY else f"+{left_out}", "quiet")]
    return [
        (more_key, "key"),
        (f" shows all {every} needs" if width >= MIDDLE_COLUMNS else f": all {every}", "quiet"),
    ]


ACT_CELLS = 13  # what is done is under the column of the rows, where its reason leaves room
MIDDLE_COLUMNS = 80  # from here the rows have verbs beside their keys
ROOMY = 60  # columns from which what is left out is counted in words


def _asked_line(need: Asked, width: int, rest: Sequence[Span]) -> Line:
    """Why, then key and verb at the end; on a small screen a long reason leaves the key alone."""
    does = f" {need.does}" if need.key else need.does
    whole = cells(f"{need.words}{need.key}{does}{text_of(rest)}") + 2 + 2 * LEAST_GAP
    if need.key and width < MIDDLE_COLUMNS and whole > width:
        does = (
            ""  # its reason comes first: the row has its key, the line of the marked lot its verb
        )
    tail: list[Span] = [(need.key, "key"), (does, "quiet")]
    if rest:
        tail += [("  ", ""), *rest]
    room = width - 1 - cells(text_of(tail)) - LEAST_GAP
    words = without_brackets(need.words, room - 2)
    text = cut(f"{SIGNS.get(need.level, ' ')} {words}", max(1, room))
    under = width - 1 - ACT_CELLS - cells(text)
    gap = " " * max(1, room + LEAST_GAP - cells(text))
    if not rest and LEAST_GAP <= under < cells(gap):
        gap = " " * under
    return filled([(text, need.level), (gap, ""), *tail], width)


# ── the marked lot ────────────────────────────────────────────────────────────────────────


def marked_line(row: RackRow, key: str, width: int, *, weigh_key: str, why: bool = True) -> Line:
    """The marked lot by its whole name, and its next action with its key.

    ``key`` answers the lot's worst need; ``why`` names its reason too, where no line above does.
    """
    lot = row.lot
    name = f"{lot.code} {whole_name(lot)}"
    if not row.needs:
        return _quiet_line(row, name, width, weigh_key)
    need = row.needs[0]
    said, asked = plain(retold(need.message)), plain(retold(need.action))
    keyed = f"{key} " if key else ""
    room = width - 1 - cells(f"{MARKED} : {keyed}{asked}")
    brief = f"{lot.code} {meat_words(lot, BRIEF_NAME)}"
    heads = [name, brief, lot.code]
    if why:
        heads = [
            f"{name}: {said}",
            f"{brief}: {said}",
            name,
            brief,
            f"{lot.code}: {said}",
            lot.code,
        ]
    head = next((each for each in heads if cells(each) <= room), lot.code)
    spans: list[Span] = [(f"{MARKED} {head}: ", need.level), (keyed, "key")]
    left_over = width - 1 - cells(text_of(spans))
    spans.append((cut(without_brackets(asked, left_over), left_over), need.level))
    return filled(spans, width)


def _quiet_line(row: RackRow, name: str, width: int, weigh_key: str) -> Line:
    """Of a lot that needs nothing: where it is, and when it was weighed last."""
    lot, since = row.lot, row.figures.days_since_weigh_in
    parts = [name, plain(lot.place or "")]
    if since is not None and lot.stage != "keeping":
        parts.append(f"weighed {ago(since)}")
    if lot.stage in WEIGHED:
        parts.append(f"digits or {weigh_key} weigh it")
    words = fitting([part for part in parts if part], width - 3)
    return filled([(f"{MARKED} {words}", "quiet")], width)


WEIGHED = ("ferment", "drying", "on-hold", "equalising", "keeping")  # what its curve is made of


# ── signs ─────────────────────────────────────────────────────────────────────────────────


def legend_lines(drawn: str, width: int, lines: int) -> list[Line]:
    """What the signs and words mean that occur in what is drawn, for the empty lines below it.

    One a line where there are so many lines, else several; what is clear by itself is left out
    first.
    """
    parts = [
        f"{sign}{':' if re.search('[a-z]', sign) else ''} {words}"
        for sign, words in LEGEND
        if re.search(OCCURS.get(sign, re.escape(sign)), drawn)
    ]
    parts = [key_drawn(part) for part in parts]
    told = parts if len(parts) <= lines else packed(parts, width - 3, " · ")
    return [((f"  {line}", "quiet"),) for line in told[:lines] if cells(line) < width - 2]
