"""The history in words: who, when by the clock on the wall and in UTC, from where, what."""

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, tzinfo

from curedash.domain.errors import NotFound
from curedash.present.display_units import mass, temp
from curedash.present.household.change_words import change_parts
from curedash.present.weighing.on_scale import dated
from curedash.present.words import Line, cut, filled, fitting, left, moment_words, plain, right
from curedash.services.household.history import Detail, HistoryLine

SHOWN_DETAILS = 6
LONGEST_PART = 90  # characters of one value before and after
NARROW = 80  # below, neither the time in UTC nor from where it came has room


def change_line(line: HistoryLine, zone: tzinfo, width: int) -> Line:
    """``25 Nov 19:00  18:00Z  anna  screen  weigh C2  (undone)``."""
    if width < NARROW:  # the zone stands in the title
        head = f" {right(moment_words(line.recorded_at, zone), 12)}  {left(plain(line.actor), 8)} "
    else:
        utc = datetime.fromisoformat(line.recorded_at).strftime("%H:%MZ")
        head = f" {right(moment_words(line.recorded_at, zone), 12)} "
        head += " " if is_utc(zone) else f"{utc}  "
        head += f"{left(plain(line.actor), 12)} {left(plain(line.origin), 7)} "
    tail = " (undone)" if line.undone else ""
    room = max(4, width - len(head) - len(tail))
    tone = "quiet" if line.undone or line.undoes is not None else ""
    return filled(
        [(left(head, len(head)), "quiet"), (cut(words_of(line), room), tone), (tail, "today")],
        width,
    )


def is_utc(zone: tzinfo) -> bool:
    """Whether the clock on the wall shows UTC: a second column would repeat it."""
    return str(zone) in ("UTC", "Etc/UTC")


def words_of(line: HistoryLine) -> str:
    """What was done: ``weigh C2: 1071 g``, ``undo weigh C2: 1071 g``; in the units shown."""
    done = done_words(line.verb, line.subject)
    return done if line.weight_g is None else f"{done}: {mass(line.weight_g)}"


def heads_line(width: int, zone: tzinfo) -> str:
    """The heads of the columns of :func:`change_line`."""
    if width < NARROW:
        return f" {'when':<12}  {'who':<8} what"
    utc = " " if is_utc(zone) else f"{'UTC':<6}  "
    return f" {'when':<12} {utc}{'who':<12} {'from':<7} what"


def done_words(verb: str, subject: str) -> str:
    """The same from the words the log keeps, which are in grams and ISO days.

    Example
    -------
    >>> done_words("correct weigh-in", "C2 1071 g to 1043 g")
    'correct weigh-in C2 1071 g to 1043 g'
    >>> done_words("undo", "away 2026-12-01 to 2026-12-08")
    'undo away 1 Dec 2026 to 8 Dec 2026'
    >>> done_words("undo", "undo weigh C2"), done_words("undo", "undo undo weigh C2")
    ('redo weigh C2', 'undo weigh C2')
    >>> done_words("set rule", "drying-warm-24h")
    'set rule “drying: mean of 24 h above (today)”'
    """
    said = done = plain(f"{verb} {subject}".strip())
    undone = 0
    while done.startswith("undo "):
        done, undone = done.removeprefix("undo "), undone + 1
    if undone > 1:  # who undoes an undo redoes it
        said = f"{'undo' if undone % 2 else 'redo'} {done}"
    for beginnings, pattern, shown in _SHOWN:
        if done.startswith(beginnings):
            return re.sub(pattern, shown, said)
    for known in _OF_RULES:
        if done.startswith(known):
            return said.replace(done, known + _rule_words(done.removeprefix(known)))
    return said


#: what was done whose words carry weights, days or the id of a rule
_OF_RULES = ("set rule ", "reset rule ")


def _grams_shown(found: re.Match[str]) -> str:
    about = f" ± {mass(float(found[2]))}" if found[2] else ""
    return mass(float(found[1])) + about


_CORRECTED = ("weigh-in", "start weight", "green weight", "tare")
#: how a line begins → what in it is shown in one's own units, and how
_SHOWN: tuple[tuple[tuple[str, ...], str, Callable[[re.Match[str]], str]], ...] = (
    (
        ("void ", *(f"correct {what} " for what in _CORRECTED)),
        r"(?<=\s)([\d.]+(?:e\+?\d+)?) g(?: ± ([\d.]+))?(?=\s|$)",
        _grams_shown,
    ),
    (
        ("away ", "not away "),
        r"\b\d{4}-\d\d-\d\d\b",
        lambda found: dated(date.fromisoformat(found[0])),
    ),
    (
        ("reading ",),
        r"(?<=\s)([-−]?[\d.]+) °C(?=,|$)",
        lambda found: temp(float(found[1].replace("−", "-"))),
    ),
)


def _rule_words(rule_id: str) -> str:
    from curedash.domain.needs.alert_rules import rule

    try:
        return f"“{rule(rule_id).words}”"
    except NotFound:  # of another version of the program
        return rule_id


def detail_words(
    found: Sequence[Detail], width: int, zone: tzinfo, places: Mapping[int, str]
) -> str:
    """``tare 0 g → 28 g · tare is nothing → hook, net``; as much as fits."""
    shown = [cut(x, LONGEST_PART) for x in change_parts(found, zone, places)[:SHOWN_DETAILS]]
    return fitting(shown, width) if shown else ""
