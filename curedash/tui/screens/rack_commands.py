"""The commands of the Rack: what its keys do to a lot, and which other page they open."""

from abc import abstractmethod
from collections.abc import Callable
from time import monotonic
from typing import cast

from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.present.words import plain, stage
from curedash.services.household.undo import redo_last, undo_last
from curedash.tui.chassis.commands import ON_ROW, key_of, of_page
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.under_way import NOT_TAKEN, taking_in
from curedash.tui.flows.weighing import weigh_here
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Choice, Steps
from curedash.tui.screens.rack_rows import RackRows

HELD_S = 1.0  # so soon after it left another page a key does not leave the program
REPEAT_S = 0.25  # a key that is held comes again sooner than this


class RackCommands(ListPage):
    """What the keys of the Rack do; the rows and their drawing are elsewhere."""

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self.rows = RackRows(house)
        self.renew = False  # put the rows in order on coming back

    def _here(self) -> LotState:
        """The lot under the cursor."""
        key = self.list.cursor_key
        if key is None:
            raise Refused(f"There is no lot here; {key_of('rack.new')} salts a new batch.")
        return self.rows.row(cast(int, key)).lot

    # ── doing ─────────────────────────────────────────────────────────────────────────────

    def typed_key(self, key: str, char: str | None) -> None:  # noqa: ARG002
        """A digit starts the weigh-in of this row."""
        if starts_weight(char) and self.list.cursor_key is not None:
            self._weigh(char or "")

    def do_weigh(self) -> None:
        """Open the weigh-in line."""
        self._weigh("")

    def weigh_scanned(self, lot: LotState) -> None:
        """In its row, where it is shown."""
        if lot.id not in self.list.keys:
            super().weigh_scanned(lot)
            return
        self.list.move_to(lot.id)
        self._weigh("")

    def _weigh(self, text: str) -> None:
        weigh_here(self, self._here(), text, self.rows.lots)

    def take_up(self, lot: LotState, text: str) -> None:
        """Go on with a weight that was half typed."""
        weigh_here(self, lot, text, self.rows.lots)

    def do_undo(self) -> None:
        """Undo the last change of this session."""
        again = key_of("rack.redo")
        self.write(
            undo_last, lambda what: self.show_message(f"Undone: {what}. {again} redoes it.", "good")
        )

    def do_redo(self) -> None:
        """Do again what was taken back last."""
        back = key_of("rack.undo")
        self.write(
            redo_last, lambda what: self.show_message(f"Redone: {what}. {back} undoes it.", "good")
        )

    def do_round(self) -> None:
        """Weigh what is due."""
        self.renew = True
        self.show("round", ended=self.show_message)

    def do_diary(self) -> None:
        """The days to come."""
        self.show("diary")

    def do_places(self) -> None:
        """Open the places."""
        self.show("places")

    def do_book(self) -> None:
        """Open the Book."""
        self.show("book")

    def do_settings(self) -> None:
        """Open the settings."""
        self.show("settings")

    def do_history(self) -> None:
        """Open the history."""
        self.show("history")

    def do_needs(self) -> None:
        """Open the needs."""
        self.show("needs")

    def do_new(self) -> None:
        """Salt a new batch."""
        self.renew = True
        self.show("new_batch")

    def do_under_way(self) -> None:
        """Take in pieces that are in the cure, or hang, already."""
        converse(self, lambda: taking_in(self), NOT_TAKEN)

    def do_open(self) -> None:
        """Open this lot."""
        self.show("lot", lot_id=self._here().id)

    def on_its_page(self, method: str) -> None:
        """Open the page of this lot and do there what the key does on it."""
        self.show("lot", lot_id=self._here().id, begins=method)

    def do_sheet(self) -> None:
        """The dose sheets of this lot's batch."""
        lot = self._here()
        self.show("dose_sheet", batch_id=lot.batch_id, lot_id=lot.id)

    def do_misdose(self) -> None:
        """What really went into this lot, and common fixes."""
        self.show("misdose", lot_id=self._here().id)

    def do_tag(self) -> None:
        """Tags of this lot, its batch or the rows shown."""
        self._paper("tags")

    def do_record(self) -> None:
        """The record of this lot, its batch or the rows shown."""
        self._paper("record")

    def _paper(self, name: str) -> None:
        from curedash.tui.flows import export_flow
        from curedash.tui.prompts.converse import converse

        shown = [self.rows.row(cast(int, key)).lot for key in self.list.keys]
        lot = self._here()
        converse(self, lambda: getattr(export_flow, name)(self, lot, shown), export_flow.NOTHING)

    def do_turned(self) -> None:
        """It was turned in the cure."""
        self._step("turning")

    def do_ph(self) -> None:
        """Its pH was measured."""
        self._step("measuring_ph")

    def do_edit(self) -> None:
        """Its tare, the weight it began with, a swapped weigh-in."""
        self._step("correcting")

    def do_swap(self) -> None:
        """Its newest weigh-in was another lot's."""
        self._step("swapping")

    def _step(self, name: str) -> None:
        from curedash.tui.flows import lot_steps
        from curedash.tui.prompts.converse import converse

        lot = self._here()
        converse(self, lambda: getattr(lot_steps, name)(self, lot))

    def do_stage(self) -> None:
        """Move this lot on."""
        from curedash.tui.flows.choose_stage import begin

        begin(self, self._here())

    # ── which rows ────────────────────────────────────────────────────────────────────────

    @abstractmethod
    def _filter(self, find: str | None = None) -> None:
        """Show the rows that are wanted now."""

    def _toggle_only(self, kind: str, which: str) -> None:
        self.rows.toggle_only(kind, which)
        self._filter()

    def do_alike(self) -> None:
        """Only rows like this one; again, and Enter: all."""
        lot = self._here()
        converse(self, lambda: self._only_like(lot), "the rows stay as they were")

    def _only_like(self, lot: LotState) -> Steps:
        """What the rows have in common with this one."""
        now = self.rows.only
        ways = (
            (("batch", lot.batch), f"batch {lot.batch}"),
            (("place", lot.place or ""), plain(lot.place) if lot.place else "no place"),
            (("stage", lot.stage), stage(lot.stage)),
        )
        every = () if now is None else ((now, "all rows"),)
        kind, which = yield Choice("only", (*ways, *every), usual=None if now is None else 3)
        self._toggle_only(kind, which)

    def do_only_batch(self) -> None:
        """Only the batch of this row."""
        self._toggle_only("batch", self._here().batch)

    def do_only_place(self) -> None:
        """Only the place of this row."""
        self._toggle_only("place", self._here().place or "")

    def do_only_stage(self) -> None:
        """Only the stage of this row."""
        self._toggle_only("stage", self._here().stage)

    def do_leave(self) -> None:
        """Leave the program, unless the same key has just left another page: it was held."""
        key, at = self.house.left_by
        if key and key == self.key_taken and monotonic() - at < HELD_S:
            again = (key, monotonic() + REPEAT_S - HELD_S)  # it repeats by itself: not an answer
            self.house.left_by = again
            self.show_message(f"{key_of('rack.leave')} again leaves curedash.")
            return
        self.app.exit(0)


def _on_its_page(method: str) -> Callable[[RackCommands], None]:
    """A key of the Rack that its page answers."""
    return lambda page: page.on_its_page(method)


for _command in of_page("rack"):
    if _command.id.removeprefix("rack.") in ON_ROW:
        setattr(RackCommands, _command.method, _on_its_page(_command.method))
