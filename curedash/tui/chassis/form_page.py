"""The base of screens with fields: letters belong to the field, F-keys, Tab, Enter, Esc command.

A page with fields says how it is computed (:meth:`compute`) and drawn (:meth:`show_form`), and
which buttons stand at its foot; the buttons come after the last field and never scroll away.
"""

from abc import abstractmethod
from typing import ClassVar

from curedash.present.signs import key_drawn
from curedash.present.words import Line, cells, cut, plain
from curedash.tui.chassis.commands import by_key
from curedash.tui.chassis.form import Form
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
from curedash.tui.widgets.lines import FixedLines

EDITING = ("space", "backspace", "delete", "left", "right", "home", "end")
MOST_STRAY_CELLS = 32  # of what was typed at a choice and fits none
NARROW = 70  # below this many columns the buttons have their short words
AROUND_BUTTON = 6  # its mark, brackets and blanks

Button = tuple[str, str, str]  # words, short words, the method it calls


class FormPage(Page):
    """A screen of fields with buttons."""

    BUTTONS: ClassVar[tuple[Button, ...]] = ()

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self.form: Form
        self.button: int | None = None  # which button has the focus, None: a field has it
        self.buttons = FixedLines(house.styles, id="buttons")

    @abstractmethod
    def compute(self) -> None:
        """Read the fields and lay the form out again."""

    @abstractmethod
    def show_form(self) -> None:
        """Draw the fields and what follows from them."""

    def draw(self) -> None:
        """A new width draws everything again."""
        if self.is_mounted:
            self.show_form()
            self.buttons.show(self.buttons_line())
        super().draw()

    def buttons_line(self) -> Line:
        """The buttons in a row, the one with the focus marked."""
        line: list[tuple[str, str]] = [("  ", "")]
        width = self.app.size.width
        named = [words if width >= NARROW else short for words, short, _method in self.BUTTONS]
        blank = " " if sum(cells(words) + AROUND_BUTTON for words in named) + 2 <= width else ""
        for n, words in enumerate(named):
            chosen = n == self.button
            text = f"{'›' if chosen else ' '}[{blank}{words}{blank}]"
            line += [(text, "typed@" if chosen else ""), (blank, "")]
        return tuple(line)

    # ── keys ──────────────────────────────────────────────────────────────────────────────

    def take_key(self, key: str, char: str | None) -> None:
        """A key of the field first, unless it is a command that cannot be typed."""
        typing = self.talking is None and self.button is None
        if typing and (len(key) == 1 or key in EDITING or by_key(self.NAME).get(key) is None):
            self._said = []
            if self.form.key(key, char):
                self.compute()
            self._show_stray()
            self.draw()
            return
        super().take_key(key, char)

    def pasted(self, text: str) -> None:
        """Pasted text goes into the field, or into what is asked at the foot."""
        if self.talking is not None:
            self.talking.paste(text)
        elif self.button is None:
            self.form.paste(text)
            self.compute()
            self._show_stray()
        self.draw()

    def do_next(self) -> None:
        """To the next field, or to the buttons; a match that is offered is taken."""
        if self.button is None:
            self.form.take_offered()
        self._go(1)

    def do_previous(self) -> None:
        """The previous field."""
        self._go(-1)

    def do_down(self) -> None:
        """To the line below."""
        self._go(1, row=True)

    def do_up(self) -> None:
        """To the line above."""
        self._go(-1, row=True)

    def do_enter(self) -> None:
        """To the next field, or what the button says."""
        if self.button is None:
            self._go(1, by_enter=True)
        else:
            getattr(self, self.BUTTONS[self.button][2])()

    def _go(self, by: int, *, row: bool = False, by_enter: bool = False) -> None:
        """Fields first, then the buttons, then round again."""
        step = self.form.step_row if row else self.form.step
        if self.button is None:
            if not (self.form.enter() if by_enter else step(by)):
                self.button = 0 if by > 0 else len(self.BUTTONS) - 1
        else:
            self.button += by
            if not 0 <= self.button < len(self.BUTTONS):
                self.button = None
                self.form.go(self.form.rows[0][0] if by > 0 else self.form.rows[-1][-1])
        self.compute()
        self._show_stray()
        self.draw()

    def _show_stray(self) -> None:
        """What was typed at a choice that it does not have: still here, or brought to this field.

        At a button nothing is being typed.
        """
        if self.button is not None:
            return
        if self.form.brought:
            words = f"“{plain(self.form.brought)}” was typed at a choice; it is in this field now."
            self.show_message(words, "today")
        elif self.form.stray:
            typed = cut(plain(self.form.stray), MOST_STRAY_CELLS)
            way = key_drawn("Backspace erases it, ↑↓ leave the field.")
            if self.form.picks:
                words = f"No choice here begins with “{typed}”; nothing changed. {way}"
            else:
                words = f"This line takes no text, so “{typed}” goes nowhere. {way}"
            self.show_message(words, "today")
