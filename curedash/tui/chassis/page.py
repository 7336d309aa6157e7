"""The base of every screen: title, body, two lines and the keys at the foot; keys by registry.

A page names itself (``NAME``), makes its body (``body``), says what stands in its title and on
its two foot lines, and has a ``do_…`` method for each of its commands. Whatever it changes goes
through ``write``; while that is under way further keys wait in order. Drawing, keys and writing
are in :mod:`drawn_page`, :mod:`keyed_page` and :mod:`writing_page`; here is how it opens and ends.
"""

from collections.abc import Sequence
from contextlib import suppress
from time import monotonic
from typing import Any

from textual.message import Message

from curedash.domain.errors import CuredashError
from curedash.services.file.drafts import keep_or_not, set_aside
from curedash.tui.chassis.drawn_page import ONE_PAINT_S
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.writing_page import WritingPage


class Page(WritingPage, inherit_bindings=False):
    """One screen of the program."""

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._is_left = False
        self._leaves_next = False  # once it is on top again

    def minute_passed(self) -> None:
        """The minute that may matter has passed."""

    def shown_again(self) -> None:
        """The page is on top again."""
        self.changed(set())

    def terminal_gone(self, *, may_write: bool = True) -> None:
        """The program ends unasked: what was typed and is not saved is kept.

        In the file, to be offered at the next start; where that takes nothing (or is not to be
        touched: not ``may_write``), as a line of a text file.
        """
        for order in self._orders:
            if order.typed and not order.saved:
                self.set_aside(order.typed)
        talk = self.talking
        if talk is None or (self._orders and all(order.saved for order in self._orders)):
            return
        draft = talk.draft()
        if draft is not None and may_write and self.kept_as_draft(*draft):
            return
        aside = talk.aside()
        if talk.answered and isinstance(aside, str):
            aside = "; ".join((*talk.answered, *([aside] if aside else [])))
        if aside:
            self.set_aside(aside)

    def kept_as_draft(self, name: str, body: dict[str, Any]) -> bool:
        """Whether the file took it."""
        return keep_or_not(self.house.reader, name, body, self.house.now()) is None

    def set_aside(self, aside: Sequence[str] | str) -> None:
        """Words of a command that enters it, or a sentence; nobody can be told if that fails."""
        with suppress(CuredashError):
            set_aside(aside, self.house.db_path, self.house.now())

    def on_mount(self) -> None:
        """Draw for the first time; then take the keys that were typed before it could be seen."""
        self.draw()
        self.call_after_refresh(self._opened)

    def _opened(self) -> None:
        self._is_open = True
        held, self._held = self._held, []
        for key, char in held:
            self.typed_meanwhile(key, char)

    async def take_message(self, message: Message) -> None:
        """Whatever reaches the page, also by a timer: a refusal is said and never ends it."""
        try:
            await super().take_message(message)
        except CuredashError as refusal:
            self.show_message(str(refusal), "act")

    def on_screen_resume(self) -> None:
        """Coming back to this page."""
        if self.is_mounted:
            self.shown_again()
            self.draw()
            if self._leaves_next:
                self.leave()

    def show(self, name: str, **given: Any) -> None:
        """Open another page."""
        self.house.navigator.open_page(name, **given)

    def do_keys(self) -> None:
        """Open the Keys screen of this page."""
        self.show("keys", of=self.NAME)

    def do_palette(self) -> None:
        """Open the list of all commands."""
        self.show("palette", of=self)

    def do_backup(self) -> None:
        """A copy of the whole file."""
        self.house.navigator.write_file(self, "back_up")

    def do_restore(self) -> None:
        """The copies there are."""
        self.show("copies")

    def do_calendar(self) -> None:
        """The days to come, for a phone."""
        self.house.navigator.write_file(self, "calendar")

    def do_export(self) -> None:
        """Everything, lossless."""
        self.house.navigator.write_file(self, "export")

    def do_leave(self) -> None:
        """Back to the page below."""
        self.leave()

    def leave(self) -> None:
        """Back to the page below, painted once; a second time, or from the first page, nowhere."""
        stack = self.app.screen_stack
        if self._is_left or self not in stack[1:]:
            return
        if stack[-1] is not self:
            self._leaves_next = True
            return
        self._is_left = True
        self.house.left_by = (self.key_taken, monotonic())
        self.app.delay_update(ONE_PAINT_S)
        self.dismiss()
