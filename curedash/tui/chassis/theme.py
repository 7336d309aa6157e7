"""How it looks: two own themes, one for the terminal's own colours, and the styles of tones.

Colour never says anything alone. Where colours are unwelcome (``NO_COLOR``) or few (a Linux
console, ``screen``) the terminal's own are used and only weight and reverse remain.
"""

import os

from rich.color import Color
from rich.style import Style
from textual.theme import Theme

from curedash.tui.widgets.lines import Styles

DARK = "paper-dark"
LIGHT = "paper-light"
TERMINAL = "terminal"

_INK = {
    DARK: {
        "ground": "#191714",
        "ink": "#e6e0d4",
        "quiet": "#a99f8f",
        "act": "#ff9472",
        "today": "#e8c378",
        "good": "#a8c48a",
        "cursor": "#4a4236",
    },
    LIGHT: {
        "ground": "#f7f3ea",
        "ink": "#2a2620",
        "quiet": "#645c50",
        "act": "#a8210f",
        "today": "#7a4e00",
        "good": "#3f6212",
        "cursor": "#cfc2a4",
    },
}

#: the same on the cursor's row, where its ground would take too much of the contrast
_INK_MARKED = {
    DARK: _INK[DARK] | {"quiet": "#c4baa9"},
    LIGHT: _INK[LIGHT]
    | {"quiet": "#4f483d", "act": "#8f1a0b", "today": "#684200", "good": "#345110"},
}


def theme_for(wanted: str | None = None) -> str:
    """The theme to use here: the terminal's own colours where others would be unreadable."""
    few = os.environ.get("TERM", "").split("-")[0] in ("linux", "screen", "vt100", "vt220", "dumb")
    if "NO_COLOR" in os.environ or few:
        return TERMINAL
    return wanted if wanted in (DARK, LIGHT, TERMINAL) else DARK


def themes() -> list[Theme]:
    """The themes as the screen library wants them."""
    made = [
        Theme(
            name=name,
            dark=name == DARK,
            primary=ink["today"],
            secondary=ink["quiet"],
            warning=ink["today"],
            error=ink["act"],
            success=ink["good"],
            accent=ink["today"],
            foreground=ink["ink"],
            background=ink["ground"],
            surface=ink["ground"],
            panel=ink["cursor"],
            boost=ink["cursor"],
            variables={
                "quiet": ink["quiet"],
                "cursor": ink["cursor"],
                "scrollbar": ink["cursor"],
                "scrollbar-hover": ink["quiet"],
                "scrollbar-active": ink["quiet"],
                "scrollbar-background": ink["ground"],
                "scrollbar-background-hover": ink["ground"],
                "scrollbar-background-active": ink["ground"],
                "scrollbar-corner-color": ink["ground"],
            },
        )
        for name, ink in _INK.items()
    ]
    return [*made, _terminal_theme()]


def _terminal_theme() -> Theme:
    plain = "ansi_default"
    return Theme(
        name=TERMINAL,
        ansi=True,
        dark=True,
        primary="ansi_yellow",
        secondary=plain,
        warning="ansi_yellow",
        error="ansi_red",
        success="ansi_green",
        accent="ansi_yellow",
        foreground=plain,
        background=plain,
        surface=plain,
        panel=plain,
        boost=plain,
        variables={
            "quiet": plain,
            "cursor": plain,
            "scrollbar": plain,
            "scrollbar-hover": plain,
            "scrollbar-active": plain,
            "scrollbar-background": plain,
            "scrollbar-background-hover": plain,
            "scrollbar-background-active": plain,
            "scrollbar-corner-color": plain,
            "input-cursor-background": "ansi_white",
            "input-cursor-foreground": "ansi_black",
            "ansi-background": plain,
            "ansi-foreground": plain,
            "border": plain,
            "border-blurred": plain,
            "block-cursor-foreground": "ansi_black",
            "block-cursor-background": "ansi_white",
            "input-selection-background": "ansi_white",
            "input-selection-foreground": "ansi_black",
        },
    )


def styles_for(theme: str) -> Styles:
    """A style for each tone, and the same on the cursor's row under ``tone@``."""
    if theme == TERMINAL:
        return _terminal_styles("NO_COLOR" in os.environ)
    ink, over = _INK[theme], _INK_MARKED[theme]
    made = {
        name + mark: Style.from_color(
            Color.parse((over if mark else ink)[colour]),
            Color.parse(ink["cursor" if mark else "ground"]),
        )
        + Style(bold=bold or None)
        for name, colour, bold in (
            ("", "ink", False),
            ("quiet", "quiet", False),
            ("strong", "ink", False),
            ("title", "ink", True),
            ("key", "today", False),
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
