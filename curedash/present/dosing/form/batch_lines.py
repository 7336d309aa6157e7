"""The form of a new batch in lines: a field with the words beside it, its help, the title."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from curedash.domain.curing.cure_time import RuleDays
from curedash.domain.dosing.plan_checks import strength_findings
from curedash.domain.household.styles import Style
from curedash.domain.record import record
from curedash.domain.wording import by_number, facts, listed
from curedash.present.display_units import in_pounds, length_unit, mass
from curedash.present.dosing.form.batch_cells import PIECE_CELLS, Values, above
from curedash.present.dosing.form.batch_field import fitting, is_under_way
from curedash.present.dosing.form.batch_fields import field, help_words, label, options, unit
from curedash.present.dosing.form.batch_follows import known_style
from curedash.present.dosing.form.batch_reader import Read
from curedash.present.signs import key_drawn
from curedash.present.words import Line, Span, cells, count, cut, filled, left, plain, wrapped
from curedash.present.words import fitting as whole_parts
from curedash.services.dosing.batch_start import Start

LABEL = 15
GUTTER, GUTTER_FROM = 6, 70  # cells of the name of a group, where there is room for it
OFFERS_AT = 4  # where the options below a field begin
FOOT = 2  # lines at the foot that are always there
MOST_BELOW = 4  # lines of one sentence, or of one value
VALUE = 22  # cells of a value before what is said beside it
BESIDE = 20  # fewer cells than this say nothing
PIECE_HEAD, ROAST_HEAD = 4, 8  # cells before the columns of single pieces, and of roasts


@record
class Column:
    """A cell of a line of cells: how wide at 60 columns, its share of the rest, its head."""

    width: int
    spare: float = 0.0
    head: str = ""  # empty: its own name


COLUMNS = {
    "green": Column(13, 0.1),
    "thick": Column(9, 0.1),
    "piece": Column(14, 0.4, "name"),
    "from": Column(9, 0.2, "of roast"),
    "count": Column(4, 0.1, "pcs"),
    "together": Column(4, 0.1, "bag"),
    "price": Column(13, 0.2),
    "bought": Column(12, 0.1, "weight"),
    "shop": Column(10, 0.3),
    "packed": Column(8, 0.1),
    "condition": Column(7, head="meat"),
}
MOST_WIDE = 76  # columns that lines of several fields spread over at most


def gutter(width: int) -> int:
    """Cells before the labels that name the groups."""
    return GUTTER if width >= GUTTER_FROM else 0


def room_of(width: int) -> int:
    """Cells behind the label of a field."""
    return width - 2 - gutter(width) - LABEL


def more_line(
    head: str, name: str, hidden: int, words: str, width: int, *, focused: bool, opened: bool
) -> Line:
    """The line that opens a group: how many fields more, and what they hold.

    Parameters
    ----------
    head : the name of the group, where this line begins it
    name : the same, for a width without a column of them
    hidden : how many fields it opens
    """
    label = "▾ fewer" if opened else f"▸ {hidden} more"
    if not gutter(width):
        label = f"{label} {name.lower()}"
    spans: list[Span] = [("› " if focused else "  ", "key")]
    spans += [(left(head, gutter(width)), "title"), (left(label, LABEL), "key")]
    held = whole_parts(words.split(" · "), room_of(width) - 1)
    spans.append((held, "typed" if focused else "quiet"))
    return filled(spans, width)


def offer_lines(offered: Sequence[tuple[str, str]], now: str, typed: str, width: int) -> list[Line]:
    """All options below the field, the one that is chosen in brackets; those that fit letters."""
    ids = [option for option, _words in offered]
    row = offered if now in ids or not typed.strip() else fitting(offered, typed)
    lines: list[str] = []
    for one in row:
        word = f"[{name(one)}]" if one[0] == now else name(one)
        if not lines or cells(f"{lines[-1]}   {word}") > width - OFFERS_AT - 1:
            lines.append(word)
        else:
            lines[-1] += f"   {word}"
    return [
        filled([(" " * OFFERS_AT, ""), (cut(line, width - OFFERS_AT), "quiet")], width)
        for line in lines
    ]


class FieldText(NamedTuple):
    """The words of one field as they are drawn."""

    shown: str  # its value
    label: str
    head: str = ""  # the name of the group it begins
    taken: str = ""  # where a value nobody typed is from; it is drawn quiet
    tone: str = "typed"  # of the value while it has the focus


def field_line(
    field_id: str,
    words: FieldText,
    values: Values,
    read: Read,
    width: int,
    *,
    focused: bool,
    earnest: bool,
) -> Line:
    """One field: its group, label, value, unit, and beside it what is refused or still wanted.

    What has no room beside it goes below: see :func:`lines_below`.
    """
    shown, label, head, taken, tone = words
    bold = focused or bool(head)  # blanks in the ink of the label cost a slow line less
    spans: list[Span] = [("› " if focused else "  ", "key" if bold else "quiet")]
    spans += [(left(head, gutter(width)), "title" if bold else "quiet")]
    spans.append((left(label, LABEL), "quiet"))
    room = room_of(width)
    beside, beside_tone = _beside(field_id, read, earnest)
    beside, beside_tone = (beside, beside_tone) if beside or not taken else (taken, "quiet")
    if not _fits_beside(beside, shown, width):
        beside = _short(beside, shown, width) if focused else ""
    own = min(room, max(VALUE, cells(shown) + 1)) if beside or focused else room
    if beside and room - own < BESIDE:
        own = max(VALUE, room - BESIDE)
    value = _tail(shown, own - 1) if focused else wrapped(shown, own - 1, MOST_BELOW)[0]
    spans.append((value, tone if focused else "quiet" if taken else ""))
    end = "" if _has_unit(shown) else unit(field_id, values)
    used = cells(value)
    if end and used and used + cells(end) + 2 <= own:
        spans.append((" " + end, "quiet"))
        used += cells(end) + 1
    if beside:
        rest = room - max(own, used + 1)
        spans.append((" " * max(1, own - used), ""))
        spans.append((beside if cells(beside) <= rest else beside[:1], beside_tone))
    return filled(spans, width)


def lines_below(
    field_id: str, shown: str, read: Read, width: int, *, focused: bool
) -> tuple[Line, ...]:
    """What of a field has no room on its line: the rest of its value, what is used against it.

    The field being typed has none: its line follows the caret, the foot says the sentence whole.
    """
    if focused:
        return ()
    room = room_of(width)
    beside, tone = _beside(field_id, read, earnest=False)
    fits = _fits_beside(beside, shown, width)
    rest = wrapped(shown, room - 1, MOST_BELOW)[1:]
    lines: list[Line] = [((" " * (width - room) + line, ""),) for line in rest]
    if not fits:
        lines += [(("    " + line, tone),) for line in wrapped(beside, width - 5, MOST_BELOW)]
    return tuple(filled(line, width) for line in lines)


def below_cells(ids: Sequence[str], read: Read, focus: str | None, width: int) -> tuple[Line, ...]:
    """Under a line of several fields: what is refused or asked of each, but of the one typed.

    The foot says that of the one being typed.
    """
    lines: list[Line] = []
    for field_id in ids:
        beside, tone = _beside(field_id, read, earnest=False)
        if field_id == focus or beside[:1] not in ("!", "·"):
            continue
        named = f"{field(field_id).label}: "
        named *= not beside[2:].casefold().startswith(field(field_id).label)  # named once
        said = f"{beside[:2]}{named}{beside[2:]}"
        lines += [
            filled([("    " + line, tone)], width) for line in wrapped(said, width - 5, MOST_BELOW)
        ]
    return tuple(lines)


def _fits_beside(beside: str, shown: str, width: int) -> bool:
    """Whether the words beside a field have room behind its value."""
    room = room_of(width)
    return not beside or cells(beside) <= room - max(VALUE, cells(shown) + 1)


def _short(beside: str, shown: str, width: int) -> str:
    """The first part of what has no room beside the field being typed; the foot says it all."""
    for mark in (";", ":", ","):
        head = beside.partition(mark)[0]
        if head != beside and _fits_beside(head, shown, width):
            return head
    return {"!": "! refused", "·": "· see below"}.get(beside[:1], "")


def _has_unit(text: str) -> bool:
    """Whether a unit was typed: letters, a percent sign, marks of inches or feet."""
    return any(char.isalpha() or char in "%'\"′″’”" for char in text)


def _beside(field_id: str, read: Read, earnest: bool) -> tuple[str, str]:
    if field_id in read.troubles:
        return "! " + plain(read.troubles[field_id]), "act"
    if field_id in read.wanted:
        return "← " + key_drawn(read.wanted[field_id]), "today" if earnest else "quiet"
    if field_id in read.hints:
        return "· " + key_drawn(plain(read.hints[field_id])), "today"
    return "", ""


def _tail(text: str, width: int) -> str:
    """The text with the part around its caret in sight; a choice, which has none, begins."""
    if cells(text) <= width or "▏" not in text:
        return cut(text, width)
    at = text.find("▏")
    kept = text[: at + 1] if at >= 0 else text
    if cells(kept) > width:
        while kept and cells(kept) > width - 1:
            kept = kept[1:]
        kept = "…" + kept
    return cut(kept + text[at + 1 :], width)


def cells_in_sight(ids: Sequence[str], at: str, width: int) -> Sequence[str]:
    """The cells of a line that have room; those that go first make room for the one at ``at``.

    The first cell, which says how much it is of, is always there.
    """
    cell = at.partition(":")[0]
    cut_off = next((n for n, each in enumerate(ids) if each.partition(":")[0] == cell), 0)
    for dropped in range(1, max(1, cut_off) + 1):
        kept = [ids[0], *ids[dropped:]]
        room = width - 2 - _head(ids, width)
        while sum(_width(each, width) for each in kept) > room and len(kept) > 1:
            del kept[-1]
        if cut_off == 0 or ids[cut_off] in kept:
            return kept
    return [ids[0], ids[cut_off]]


def heads_line(ids: Sequence[str], width: int) -> Line:
    """The heads of the columns of single pieces, or of roasts."""
    spans: list[Span] = [(" " * (2 + _head(ids, width)), "")]
    for field_id in ids:
        cell = field_id.partition(":")[0]
        name = (COLUMNS[cell].head or cell) + _head_unit(cell)
        spans.append((left(name, _width(field_id, width)), "quiet"))
    return filled(spans, width)


def _head_unit(cell: str) -> str:
    """What a bare number in this column is; a weight in pounds is typed with its units."""
    if cell == "thick":
        return f" {length_unit()}"
    return " g" if cell in ("green", "bought") and not in_pounds() else ""


def cells_line(
    ids: Sequence[str],
    shown: Mapping[str, str],
    values: Values,
    read: Read,
    code: str,
    focus: str | None,
    width: int,
    tone: str = "typed",
) -> Line:
    """A line of several fields: one piece, or one roast; quiet is what repeats from above."""
    head = _head(ids, width)
    mark = "› " if focus in ids else "  "
    name = whose(ids[0], read, code)
    begun = name != "+" or focus in ids
    if not begun and not any(shown.values()):
        return filled([("  ", ""), ("+ another piece", "quiet")], width)
    spans: list[Span] = [(mark, "key"), (left(name, head - 1) + " ", "quiet")]
    for field_id in ids:
        room = _width(field_id, width) - 1
        typed = shown[field_id]
        wrong, open_ = field_id in read.troubles, field_id in read.wanted
        ink = tone if field_id == focus else "act" if wrong else ""
        if open_ and field_id != focus and not typed:
            typed, ink = "←", "today"
        if wrong and field_id != focus:
            typed = f"!{typed or plain(above(field_id, values))}"
        value = _tail(typed, room) if field_id == focus else cut(typed, room)
        spans.append((value, ink))
        rest = room + 1 - cells(value)
        if typed.strip("▏"):
            spans.append((" " * rest, ""))
        else:
            again = above(field_id, values) if begun else ""
            again = f"({cut(plain(again), max(0, rest - 3))})" if again else ""
            spans.append((left(again, rest), "quiet"))
    return filled(spans, width)


def whose(field_id: str, read: Read, code: str) -> str:
    """The piece or the roast a cell belongs to: ``A2``, ``roast 1``; ``+`` for one not begun."""
    cell, _, number = field_id.partition(":")
    if cell not in PIECE_CELLS:
        return plain(read.sources[int(number)]) if int(number) < len(read.sources) else "roast"
    piece = read.lines.get(int(number))
    return "+" if piece is None else f"{code}{piece + 1}"


def _head(ids: Sequence[str], width: int) -> int:
    """Cells before the columns; the name of a roast takes what they leave."""
    if ids[0].partition(":")[0] in PIECE_CELLS:
        return PIECE_HEAD
    wide = min(width, MOST_WIDE)
    return max(ROAST_HEAD, wide - 2 - sum(_width(field_id, width) for field_id in ids))


def _width(field_id: str, width: int) -> int:
    """Cells of a column with the blank behind it."""
    column = COLUMNS[field_id.partition(":")[0]]
    return column.width + int(max(0, min(width, MOST_WIDE) - 60) * column.spare)


def unseen_line(field_id: str, values: Values, read: Read, width: int) -> Line:
    """What is refused of a field that is out of sight, in one line: ``! cure dose: too much …``."""
    said = f"! {label(field_id, values)}: {plain(read.troubles[field_id])}"
    return ((cut(said, width), "act"),)


def help_lines(
    field_id: str, values: Values, start: Start, read: Read, width: int
) -> tuple[Line, ...]:
    """What is refused in full, else what the field wants and offers."""
    where = f"{whose(field_id, read, start.code)} " if ":" in field_id else ""
    if field_id in read.troubles:
        name = f"{_where(where)}{field(field_id).label}: " if where else ""
        return _broken(name + plain(read.troubles[field_id]), width, "act")
    if field_id in read.hints:
        return _broken(key_drawn(plain(read.hints[field_id])), width, "today")
    words = _known(field_id, values, start, read, width)
    wanted = key_drawn(help_words(field_id, values))
    words = words or f"{_where(where)}{label(field_id, values)}: {wanted}"
    echo = read.echoes.get(field_id)
    if echo and not options(field_id, values, start):
        return *_broken(words, width, "quiet"), *_broken(plain(echo), width, "")
    return _broken(words, width, "quiet")


def _where(piece: str) -> str:
    return "next piece · " if piece == "+ " else f"{piece}· " if piece else ""


def _known(field_id: str, values: Values, start: Start, read: Read, width: int) -> str:
    """What is known of a style or a curing salt, or what the rules of thumb say; else nothing."""
    if field_id == "style":
        style = known_style(values["style"], start)
        if style is None:
            return ""
        unverified = "not checked against a text" if style.how == "memory" else ""
        words = f"{_named(style)}: {style.disagree}"
        whole = f"{words} ({facts(style.source, unverified)})"
        return whole if len(wrapped(whole, width, MOST_BELOW)) <= FOOT else words
    if field_id == "curing_salt" and read.planned:
        asked = strength_findings(read.planned[0].dose.request)
        return plain(asked[0].text) if asked else ""
    if field_id == "rule" and read.planned and read.planned[0].window is not None:
        rules = (rule_words(rule) for rule in read.planned[0].window.rules)
        return f"{start.code}1: {'; '.join(rules)}"
    return ""


def _named(style: Style) -> str:
    """Its name; of a sausage also the casing that makes it thin or thick: ``casing from 60 mm``."""
    if "casing" not in style.cut:
        return style.name
    return f"{style.name}, {style.cut.removeprefix('ground, ')}"


def rule_words(rule: RuleDays) -> str:
    """``22 d (one week per inch)``."""
    first, last = (f"{value:.0f}" for value in (rule.days_lo, rule.days_hi))
    return f"{first if first == last else f'{first}–{last}'} d ({rule.name})"


def _broken(text: str, width: int, tone: str) -> tuple[Line, ...]:
    """A sentence in as many lines as it takes."""
    return tuple(((line, tone),) for line in wrapped(text, width, MOST_BELOW))


def name(option: tuple[str, str]) -> str:
    """An option as it is shown in the row, with the word one types for it: ``lonza (loin)``."""
    word, words = option
    if not words or words.casefold() == word.casefold():
        return plain(words or word)
    own = word.isalpha() and word.casefold() not in words.casefold()
    return f"{plain(word)} ({plain(words)})" if own and len(word) > 3 else plain(words)


def title(
    code: str,
    read: Read,
    again: str | None,
    width: int,
    hidden: tuple[int, int] = (0, 0),
    unseen: Sequence[str] = (),
) -> Line:
    """What the batch will be, whether it can be saved, and how many fields are out of sight.

    Parameters
    ----------
    hidden : fields above and below what is in sight
    unseen : those of them that are refused
    """
    above, below = hidden
    spans: list[Span] = [(f"NEW BATCH {code}  ", "title")]
    if again:
        spans.append((f"{plain(again)} made again  ", ""))
    room = width - sum(cells(text) for text, _tone in spans) - 1
    leads = [""]
    if read.greens:
        pieces = count(read.pieces or len(read.greens), "piece")
        leads = [f"{pieces}, {mass(sum(read.greens))} green", pieces, ""]
    ways = _states("can be saved" if read.ready else open_words(read), above, below, unseen)
    pairs = [(lead, way) for way in ways for lead in leads if cells(lead) + cells(way) <= room]
    lead, state = pairs[0] if pairs else (leads[0], "")
    if lead:
        spans.append((lead, ""))
    if state:
        blank = room + 1 - cells(lead) - cells(state)
        spans += [(" " * blank, ""), (state, "act" if unseen else "quiet")]
    return filled(spans, width)


def _states(state: str, above: int, below: int, unseen: Sequence[str]) -> list[str]:
    """How far the form is, and what is out of sight; the best wording comes first."""
    if not above + below:
        return [state]
    arrows = _arrows(above, below)
    if unseen:
        named = f"! {listed(unseen)} refused"
        return [f"{named} · {arrows} more", named, f"! {len(unseen)} refused {arrows}"]
    short = arrows.replace(" ", "").replace(",", " ")
    return [f"{state} · {out_of_sight(above, below)}", f"{state} · {short} more", state]


def out_of_sight(above: int, below: int) -> str:
    """How many fields are out of sight: ``↑ 2, ↓ 1 more field``.

    Example
    -------
    >>> out_of_sight(0, 3), out_of_sight(2, 1)
    ('↓ 3 more fields', '↑ 2, ↓ 1 more field')
    """
    arrows = _arrows(above, below)
    return by_number(below or above, f"{arrows} more field", f"{arrows} more fields")


def _arrows(above: int, below: int) -> str:
    return ", ".join(f"{key_drawn(arrow)} {n}" for arrow, n in (("↑", above), ("↓", below)) if n)


def open_words(read: Read) -> str:
    """How many fields are refused, and how many are still empty."""
    refused, wanted = len(read.troubles), len(read.wanted)
    if refused and wanted:
        return f"{count(refused, 'field')} refused, {wanted} to fill in"
    if refused:
        return f"{count(refused, 'field')} refused"
    return f"{count(wanted, 'field')} to fill in"


def waiting_lines(read: Read, values: Values, width: int, indent: int = 2) -> list[Line]:
    """In place of doses: what is known of pieces under way, else what is still needed."""
    said, tone = read.known or (_waits_words(read, values),), "" if read.known else "quiet"
    lines = (line for each in said for line in wrapped(each, width - indent - 1, MOST_BELOW))
    return [((" " * indent + line, tone),) for line in lines]


def _waits_words(read: Read, values: Values) -> str:
    """What the dose table waits for, said where it will be."""
    if is_under_way(values):
        labels = [label(each, values) for each in (*read.troubles, *read.wanted)]
        return f"Still needed: {listed(labels)}. No dose is needed; leave out what you don't know."
    open_ones = [*read.troubles, *read.wanted]
    labels = [label(each, values) for each in open_ones if each not in ("name", "style")]
    return f"Still needed for doses: {listed(labels)}." if labels else "No dose yet."
