"""Words, signs and decimals that both fronts and the papers share; nothing here knows a screen.

Text that a person typed is made harmless by :func:`plain` before it meets a screen: no control
or direction characters, no joiners, so that its width in cells is known. A line for a screen is
a sequence of spans, each a text with a tone (``act``, ``today``, ``quiet``, ``strong`` or none);
the tone only repeats in colour what the text already says.
"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, tzinfo
from functools import cache

from curedash.domain.wording import by_number
from curedash.domain.wording import count as count
from curedash.present.numbers import number
from curedash.present.signs import key_drawn

Span = tuple[str, str]
Line = tuple[Span, ...]

NOTHING = "–"
ABOUT = "≈"
LOOSE = " ,;:·("  # never left standing before the sign of a cut
#: level → when somebody has to come; in JSON, MQTT and metrics it keeps its own name
LEVEL_WORDS = {"act": "now", "today": "today"}
SIGNS = {"act": "!", "today": "•", "": " "}

HALF_A_YEAR = 182  # days within which a day and its month name one day
A_YEAR = 365  # days
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

#: where a narrow column takes another word than the stage's own
SHORT_STAGES = {"salt-rest": "rest", "equalising": "equalise", "discarded": "discard"}


# ── text of unknown origin ────────────────────────────────────────────────────────────────


def plain(text: str) -> str:
    """The text on one line without anything that could move, hide or recolour what follows it.

    Example
    -------
    >>> plain("thick\\x1b[31m end\\n")
    'thick [31m end'
    """
    if type(text) is not str:
        text = in_own_units(text)
    if text.isascii() and text.isprintable():
        return text
    from unicodedata import category

    kept: list[str] = []
    for char in text:
        kind = category(char)
        if kind in ("Cc", "Zl", "Zp"):
            kept.append(" ")
        elif kind in ("Cf", "Cs", "Co", "Cn") or char in "\ufe0e\ufe0f":
            continue
        else:
            kept.append(char)
    return "".join(kept).strip()


def in_own_units(text: str) -> str:
    """A sentence that knows its quantities in the units shown; whatever is drawn comes by here."""
    if type(text) is str:
        return text
    from curedash.present.display_units import retold

    return retold(text)


def cells(text: str) -> int:
    """How many cells of a terminal the text takes.

    Example
    -------
    >>> cells("牛肉"), cells("beef"), cells("e\\u0301")
    (4, 4, 1)
    """
    return len(text) if text.isascii() else sum(map(_cells_of, text))


@cache
def _cells_of(char: str) -> int:
    from unicodedata import category, east_asian_width

    if category(char) in ("Mn", "Me", "Cf", "Cc"):
        return 0
    return 2 if east_asian_width(char) in "WF" else 1


def cut(text: str, width: int) -> str:
    """The text within a number of cells, ending in ``…`` where it was cut.

    Example
    -------
    >>> cut("neck side, tied", 12), cut("thick end", 6)
    ('neck side…', 'thick…')
    """
    if type(text) is not str:
        text = in_own_units(text)
    if cells(text) <= width:
        return text
    kept, used = "", 0
    for char in text:
        size = cells(char)
        if used + size > width - 1:
            break
        kept, used = kept + char, used + size
    return kept.rstrip(LOOSE) + "…" if width > 0 else ""


def without_brackets(text: str, width: int) -> str:
    """The text, without what stands in brackets where it is too long with it.

    Example
    -------
    >>> without_brackets("cure time is up (one week per inch); can wait", 40)
    'cure time is up; can wait'
    """
    if cells(text) <= width:
        return text
    head, opened, rest = text.partition(" (")
    _, closed, tail = rest.partition(")")
    return head + tail if opened and closed else text


def left(text: str, width: int) -> str:
    """The text cut and filled up to exactly this many cells, at the left."""
    text, size = _within(text, width)
    return text + " " * (width - size)


def right(text: str, width: int) -> str:
    """The text cut and filled up to exactly this many cells, at the right."""
    text, size = _within(text, width)
    return " " * (width - size) + text


def _within(text: str, width: int) -> tuple[str, int]:
    """The text cut to this many cells, and how many it takes: most fits and is measured once."""
    if type(text) is not str:
        text = in_own_units(text)
    size = cells(text)
    if size <= width:
        return text, size
    text = cut(text, width)
    return text, cells(text)


def fitting(parts: Iterable[str], width: int, between: str = " · ") -> str:
    """As many whole parts as fit, in their order; the first is cut if it alone is too long.

    Example
    -------
    >>> fitting(["1043 g net", "−15 g in 7 d", "32.0 % lost"], 26)
    '1043 g net · −15 g in 7 d'
    """
    line = ""
    for part in parts:
        if not part:
            continue
        longer = line + between + part if line else part
        if cells(longer) > width:
            break
        line = longer
    return line or cut(next(iter(p for p in parts if p), ""), width)


def packed(parts: Iterable[str], width: int, between: str = "  ") -> list[str]:
    """Whole parts on as many lines as they need, none broken.

    Example
    -------
    >>> packed(["1 drying", "2 keeping", "3 closed"], 20)
    ['1 drying  2 keeping', '3 closed']
    """
    lines = [""]
    for part in parts:
        longer = lines[-1] + between + part if lines[-1] else part
        if cells(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(part)
    return lines


def wrapped(text: str, width: int, most: int = 2) -> list[str]:
    """The text broken between words into at most ``most`` lines of this many cells.

    A dot is between two parts on one line only.

    Example
    -------
    >>> wrapped("33 g to go · u undoes it", 13)
    ['33 g to go', 'u undoes it']
    """
    lines: list[str] = []
    line = ""
    words = in_own_units(text).split(" ")
    for at, word in enumerate(words):
        longer = f"{line} {word}" if line else word
        if cells(longer) <= width:
            line = longer
        elif len(lines) == most - 1:
            lines.append(cut(" ".join([line, *words[at:]]) if line else word, width))
            return lines
        else:
            if line:
                lines.append(line.removesuffix(" ·"))
            line = "" if word == "·" else word
    lines.append(cut(line, width))
    return lines


def filled(line: Sequence[Span], width: int) -> Line:
    """The spans cut and filled up to exactly this many cells."""
    out: list[Span] = []
    room = width
    for text, tone in line:
        if room <= 0:
            break
        size = len(text)
        if size > room or type(text) is not str or not text.isascii():
            text, size = _within(text, room)
        out.append((text, tone))
        room -= size
    if room > 0:
        out.append((" " * room, ""))
    return tuple(out)


def text_of(line: Sequence[Span]) -> str:
    """The bare text of a line."""
    return "".join(text for text, _ in line)


# ── numbers ───────────────────────────────────────────────────────────────────────────────


def odds_words(chance: float | None) -> str:
    """``30 % that it never gets there``; empty where the chance [0–1] is not shown."""
    return "" if chance is None else f"{percent(100 * chance, 0)} that it never gets there"


def percent(value: float, decimals: int = 1) -> str:
    """A percentage as it stands in a sentence.

    Example
    -------
    >>> percent(31.97)
    '32.0 %'
    """
    return f"{number(value, decimals)} %"


def below_words(lines: int) -> str:
    """How much of a list is out of sight: ``↓ 8 lines below``; nothing where all is seen."""
    return key_drawn(f"↓ {count(lines, 'line')} below") if lines else ""


# ── days ──────────────────────────────────────────────────────────────────────────────────


def day(on: date, today: date | None = None) -> str:
    """A day without its year: ``2 Dec``; with it where the year is not that of ``today``."""
    year = "" if today is None or today.year == on.year else f" {on.year}"
    return f"{on.day} {MONTHS[on.month - 1]}{year}"


def day_seen(on: date, today: date) -> str:
    """A day as it is listed: with its year from half a year away on, where it is not plain."""
    return day(on) if abs((on - today).days) <= HALF_A_YEAR else f"{day(on)} {on.year}"


def month(on: date) -> str:
    """The month a day lies in: ``Dec 2026``."""
    return f"{MONTHS[on.month - 1]} {on.year}"


def weekday(on: date) -> str:
    """A day with its weekday: ``Wed 25 Nov``."""
    return f"{WEEKDAYS[on.weekday()]} {day(on)}"


def days(first: date, last: date, today: date | None = None) -> str:
    """A window of days; the year of its end where that is over half a year after its first day,
    or a year or more after ``today``.

    Example
    -------
    >>> days(date(2026, 12, 2), date(2026, 12, 8)), days(date(2026, 12, 19), date(2027, 1, 4))
    ('2–8 Dec', '19 Dec–4 Jan')
    >>> days(date(2026, 11, 30), date(2027, 11, 13))
    "30 Nov–13 Nov'27"
    """
    far = (last - first).days > HALF_A_YEAR or (today is not None and (last - today).days >= A_YEAR)
    end = f"{day(last)}'{last.year % 100:02}" if far else day(last)
    if first == last:
        return end
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day}–{end}"
    return f"{day(first)}–{end}"


def ago(number_of_days: int) -> str:
    """How long since, in days.

    Example
    -------
    >>> ago(0), ago(1), ago(7)
    ('today', 'yesterday', '7 d ago')
    """
    if number_of_days <= 0:
        return "today"
    return by_number(number_of_days, "yesterday", f"{number_of_days} d ago")


def moment_words(utc: str, zone: tzinfo, today: date | None = None) -> str:
    """A stored moment in local words: ``25 Nov 18:30``; ``today`` as for `day`."""
    local = datetime.fromisoformat(utc).astimezone(zone)
    return f"{day(local.date(), today)} {local:%H:%M}"


# ── names ─────────────────────────────────────────────────────────────────────────────────


def stage(stage_id: str, *, short: bool = False) -> str:
    """The trade word of a stage."""
    own = stage_id.replace("-", " ")  # as in domain.stages
    return SHORT_STAGES.get(stage_id, own) if short else own
