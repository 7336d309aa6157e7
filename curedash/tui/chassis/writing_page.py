"""How a page changes the file: through the one writer, and what follows from it later."""

from collections.abc import Callable, Iterable
from typing import Any

from curedash.domain.errors import CuredashError
from curedash.domain.needs.lot_needs import Need
from curedash.present.words import Line
from curedash.store.rescue import Rescued
from curedash.tui.chassis import background
from curedash.tui.chassis.keyed_page import KeyedPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.textual_inside import write_to_terminal
from curedash.tui.chassis.writer import Job, Order, Waiting, Written

SAVING_SHOWN_AFTER_S = 0.4
SAVING = "saving … (the file or the card is slow)"
REFRESH_AFTER_S = 0.1  # first the row is painted, then its pull window computed


class WritingPage(KeyedPage, inherit_bindings=False):
    """A page that hands its changes to the writer and shows what came of them."""

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._orders: list[Order] = []  # what is being written
        self._if_slow = SAVING

    def changed(self, lots: set[int]) -> None:
        """Somebody wrote to the file; these lots at least (none named: readings, needs …)."""

    def write(
        self,
        job: Job,
        then: Callable[[Any], None],
        failed: Callable[[CuredashError], None] | None = None,
        *,
        typed: str = "",
    ) -> None:
        """Run a changing service in the writer's thread, then ``then`` with what it returned.

        A refusal reaches ``failed``, by default as a sentence on the foot; keys typed meanwhile
        are taken after success and dropped after a refusal. ``typed`` is what the page would no
        longer show, should the program end before it is saved.
        """
        self._writing += 1

        def not_kept(trouble: CuredashError) -> None:
            if isinstance(trouble, Rescued):  # it is stored, if elsewhere: not to be typed again
                self.hush()
                self._refused(trouble)
            else:
                (failed or self._refused)(trouble)

        order = Order(self, job, then, not_kept, typed=typed)
        self._orders.append(order)
        self.house.writer.submit(order)
        self.set_timer(SAVING_SHOWN_AFTER_S, self._still_saving)

    def on_written(self, message: Written) -> None:
        """The writer's answer."""
        touched, there = self._look(), list(self.app.screen_stack)
        if message.quiet and message.unforeseen:
            self._derived_fault(message.unforeseen)
            return
        self.guarded(message.deliver)
        if message.quiet:
            return
        self._writing -= 1
        self._orders.remove(message.order)
        self._busy, self._if_slow = "", SAVING
        held, self._held = self._held, []
        said = self._said
        if touched:
            lots = tuple(touched)
            self.set_timer(REFRESH_AFTER_S, lambda: self.refresh_later(lots))
        self.draw_foot()
        for key, char in held if message.trouble is None else ():
            top = self.app.screen_stack[-1]
            if top is self or (isinstance(top, WritingPage) and top not in there):
                top.typed_meanwhile(key, char)
        self._keep_message(said)

    def _keep_message(self, said: list[Line]) -> None:
        """What came of it stays until a key that was pressed after it."""
        if said and not self._said and not self._writing and self.talking is None:
            self._said = said
            self.draw_foot()

    def _look(self) -> set[int] | None:
        """Show what the file holds now; one that cannot be read this moment is looked at later."""
        try:
            touched = self.house.look()
            if touched is not None:
                self._changed_here(touched)
        except CuredashError:
            return None
        return touched

    def on_waiting(self, _message: Waiting) -> None:
        """Another program writes; the keys typed meanwhile are kept."""
        self._slow("busy: another program is writing; trying again, what you typed is not lost")

    def refresh_later(self, lots: Iterable[int]) -> None:
        """Compute pull windows of these lots and remember needs, off the paint path."""
        for lot_id in lots:
            self._quietly(background.forecast(lot_id), self._changed_here)
        self._quietly(background.remember, self._looked)

    def _quietly(self, job: Job, then: Callable[[Any], None]) -> None:
        """Write derived data; that it could not be written is not news to anybody."""
        order = Order(self, job, then, lambda _refusal: None, quiet=True)
        self.house.writer.submit(order)

    def refresh_windows(self) -> None:
        """Compute the pull windows that are missing or from an earlier day, lot by lot."""
        self._quietly(background.stale, self.refresh_later)

    def remember(self, job: Job) -> None:
        """Write that something was said once; no change of the household, so undo passes it by."""
        self._quietly(job, lambda _: None)

    def _derived_fault(self, fault: Exception) -> None:
        """What can be computed again must not end the program; the fault is kept for its log."""
        if not self.house.faults:
            self.show_message(
                "A pull window or need could not be computed; your entry is saved.", "act"
            )
        self.house.faults.append(fault)

    def _looked(self, needs: list[Need]) -> None:
        """Ring, if something is new and ringing was chosen."""
        if signs := self.house.notifier.signs(needs):
            write_to_terminal(self.app, signs)

    def _changed_here(self, lots: set[int]) -> None:
        """Show it, and on the page above too: it would keep what was there when it was opened."""
        self.changed(lots)
        top = self.app.screen_stack[-1]
        if top is not self and isinstance(top, WritingPage) and top.is_mounted:
            top.changed(lots)

    def _refused(self, refusal: CuredashError) -> None:
        self.show_message(str(refusal), "act")

    def _still_saving(self) -> None:
        if not self._busy:
            self._slow(self._if_slow)

    def if_slow(self, words: str) -> None:
        """What to say, should the next thing that is written take long."""
        self._if_slow = words
