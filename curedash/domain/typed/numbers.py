"""Typed text cut into numbers, units and what stands between them; fractions and marks resolved."""

from curedash.domain.errors import Refused

MAX_TEXT = 200
_FRACTIONS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"  # Unicode knows what each is worth
MINUS = "-−–—"
_GROUP_SPACES = "\u00a0\u2009\u202f"
_SIGNS = '°%"″”#℃℉'

MOST_DIGITS = 18  # of a whole number; more does not go into 64 bits, and nobody means it

Token = tuple[str, str, bool]  # kind (num, frac, word, op), text, space before it


def quoted(text: str) -> str:
    """Return what was typed, short and printable, for a sentence."""
    shown = "".join(ch if ch.isprintable() else " " for ch in text[:41]).strip()
    return f"“{shown[:40]}…”" if len(text) > 40 else f"“{shown}”"


def tidy(value: float) -> str:
    """A number as a person would type it: ten digits that count, never an exponent.

    Example
    -------
    >>> tidy(2.75), tidy(1043.0), tidy(0.00001), tidy(4.37e11)
    ('2.75', '1043', '0.00001', '437000000000')
    """
    text = f"{value:.10g}"
    if "e" not in text:
        return text
    text = f"{value:.12f}"
    return text.rstrip("0").rstrip(".") or "0"


def as_float(text: str) -> float:
    """A bare number with a point or a comma and any minus; ValueError where it is none.

    Example
    -------
    >>> as_float("5,2"), as_float(" −0.4 ")
    (5.2, -0.4)
    """
    return float(text.strip().replace(",", ".").replace("−", "-"))


_ASCII = {
    **{chr(code): chr(code - 0xFEE0) for code in range(ord("！"), ord("～") + 1)},
    **dict.fromkeys("⁄∕÷", "/"),
    **dict.fromkeys("×✕", "x"),
    **dict.fromkeys("’‘`´", "'"),
    "…": "..",
}


def plain_text(text: str) -> str:
    """Full-width and foreign digits, signs and spaces in their ASCII form."""
    return "".join(str(int(ch)) if ch.isdecimal() else _ASCII.get(ch, ch) for ch in text)


def whole_number(text: str) -> int:
    """Read a whole number, with a sign or without; what is too long for 64 bits is refused.

    Example
    -------
    >>> whole_number(" -12 ")
    -12

    Raises
    ------
    Refused: it is not one, or has more than 18 digits
    """
    bare = plain_text(text.strip())
    digits = bare[1:] if bare[:1] in ("+", "-") else bare
    if not digits.isdecimal():
        raise Refused(f"{quoted(text)} is not a whole number.")
    if len(digits) > MOST_DIGITS:
        raise Refused(f"{quoted(text)} is too large a number.")
    return int(bare)


def scan(text: str, what: str) -> list[Token]:
    """Cut a text into numbers, words and other signs."""
    if len(text) > MAX_TEXT:
        raise Refused(f"That is too long for {what}.")
    plain = plain_text(text)
    end = len(plain)
    tokens: list[Token] = []
    at = 0
    gap = False
    while at < end:
        ch = plain[at]
        start = at
        if ch.isspace():
            gap = True
            at += 1
            continue
        if _starts_number(plain, at):
            at = _number_end(plain, at)
            kind = "num"
        elif ch in _FRACTIONS:
            at += 1
            kind = "frac"
        elif ch.isalpha() or ch in _SIGNS:
            while at < end and (plain[at].isalpha() or plain[at] in _SIGNS):
                at += 1
            kind = "word"
        else:
            at += 2 if plain.startswith("..", at) else 1
            kind = "op"
        tokens.append((kind, plain[start:at], gap))
        gap = False
    if tokens and tokens[-1][:2] in (("op", "."), ("op", ","), ("op", ";")):
        tokens.pop()
    return tokens


def _starts_number(text: str, at: int) -> bool:
    if text[at].isdecimal():
        return True
    return text[at] in ".," and text[at + 1 : at + 2].isdecimal()


def _number_end(text: str, at: int) -> int:
    while at < len(text):
        joins = text[at] in ".,'" or text[at] in _GROUP_SPACES
        if not text[at].isdecimal() and not (joins and text[at + 1 : at + 2].isdecimal()):
            break
        at += 1
    return at


def _number(raw: str) -> tuple[float, float | None]:
    """Value with the mark as a decimal mark, and the other reading if a thousand is possible."""
    for space in _GROUP_SPACES:
        raw = raw.replace(space, "'")
    if "'" in raw:
        head, mark, tail = _at_decimal(raw)
        if tail and not tail.isdecimal():
            raise Refused(f"{quoted(raw)} has too many marks; one is enough, as in 1043.5.")
        return float(_ungrouped(head, "'") + mark + tail), None
    points, commas = raw.count("."), raw.count(",")
    if points + commas == 0:
        return float(raw), None
    if points and commas:
        decimal = "." if raw.rfind(".") > raw.rfind(",") else ","
        head, _, tail = raw.rpartition(decimal)
        return float(_ungrouped(head, "," if decimal == "." else ".") + "." + tail), None
    mark = "." if points else ","
    if points + commas > 1:
        return float(_ungrouped(raw, mark)), None
    head, _, tail = raw.partition(mark)
    literal = float((head or "0") + "." + tail)
    if len(tail) == 3 and 1 <= len(head) <= 3 and literal > 0:
        return literal, float(head + tail)
    return literal, None


def _at_decimal(raw: str) -> tuple[str, str, str]:
    for mark in ".,":
        if mark in raw:
            head, _, tail = raw.partition(mark)
            return head, ".", tail
    return raw, "", ""


def _ungrouped(raw: str, mark: str) -> str:
    first, *rest = raw.split(mark)
    if not 1 <= len(first) <= 3 or any(len(part) != 3 or not part.isdecimal() for part in rest):
        raise Refused(f"{quoted(raw)} has too many decimal marks; one is enough, as in 1043.5.")
    if not first.isdecimal():
        raise Refused(f"{quoted(raw)} is not a number; write it like 1043.5.")
    return first + "".join(rest)


class Quantity:
    """One number with the unit written behind it."""

    __slots__ = ("decimals", "kilo", "other", "raw", "split", "unit", "value")

    def __init__(self, raw: str, value: float, other: float | None, split: bool) -> None:
        self.raw = raw
        self.value = value
        self.other = other
        self.split = split  # written with a fraction
        self.kilo = raw.startswith("0")
        self.decimals = max(len(raw) - 1 - raw.rfind(mark) if mark in raw else 0 for mark in ".,")
        self.unit = ""


def quantities(tokens: list[Token], *, spaced_thousands: bool) -> list[Quantity | str]:
    """Numbers joined with their fractions and units; what stands between them stays as text."""
    items: list[Quantity | str] = []
    at = 0
    while at < len(tokens):
        kind, text, _ = tokens[at]
        if kind in ("num", "frac"):
            quantity, at = _read_quantity(tokens, at, spaced_thousands)
            words = []
            while at < len(tokens) and tokens[at][0] == "word":
                words.append(tokens[at][1])
                at += 1
            quantity.unit = " ".join(words)
            items.append(quantity)
        else:
            items.append(text)
            at += 1
    return items


def _read_quantity(tokens: list[Token], at: int, spaced_thousands: bool) -> tuple[Quantity, int]:
    share, after = _fraction(tokens, at)
    if share is not None:
        return Quantity("", share, None, True), after
    raw = tokens[at][1]
    at += 1
    share, after = _fraction(tokens, at)
    if share is not None:
        return Quantity(raw, _number(raw)[0] + share, None, True), after
    while spaced_thousands and _continues_thousands(raw, tokens, at):
        raw += "'" + tokens[at][1]
        at += 1
    value, other = _number(raw)
    return Quantity(raw, value, other, False), at


def _continues_thousands(raw: str, tokens: list[Token], at: int) -> bool:
    if at >= len(tokens) or tokens[at][0] != "num" or not tokens[at][2]:
        return False
    head = _at_decimal(tokens[at][1])[0]
    return (
        len(head) == 3
        and head.isdecimal()
        and len(raw.split("'")[0]) <= 3
        and ("." not in raw and "," not in raw)
    )


def _fraction(tokens: list[Token], at: int) -> tuple[float | None, int]:
    """Return a fraction below one that starts here (½ or 1/2) and where it ends."""
    if at < len(tokens) and tokens[at][0] == "frac":
        from unicodedata import numeric

        return numeric(tokens[at][1]), at + 1
    if at + 2 < len(tokens) and tokens[at][0] == tokens[at + 2][0] == "num":
        top_text, bottom_text = tokens[at][1], tokens[at + 2][1]
        if tokens[at + 1][1] == "/" and top_text.isdecimal() and bottom_text.isdecimal():
            small = len(top_text) <= 2 and len(bottom_text) <= 2
            if small and 0 < int(top_text) < int(bottom_text):
                return int(top_text) / int(bottom_text), at + 3
    return None, at


def days(text: str) -> float:
    """Read so many days, with or without their unit.

    Example
    -------
    >>> days("7"), days("7d"), days("1 day"), days("2,5 days")
    (7.0, 7.0, 1.0, 2.5)
    """
    bare = text.strip().casefold()
    for unit in ("days", "day", "d"):
        bare = bare.removesuffix(unit)
    try:
        return as_float(bare.strip())
    except ValueError:
        raise Refused(f"{quoted(text)} is not a number of days; give for example 7d.") from None
