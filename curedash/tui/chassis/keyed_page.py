"""How a page takes keys: first the conversation at its foot, then its commands, in order."""

from collections.abc import Callable

from textual import events

from curedash.domain.errors import CuredashError
from curedash.tui.chassis.commands import Command, by_key
from curedash.tui.chassis.drawn_page import DrawnPage
from curedash.tui.chassis.pasted_and_scanned import PASTED, SCANNED, PastedAndScanned
from curedash.tui.chassis.state import DashboardState

FAULT = (
    "Something went wrong inside curedash at that key. What was saved is in the file; the details"
    " are logged when you leave."
)


class KeyedPage(PastedAndScanned, DrawnPage, inherit_bindings=False):
    """A drawn page with commands; keys typed while it opens or saves wait in order."""

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self.key_taken = ""  # the last one
        self._commands = by_key(self.NAME)
        self._held: list[tuple[str, str | None]] = []
        self._is_open = False  # drawn, with rows under the cursor

    def typed_key(self, key: str, char: str | None) -> None:
        """A key that is not a command (a digit on the Rack starts a weigh-in)."""

    def on_key(self, event: events.Key) -> None:
        """Every key that no focused field took."""
        event.stop()
        self.typed_meanwhile(event.key, event.character)

    def take_key(self, key: str, char: str | None) -> None:
        """First the conversation, then the commands, then what the page makes of it."""
        self._said = []
        self.key_taken = key
        if key != self.house.left_by[0]:
            self.house.left_by = ("", 0.0)  # it is held no more
        if self.talking is not None and self.talking.take(key, char):
            self.draw_foot()
            return
        command = self._commands.get(key)
        if command is not None:
            self.run_command(command)
        else:
            self.typed_key(key, char)
        self.draw_foot()

    def rebind(self, commands: dict[str, Command]) -> None:
        """Other keys from now on."""
        self._commands = commands

    def run_command(self, command: Command) -> None:
        """Do a command; a refusal is said, never raised."""
        self.guarded(getattr(self, command.method))

    def guarded(self, do: Callable[[], object]) -> None:
        """Do what a key or a paste starts: a refusal is said, a fault is kept for the log.

        Neither ends the program: what is typed elsewhere stays where it is.
        """
        try:
            do()
        except CuredashError as refusal:
            self.show_message(str(refusal), "act")
        except Exception as fault:
            if self.app.is_headless:
                raise
            self.house.faults.append(fault)
            self.show_message(FAULT, "act")

    def typed_meanwhile(self, key: str, char: str | None) -> None:
        """A key typed while something was written, here or on the page that opened this one.

        On a page one came back to it would do something else than was meant: it is dropped.
        """
        if self._writing or not self._is_open:
            self._held.append((key, char))
        elif key == PASTED:
            self.guarded(lambda: self.pasted(char or ""))
        elif key == SCANNED:
            self.guarded(lambda: self.scanned(char or ""))
        else:
            self.guarded(lambda: self.take_key(key, char))
