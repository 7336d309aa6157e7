"""The history in words: who, when by the clock on the wall and in UTC, from where, what."""

from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo

from curedash.present.change_words import change_parts
from curedash.present.words import Line, cut, filled, fitting, left, moment_words, plain, right
from curedash.services.history import Detail, HistoryLine

SHOWN_DETAILS = 6


def change_line(line: HistoryLine, zone: tzinfo, width: int) -> Line:
    """``25 Nov 19:00  18:00Z  anna  screen  weigh C2  (taken back)``."""
    utc = datetime.fromisoformat(line.recorded_at).strftime("%H:%MZ")
    who = 8 if width < 80 else 12
    head = f" {right(moment_words(line.recorded_at, zone), 12)} {utc}  "
    head += f"{left(plain(line.actor), who)} {left(plain(line.origin), 7)} "
    tail = " (taken back)" if line.undone else ""
    room = max(4, width - len(head) - len(tail))
    tone = "quiet" if line.undone or line.undoes is not None else ""
    return filled([(left(head, len(head)), "quiet"), (cut(words_of(line), room), tone),
                   (tail, "today")], width)  # fmt: skip


def words_of(line: HistoryLine) -> str:
    """What was done: ``weigh C2``, ``undo weigh C2``."""
    return plain(f"{line.verb} {line.subject}".strip())


def detail_words(
    found: Sequence[Detail], width: int, zone: tzinfo, places: Mapping[int, str]
) -> str:
    """``tare 0 g → 28 g · tare is nothing → hook, net``; as much as fits."""
    shown = change_parts(found, zone, places)[:SHOWN_DETAILS]
    return fitting(shown, width) if shown else ""
