"""The signs a terminal can draw: Braille dots, blocks, or letters and digits alone.

Everything is written with the fullest set; what a terminal cannot draw is put in its place by one
table, sign for sign and cell for cell, just before it is drawn.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

BRAILLE, BLOCKS, ASCII = "braille", "blocks", "ascii"
SETS = (BRAILLE, BLOCKS, ASCII)
PLAIN_TERMS = ("linux", "vt100", "vt220", "ansi", "cons25")  # a console font holds few signs
NO_LOCALE = ("C", "POSIX")

_BRAILLE = range(0x2800, 0x2900)  # Unicode, block Braille Patterns
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"  # by quarters set (Unicode 2580–259F): 1, 2 above, 4, 8 below
_LEVELS = " .*"  # by how many dots there are; letters and colons are marks of their own
#: a sign of ASCII → what it is shown for
_FOR_ASCII = {
    "-": "·–—−∞─▾",
    "o": "•°☐ø",
    "~": "…≈",
    "+": "±└┘",
    "x": "×☒✕",
    "/": "÷∕⁄░",
    '"': "“”″▔",
    "'": "‘’′",
    ">": "›→▲▸",
    "|": "▏│┊┤├",
    "<": "←",
    "^": "↑⇧",
    "v": "↓√",
    "=": "▓",
    "#": "█",
    "s": "ß",
    "O": "Ø",
    "a": "æ",
    "S": "§Σ",
    "p": "π",
    "t": "τ",
    "T": "ᵀ",
    "?": "�",
}
_IN_ASCII = {char: sign for sign, chars in _FOR_ASCII.items() for char in chars} | dict(
    zip("▁▂▃▄▅▆▇█", ".:-=+x%#", strict=True)
)


class _Ascii(dict[int, str]):
    """The table of letters and digits; any other sign becomes its letter without accents."""

    def __missing__(self, code: int) -> str:
        if code < 0x80:
            return chr(code)
        from unicodedata import category, east_asian_width, normalize

        char = chr(code)
        if category(char) in ("Mn", "Me", "Cf", "Cc"):
            return ""
        first = normalize("NFKD", char)[:1]
        wide = east_asian_width(char) in "WF"
        return ("??" if wide else "?") if not first.isascii() else first + " " * wide


def _of_dots() -> dict[int, str]:
    """Braille to the blocks of its quarters."""
    table = {}
    for code in _BRAILLE:
        dots = code - _BRAILLE.start
        upper, lower = (dots & 0x03, dots & 0x18), (dots & 0x44, dots & 0xA0)
        quarters = sum(1 << n for n, part in enumerate((*upper, *lower)) if part)
        table[code] = _QUADRANTS[quarters]
    return table


def _table(name: str) -> dict[int, str] | None:
    if name == BLOCKS:
        return _of_dots()
    if name == ASCII:
        dots = {
            code: _LEVELS[min(len(_LEVELS) - 1, (code - _BRAILLE.start).bit_count())]
            for code in _BRAILLE
        }
        return _Ascii({ord(char): sign for char, sign in _IN_ASCII.items()} | dots)
    return None


_shown: dict[str, dict[int, str] | None] = {"table": None}
_ARROWS = {"←": "Left", "→": "Right", "↑": "Up", "↓": "Down", "⇧": "Shift+"}


def use(name: str) -> None:
    """Draw with this set from now on."""
    _shown["table"] = _table(name)


def drawn(text: str) -> str:
    """The text in the signs of the set in use; as many cells as before.

    Example
    -------
    >>> use(ASCII); drawn("▂▄█ 35–40 % · ⠒"); use(BRAILLE)
    ':=# 35-40 % - *'
    """
    table = _shown["table"]
    return text if table is None or (text.isascii()) else text.translate(table)


def key_drawn(keys: str) -> str:
    """Keys as they are printed: where no arrow can be drawn its name, for ``>`` is another key.

    Example
    -------
    >>> use(ASCII); key_drawn("→"), key_drawn("Tab ↑↓"), key_drawn("⇧Tab"); use(BRAILLE)
    ('Right', 'Tab Up/Down', 'Shift+Tab')
    >>> key_drawn("→")
    '→'
    """
    table = _shown["table"]
    if table is None or ord("→") not in table:
        return keys
    for pair in ("←→", "↑↓"):
        keys = keys.replace(pair, "/".join(pair))
    return "".join(_ARROWS.get(char, char) for char in keys)


def in_set(name: str, text: str) -> str:
    """The text in the signs of one set, whichever is in use."""
    table = _table(name)
    return text if table is None else text.translate(table)


def set_for(wanted: str | None, env: Mapping[str, str] | None = None) -> str:
    """The set to use here: what was chosen, else what the terminal is known to draw.

    Parameters
    ----------
    wanted : one of the sets, None where nobody chose
    env : TERM and the locale, usually those of this process

    Example
    -------
    >>> set_for(None, {"TERM": "linux"}), set_for(None, {"TERM": "xterm", "LANG": "de_DE.UTF-8"})
    ('ascii', 'braille')
    >>> set_for(None, {"TERM": "xterm", "LANG": "C"}), set_for("blocks", {"TERM": "linux"})
    ('ascii', 'blocks')
    """
    if wanted in SETS:
        return wanted
    env = os.environ if env is None else env
    if env.get("TERM", "") in PLAIN_TERMS or not _says_utf8(env):
        return ASCII
    return BRAILLE


def _says_utf8(env: Mapping[str, str]) -> bool:
    """Whether the locale names UTF-8, or nothing at all.

    An interpreter that was started under C sets LC_CTYPE to C.UTF-8 by itself (PEP 538): that
    says nothing about the terminal.
    """
    whole, kind, lang = (env.get(name, "") for name in ("LC_ALL", "LC_CTYPE", "LANG"))
    if kind == "C.UTF-8" and lang in NO_LOCALE:
        kind = ""
    named = whole or kind or lang
    return not named or "utf8" in named.lower().replace("-", "")


SAMPLE = "hang ▁▂▃▄▅▆▇█▔ target ▲ over   ⣀⡠⠤⠒⠊⠉ curve   ░▓░ window   › cursor ▏caret   ≈ 35–40 %"


def sample_lines() -> list[str]:
    """A line of each set's signs, to see which of them a terminal draws."""
    return [f"{name:<8} {in_set(name, SAMPLE)}" for name in SETS]
