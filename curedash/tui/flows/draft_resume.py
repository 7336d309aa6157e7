"""What was half typed when the terminal went away: kept by name, offered at the next start."""

from collections.abc import Callable

from curedash.domain.errors import CuredashError
from curedash.domain.records import LotState
from curedash.present.words import Line, cut, moment_words, plain
from curedash.services.file import drafts
from curedash.services.file.drafts import Draft
from curedash.services.find import lot_with_id
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.page import Page
from curedash.tui.flows.weighing import WEIGH
from curedash.tui.prompts.prompt import PagePrompt

TakeUp = Callable[[LotState, str], None]  # opens a weigh-in as it was typed


def offer(page: Page, take_up: TakeUp) -> None:
    """On the first screen: take the newest half-typed weight up, or say what else waits."""
    try:
        waiting = page.house.read(drafts.waiting)
        weight = next((draft for draft in waiting if draft.name == WEIGH), None)
        if weight is not None:
            lot_id = int(weight.body["lot_id"])
            lot = page.house.read(lot_with_id, lot_id)
            page.talk(Offer(page, weight, lot, take_up))
        elif waiting:
            when = moment_words(waiting[0].at, page.house.zone)
            page.show_message(
                f"The form of a new batch is unfinished since {when};"
                f" {key_of('rack.new')} opens it again.",
                "today",
            )
    except (CuredashError, KeyError, ValueError):
        return  # its lot is gone, or the draft is of another version: nothing to offer


class Offer(PagePrompt):
    """One question: go on with the weight that was being typed?"""

    def __init__(self, page: Page, draft: Draft, lot: LotState, take_up: TakeUp) -> None:
        super().__init__(page)
        self._draft, self._lot, self._take_up = draft, lot, take_up

    def lines(self, width: int) -> tuple[Line, Line]:
        """What was typed, and when."""
        when = moment_words(self._draft.at, self.page.house.zone)
        typed = plain(str(self._draft.body.get("text", "")))
        head = f"Unfinished since {when}: {self._lot.code} › {typed}"
        return ((cut(head, width), "strong"),), (("Go on with it?", ""),)

    def hints(self) -> list[Hint]:
        """One key decides."""
        return [("y", "go on"), ("n", "delete it")]

    def key(self, key: str, char: str | None) -> bool:  # noqa: ARG002
        """``y`` opens the line as it was, ``n`` forgets it; any other key leaves it for later."""
        self.page.hush()
        if key in ("y", "n", "enter"):
            self.page.write(_forget, lambda _: None)
        if key in ("y", "enter"):
            self._take_up(self._lot, str(self._draft.body.get("text", "")))
        return key in ("y", "n", "enter", "escape", "q")


def _forget(conn: Connection, _by: By) -> None:
    drafts.drop(conn, WEIGH)
