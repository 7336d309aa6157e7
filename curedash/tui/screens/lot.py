"""One lot: curve and facts above, its log, dose sheet or figures below, every action by a key."""

from collections.abc import Callable
from typing import cast

from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.present.drying.lot import log_words
from curedash.present.weighing.weigh_line import saved_parts
from curedash.present.words import fitting
from curedash.services.weighing.weigh import Weighed
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.page import Page
from curedash.tui.flows import (
    export_flow,
    lot_ends,
    lot_looks,
    lot_packs,
    lot_rows,
    lot_steps,
    lot_weights,
)
from curedash.tui.flows.undo import do_again, take_back
from curedash.tui.flows.weighing import WeighIn
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import NOTHING, Steps
from curedash.tui.screens.lot_lines import TABS, LotLines


class Lot(LotLines):
    """The page of one lot."""

    NAME = "lot"

    def on_mount(self) -> None:
        """Draw everything; a tag was scanned to weigh it."""
        self._fill()
        if self._weighs_first:
            self.guarded(self.do_weigh)

    # ── weighing and undoing ──────────────────────────────────────────────────────────────

    def typed_key(self, key: str, char: str | None) -> None:  # noqa: ARG002
        """A digit starts a weigh-in."""
        if starts_weight(char):
            self._weigh(char or "")

    def do_weigh(self) -> None:
        """Open the weigh-in line."""
        self._weigh("")

    def _weigh(self, text: str) -> None:
        if self.view.lot.stage in ("closed", "discarded"):
            code, end = self.view.lot.code, key_of("lot.finish")
            raise Refused(f"{code} takes no more weigh-ins; {end} puts its end right.")
        from curedash.services.rack import read_rack

        house = self.house
        rows = house.read(lambda conn: read_rack(conn, house.now())).rows
        others = [row.lot for row in rows]
        self.talk(WeighIn(self, self.view.lot, self._weighed, text=text, others=others))

    def _weighed(self, kept: Weighed) -> None:
        self.hush()
        width = self.app.size.width
        self.say(
            fitting(saved_parts(kept.lot, kept.preview, self.undo_key), 2 * width - 12), "good"
        )

    def do_undo(self) -> None:
        """Take back the last change of this lot."""
        take_back(self, (self.lot_id,))

    def do_redo(self) -> None:
        """Do again what was taken back last of this lot."""
        do_again(self, (self.lot_id,))

    def do_stage(self) -> None:
        """Move it on, or back."""
        from curedash.tui.flows.choose_stage import begin

        begin(self, self.view.lot)

    def do_sheet(self) -> None:
        """The dose sheets of its batch, to be ticked off or put right."""
        lot = self.view.lot
        self.show("dose_sheet", batch_id=lot.batch_id, lot_id=lot.id)

    def do_hold(self) -> None:
        """Pause its drying, or go on where it was."""
        from curedash.tui.flows.move_lot import NOT_MOVED, moving

        stage = "on-hold"
        if self.view.lot.stage == "on-hold":
            before = [span.stage for span in self.view.curve.stages if span.stage != "on-hold"]
            stage = before[-1] if before else "drying"
        self._ask(lambda page, lot: moving(page, lot, stage), NOT_MOVED)

    # ── conversations, one a key ──────────────────────────────────────────────────────────

    def _ask(self, steps: Callable[[Page, LotState], Steps], nothing: str = NOTHING) -> None:
        converse(self, lambda: steps(self, self.view.lot), nothing)

    def do_feel(self) -> None:
        """Rim, firmness, smell; then the ways on."""
        self._ask(lot_looks.feel)

    def do_turned(self) -> None:
        """It was turned in the cure."""
        self._ask(lot_steps.turning)

    def do_swap(self) -> None:
        """Its newest weigh-in was another lot's."""
        self._ask(lot_steps.swapping)

    def do_ph(self) -> None:
        """Its pH was measured."""
        self._ask(lot_steps.measuring_ph)

    def do_freeze(self) -> None:
        """It was put into the freezer, or came out."""
        self._ask(lot_steps.freezing)

    def do_mould(self) -> None:
        """One entry of the mould log."""
        self._ask(lot_looks.mould)

    def do_decide(self) -> None:
        """What was decided after an alarm."""
        self._ask(lot_looks.deciding)

    def do_tag(self) -> None:
        """Its tag, to be printed."""
        self._ask(export_flow.tags, export_flow.NOTHING)

    def do_record(self) -> None:
        """Its whole record, to a file."""
        self._ask(export_flow.record, export_flow.NOTHING)

    def do_misdose(self) -> None:
        """What really went in, and common fixes."""
        self.show("misdose", lot_id=self.lot_id)

    def do_rebase(self) -> None:
        """A weight that changed without drying."""
        self._ask(lot_weights.rebasing)

    def do_divide(self) -> None:
        """Cut it into parts."""
        self._ask(lot_weights.dividing, lot_weights.NOT_DIVIDED)

    def do_tare(self) -> None:
        """Put the tare right."""
        self._ask(lot_weights.taring)

    def do_start(self) -> None:
        """Put the hang or green weight right."""
        self._ask(lot_weights.starting)

    def do_opened(self) -> None:
        """It was cut open."""
        self._ask(lot_ends.opening)

    def do_move(self) -> None:
        """To another place."""
        self._ask(lot_ends.moving)

    def do_discard(self) -> None:
        """Throw it away, with the reason."""
        self._ask(lot_ends.discarding)

    def do_finish(self) -> None:
        """Close it, or put its end right."""
        self._ask(lot_ends.finishing, lot_ends.NOT_FINISHED)

    def do_pack(self) -> None:
        """Write down packs."""
        self._ask(lot_packs.packing, lot_packs.NOT_PACKED)

    def do_right(self) -> None:
        """Put the line under the cursor right, or show the whole of it; a dose opens its sheet."""
        if TABS[self._tab] == "dose sheet" and self.view.doses:
            self._open_sheet()
            return
        line = self.here()
        if not lot_rows.may_be_put_right(line):
            self.say(log_words(line, self.house.zone))
            return
        self._ask(lambda page, lot: lot_rows.put_right(page, lot, line))

    def _open_sheet(self) -> None:
        """The dose sheet, its cursor on the line that is marked here."""
        lot, key = self.view.lot, self.list.cursor_key
        at = cast("tuple[str, int]", key)[1] if key is not None else 0
        doses = self.view.doses
        line_id = doses[at].id if at < len(doses) else None
        self.show("dose_sheet", batch_id=lot.batch_id, lot_id=lot.id, line_id=line_id)

    def do_void(self) -> None:
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
