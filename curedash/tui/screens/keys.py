"""All keys of a screen, from the same list that binds them."""

from collections.abc import Iterable

from textual.widget import Widget

from curedash.present.words import Line, count, left, wrapped
from curedash.tui.chassis.commands import SCREENS, Command, of_form, of_page
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.widgets.lines import LineList

KEY_CELLS = 14
LETTERS = (
    "A digit starts the weigh-in of a row; letters are commands while nothing is typed.",
    "Every way out has a letter; Esc never destroys anything.",
    "Typing replaces what is in an input; an arrow edits it, Ctrl-U empties it.",
    "An unlikely value is asked about: y takes the likely fix, k keeps what was typed,"
    " n or Esc changes it.",
)
FIELDS = (
    "Letters and digits go into the field; space and letters also choose one of a few, ←→ go"
    " through what a field offers.",
    "Typing replaces what is in a field; an arrow edits it, Ctrl-U empties it, Ctrl-W drops"
    " its last word.",
)
MOST_LINES = 4


class Keys(ListPage):
    """The keys of the page it was opened from."""

    NAME = "keys"

    def __init__(self, house: DashboardState, *, of: str) -> None:
        super().__init__(house)
        self._of = of
        self.list = LineList(house.styles, id="body", cursor=False)

    def body(self) -> Iterable[Widget]:
        """The list."""
        yield self.list

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """Which screen these keys belong to."""
        name = self._of.replace("_", " ")
        return (("KEYS   ", "title"), (name[:1].upper() + name[1:], ""))

    def idle_lines(self, width: int) -> tuple[Line, Line]:  # noqa: ARG002
        """Whether there is more below."""
        below = self.list.below
        if not self.list.size.height or len(self.list.keys) <= self.list.size.height:
            return (), ()
        words = f"PgDn for the rest: {count(below, 'line')}" if below > 0 else "that is all of them"
        return ((words, "quiet"),), ()

    def on_mount(self) -> None:
        """Fill the list."""
        self.draw()

    def draw(self) -> None:
        """Break the sentences for this width."""
        super().draw()
        lines = self._lines(self.app.size.width)
        self.list.show(range(len(lines)), lambda at: lines[int(str(at))])
        self.draw_foot()

    def _lines(self, width: int) -> list[Line]:
        lines: list[Line] = [(), *legend_lines(self._of, width)]
        fields = _has_fields(self._of)
        for command in of_form(self._of) if fields else of_page(self._of):
            lines += command_lines(command, width)
        closing: list[Line] = [
            ((line, "quiet"),)
            for text in (FIELDS if fields else LETTERS)
            for line in wrapped(text, width, MOST_LINES)
        ]
        return [*lines, (), *closing]


def _has_fields(page: str) -> bool:
    """Whether letters are typed into fields there."""
    from importlib import import_module

    from curedash.tui.chassis.form_page import FormPage

    module, _, kind = SCREENS[page].partition(":")
    return issubclass(getattr(import_module(module), kind), FormPage)


def legend_lines(page: str, width: int) -> list[Line]:
    """The signs of a page and what they mean, where it has any, above its keys."""
    from curedash.present.rack import around
    from curedash.present.weighing import round

    legends = {"rack": around.LEGEND, "needs": around.LEGEND[:2], "round": round.LEGEND}
    if page not in legends:
        return []
    lines: list[Line] = []
    for sign, words in legends[page]:
        first, *rest = wrapped(words, width - KEY_CELLS - 2, 3)
        lines.append(((left("  " + sign, KEY_CELLS), "strong"), (first, "")))
        lines += [((" " * KEY_CELLS + more, ""),) for more in rest]
    return [*lines, ()]


def command_lines(command: Command, width: int) -> list[Line]:
    """A command's keys and help, broken to the width."""
    first, *rest = wrapped(command.help, width - KEY_CELLS - 2, 3)
    head = ((left("  " + command.key_words, KEY_CELLS), "key"), (first, ""))
    return [head, *(((" " * KEY_CELLS + more, ""),) for more in rest)]
