"""The dose sheet of a batch: tick off what was weighed; what was weighed is what counts."""

from collections.abc import Iterable, Sequence
from typing import cast

from textual.widget import Widget

from curedash.domain.dosing.ticks import likely_fix_g, wants_words
from curedash.domain.errors import CuredashError, Doubtful, NotFound, Refused
from curedash.domain.facts.cautions import cautions_for
from curedash.domain.records import DoseLine, LotState
from curedash.domain.typed.pounds import one_in_pounds
from curedash.domain.typed.units import parse_weight_g
from curedash.present.dosing.dose_weights import any_ounces, dose_words, line_division
from curedash.present.dosing.sheet_lines import (
    contents_line,
    dose_line,
    heads_line,
    left_words,
    lot_head,
    odd_words,
    planned_words,
    scales_of,
    sheet_decimals,
    together_words,
)
from curedash.present.words import Line, cells, cut, plain, wrapped
from curedash.services.curing.change_stage import Moved
from curedash.services.dosing.batch_sheet import (
    BatchSheet,
    LotSheet,
    into_cure,
    is_raw_pork,
    read_sheet,
)
from curedash.services.dosing.tick import tick_line
from curedash.services.needs.cautions import say_once
from curedash.store.watching import Connection
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import House
from curedash.tui.flows.export_flow import NOTHING, to_file
from curedash.tui.flows.undo import do_again, take_back
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.prompt import Ask, Because, DoubtedDose
from curedash.tui.widgets.lines import LineList

Key = tuple[str, int]


class DoseSheet(Page):
    """Every lot of a batch with its ingredients, to be ticked off one after another."""

    NAME = "dose_sheet"

    def __init__(
        self,
        house: House,
        *,
        batch_id: int,
        lot_id: int | None = None,
        line_id: int | None = None,
        said: Sequence[str] = (),
    ) -> None:
        super().__init__(house)
        self._batch_id, self._first_lot, self._first_line = batch_id, lot_id, line_id
        self._said_first = list(said)
        self._notes: list[str] = []
        self._note_lines: list[str] = []  # broken to the width
        self._gone = False
        self.list = LineList(house.styles, id="body")
        self._read_sheet()
        if not self._sheet.lots:
            raise Refused(
                f"Batch {self._sheet.batch.code} has no dose sheet: it was saved without doses."
            )

    def body(self) -> Iterable[Widget]:
        """The list."""
        yield self.list

    def on_mount(self) -> None:
        """Begin with the first line that is not ticked."""
        self._fill()
        self._to_next()
        if self._first_line in self._lines:
            self.list.move_to(("line", self._first_line))
            self.draw_foot()
        if self._said_first:
            self.say(" ".join(self._said_first), "quiet")
        lots = [sheet.lot for sheet in self._sheet.lots]
        raw_pork = self.house.read(lambda conn: any(is_raw_pork(conn, lot) for lot in lots))
        moments = (*(["raw-pork"] if raw_pork else []), "curing-salt", "in-cure")
        self._quietly(lambda conn, by: say_once(conn, by, *moments), self._cautions)

    def _cautions(self, sentences: tuple[str, ...]) -> None:
        """Those not told yet; the first one of a curing salt stands on every sheet that has one."""
        first = cautions_for("curing-salt")
        if any(line.kind == "curing-salt" for line in self._lines.values()):
            sentences = (*sentences, *(first[:1] if first[0] not in sentences else ()))
        self._notes += sentences
        self._fill()

    # ── reading and drawing ───────────────────────────────────────────────────────────────

    def _read_sheet(self) -> None:
        batch_id = self._batch_id
        self._sheet: BatchSheet = self.house.read(lambda conn: read_sheet(conn, batch_id))
        self._lines = {line.id: line for sheet in self._sheet.lots for line in sheet.lines}
        self._lots = {sheet.lot.id: sheet for sheet in self._sheet.lots}

    def changed(self, lots: set[int]) -> None:  # noqa: ARG002
        """Somebody ticked or moved something."""
        try:
            self._read_sheet()
        except NotFound:  # its batch was taken back, here or elsewhere
            if not self._gone:
                self._gone = True
                self.call_later(self.leave)
            return
        self._fill()

    def draw(self) -> None:
        """A new width draws every line again and breaks the cautions anew."""
        super().draw()
        self._fill()
        self.list.redraw_all()

    def _fill(self) -> None:
        keys: list[object] = [("heads", 0)]
        for sheet in self._sheet.lots:
            keys += [("lot", sheet.lot.id), *(("line", line.id) for line in sheet.lines)]
            keys += [("in", sheet.lot.id)]
        width = self.app.size.width
        self._note_lines = [line for note in self._notes for line in wrapped(note, width, 3)]
        keys += [("note", n) for n in range(len(self._note_lines))]
        self.list.show(keys, self._line)
        self.draw_heading()
        self.draw_foot()

    def _line(self, key: object) -> Line:
        width = self.app.size.width
        kind, which = cast(Key, key)
        if kind == "note":
            return ((self._note_lines[which], "today"),)
        every = self._sheet.lots
        ounces = any(any_ounces(one.lines, scales_of(one)) for one in every)
        if kind == "heads":
            return heads_line(width, ounces=ounces)
        if kind == "line":
            line = self._lines[which]
            sheet = self._lots[line.lot_id]
            scales = scales_of(sheet)
            decimals = sheet_decimals(sheet.lines, scales)
            return dose_line(line, self.house.zone, width, decimals, scales, ounces=ounces)
        if kind == "lot":
            return lot_head(self._lots[which], width)
        return contents_line(self._lots[which].lot, width)

    def title_line(self, width: int) -> Line:
        """Which batch, and how much is left to weigh."""
        batch = self._sheet.batch
        head = f"DOSE SHEET {batch.code}  "
        left_part = left_words(self._sheet.open_lines)
        room = width - cells(head) - cells(left_part) - 1
        name = cut(plain(batch.name), max(0, room))
        gap = " " * max(1, width - cells(head) - cells(name) - cells(left_part))
        return (head, "title"), (name, ""), (gap + left_part, "quiet")

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """What to do next."""
        sheet = self._lot_here()
        said = "" if sheet is None else _gravest(sheet)
        if not said and self._notes and len(self.list.keys) > self.list.size.height > 0:
            said = f"↓ {self._notes[-1]}"  # the cautions stand below what is seen
        second: Line = ((wrapped(said, width, 1)[0], "today"),) if said else ()
        if not self._sheet.open_lines and self._sheet.raw:
            key = key_of("dose_sheet.into-cure")
            return ((f"Everything is in: {key} moves the batch into the cure.", "good"),), second
        if not self._sheet.open_lines:
            return (("Nothing left to weigh.", "quiet"),), second
        words = "Space ticks what was planned; a digit starts what the scale showed."
        if sheet is not None and sheet.bag is not None:
            words = cut(together_words(sheet.bag, scales_of(sheet)), width)
        first, *more = wrapped(words, width)
        return ((first, "quiet"),), second or tuple((line, "quiet") for line in more)

    def cannot(self) -> tuple[str, ...]:
        """No way into the cure where nothing is raw any more, nothing to tick where all is."""
        found = () if self._sheet.raw else ("dose_sheet.into-cure",)
        return found if self._sheet.open_lines else (*found, "dose_sheet.tick")

    # ── where ─────────────────────────────────────────────────────────────────────────────

    def _line_here(self) -> DoseLine:
        key = self.list.cursor_key
        if not isinstance(key, tuple) or key[0] != "line":
            raise Refused("Put the cursor on an ingredient first.")
        return self._lines[cast(Key, key)[1]]

    def _lot_here(self) -> LotSheet | None:
        key = cast(Key | None, self.list.cursor_key)
        if key is None or key[0] in ("note", "heads"):
            return None
        return self._lots[self._lines[key[1]].lot_id if key[0] == "line" else key[1]]

    def _to_next(self) -> None:
        """To the next line that is not ticked, from the cursor on, then from the top."""
        lines = [line for sheet in self._sheet.lots for line in sheet.lines]
        here = self.list.cursor_key
        at = next((n for n, line in enumerate(lines) if ("line", line.id) == here), -1)
        if self._first_lot is not None:
            at = next((n for n, line in enumerate(lines) if line.lot_id == self._first_lot), 0) - 1
            self._first_lot = None
        order = lines[at + 1 :] + lines[: at + 1]
        todo = next((line for line in order if line.ticked_at is None), None)
        target = todo or (lines[at + 1] if at + 1 < len(lines) and at < 0 else None)
        if target is not None:
            self.list.move_to(("line", target.id))
        self.draw_foot()

    def do_up(self) -> None:
        """To the ingredient above."""
        self._step(-1)

    def do_down(self) -> None:
        """To the ingredient below."""
        self._step(1)

    def _step(self, by: int) -> None:
        before = self.list.cursor_key
        while True:
            here = self.list.cursor_key
            self.list.move(by)
            now = cast(Key | None, self.list.cursor_key)
            if now == here:
                if cast(Key, before)[0] == "line":
                    self.list.move_to(before)
                break
            if now is not None and now[0] == "line":
                break
        self.draw_foot()

    def do_page_up(self) -> None:
        """One screen up."""
        self.list.page(-1)

    def do_page_down(self) -> None:
        """One screen down."""
        self.list.page(1)

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
            self.say(
                "Ticked already; type what was weighed, or"
                f" {key_of('dose_sheet.untick')} takes the tick back.",
                "quiet",
            )
            return
        self._tick(line, line.planned_g)

    def do_untick(self) -> None:
        """Take a tick back."""
        line = self._line_here()
        if line.ticked_at is None:
            raise Refused("That line is not ticked.")
        line_id = line.id
        self.write(
            lambda conn, by: tick_line(conn, by, line_id, None, seen=line),
            lambda _: self.say(f"{plain(line.name)} is open again.", "good"),
        )

    def do_undo(self) -> None:
        """Take back the last change of this batch."""
        take_back(self, tuple(self._lots), batch_id=self._batch_id)

    def do_redo(self) -> None:
        """Do again what was taken back last of this batch."""
        do_again(self, tuple(self._lots), batch_id=self._batch_id)

    def _ask_weight(self, line: DoseLine, text: str) -> None:
        lot = self._lots[line.lot_id].lot
        scales = scales_of(self._lots[line.lot_id])
        planned = planned_words(line, scales)

        def take(typed: str) -> str | None:
            try:
                if planned.partition(" ")[2].startswith("oz"):  # a bare number may be ounces
                    typed = one_in_pounds(typed, line.planned_g)
                grams = parse_weight_g(typed, allow_zero=True, marks_are_decimal=True)
            except CuredashError as unclear:
                return str(unclear)
            doubt = odd_words(grams, line.planned_g, planned)
            if doubt:
                self._doubted(line, grams, doubt)
            else:
                self._tick(line, grams)
            return None

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
                self.talk(Because(self, doubt, f"{shown(grams)} did go in, because", told))
            else:
                self.hush()
                self._tick(line, grams)

        def told(text: str) -> str | None:
            if not text:
                return "A few words how it happened, or Esc."
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
                f"{shown(grams)} did go in",
            )
        )

    def _tick(self, line: DoseLine, grams: float, why: str | None = None) -> None:
        line_id = line.id

        def ticked(lot: LotState) -> None:
            self._to_next()
            off = abs(grams - line.planned_g) > 1e-9
            if off:
                said = _gravest(self._lots[lot.id])
                scales = scales_of(self._lots[lot.id])
                went = dose_words(grams, line_division(line, scales))
                words = f"{lot.code}: {went} {plain(line.name)}, planned"
                words += f" {planned_words(line, scales)}. {said}"
                self.say(words, "today" if said else "good")

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
        self.say(
            f"{shown}: in cure now. {key_of('dose_sheet.leave')} goes back;"
            f" {self.undo_key} takes it back.",
            "good",
        )

    def _stopped(self, refusal: CuredashError) -> None:
        if not isinstance(refusal, Doubtful):
            self.say(str(refusal), "act")
            return

        def then(text: str) -> str | None:
            if not text:
                return "A few words why, or Esc."
            self._into_cure(text)
            return None

        question = "into the cure all the same, because"
        self.talk(Because(self, plain(str(refusal)), question, then))

    # ── other things done with a sheet ────────────────────────────────────────────────────

    def do_turned(self) -> None:
        """What lies in the cure was turned."""
        from curedash.services.curing.turn import may_turn, turn

        lying = [sheet.lot.id for sheet in self._sheet.lots if may_turn(sheet.lot)]
        now = self.house.now()
        self.write(lambda conn, by: turn(conn, by, lying, now), self._turned)

    def _turned(self, turned: list[LotState]) -> None:
        codes = ", ".join(lot.code for lot in turned)
        self.say(f"Turned: {codes}. {self.undo_key} takes it back.", "good")

    def do_to_file(self) -> None:
        """Write the sheet to a file, to be printed."""
        from curedash.papers.dose_sheet import dose_sheet
        from curedash.papers.files import suggested
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


def _gravest(sheet: LotSheet) -> str:
    """What there is to say first about what went in; nothing while it is as it should be."""
    if sheet.dose is None or sheet.dose.verdict not in ("caution", "refused"):
        return ""
    return plain(sheet.dose.messages[0])
