"""The doses of a batch beside the form: each limit as a bar, then what is said of the doses."""

from collections.abc import Sequence
from datetime import datetime, tzinfo

from curedash.domain.dosing.limits import Limit, exceeds, rule_sets
from curedash.domain.wording import listed
from curedash.present.dosing.dose_table import MOST_LINES, compared_words, cure_words, message_lines
from curedash.present.words import Line, cells, cut, left, plain, right, wrapped
from curedash.services.dosing.add_batch import PlannedLot

FULL, REST = "█", "░"
GAP = 2  # blank columns between form and pane


def pane_lines(
    planned: Sequence[PlannedLot],
    code: str,
    salted: tuple[datetime, tzinfo],
    room: int,
    left_out: str = "",
    *,
    sources: bool,
) -> list[Line]:
    """The limits as bars, the days of the cure, then what is said of the doses.

    Parameters
    ----------
    code : the letter of the batch
    salted : when the cure begins (aware), and where
    room : columns of a line
    left_out : what the table of the doses has no column for
    sources : whether the texts the limits are from are said too
    """
    said = message_lines(planned, code, room, left_out, sources=sources, beside_bars=True)
    return [*_bars(planned, room), *_days_in_cure(planned, code, salted, room), (), *said]


def _days_in_cure(
    planned: Sequence[PlannedLot], code: str, salted: tuple[datetime, tzinfo], room: int
) -> list[Line]:
    """``23–24 days in the cure, out 18–19 Dec``; lots of unlike days have a line each."""
    found: dict[str, list[str]] = {}
    for n, lot in enumerate(planned, 1):
        if words := cure_words(lot, *salted):
            found.setdefault(words, []).append(f"{code}{n}")
    named = len(found) > 1 or sum(map(len, found.values())) < len(planned)
    said = (f"{listed(lots)}: {words}" if named else words for words, lots in found.items())
    return [((line, ""),) for words in said for line in wrapped(words, room, MOST_LINES)]


def _bars(planned: Sequence[PlannedLot], room: int) -> list[Line]:
    """The rule set and its class, then a bar for each limit that the doses are held against."""
    found: dict[Limit, float] = {}
    for lot in planned:
        for limit, value in lot.dose.held_against:
            found[limit] = max(value, found.get(limit, 0.0))
    if not found:
        return [((cut("No limit is checked.", room), "quiet"),)]
    first = next(iter(found))
    rules = dict(rule_sets()).get(first.rule_set, first.rule_set)
    head = f"{rules}, {plain(first.product_class)}"
    lines: list[Line] = [((cut(head, room), "quiet"),)]
    if not any(exceeds(value, limit.mg_per_kg or 0.0) for limit, value in found.items()):
        lines = _within(head, room)
    words = max(len(_words(limit, value)) for limit, value in found.items()) + 1
    return lines + [bar_line(limit, value, room, words) for limit, value in found.items()]


def _within(head: str, room: int) -> list[Line]:
    """``United States, dry-cured: within the limits``, in a line where it has room."""
    verdict = "within the limits"
    if cells(f"{head}: {verdict}") <= room:
        return [((f"{head}: ", "quiet"), (verdict, "good"))]
    return [((cut(head, room), "quiet"),), ((verdict, "good"),)]


def _words(limit: Limit, value: float) -> str:
    most = limit.mg_per_kg or 0.0
    sign = "! " if exceeds(value, most) else ""
    return sign + compared_words(limit, value)


def bar_line(limit: Limit, value: float, room: int, before: int) -> Line:
    """``nitrite 156.2 of 625 mg/kg ███░░░``; a broken limit fills the bar and is marked.

    Parameters
    ----------
    value : the highest of the lots [mg/kg, in the limit's own basis], 0 or more
    before : cells before the bar
    """
    most = limit.mg_per_kg or 0.0
    over = exceeds(value, most)
    words = _words(limit, value)
    size = max(4, room - before)
    filled_cells = size if over else max(1, min(size, round(size * value / most))) if most else size
    bar = FULL * filled_cells + REST * (size - filled_cells)
    tone = "act" if over else "good"
    return (left(words, room - size), "act" if over else ""), (right(bar, size), tone)
