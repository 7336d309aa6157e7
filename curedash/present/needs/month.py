"""A month or two at a glance: a line a lot, a cell a day, pull windows as bands."""

from collections.abc import Sequence
from datetime import date, timedelta

from curedash.domain.needs.days_away import Away, is_away
from curedash.domain.needs.diary import DiaryItem
from curedash.domain.records import LotState
from curedash.present.rack.meat import piece_words
from curedash.present.words import MONTHS, cells, left, packed, plain

NAME_CELLS, WIDEST_NAME = 17, 34  # one of them for the mark of the cursor
MOST = 70  # days shown
LEAST = 42  # days shown in a wide window, with more cells for each
LEAST_NARROW = 49  # days shown where a name has more cells
FIRST_MONTH_CELLS = 4  # the name of the first month, and a blank
FAR_FROM_MONDAY = 5  # from a weekday on, the numbers of two days would touch
BAND, AWAY, NOTHING_ON = "=", "░", " "
#: kind → its mark; of several on one day the first in this order is shown
MARKS = {
    "decide": "?",
    "look-again": "l",
    "salt-box-out": "!",
    "cure-out": "O",
    "equalising-over": "e",
    "rest-over": "r",
    "age": "g",
    "keep-until": "k",
    "weigh": "w",
    "turn": "t",
    "ferment-over": "S",
    "ferment-look": "p",
    "cure-earliest": "o",
}
#: marks and what they mean, in full and for a narrow screen
LEGEND = (
    (BAND, "pull window"),
    ("w", "weigh"),
    ("t", "turn"),
    ("p", "pH"),
    ("S", "soured"),
    ("oO", "earliest, usual day out"),
    ("!", "out of the salt"),
    ("?", "decide first"),
    ("l", "look again"),
    ("er", "equalised, rested"),
    ("g", "age"),
    ("k", "keeps"),
    (AWAY, "away"),
)
BRIEF = (
    (BAND, "pull"),
    ("w", "weigh"),
    ("t", "turn"),
    ("p", "pH"),
    ("S", "soured"),
    ("oO", "cured"),
    ("!", "out of salt"),
    ("?", "decide"),
    ("l", "look"),
    ("er", "equalise, rest"),
    ("gk", "age, keep"),
    (AWAY, "away"),
)
LEGEND_LINES = 3


def legend(width: int, shown: str) -> list[str]:
    """What the marks shown mean, in two lines where they fit, else three.

    Example
    -------
    >>> legend(80, "= w t p o")
    ['= pull window  w weigh  t turn  p pH  o O earliest, usual day out']
    >>> legend(45, "= w t p o O ! e")
    ['= pull  w weigh  t turn  p pH  o O cured', '! out of salt  e r equalise, rest']
    """
    lines = packed(_of_shown(LEGEND, shown), width)
    if len(lines) > 2:
        lines = packed(_of_shown(BRIEF, shown), width)
    return lines[:LEGEND_LINES]


def _of_shown(known: Sequence[tuple[str, str]], shown: str) -> list[str]:
    """The marks that are shown with their words."""
    return [
        f"{' '.join(marks)} {words}"
        for marks, words in known
        if any(mark in shown for mark in marks)
    ]


def day_cells(width: int) -> int:
    """Cells of a day: two or more where that leaves six weeks."""
    return max(1, (width - WIDEST_NAME - 1) // LEAST)


def month_days(first: date, width: int) -> list[date]:
    """As many days as fit, ten weeks at most."""
    room = (width - name_cells(width) - 1) // day_cells(width)
    return [first + timedelta(days=n) for n in range(max(7, min(MOST, room)))]


def name_cells(width: int) -> int:
    """Cells of a name: more of them where that leaves seven weeks."""
    return max(NAME_CELLS, min(WIDEST_NAME, width - LEAST_NARROW - 1))


def heads(days: Sequence[date], name: int = NAME_CELLS, each: int = 1) -> tuple[str, str]:
    """The names of the months; the first day and every Monday.

    Parameters
    ----------
    each : cells of a day

    Example
    -------
    >>> days = [date(2026, 11, 28) + timedelta(days=n) for n in range(8)]
    >>> [line.strip() for line in heads(days)]
    ['1 Dec', '30']
    """
    months, marks = [" "] * len(days) * each, [" "] * len(days) * each
    for n, day in enumerate(days):
        if day.day == 1:
            _put(months, n * each, f"1 {MONTHS[day.month - 1]}")
    if not "".join(months[:FIRST_MONTH_CELLS]).strip():
        _put(months, 0, MONTHS[days[0].month - 1])
    for n, day in enumerate(days):
        if day.weekday() == 0 or (n == 0 and day.weekday() < FAR_FROM_MONDAY):
            _put(marks, n * each, str(day.day))
    indent = " " * (name + 1)
    return indent + "".join(months), indent + "".join(marks)


def _put(cells: list[str], at: int, text: str) -> None:
    """Write text into cells where it fits and nothing stands."""
    if at + len(text) <= len(cells) and all(cell == " " for cell in cells[at : at + len(text)]):
        cells[at : at + len(text)] = list(text)


def month_line(
    lot: LotState,
    items: Sequence[DiaryItem],
    days: Sequence[date],
    away: Sequence[Away],
    name: int = NAME_CELLS,
    each: int = 1,
) -> str:
    """One lot: its name, then a mark a day; a band goes on through the further cells of a day."""
    own = [item for item in items if item.lot is not None and item.lot.id == lot.id]
    marks = "".join(_mark(own, day, away) + _between(own, day, away) * (each - 1) for day in days)
    room = name - cells(lot.code) - 2
    words = plain(lot.piece) if name <= NAME_CELLS and lot.piece else piece_words(lot, room)
    return f" {left(f'{lot.code} {words}', name - 1)} {marks}"


def _between(own: Sequence[DiaryItem], day: date, away: Sequence[Away]) -> str:
    """What is drawn between two days: a band that holds for both."""
    if any(item.kind == "pull" and item.first <= day < item.last for item in own):
        return BAND
    gone = is_away(day, away) and is_away(day + timedelta(days=1), away)
    return AWAY if gone else NOTHING_ON


def _mark(own: Sequence[DiaryItem], day: date, away: Sequence[Away]) -> str:
    kinds = {item.kind for item in own if item.first == day}
    found = next((mark for kind, mark in MARKS.items() if kind in kinds), None)
    if found is not None:
        return found
    if any(item.kind == "pull" and item.first <= day <= item.last for item in own):
        return BAND
    return AWAY if is_away(day, away) else NOTHING_ON
