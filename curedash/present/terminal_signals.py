"""Signs a terminal understands: bell, window title, desktop notification. Opt-in, never data.

The texts go to the terminal as they are, so everything that could end or start a sequence is
taken out of what persons typed.
"""

from collections.abc import Mapping, Sequence

from curedash.domain.needs.lot_needs import Need
from curedash.present.display_units import retold
from curedash.present.words import count, cut, plain

BELL = "\a"
_ESC, _END = "\x1b", "\x1b\\"
TITLE_CELLS, NOTE_CELLS = 60, 200
#: Terminals that show OSC 9 as a notification of the desktop, by what they say of themselves.
NOTIFIES = ("iterm", "wezterm", "kitty", "ghostty", "foot", "rio", "contour", "konsole")


def bell() -> str:
    """One ring."""
    return BELL


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
        text += bell()
    if notify and can_notify(environ):
        text += notification(new)
    return text


def _text(text: str, width: int) -> str:
    """Nothing that ends a sequence or begins another."""
    clean = "".join(ch for ch in plain(text) if ch.isprintable() and ch != "\x9c")
    return cut(clean, width)[:width]
