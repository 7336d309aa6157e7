"""How a dose sheet is read and drawn, and where its cursor stands."""

from collections.abc import Sequence
from typing import cast

from curedash.domain.curing.stages import GROUND
from curedash.domain.errors import NotFound, Refused
from curedash.domain.facts.cautions import cautions_for
from curedash.domain.records import DoseLine, LotState
from curedash.present.dosing import sheet_lines
from curedash.present.dosing.dose_weights import any_ounces
from curedash.present.dosing.taken_in import pieces_words
from curedash.present.words import Line, cells, cut, plain, wrapped
from curedash.services.dosing.batch_sheet import BatchSheet, LotSheet, is_raw_pork, read_sheet
from curedash.services.needs.cautions import cautions_once
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.state import DashboardState

FURTHER_DOWN = "Further down: what to mind."  # where a caution has no room in one line

Key = tuple[str, int]


class DoseSheetLines(ListPage):
    """The lines of the sheet of one lot or of a whole batch."""

    def __init__(
        self,
        house: DashboardState,
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
        self._read_sheet()
        if not self._sheet.lots:
            raise Refused(
                f"Batch {self._sheet.batch.code} has no dose sheet: it was saved without doses."
            )

    def _begin(self) -> None:
        """Begin with the first line that is not ticked."""
        self._to_next()
        if self._first_line in self._lines:
            self.list.move_to(("line", self._first_line))
            self.draw_foot()
        if self._said_first:
            self.show_message(" ".join(self._said_first), "quiet")
        lots = [sheet.lot for sheet in self._sheet.lots]
        raw_pork = self.house.read(lambda conn: any(is_raw_pork(conn, lot) for lot in lots))
        moments = (*(["raw-pork"] if raw_pork else []), "curing-salt", "in-cure")
        batch = self._batch_id
        self._quietly(
            lambda conn, by: cautions_once(conn, by, *moments, batch_id=batch), self._cautions
        )

    def _cautions(self, sentences: tuple[str, ...]) -> None:
        """Those not told yet; the first one of a curing salt stands on every sheet that has one."""
        first = cautions_for("curing-salt")
        if any(line.kind == "curing-salt" for line in self._lines.values()):
            sentences = (*sentences, *(first[:1] if first[0] not in sentences else ()))
        self._notes += sentences
        self._fill()

    # ── reading and drawing ───────────────────────────────────────────────────────────────

    def _read_sheet(self) -> None:
        self._sheet: BatchSheet = self.house.read(read_sheet, self._batch_id)
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
        ounces = any(any_ounces(one.lines, sheet_lines.scales_of(one)) for one in every)
        if kind == "heads":
            return sheet_lines.heads_line(width, ounces=ounces)
        if kind == "line":
            line = self._lines[which]
            sheet = self._lots[line.lot_id]
            scales = sheet_lines.scales_of(sheet)
            decimals = sheet_lines.sheet_decimals(sheet.lines, scales)
            return sheet_lines.dose_line(
                line, self.house.zone, width, decimals, scales, ounces=ounces
            )
        if kind == "lot":
            return sheet_lines.lot_head(self._lots[which], width)
        return sheet_lines.contents_line(self._lots[which].lot, width)

    def title_line(self, width: int) -> Line:
        """Which batch, and how much is left to weigh."""
        batch = self._sheet.batch
        head = f"DOSE SHEET {batch.code}  "
        left_part = sheet_lines.left_words(self._sheet.open_lines)
        room = width - cells(head) - cells(left_part) - 1
        name = cut(plain(batch.name), max(0, room))
        whole = pieces_words([each.lot for each in self._sheet.lots])
        size = f"  {whole}" if cells(name) + cells(whole) + 2 <= room else ""
        gap = " " * max(1, width - cells(head) - cells(name) - cells(size) - cells(left_part))
        return (head, "title"), (name, ""), (size, ""), (gap + left_part, "quiet")

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """What to do next."""
        sheet = self._lot_here()
        said = "" if sheet is None else gravest(sheet)
        if not said and self._notes and len(self.list.keys) > self.list.size.height > 0:
            said = f"Further down: {self._notes[-1]}"  # the cautions stand below what is seen
            said = said if cells(said) <= width else FURTHER_DOWN
        second: Line = ((wrapped(said, width, 1)[0], "today"),) if said else ()
        if not self._sheet.open_lines and self._sheet.raw:
            return ((_all_in(self._sheet.raw[0].lot), "good"),), second
        if not self._sheet.open_lines:
            return (("Nothing left to weigh.", "quiet"),), second
        words = "Space ticks it as planned; or type the weight the scale showed."
        if sheet is not None and sheet.bag is not None:
            words = cut(sheet_lines.together_words(sheet.bag, sheet_lines.scales_of(sheet)), width)
        first, *more = wrapped(words, width)
        return ((first, "quiet"),), second or tuple((line, "quiet") for line in more)

    def cannot(self) -> tuple[str, ...]:
        """No way into the cure where nothing is raw any more, nothing to tick where all is."""
        raw = [each for each in self._sheet.raw if each.lot.method != GROUND]
        found = () if raw else ("dose_sheet.into-cure",)
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

    def after_leap(self, by: int) -> None:
        """To the ingredient nearest to where a leap ended."""
        for way in (by, -by):
            if cast(Key, self.list.cursor_key)[0] != "line":
                self.step(way)
        self.draw_foot()

    def step(self, by: int) -> None:
        """To the next ingredient, past heads and notes."""
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


def gravest(sheet: LotSheet) -> str:
    """What there is to say first about what went in; nothing while it is as it should be."""
    if sheet.dose is None or sheet.dose.verdict not in ("caution", "refused"):
        return ""
    return plain(sheet.dose.messages[0])


def _all_in(lot: LotState) -> str:
    """What comes next when every ingredient is weighed."""
    if lot.method == GROUND:
        after = "its ferment" if lot.ferments else "drying"
        return f"Everything is in: stuff it, then {key_of('lot.stage')} on its page starts {after}."
    key = key_of("dose_sheet.into-cure")
    return f"Everything is in: {key} moves the batch into the cure."
