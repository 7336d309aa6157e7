"""The form of a new batch in lines: a field with what stands beside it, its help, the title."""

from collections.abc import Mapping, Sequence

from curedash.domain.cure_time import RuleDays
from curedash.present.batch_fields import (
    PIECE_CELLS,
    Values,
    field,
    fitting,
    known_style,
    options,
    unit,
)
from curedash.present.batch_reading import Read
from curedash.present.view import mass
from curedash.present.words import (
    Line,
    Span,
    cells,
    count,
    cut,
    filled,
    left,
    plain,
    wrapped,
)
from curedash.services.batch_start import Start

LABEL = 15
VALUE = 22  # cells of a value before what is said beside it
BESIDE = 20  # fewer cells than this say nothing
HEAD = 16  # cells before the cells of a piece
NAMED_FROM = 76  # columns from which each cell has its name before it, not only while it is empty
SHARES = {"piece": 3.0, "count": 1.5}  # of the room of such a line; the others have 2


def field_line(
    field_id: str, shown: str, label: str, values: Values, read: Read, width: int, *,
    focused: bool, earnest: bool, tone: str = "typed",
) -> Line:  # fmt: skip
    """One field: label, value, unit, and beside it what is refused or still wanted."""
    spans: list[Span] = [("› " if focused else "  ", "key"), (left(label, LABEL), "quiet")]
    room = width - 2 - LABEL
    beside, beside_tone = _beside(field_id, read, earnest)
    own = min(room, max(VALUE, cells(shown) + 1)) if beside or focused else room
    if beside and room - own < BESIDE:
        own = max(VALUE, room - BESIDE)
    value = _tail(shown, own - 1) if focused else cut(shown, own - 1)
    spans.append((value, tone if focused else ""))
    end = "" if _has_unit(shown) else unit(field_id, values)
    used = cells(value)
    if end and used and used + cells(end) + 2 <= own:
        spans.append((" " + end, "quiet"))
        used += cells(end) + 1
    if beside:
        spans.append((" " * max(1, own - used), ""))
        spans.append((cut(beside, room - max(own, used + 1)), beside_tone))
    return filled(spans, width)


def _has_unit(text: str) -> bool:
    """Whether a unit was typed: letters, a percent sign, marks of inches or feet."""
    return any(char.isalpha() or char in "%'\"′″’”" for char in text)


def _beside(field_id: str, read: Read, earnest: bool) -> tuple[str, str]:
    if field_id in read.troubles:
        return "! " + plain(read.troubles[field_id]), "act"
    if field_id in read.wanted:
        return "← " + read.wanted[field_id], "today" if earnest else "quiet"
    if field_id in read.hints:
        return "· " + plain(read.hints[field_id]), "today"
    return "", ""


def _tail(text: str, width: int) -> str:
    """The text with the part around its caret in sight."""
    if cells(text) <= width:
        return text
    at = text.find("▏")
    kept = text[: at + 1] if at >= 0 else text
    if cells(kept) > width:
        while kept and cells(kept) > width - 1:
            kept = kept[1:]
        kept = "…" + kept
    return cut(kept + text[at + 1 :], width)


def cells_line(
    ids: Sequence[str], shown: Mapping[str, str], read: Read, code: str, focus: str | None,
    width: int, tone: str = "typed",
) -> Line:  # fmt: skip
    """A line of several fields: one piece, or one roast."""
    number = int(ids[0].partition(":")[2])
    if ids[0].partition(":")[0] in PIECE_CELLS:
        head = f"{code}{number + 1} {mass(read.greens[number])}"
    else:
        head = plain(read.sources[number])
    mark = "› " if focus in ids else "  "
    spans: list[Span] = [(mark, "key"), (left(head, HEAD - 3) + " ", "quiet")]
    shares = [SHARES.get(field_id.partition(":")[0], 2.0) for field_id in ids]
    for field_id, share in zip(ids, shares, strict=True):
        label = field(field_id).label + ("!" if field_id in read.troubles else " ")
        room = int((width - HEAD) * share / sum(shares)) - 1
        if width >= NAMED_FROM:
            spans.append((label, "quiet"))
            room -= cells(label)
        elif field_id != focus and not shown[field_id]:
            spans += [(left(label, room) + " ", "quiet")]
            continue
        ink = tone if field_id == focus else "act" if field_id in read.troubles else ""
        value = _tail(shown[field_id], room) if field_id == focus else cut(shown[field_id], room)
        spans += [(value, ink), (" " * max(1, room + 1 - cells(value)), "")]
    return filled(spans, width)


def help_lines(
    field_id: str, values: Values, start: Start, read: Read, typed: str, width: int
) -> tuple[Line, Line]:
    """What is refused in full, else what the field wants and offers."""
    if field_id in read.troubles:
        return _two(plain(read.troubles[field_id]), width, "act")
    if field_id in read.hints:
        hint, more = _two(plain(read.hints[field_id]), width, "today")
        offered = options(field_id, values, start) if not more[0][0] else []
        row = _offers(offered, values.get(field_id, ""), typed, width) if offered else ""
        return hint, ((row, "quiet"),) if row else more
    words = _known(field_id, values, start, read)
    words = words or f"{field(field_id).label}: {field(field_id).help}"
    first: Line = ((cut(words, width), "quiet"),)
    offered = options(field_id, values, start)
    if not offered:
        return first, ()
    return first, ((_offers(offered, values.get(field_id, ""), typed, width), "quiet"),)


def _known(field_id: str, values: Values, start: Start, read: Read) -> str:
    """What is known of the style chosen, or what every rule of thumb says; nothing elsewhere."""
    if field_id == "style":
        style = known_style(values["style"], start)
        if style is None:
            return ""
        unverified = "; not checked against a text" if style.how == "memory" else ""
        return f"{style.name}: {style.disagree} ({style.source}{unverified})"
    if field_id == "rule" and read.planned and read.planned[0].window is not None:
        rules = (rule_words(rule) for rule in read.planned[0].window.rules)
        return f"{start.code}1: {'; '.join(rules)}"
    return ""


def rule_words(rule: RuleDays) -> str:
    """``22 d by one week per inch``."""
    first, last = (f"{value:.0f}" for value in (rule.days_lo, rule.days_hi))
    return f"{first if first == last else f'{first}–{last}'} d by {rule.name}"


def _two(text: str, width: int, tone: str) -> tuple[Line, Line]:
    lines = [*wrapped(text, width), ""]
    return ((lines[0], tone),), ((lines[1], tone),)


def _offers(offered: Sequence[tuple[str, str]], now: str, typed: str, width: int) -> str:
    """The options in a row from the one that is chosen on, or those with the letters typed."""
    ids = [option for option, _words in offered]
    if now in ids:
        at = ids.index(now)
        row = [*offered[at:], *offered[:at]] if at else list(offered)
    else:
        row = fitting(offered, typed)
        if not row:
            return ""
    words = [f"[{name(one)}]" if one[0] == now else name(one) for one in row]
    line = ""
    for word in words:
        longer = f"{line}  {word}" if line else word
        if cells(longer) > width - 2:
            return line + " …" if line else cut(word, width)
        line = longer
    return line


def name(option: tuple[str, str]) -> str:
    """An option as it stands in the row."""
    return plain(option[1] or option[0])


def title(code: str, read: Read, again: str | None, width: int) -> Line:
    """What the batch will be, and whether it can be saved."""
    spans: list[Span] = [(f"NEW BATCH {code}  ", "title")]
    if again:
        spans.append((f"{plain(again)} made again  ", ""))
    if read.greens:
        spans.append((f"{count(len(read.greens), 'piece')}, {mass(sum(read.greens))} green", ""))
    open_ones = len(read.wanted) + len(read.troubles)
    state = "can be saved" if read.spec is not None else f"{count(open_ones, 'field')} open"
    used = sum(cells(text) for text, _tone in spans)
    if used + cells(state) + 1 <= width:
        spans += [(" " * (width - used - cells(state)), ""), (state, "quiet")]
    return filled(spans, width)


def waits_words(read: Read) -> str:
    """What the dose table waits for, said where it will stand."""
    open_ones = [*read.troubles, *read.wanted]
    labels = [field(each).label for each in open_ones if each not in ("name", "style")]
    return f"  The doses wait for: {', '.join(labels)}." if labels else "  No dose yet."
