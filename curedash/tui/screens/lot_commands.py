"""The commands of a lot's page: what its keys do to the lot, and which other page they open."""

from collections.abc import Callable
from typing import cast

from curedash.domain.errors import Refused
from curedash.domain.records import ENDED, LotState
from curedash.present.drying.lot import log_words
from curedash.present.signs import key_drawn
from curedash.services.household.history import LogLine
from curedash.services.lot_view import LotView
from curedash.tui.chassis.commands import key_of, of_page
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows import lot_rows
from curedash.tui.flows.lot_actions import LOT_ACTIONS, LotAction
from curedash.tui.flows.move_lot import NOT_MOVED, moving
from curedash.tui.flows.undo import do_again, take_back
from curedash.tui.flows.weighing import weigh_here
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import NOTHING, Steps

TABS = ("log", "dose sheet", "figures")
LotSteps = Callable[[Page, LotState], Steps]


class LotCommands(ListPage):
    """What the keys of a lot's page do; reading and drawing are elsewhere."""

    view: LotView

    def __init__(self, house: DashboardState, lot_id: int) -> None:
        super().__init__(house)
        self.lot_id = lot_id
        self.tab = 0  # which of TABS is shown

    def here(self) -> LogLine:
        """The line of the log under the cursor."""
        key = self.list.cursor_key
        found = [line for line in self.view.log if (line.kind, line.ref) == key]
        if self.tab or not found:
            sheet = key_of("lot.sheet")
            raise Refused(
                key_drawn(f"Choose a line of the log: ← → lead to it; {sheet} opens the sheet.")
            )
        return found[0]

    def _ask(self, steps: LotSteps, nothing: str = NOTHING) -> None:
        converse(self, lambda: steps(self, self.view.lot), nothing)

    # ── weighing and undoing ──────────────────────────────────────────────────────────────

    def typed_key(self, key: str, char: str | None) -> None:  # noqa: ARG002
        """A digit starts a weigh-in."""
        if starts_weight(char):
            self._weigh(char or "")

    def do_weigh(self) -> None:
        """Open the weigh-in line."""
        self._weigh("")

    def _weigh(self, text: str) -> None:
        if self.view.lot.stage in ENDED:
            code, end = self.view.lot.code, key_of("lot.finish")
            raise Refused(f"{code} takes no more weigh-ins; {end} corrects its final weight.")
        weigh_here(self, self.view.lot, text)

    def do_undo(self) -> None:
        """Undo the last change of this lot."""
        take_back(self, (self.lot_id,))

    def do_redo(self) -> None:
        """Do again what was taken back last of this lot."""
        do_again(self, (self.lot_id,))

    def do_hold(self) -> None:
        """Pause its drying, or go on where it was."""
        stage = "on-hold"
        if self.view.lot.stage == "on-hold":
            before = [span.stage for span in self.view.curve.stages if span.stage != "on-hold"]
            stage = before[-1] if before else "drying"
        self._ask(lambda page, lot: moving(page, lot, stage), NOT_MOVED)

    # ── the line under the cursor ─────────────────────────────────────────────────────────

    def do_right(self) -> None:
        """Correct the line under the cursor, or show the whole of it; a dose opens its sheet."""
        if TABS[self.tab] == "dose sheet" and self.view.doses:
            self._open_sheet()
            return
        line = self.here()
        if not lot_rows.may_be_put_right(line):
            self.show_message(log_words(line, self.house.zone, self.house.today()))
            return
        self._ask(lambda page, lot: lot_rows.put_right(page, lot, line))

    def _open_sheet(self) -> None:
        """The dose sheet, its cursor on the line that is marked here."""
        lot, key = self.view.lot, self.list.cursor_key
        at = cast("tuple[str, int]", key)[1] if key is not None else 0
        doses = self.view.doses
        line_id = doses[at].id if at < len(doses) else None
        self.show("dose_sheet", batch_id=lot.batch_id, lot_id=lot.id, line_id=line_id)

    def do_remove(self) -> None:
        """Let the weigh-in under the cursor count no more."""
        line = self.here()
        self._ask(lambda page, lot: lot_rows.voiding(page, lot, line))

    # ── other pages ───────────────────────────────────────────────────────────────────────

    def do_history(self) -> None:
        """Every change of this lot, step by step."""
        self.show("history", lot_id=self.lot_id)

    def do_book(self) -> None:
        """Finished lots."""
        self.show("book")


def _of_its_lot(action: LotAction) -> Callable[[LotCommands], None]:
    """A key of the page that does this to its lot."""
    return lambda page: action(page, page.view.lot)


for _command in of_page("lot"):
    if _command.id in LOT_ACTIONS and _command.method not in vars(LotCommands):
        setattr(LotCommands, _command.method, _of_its_lot(LOT_ACTIONS[_command.id]))
