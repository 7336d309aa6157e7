"""The dose sheet of a batch: tick off what was weighed; what was weighed is what counts."""

from typing import cast

from curedash.domain.dosing.ticks import likely_fix_g, wants_words
from curedash.domain.errors import CuredashError, Doubtful, Refused
from curedash.domain.records import DoseLine, LotState
from curedash.domain.typed.pounds import one_in_pounds
from curedash.domain.typed.weights import parse_weight_g
from curedash.papers.files import suggested
from curedash.present.dosing.dose_weights import dose_words, line_division
from curedash.present.dosing.sheet_lines import odd_words, planned_words, scales_of
from curedash.present.dosing.taken_in import next_words
from curedash.present.words import plain
from curedash.services.curing.change_stage import Moved
from curedash.services.dosing.batch_sheet import LotSheet, into_cure
from curedash.services.dosing.tick import tick_line
from curedash.store.watching import Connection
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.flows.export_flow import NOTHING, to_file
from curedash.tui.flows.undo import do_again, take_back
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.prompt import Ask, Because, DoubtedDose
from curedash.tui.screens.dose_sheet_lines import DoseSheetLines, gravest


class DoseSheet(DoseSheetLines):
    """Every lot of a batch with its ingredients, to be ticked off one after another."""

    NAME = "dose_sheet"

    # ── ticking ───────────────────────────────────────────────────────────────────────────

    def typed_key(self, key: str, char: str | None) -> None:  # noqa: ARG002
        """A digit starts what the scale showed."""
        if starts_weight(char):
            self._ask_weight(self._line_here(), char or "")

    def do_tick(self) -> None:
        """Tick the planned grams off."""
        line = self._line_here()
        if line.ticked_at is not None:
            self._to_next()
            self.show_message(
                "Ticked already; type what was weighed, or"
                f" {key_of('dose_sheet.remove')} unticks it.",
                "quiet",
            )
            return
        self._tick(line, line.planned_g)

    def do_remove(self) -> None:
        """Take a tick back."""
        line = self._line_here()
        if line.ticked_at is None:
            raise Refused("That line is not ticked.")
        line_id = line.id
        self.write(
            lambda conn, by: tick_line(conn, by, line_id, None, seen=line),
            lambda _: self.show_message(f"{plain(line.name)} is open again.", "good"),
        )

    def do_undo(self) -> None:
        """Undo the last change of this batch."""
        take_back(self, tuple(self._lots), batch_id=self._batch_id)

    def do_redo(self) -> None:
        """Do again what was taken back last of this batch."""
        do_again(self, tuple(self._lots), batch_id=self._batch_id)

    def _ask_weight(self, line: DoseLine, text: str) -> None:
        lot = self._lots[line.lot_id].lot
        scales = scales_of(self._lots[line.lot_id])
        planned = planned_words(line, scales)

        def take(typed: str) -> None:
            if planned.partition(" ")[2].startswith("oz"):  # a bare number may be ounces
                typed = one_in_pounds(typed, line.planned_g)
            grams = parse_weight_g(typed, allow_zero=True, marks_are_decimal=True)
            doubt = odd_words(grams, line.planned_g, planned)
            if doubt:
                self._doubted(line, grams, doubt)
            else:
                self._tick(line, grams)

        self.talk(
            Ask(
                self,
                f"{lot.code} {plain(line.name)}: weighed",
                take,
                text=text,
                begun=True,
                help=f"planned {planned}; 0 if nothing went in",
            )
        )

    def _doubted(self, line: DoseLine, grams: float, doubt: str) -> None:
        """A dose far off: ``y`` takes the likely fix, never the doubtful weight.

        Too little is recorded by a key of its own; over 1.5 times the plan only with a reason.
        """
        scales = scales_of(self._lots[line.lot_id])

        def shown(weight_g: float) -> str:
            return dose_words(weight_g, line_division(line, scales))

        def change() -> None:
            self._ask_weight(line, "")

        def keep() -> None:
            if wants_words(line.planned_g, grams):
                self.talk(
                    Because(self, doubt, f"{shown(grams)} really went in, because", tick_because)
                )
            else:
                self.hush()
                self._tick(line, grams)

        def tick_because(text: str) -> str | None:
            if not text:
                return "Say in a few words how it happened, or press Esc."
            self._tick(line, grams, text)
            return None

        fix_g = likely_fix_g(line.planned_g, grams)

        def fix() -> None:
            self.hush()
            self._tick(line, cast(float, fix_g))

        self.talk(
            DoubtedDose(
                self,
                doubt,
                keep,
                change,
                None if fix_g is None else (shown(fix_g), fix),
                f"{shown(grams)} really went in",
            )
        )

    def _tick(self, line: DoseLine, grams: float, why: str | None = None) -> None:
        line_id = line.id

        def ticked(lot: LotState) -> None:
            self._to_next()
            off = abs(grams - line.planned_g) > 1e-9
            if off:
                said = gravest(self._lots[lot.id])
                scales = scales_of(self._lots[lot.id])
                went = dose_words(grams, line_division(line, scales))
                words = f"{lot.code}: {went} {plain(line.name)}, planned"
                words += f" {planned_words(line, scales)}. {said}"
                self.show_message(words, "today" if said else "good")

        self.write(
            lambda conn, by: tick_line(conn, by, line_id, grams, note=why, seen=line), ticked
        )

    # ── into the cure ─────────────────────────────────────────────────────────────────────

    def do_into_cure(self) -> None:
        """Every raw lot of the batch goes into the cure now."""
        self._into_cure(None)

    def _into_cure(self, note: str | None) -> None:
        batch_id, now = self._batch_id, self.house.now()
        self.write(
            lambda conn, by: into_cure(conn, by, batch_id, now, note), self._moved, self._stopped
        )

    def _moved(self, moved: tuple[Moved, ...]) -> None:
        codes = [each.lot.code for each in moved]
        shown = codes[0] if len(codes) == 1 else f"{codes[0]}–{codes[-1]}"
        lots, house = [each.lot for each in moved], self.house
        comes_next = next_words(lots, house.today(), house.zone, self._sheet.batch.method)
        self.show_message(f"{shown}: in cure now. {comes_next} {self.undo_key} undoes it.", "good")

    def _stopped(self, refusal: CuredashError) -> None:
        if not isinstance(refusal, Doubtful):
            self.show_message(str(refusal), "act")
            return

        def then(text: str) -> str | None:
            if not text:
                return "Say why in a few words, or press Esc."
            self._into_cure(text)
            return None

        question = "into the cure anyway, because"
        self.talk(Because(self, plain(str(refusal)), question, then))

    # ── other things done with a sheet ────────────────────────────────────────────────────

    def do_turned(self) -> None:
        """Record that what is in the cure was turned."""
        from curedash.services.curing.turn import may_turn, turn

        lying = [sheet.lot.id for sheet in self._sheet.lots if may_turn(sheet.lot)]
        now = self.house.now()
        self.write(lambda conn, by: turn(conn, by, lying, now), self._turned)

    def _turned(self, turned: list[LotState]) -> None:
        codes = ", ".join(lot.code for lot in turned)
        self.done(f"Turned: {codes}.")

    def do_record(self) -> None:
        """Write the sheet to a file, to be printed."""
        from curedash.papers.dose_sheet import dose_sheet
        from curedash.papers.paper_files import write_paper

        house, members = self.house, [sheet.lot for sheet in self._sheet.lots]

        def write(conn: Connection, path: str) -> None:
            blocks = dose_sheet(conn, members, house.now())
            write_paper(path, blocks, house.now(), never=house.db_path)

        usual = suggested(f"dose-sheet-{self._sheet.batch.code}")
        converse(self, lambda: to_file(self, "dose sheet", usual, write), NOTHING)

    def do_misdose(self) -> None:
        """What really went into this lot, and common fixes."""
        self.show("misdose", lot_id=self._lot().lot.id)

    def _lot(self) -> LotSheet:
        sheet = self._lot_here()
        if sheet is None:
            raise Refused("Put the cursor on a lot first.")
        return sheet

    def do_stage(self) -> None:
        """Move this lot alone."""
        from curedash.tui.flows.choose_stage import begin

        begin(self, self._lot().lot)

    def do_lot(self) -> None:
        """Open this lot."""
        self.show("lot", lot_id=self._lot().lot.id)
