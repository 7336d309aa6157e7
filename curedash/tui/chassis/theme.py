"""How it looks: three own themes, one for the terminal's own colours, and the styles of tones.

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
CONTRAST = "contrast"
TERMINAL = "terminal"

#: ``raised`` is the ground of a field one types into and of what scrolls
_INK = {
    DARK: {
        "ground": "#191714",
        "ink": "#e6e0d4",
        "quiet": "#a99f8f",
        "act": "#ee7060",
        "today": "#ecb94a",
        "good": "#a8c48a",
        "cursor": "#cfc5b2",
        "raised": "#38322a",
    },
    LIGHT: {
        "ground": "#f7f3ea",
        "ink": "#2a2620",
        "quiet": "#645c50",
        "act": "#b8190a",
        "today": "#55420a",
        "good": "#3f6212",
        "cursor": "#463f34",
        "raised": "#e4dac4",
    },
    CONTRAST: {
        "ground": "#000000",
        "ink": "#ffffff",
        "quiet": "#e0e0e0",
        "act": "#ff7a66",
        "today": "#ffc21a",
        "good": "#b6f08a",
        "cursor": "#ffffff",
        "raised": "#262626",
    },
}

#: inks on the cursor's row: its bar is as far from the ground as text is
_INK_MARKED = {
    DARK: {
        "ink": "#1b1815",
        "quiet": "#4a4338",
        "act": "#8f1300",
        "today": "#362b08",
        "good": "#2f4a0c",
    },
    LIGHT: {
        "ink": "#fbf7ee",
        "quiet": "#d2c8b6",
        "act": "#fac7bd",
        "today": "#efd07c",
        "good": "#cbe6a8",
    },
    CONTRAST: {
        "ink": "#000000",
        "quiet": "#2e2e2e",
        "act": "#a81800",
        "today": "#4b3a06",
        "good": "#004d00",
    },
}


def theme_for(wanted: str | None = None) -> str:
    """The theme to use here: the terminal's own colours where others would be unreadable."""
    few = os.environ.get("TERM", "").split("-")[0] in ("linux", "screen", "vt100", "vt220", "dumb")
    if "NO_COLOR" in os.environ or few:
        return TERMINAL
    return wanted if wanted in (*_INK, TERMINAL) else DARK


def themes() -> list[Theme]:
    """The themes as the screen library wants them."""
    made = [
        Theme(
            name=name,
            dark=name != LIGHT,
            primary=ink["ink"],
            secondary=ink["quiet"],
            warning=ink["today"],
            error=ink["act"],
            success=ink["good"],
            accent=ink["ink"],
            foreground=ink["ink"],
            background=ink["ground"],
            surface=ink["ground"],
            panel=ink["raised"],
            boost=ink["raised"],
            variables={
                "quiet": ink["quiet"],
                "cursor": ink["raised"],
                "scrollbar": ink["raised"],
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
