"""What a terminal understands: bell, window title, notification (opt-in), and fewer bytes.

The texts go to the terminal as they are, so everything that could end or start a sequence is
taken out of what persons typed.
"""

import re
from collections.abc import Mapping, Sequence

from curedash.domain.needs.lot_needs import Need
from curedash.present.display_units import retold
from curedash.present.words import count, cut, plain

BELL = "\a"
_ESC, _END = "\x1b", "\x1b\\"
TITLE_CELLS, NOTE_CELLS = 60, 200
#: Terminals that show OSC 9 as a notification of the desktop, by what they say of themselves.
NOTIFIES = ("iterm", "wezterm", "kitty", "ghostty", "foot", "rio", "contour", "konsole")

_STYLE = re.compile(r"(\x1b\[[\d;]*m)")
_BLANKS = re.compile(r" {12,}")  # fewer are not longer than what erases them
_LINE_OVER = re.compile(r"(\x1b\[\d+X)\x1b\[\d+C((?:\x1b\[0?m)?(?:\r?\n)?\x1b\[\d+;\d+H)")
_NEXT_STYLE = re.compile(r"\x1b\[0?m\x1b\[(?=[\d;]+m)")
_NEXT_LINE = re.compile(r"\r?\n(?=\x1b\[\d+;\d+H)")
_INKED = frozenset(("4", "5", "7", "9", "21", "53"))  # underlined, blinking, reversed, struck …


def title(needs: Sequence[Need]) -> str:
    """Set the window's title: ``curedash: 2 now, 3 today``; without needs its bare name."""
    act = sum(need.level == "act" for need in needs)
    today = sum(need.level == "today" for need in needs)
    parts = [f"{act} now"] * bool(act) + [f"{today} today"] * bool(today)
    text = "curedash" + (f": {', '.join(parts)}" if parts else "")
    return f"{_ESC}]2;{_text(text, TITLE_CELLS)}{_END}"


def notification(needs: Sequence[Need]) -> str:
    """A desktop notification (OSC 9) of what is new; empty if nothing is."""
    if not needs:
        return ""
    first = needs[0]
    subject = first.lot or first.place
    said = retold(first.message)
    text = f"{subject}: {said}" if subject else said
    more = f" (and {count(len(needs) - 1, 'more', 'more')})" if len(needs) > 1 else ""
    return f"{_ESC}]9;{_text(text + more, NOTE_CELLS)}{_END}"


def can_notify(environ: Mapping[str, str]) -> bool:
    """Whether the terminal is known to show OSC 9; a multiplexer in between passes it on only
    wrapped, so there the answer is no.

    Example
    -------
    >>> can_notify({"TERM": "xterm-kitty"}), can_notify({"TERM": "linux"})
    (True, False)
    """
    if environ.get("TMUX") or environ.get("STY"):
        return False
    said = " ".join(environ.get(name, "") for name in ("TERM_PROGRAM", "TERM", "LC_TERMINAL"))
    extra = "konsole" if environ.get("KONSOLE_VERSION") else ""
    return any(name in f"{said} {extra}".lower() for name in NOTIFIES)


def signs(
    new: Sequence[Need],
    all_needs: Sequence[Need],
    environ: Mapping[str, str],
    *,
    ring: bool,
    show_title: bool,
    notify: bool,
) -> str:
    """What to send to the terminal after a look, as the person chose; often nothing."""
    text = title(all_needs) if show_title else ""
    if not new:
        return text
    if ring and any(need.level == "act" for need in new):
        text += BELL
    if notify and can_notify(environ):
        text += notification(new)
    return text


# ── fewer bytes ───────────────────────────────────────────────────────────────────────────


def shortened(text: str) -> str:
    """The same picture in fewer bytes: long blanks are erased in the ground's colour (ECH).

    Only for a terminal that erases in the colour of the ground, and begins each line with a move.

    Example
    -------
    >>> shortened("\\x1b[48;5;233mH1" + 20 * " " + "ham\\x1b[0m")
    '\\x1b[48;5;233mH1\\x1b[20X\\x1b[20Cham\\x1b[0m'
    """
    if f"{_ESC}]" in text:
        return text  # a title or a notification: its blanks are letters
    parts, inked = _STYLE.split(text), False
    for at, part in enumerate(parts):
        if at % 2:
            inked = _has_ink(part[2:-1])
        elif not inked:
            parts[at] = _BLANKS.sub(_erased, part)
    text = _LINE_OVER.sub(r"\1\2", "".join(parts))
    return _NEXT_LINE.sub("", _NEXT_STYLE.sub("\x1b[0;", text))


def _erased(blanks: re.Match[str]) -> str:
    many = len(blanks.group())
    return f"{_ESC}[{many}X{_ESC}[{many}C"


def _has_ink(style: str) -> bool:
    """Whether a blank in this style is more than its ground."""
    codes = iter(style.split(";"))
    for code in codes:
        if code in ("38", "48"):  # a colour: of 256 by its number, or red, green and blue
            for _ in range(1 if next(codes, "") == "5" else 3):
                next(codes, "")
        elif code in _INKED:
            return True
    return False


def _text(text: str, width: int) -> str:
    """Nothing that ends a sequence or begins another."""
    clean = "".join(ch for ch in plain(text) if ch.isprintable() and ch != "\x9c")
    return cut(clean, width)[:width]
