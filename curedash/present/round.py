"""The Round in words: one line a lot, what is due, what was weighed, what was left out."""

from curedash.domain.records import LotState
from curedash.present.view import bare_range
from curedash.present.weigh_line import loss_words, net_words, to_go_words
from curedash.present.words import Line, ago, filled, fitting, left, plain
from curedash.services.weigh import Hint, Preview

MARKS = {"next": "›", "weighed": "+", "left out": "–", "": " "}


def round_line(lot: LotState, hint: Hint, state: str, seen: Preview | None, width: int) -> Line:
    """One lot of the round: due, next, weighed or left out."""
    name_cells = 11 if width < 100 else 20
    head = f"{MARKS[state]} {left(lot.code, 5)} {left(plain(lot.piece), name_cells)} "
    room = width - len(MARKS[state]) - 8 - name_cells
    if seen is not None:
        return filled([(head, "strong"), (fitting(_weighed(seen), room), "good")], width)
    if state == "left out":
        return filled([(head, "quiet"), ("left out", "today")], width)
    tone = "strong" if state == "next" else ""
    return filled([(head, tone), (fitting(_due(hint, lot), room), "quiet")], width)


def _weighed(seen: Preview) -> list[str]:
    parts = [net_words(seen)]
    if seen.loss_pct is not None:
        parts.append(loss_words(seen, seen.base))
    if seen.to_go_g is not None:
        parts.append(to_go_words(seen.to_go_g))
    return parts


def _due(hint: Hint, lot: LotState) -> list[str]:
    parts = []
    if hint.last_net_g is not None and hint.days_since is not None:
        parts.append(f"weighed {ago(hint.days_since)}")
    if hint.target_on_scale_g is not None:
        lo, hi = hint.target_on_scale_g
        parts.append(f"pull at {bare_range(lo, hi, whole=True)} on the scale")
    if lot.place:
        parts.append(plain(lot.place))
    return parts


def ended_words(weighed: int, left_out: list[str]) -> str:
    """How the round ended.

    Example
    -------
    >>> ended_words(4, ["C3"]), ended_words(5, [])
    ('Round ended: 4 weighed, left out: C3.', 'Round ended: 5 weighed, none left out.')
    """
    rest = f"left out: {', '.join(left_out)}" if left_out else "none left out"
    return f"Round ended: {weighed} weighed, {rest}."
