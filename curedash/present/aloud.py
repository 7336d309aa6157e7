"""What the shell prints, worded to be read aloud: one record a paragraph, one sentence a line.

Columns become parts of a sentence, signs and units become words, what is drawn falls away. Nothing
is cut: who makes a line narrower for a terminal leaves it whole.
"""

from __future__ import annotations

import re

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_OF_MONTH = "|".join(month[:3] for month in MONTHS)
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_OF_WEEK = "|".join(day[:3] for day in DAYS)
_NUMBER = r"(?<![\w.])(\d+(?:\.\d+)?\)?)"
#: unit behind a number → word for one, word for several
UNITS = {
    "mg/kg": ("milligram per kilogram", "milligrams per kilogram"),
    "g/kg": ("gram per kilogram", "grams per kilogram"),
    "°C·h": ("degree hour Celsius", "degree hours Celsius"),
    "°C h": ("degree hour Celsius", "degree hours Celsius"),
    "°F·h": ("degree hour Fahrenheit", "degree hours Fahrenheit"),
    "°C": ("degree Celsius", "degrees Celsius"),
    "°F": ("degree Fahrenheit", "degrees Fahrenheit"),
    "%/d": ("percent a day", "percent a day"),
    "%": ("percent", "percent"),
    "kg": ("kilogram", "kilograms"),
    "mg": ("milligram", "milligrams"),
    "mm": ("millimetre", "millimetres"),
    "cm": ("centimetre", "centimetres"),
    "lb": ("pound", "pounds"),
    "oz": ("ounce", "ounces"),
    "min": ("minute", "minutes"),
    "MB": ("megabyte", "megabytes"),
    "wk": ("week", "weeks"),
    "in (": ("inch (", "inches ("),
    "g": ("gram", "grams"),
    "d": ("day", "days"),
    "h": ("hour", "hours"),
}
_UNIT = "|".join(re.escape(unit) for unit in UNITS)
_WITH_UNIT = re.compile(rf"{_NUMBER}( ?(?:%/d|%)| in \(| (?:{_UNIT})(?![\w/°]))")
_DRAWN = re.compile("[▁▂▃▄▅▆▇█▔░▒▓│┊┃─━┄┈•●○◆■□▲▼]+")
_ISO = re.compile(r"\b(\d{4})-(\d\d)-(\d\d)(?:T(\d\d:\d\d)(?::\d\d(?:\.\d+)?)?Z?)?(?![\w-])")
_SIGNS = (
    (re.compile(r"^act +(?=\S)"), "Act now: "),
    (re.compile(r"^today +(?=\S)"), "Today: "),
    (re.compile(r"^\s*! *"), "Act: "),
    (re.compile(r"^\s*- +"), ""),
    (re.compile(r"_{3,}"), "(to be written)"),
    (re.compile(r"^\s*· +"), "Look: "),
    (re.compile(r"^(\s*)\* +"), r"\1Own: "),
    (re.compile(r"\[x\]"), "done:"),
    (re.compile(r"\[ \]"), "not done:"),
    (re.compile(r"(?<=\w)–(?=[\w−])|(?<=\d) – (?=\d)"), " to "),
    (re.compile(rf"\b(?<=\d )({_OF_MONTH})'(\d\d)\b"), r"\1 20\2"),
    (re.compile(r"[≈~] ?(?=[\d−(])"), "about "),
    (re.compile(r"± ?"), "plus or minus "),
    (re.compile(r"(?<![\w)])[−-](?=\d)"), "minus "),
    (re.compile(r" − "), " minus "),
    (re.compile(r" × ?|(?<=\d)×(?=\d)"), " times "),
    (re.compile(r" ?→ ?"), " to "),
    (re.compile(r"≥ ?"), "at least "),
    (re.compile(r"≤ ?"), "at most "),
    (re.compile(r" — "), "; "),
    (re.compile(r" · "), "; "),
    (re.compile(r"(?<=\d)\*(?=\W|$)"), ""),
    (re.compile(r"(?<=\S)   ?(?:–)(?=\s|$)"), "  none"),
    (re.compile(r"(?<=[\s:])–(?=\s|[,;.]|$)"), "none"),
    (re.compile(r"% RH\b"), "% relative humidity"),
    (re.compile(r"(?<=[\w)]) RH\b"), " relative humidity"),
)
#: what is left of them where no number comes before
_LEFT = (
    ("°C", "degrees Celsius"),
    ("°F", "degrees Fahrenheit"),
    ("%", "percent"),
    ("≈", "about"),
    ("–", "to"),
    ("·", ","),
    ("×", "times"),
)
#: what a synthesiser spells out or reads as another word
_WORDS = {
    "NaNO2": "sodium nitrite",
    "NaNO3": "sodium nitrate",
    "KNO3": "potassium nitrate",
    "NaCl": "sodium chloride",
    "1/2": "one half",
    "1/4": "one quarter",
    "3/4": "three quarters",
    "1/3": "one third",
    "2/3": "two thirds",
}
_SPELT = re.compile(rf"((?<=\d) (?=\d/))?(?<![\w/.])({'|'.join(_WORDS)})(?![\w/])")
_RULE = re.compile(r"^[\s=\-_]*$")
_ROW_NUMBER = re.compile(r"^ {0,6}(\d{1,9})  +(?=\S)")


def sentence(line: str) -> str:
    """One line as a sentence; empty where it was only drawn.

    Example
    -------
    >>> sentence("act   H1: in the salt box 1.2 d too long — take it out")
    'Act now: H1: in the salt box 1.2 days too long; take it out.'
    >>> sentence("  Cellar, 9–14 °C, 70–80 % RH  ▇▅▃▂")
    'Cellar, 9 to 14 degrees Celsius, 70 to 80 percent relative humidity.'
    >>> sentence("Pull window: 30 Nov–13 Nov'27")
    'Pull window: 30 November to 13 November 2027.'
    >>> sentence("=======")
    ''
    """
    text = _DRAWN.sub(" ", line.rstrip())
    if _RULE.match(text):
        return ""
    text = _ROW_NUMBER.sub(r"Number \1: ", text)
    for sign, words in _SIGNS:
        text = sign.sub(words, text)
    text = _ISO.sub(_day, text)
    text = re.sub(rf"\b(\d{{1,2}}) ({_OF_MONTH})\b", _month, text)
    text = re.sub(rf"\b({_OF_WEEK}) (?=\d{{1,2}} )", _weekday, text)
    text = _SPELT.sub(_name, _WITH_UNIT.sub(_in_words, text))
    for left, word in _LEFT:
        text = text.replace(left, word)
    text = re.sub(r"(?<=[:;,.?!])\s{2,}", " ", text.strip())
    text = re.sub(r"\s{2,}", ", ", text)
    text = re.sub(r"\s+([,;.])", r"\1", text)
    return text if text.endswith((".", "?", "!", ":")) else text.rstrip(",;") + "."


def _in_words(found: re.Match[str]) -> str:
    one, more = UNITS[found[2].strip()]
    return f"{found[1]} {one if float(found[1].rstrip(')')) == 1 else more}"


def _name(found: re.Match[str]) -> str:
    return (" and " if found[1] else "") + _WORDS[found[2]]


def _weekday(found: re.Match[str]) -> str:
    return f"{next(day for day in DAYS if day.startswith(found[1]))} "


def _month(found: re.Match[str]) -> str:
    return f"{found[1]} {next(month for month in MONTHS if month.startswith(found[2]))}"


def _day(found: re.Match[str]) -> str:
    year, month, day, clock = found.groups()
    if not (1 <= int(month) <= 12 and 1 <= int(day) <= 31):
        return found[0]
    at = f", {clock}" if clock else ""
    return f"{int(day)} {MONTHS[int(month) - 1]} {year}{at}"


class Aloud:
    """What one command prints, line after line."""

    def __init__(self) -> None:
        self._first: int | None = None  # the indent of the line that began
        self._begun = False

    def lines(self, text: str) -> list[str]:
        """What is to be printed for these lines; one further in belongs to the one before it."""
        found: list[str] = []
        for line in text.splitlines():
            indent = len(line) - len(line.lstrip(" "))
            said = sentence(line)
            if not said:
                continue
            if self._first is None:
                self._first = indent
            numbered = _ROW_NUMBER.match(line) is not None
            if self._begun and (indent <= self._first or numbered):
                found.append("")
            self._begun = True
            found.append(said)
        return found

    def record(self, lines: list[str]) -> list[str]:
        """The same for lines that are one record, wherever each begins."""
        found = [said for line in lines if (said := sentence(line))]
        gap = [""] if self._begun and found else []
        self._begun = self._begun or bool(found)
        return gap + found
