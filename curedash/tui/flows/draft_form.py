"""A form that saves half-typed text as a draft, at each field left and at the end."""

from abc import abstractmethod
from collections.abc import Callable
from typing import Any, ClassVar

from curedash.domain.errors import Changed, CuredashError
from curedash.domain.record import replace
from curedash.services.file import drafts
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis.form_page import FormPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.writer import Job
from curedash.tui.prompts.as_shown import ask_anew


class DraftForm(FormPage):
    """A page with fields of which a power cut takes the one being typed at most."""

    DRAFT: ClassVar[str]

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._begun_at = house.seen  # the newest line of the log when the form was begun
        self._settled = False  # saved, as a batch or as a draft
        self._kept: dict[str, str] = {}  # what the draft in the file holds of this form

    @abstractmethod
    def body_of_draft(self) -> dict[str, Any]:
        """What of the form goes into the draft."""

    def keep_meanwhile(self) -> None:
        """A field was left: save what was typed so far, if it is new."""
        touched = self.form.touched
        if self._settled or not touched or touched == self._kept:
            return
        self._kept = dict(self.form.touched)
        body, now = self.body_of_draft(), self.house.now()

        def keep(conn: Connection, _by: By) -> None:
            if not self._settled:  # saved meanwhile: nothing is left half-typed
                drafts.keep(conn, self.DRAFT, body, now)

        self._quietly(keep, lambda _: None)

    def do_leave(self) -> None:
        """Leave; what was typed is saved as a draft."""
        body, now = self.body_of_draft(), self.house.now()
        if self._settled or not (self.form.touched or self._kept):
            self.leave()
            return
        self._settled = True
        if self.form.touched:
            self.write(
                lambda conn, _by: drafts.keep(conn, self.DRAFT, body, now),
                lambda _: self.leave(),
                self._not_kept,
            )
        else:  # emptied: the draft saved meanwhile is not wanted back
            self.write(
                lambda conn, _by: drafts.drop(conn, self.DRAFT),
                lambda _: self.leave(),
                self._not_kept,
            )

    def store(
        self,
        job: Job,
        then: Callable[[Any], None],
        failed: Callable[[CuredashError], None] | None = None,
        *,
        seen: int | None = None,
    ) -> None:
        """Write what the form says; what it rests on and somebody else changed is asked about.

        ``seen`` is the newest line of the log that is known; None: when the form was begun.
        """
        shown = self._begun_at if seen is None else seen
        self._settled = True

        def stopped(trouble: CuredashError) -> None:
            self._settled = False
            if isinstance(trouble, Changed) and trouble.newest is not None:
                ask_anew(self, trouble, trouble.newest, again)
            else:
                (failed or self._not_kept)(trouble)

        def again(newest: int) -> None:
            self.store(job, then, failed, seen=newest)

        self.write(lambda conn, by: job(conn, replace(by, seen=shown)), then, stopped)

    def _not_kept(self, trouble: CuredashError) -> None:
        self._settled = False
        self.show_message(str(trouble), "act")

    def terminal_gone(self, *, may_write: bool = True) -> None:
        """The program ends: what was typed is offered at the next start, or in a text file."""
        saved = self._orders and all(order.saved for order in self._orders)
        if not self.form.touched or saved or (self._settled and not self._orders):
            return
        self._settled = True
        if not (may_write and self.kept_as_draft(self.DRAFT, self.body_of_draft())):
            typed = ", ".join(f"{name}: {text}" for name, text in self.form.touched.items())
            self.set_aside(f"{self.DRAFT.replace('-', ' ')}, {typed}")

    def on_unmount(self) -> None:
        """The program is left from here: the same."""
        self.terminal_gone()
