"""The Round in words: one line a lot, what is due, what was weighed, what was left out."""

from collections.abc import Sequence

from curedash.domain.needs.lot_needs import Need
from curedash.domain.records import LotState
from curedash.domain.wording import listed
from curedash.present.display_units import bare_range, in_pounds, mass, mass_range
from curedash.present.rack.around import need_words
from curedash.present.rack.meat import piece_words
from curedash.present.weighing import weigh_line
from curedash.present.words import (
    ABOUT,
    SIGNS,
    Line,
    ago,
    cells,
    count,
    cut,
    filled,
    fitting,
    left,
    plain,
    wrapped,
)
from curedash.services.weighing.weigh import Hint, Preview

SINCE, SPAN = 10, 10  # cells of the columns, one of them between two columns
WITH_MEAT = 80  # columns from which the meat is named, not the piece alone
NARROW = 60  # below, code and days have a cell less
NOTHING_NEXT = "Nothing needs you now."
MARKS = {"next": "›", "weighed": "+", "left out": "–", "": " "}
LEGEND = (
    (MARKS["next"], "on the scale now"),
    (MARKS["weighed"], "weighed in this round"),
    (MARKS["left out"], "left out"),
)


def round_line(lot: LotState, hint: Hint, state: str, seen: Preview | None, width: int) -> Line:
    """One lot of the round: due, next, weighed or left out."""
    name_cells = name_cells_of(width)
    code_cells = _code_cells(width)
    name = piece_words(lot, name_cells) if width >= WITH_MEAT else name_of(lot)
    head = f"{MARKS[state]} {left(lot.code, code_cells)} {left(name, name_cells)} "
    room = width - len(MARKS[state]) - 3 - code_cells - name_cells
    if seen is not None:
        return filled([(head, "strong"), (fitting(_weighed(seen), room), "good")], width)
    if state == "left out":
        return filled([(head, "quiet"), ("left out", "today")], width)
    tone = "strong" if state == "next" else ""
    return filled([(head, tone), (_due(hint, lot, room, _since_cells(width)), "quiet")], width)


def _code_cells(width: int) -> int:
    return 4 if width < NARROW else 5


def _since_cells(width: int) -> int:
    return SINCE - 1 if width < NARROW else SINCE


def name_cells_of(width: int) -> int:
    """Room for the name of a piece, from 80 columns on with its meat."""
    return 9 if width < NARROW else 11 if width < WITH_MEAT else 27 if width < 100 else 30


def round_heads(width: int) -> str:
    """The heads of the columns; with pounds each line says its words, for they need the room."""
    if in_pounds():
        return ""
    what = "Meat" if width >= WITH_MEAT else "Piece"
    names = f"  {left('Lot', _code_cells(width))} {left(what, name_cells_of(width))}"
    weighed, expect = left("weighed", _since_cells(width) - 1), left("expect g", SPAN - 1)
    place = " place" if width >= NARROW else ""
    return f"{names} {weighed} {expect} pull at g{place}"


def name_of(lot: LotState) -> str:
    """The piece, or its batch or style where the piece has no name of its own."""
    return plain(lot.piece) or plain(lot.batch_name) or plain(lot.style_name)


def _weighed(seen: Preview) -> list[str]:
    parts = [weigh_line.net_words(seen)]
    if seen.loss_pct is not None:
        parts.append(weigh_line.loss_words(seen, seen.base))
    if seen.to_go_g is not None and not weigh_line.is_heavier_than_hung(seen):
        parts.append(weigh_line.target_of(seen))
    return parts


def _due(hint: Hint, lot: LotState, room: int, since_cells: int) -> str:
    """When it was weighed, what to expect on the scale, at what it is pulled, where it hangs."""
    if in_pounds():
        return _due_in_words(hint, lot, room)
    since = "" if hint.days_since is None or hint.last_net_g is None else ago(hint.days_since)
    if cells(since) >= since_cells:  # "yesterday" on a phone
        since = f"{hint.days_since} d ago"
    spans = [
        "" if span is None else bare_range(*span, whole=True)
        for span in (hint.expected_on_scale_g, hint.target_on_scale_g)
    ]
    if hint.guessed and spans[1]:
        spans[1] = _about(spans[1])
    text = left(since, since_cells) + "".join(left(span, SPAN - 1) + " " for span in spans)
    left_over = room - cells(text)
    return text + cut(plain(lot.place or ""), left_over) if left_over > 0 else text.rstrip()


def _about(span: str) -> str:
    """A pull weight from an estimate; where both ends have no room the heavier one."""
    words = f"{ABOUT}{span}"
    return words if cells(words) < SPAN else f"{ABOUT}{span.rpartition('–')[2]}"


def _due_in_words(hint: Hint, lot: LotState, room: int) -> str:
    """The same with its units: the pull weight is what one looks for, other words go first."""
    known = hint.last_net_g is not None and hint.days_since is not None
    briefly = [ago(hint.days_since or 0)] if known else []
    weighed = [f"weighed {since}" for since in briefly]
    place = [plain(lot.place)] if lot.place else []
    pulls = _pull_choices(hint)
    if not pulls:
        return fitting([*weighed, *place], room)
    expect = []
    if hint.expected_on_scale_g is not None:
        expect = [f"expect {mass_range(*hint.expected_on_scale_g, whole=True)}"]
    for parts in (
        [*briefly, *expect, pulls[2]],
        [*weighed, pulls[0]],
        *([*briefly, pull] for pull in pulls),
    ):
        if cells(" · ".join(parts)) <= room:
            return fitting([*parts, *place], room)
    return fitting(pulls[-1:], room)


def _pull_choices(hint: Hint) -> list[str]:
    """The longest wording first."""
    if hint.target_on_scale_g is None:
        return []
    lo, hi = hint.target_on_scale_g
    span = mass_range(lo, hi, whole=True)
    most = mass(hi, whole=True)
    if hint.guessed:
        return [
            f"feel it at {ABOUT}{span} on the scale",
            f"feel at {ABOUT}{span} on the scale",
            f"feel at {ABOUT}{span}",
            f"feel at {ABOUT}{most}",
        ]
    return [
        f"pull at {span} on the scale",
        f"pull {span} on the scale",
        f"pull at {span}",
        f"pull at {most} on the scale",
        f"pull at {most}",
    ]


def ended_lines(
    weighed: int, left_out: Sequence[LotState], needs: Sequence[Need], width: int
) -> list[Line]:
    """The round behind one: how many were weighed, which were not, what needs somebody next."""
    skipped = f"{len(left_out)} left out" if left_out else "none left out"
    head = f"{count(weighed, 'lot')} weighed" if weighed else "Nothing was weighed"
    lines: list[Line] = [(), ((f"  {head}, {skipped}", "strong"),)]
    for lot in left_out:
        lines.append(((f"  {MARKS['left out']} {lot.code} {name_of(lot)}".rstrip(), "today"),))
    lines += [(), (("  What needs you next", "title"),)]
    for need in needs:
        first, *rest = wrapped(need_words(need), width - 4, 3)
        lines.append(((f"  {SIGNS.get(need.level, ' ')} {first}", need.level),))
        lines += [((f"    {more}", need.level),) for more in rest]
    if not needs:
        lines.append(((f"    {NOTHING_NEXT}", "quiet"),))
    return lines


def ended_words(weighed: int, left_out: list[str]) -> str:
    """How the round ended.

    Example
    -------
    >>> ended_words(4, ["C3"]), ended_words(5, [])
    ('Round ended: 4 weighed, left out: C3.', 'Round ended: 5 weighed, none left out.')
    """
    told = f"{weighed} weighed" if weighed else "nothing was weighed"
    rest = f"left out: {listed(left_out)}" if left_out else "none left out"
    return f"Round ended: {told}, {rest}."
