"""Every command of the page below by its words: type some letters, Enter does it."""

from curedash.present.words import Line, cells, cut, left, plain
from curedash.tui.chassis.commands import Command, of_page
from curedash.tui.chassis.line_input import TypedLine
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState

KEY_CELLS = 10
LABEL_CELLS = 14


class Palette(ListPage):
    """A plain list of commands; letters typed narrow it."""

    NAME = "palette"

    def __init__(self, house: DashboardState, *, of: Page) -> None:
        super().__init__(house)
        self._of = of
        self._by_id = {command.id: command for command in of_page(of.NAME)}
        self._typed = TypedLine()

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """What is typed."""
        return (("COMMANDS  ", "title"), ("find › ", ""), (plain(self._typed.shown), "typed"))

    def _fill(self) -> None:
        found = matching(self._typed.text, self._of.NAME)
        self.list.show([command.id for command in found], self._line)
        self.draw()

    def draw(self) -> None:
        """A new width draws every line again."""
        super().draw()
        self.list.redraw_all()

    def idle_lines(self, width: int) -> tuple[Line, Line]:  # noqa: ARG002
        """The whole of what the marked command does, where it is cut in the list."""
        if not self.list.keys:
            return (("No command has these letters.", "quiet"),), ()
        help = self._by_id[str(self.list.cursor_key)].help
        return (((help, ""),), ()) if cells(help) > self._room() else ((), ())

    def typed_key(self, key: str, char: str | None) -> None:
        """Letters narrow the list."""
        if self._typed.key(key, char):
            self._fill()

    def do_run(self) -> None:
        """Do the marked command on the page below."""
        if self.list.keys:
            command = self._by_id[str(self.list.cursor_key)]
            below = self._of
            self.leave()
            below.call_later(below.run_command, command)

    def _room(self) -> int:
        """Cells for the help of a command."""
        return self.app.size.width - 1 - KEY_CELLS - LABEL_CELLS

    def _line(self, command_id: object) -> Line:
        command = self._by_id[str(command_id)]
        return (
            (
                " " + left(command.key_words if command.keys or command.within else "", KEY_CELLS),
                "key",
            ),
            (left(command.label, LABEL_CELLS), ""),
            (cut(command.help, self._room()), "quiet"),
        )


def matching(text: str, page: str) -> list[Command]:
    """Commands of a page whose words hold every typed word."""
    wanted = text.casefold().split()
    return [
        command
        for command in of_page(page)
        if all(word in f"{command.label} {command.help}".casefold() for word in wanted)
        and command.id != "any.palette"
    ]
