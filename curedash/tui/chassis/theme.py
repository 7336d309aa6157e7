"""How it looks: three own themes, one for the terminal's own colours, and the styles of tones.

Colour never says anything alone. Where colours are unwelcome (``NO_COLOR``) or few (a Linux
console, ``screen``) the terminal's own are used and only weight and reverse remain.
"""

import os
from collections.abc import Mapping

from rich.color import Color
from rich.style import Style
from textual.theme import Theme

from curedash.domain.record import record
from curedash.tui.widgets.lines import Styles

DARK = "paper-dark"
LIGHT = "paper-light"
CONTRAST = "contrast"
TERMINAL = "terminal"


@record
class Inks:
    """A theme; ``raised`` is the ground of a field one types into and of what scrolls."""

    ground: str
    ink: str
    quiet: str
    act: str
    today: str
    good: str
    cursor: str
    raised: str


_INK = {
    DARK: Inks(
        "#191714", "#e6e0d4", "#a99f8f", "#f07a6c", "#ecb94a", "#a8c48a", "#cfc5b2", "#38322a"
    ),
    LIGHT: Inks(
        "#f7f3ea", "#2a2620", "#645c50", "#b5104e", "#7a4f00", "#3f6212", "#463f34", "#e4dac4"
    ),
    CONTRAST: Inks(
        "#000000", "#ffffff", "#e0e0e0", "#ff7a66", "#ffc21a", "#b6f08a", "#ffffff", "#262626"
    ),
}
#: ink, quiet, act, today and good on the cursor's row: its bar is as far from the ground as text
_INK_MARKED = {
    DARK: ("#1b1815", "#3a342b", "#8f1300", "#362b08", "#2f4a0c"),
    LIGHT: ("#fbf7ee", "#e4dccb", "#fac7bd", "#efd07c", "#cbe6a8"),
    CONTRAST: ("#000000", "#2e2e2e", "#a81800", "#4b3a06", "#004d00"),
}


def theme_for(wanted: str | None = None) -> str:
    """The theme to use here: the terminal's own colours where others would be unreadable."""
    few = os.environ.get("TERM", "").split("-")[0] in ("linux", "screen", "vt100", "vt220", "dumb")
    if "NO_COLOR" in os.environ or few:
        return TERMINAL
    return wanted if wanted in (*_INK, TERMINAL) else DARK


def themes() -> list[Theme]:
    """The themes as the screen library wants them."""
    made = [_theme(name, ink, ink.ink, dark=name != LIGHT) for name, ink in _INK.items()]
    plain = "ansi_default"
    own = Inks(plain, plain, plain, "ansi_red", "ansi_yellow", "ansi_green", plain, plain)
    blocks = {
        f"{block}-{side}": colour
        for block in ("input-cursor", "block-cursor", "input-selection")
        for side, colour in (("background", "ansi_white"), ("foreground", "ansi_black"))
    }
    grounds = dict.fromkeys(
        ("ansi-background", "ansi-foreground", "border", "border-blurred"), plain
    )
    return [*made, _theme(TERMINAL, own, "ansi_yellow", blocks | grounds, ansi=True)]


def _theme(
    name: str,
    ink: Inks,
    first: str,
    more: Mapping[str, str] = {},
    *,
    dark: bool = True,
    ansi: bool = False,
) -> Theme:
    grounds = ("background", "background-hover", "background-active", "corner-color")
    return Theme(
        name=name,
        ansi=ansi,
        dark=dark,
        primary=first,
        secondary=ink.quiet,
        warning=ink.today,
        error=ink.act,
        success=ink.good,
        accent=first,
        foreground=ink.ink,
        background=ink.ground,
        surface=ink.ground,
        panel=ink.raised,
        boost=ink.raised,
        variables={
            "quiet": ink.quiet,
            "cursor": ink.raised,
            "scrollbar": ink.raised,
            "scrollbar-hover": ink.quiet,
            "scrollbar-active": ink.quiet,
            **{f"scrollbar-{part}": ink.ground for part in grounds},
            **more,
        },
    )


def styles_for(theme: str) -> Styles:
    """A style for each tone, and the same on the cursor's row under ``tone@``."""
    if theme == TERMINAL:
        return _terminal_styles("NO_COLOR" in os.environ)
    ink = _INK[theme]
    over = dict(zip(("ink", "quiet", "act", "today", "good"), _INK_MARKED[theme], strict=True))
    made = {
        name + mark: Style.from_color(
            Color.parse(over[colour] if mark else getattr(ink, colour)),
            Color.parse(ink.cursor if mark else ink.ground),
        )
        + Style(bold=bold or None)
        for name, colour, bold in (
            ("", "ink", False),
            ("quiet", "quiet", False),
            ("strong", "ink", False),
            ("title", "ink", True),
            ("key", "ink", True),
            ("act", "act", True),
            ("today", "today", False),
            ("good", "good", False),
            ("typed", "ink", True),
        )
        for mark in ("", "@")
    }
    marked = {"marked" + mark: made["" + mark] + Style(reverse=True) for mark in ("", "@")}
    return made | marked


def _terminal_styles(colourless: bool) -> Styles:
    def coloured(name: str, *, bold: bool = False) -> Style:
        return Style(color=None if colourless else name, bold=bold or None)

    plain = {
        "": Style(),
        "quiet": Style(),
        "strong": Style(),
        "title": Style(bold=True),
        "key": Style(bold=True),
        "act": coloured("red", bold=True),
        "today": coloured("yellow"),
        "good": coloured("green"),
        "typed": Style(bold=True),
    }
    reverse = Style(reverse=True)
    bold = Style(reverse=True, bold=True)
    marked = {tone + "@": bold if tone == "act" else reverse for tone in plain}
    # a value that will be replaced stands out from its line, whichever way that is drawn
    return plain | marked | {"marked": reverse, "marked@": Style(bold=True)}
