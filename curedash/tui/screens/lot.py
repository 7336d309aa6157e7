"""One lot: curve and facts above, its log, dose sheet or figures below, every action by a key."""

from collections.abc import Callable, Iterable
from typing import cast

from textual.widget import Widget

from curedash.domain.errors import NotFound, Refused
from curedash.domain.records import LotState
from curedash.domain.times import days_between, utc_text
from curedash.present.drying.curve import lot_curve_lines
from curedash.present.drying.lot import (
    compact_lines,
    detail_lines,
    fact_lines,
    facts,
    facts_shown,
    log_line,
    log_words,
    needs_lines,
    next_words,
    sheet_lines,
    title_line,
)
from curedash.present.weighing.weigh_line import saved_parts
from curedash.present.words import Line, cut, filled, fitting, wrapped
from curedash.services.household.history import LogLine
from curedash.services.household.packs import mates_of
from curedash.services.lot_view import LotView, read_lot
from curedash.services.weighing.weigh import Weighed
from curedash.tui.chassis.commands import FOOTER_KEYS, KEY_WORDS, footer_of, key_of
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.need_keys import first_way, key_for
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
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
from curedash.tui.widgets.lines import FixedLines, LineList

TABS = ("log", "dose sheet", "figures")
SPLITS = ("both", "curve", "list")
AROUND = 4  # title and foot
BESIDE_FROM = 76  # columns from which facts stand beside the curve
FACTS_WIDTH = ((120, 46), (100, 40), (0, 35))
CURVE_WIDTH = 110  # a wider one would push the facts out of sight
ENDED = ("closed", "discarded")
NOT_DRIED = ("raw", "in-cure", "fermenting")  # there is no rim to be felt yet


def _asking(steps: Callable[[Page, LotState], Steps]) -> Callable[["Lot"], None]:
    """A key of the page that asks these steps of its lot."""
    return lambda page: converse(page, lambda: steps(page, page.view.lot), NOTHING)


class Lot(ListPage):
    """The page of one lot."""

    NAME = "lot"

    def __init__(self, house: DashboardState, *, lot_id: int, weigh: bool = False) -> None:
        super().__init__(house)
        self.lot_id = lot_id
        self._weighs_first = weigh
        self._tab = 0
        self._split = 0
        self._upper_lines: list[Line] = []
        self._facts_above = 0  # how many facts stand whole beside the curve
        self._below: list[Line] = []
        self._drawn_for: tuple[object, ...] = ()
        self.upper = LineList(house.styles, id="upper", cursor=False)
        self.tabs = FixedLines(house.styles, id="tabs")
        self.list = LineList(house.styles, id="body")
        self.view: LotView = self._read()

    def body(self) -> Iterable[Widget]:
        """Curve and facts, the line between, the list below."""
        yield self.upper
        yield self.tabs
        yield self.list

    # ── reading ───────────────────────────────────────────────────────────────────────────

    def _read(self) -> LotView:
        house = self.house
        return house.read(lambda conn: read_lot(conn, self.lot_id, house.now(), base=house.base))

    def changed(self, lots: set[int]) -> None:
        """Read again what may have changed; a lot that was taken back has no page."""
        if lots and self.lot_id not in lots:
            return
        try:
            self.view = self._read()
        except NotFound:
            if self.is_current:
                self.leave()
            return
        self._fill()

    def minute_passed(self) -> None:
        """Days move on."""
        self.changed(set())

    def on_mount(self) -> None:
        """Draw everything; a tag was scanned to weigh it."""
        self._fill()
        if self._weighs_first:
            self.guarded(self.do_weigh)

    def on_resize(self) -> None:
        """Draw it for the new size."""
        self._fill()

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def _fill(self) -> None:
        self._fill_upper()
        self._fill_list()
        self.draw()

    def _fill_upper(self) -> None:
        width, room = self.app.size.width, max(1, self.app.size.height - AROUND)
        height = {"both": room * 3 // 5, "curve": room - 1, "list": 0}[SPLITS[self._split]]
        alone = SPLITS[self._split] == "curve"
        self._facts_above = 0
        self._upper_lines = self._drawn(width, height + alone) if height else []
        if not self.view.curve.points:  # nothing to draw: the list follows at once
            height = min(height, len(self._upper_lines) + 1)
        self.upper.styles.height = height + alone
        self.upper.styles.display = "block" if height else "none"
        self.list.styles.display = self.tabs.styles.display = "none" if alone else "block"
        self.upper.show(range(len(self._upper_lines)), self._upper_line)

    def _drawn(self, width: int, height: int) -> list[Line]:
        """Curve and facts beside each other, or the facts above the curve."""
        house, view = self.house, self.view
        known = facts(view, house.today(), house.zone)
        hung = view.lot.hang_at
        today = None if hung is None else days_between(hung, utc_text(house.now()))
        if width < BESIDE_FROM:
            few = compact_lines(known, width, max(2, height * 2 // 5))
            return few + lot_curve_lines(view.curve, today, width, height - len(few))
        side = next(cells for least, cells in FACTS_WIDTH if width >= least)
        side = max(side, width - CURVE_WIDTH - 2)
        drawn = lot_curve_lines(view.curve, today, width - side - 2, height)
        told = fact_lines(known, side, height)
        self._facts_above = facts_shown(known, told, side, height)
        blank = filled([], side)
        return [
            (
                *(drawn[y] if y < len(drawn) else filled([], width - side - 2)),
                ("  ", ""),
                *(told[y] if y < len(told) else blank),
            )
            for y in range(max(len(drawn), len(told)))
        ]

    def _upper_line(self, at: object) -> Line:
        return self._upper_lines[cast(int, at)]

    def _fill_list(self) -> None:
        width, house, view = self.app.size.width, self.house, self.view
        tab = TABS[self._tab]
        if tab == "log":
            rows = {(line.kind, line.ref): line for line in view.log}
            self.list.show(
                list(rows),
                lambda key: log_line(rows[cast("tuple[str, int]", key)], house.zone, width),
            )
            return
        if tab == "dose sheet":
            mates = house.read(lambda conn: mates_of(conn, self.lot_id))
            lines = sheet_lines(view, house.zone, width, mates)
        else:
            lines = detail_lines(view, house.today(), house.zone, width, self._facts_above)
        self._below = lines
        self.list.show([(tab, at) for at in range(len(lines))], self._below_line)

    def _below_line(self, key: object) -> Line:
        return self._below[cast("tuple[str, int]", key)[1]]

    def draw(self) -> None:
        """Title, the line of tabs, foot."""
        width = self.app.size.width
        spans = []
        for at, name in enumerate(TABS):
            spans.append(
                (
                    f" {name.upper()} " if at == self._tab else f" {name} ",
                    "title" if at == self._tab else "quiet",
                )
            )
        spans.append(("  ← →", "quiet"))
        if TABS[self._tab] == "dose sheet" and self.view.doses:
            spans.append((f"   {key_of('lot.right')}: tick it, correct it", "quiet"))
        self.tabs.show(filled(spans, width))
        super().draw()

    def title_line(self, width: int) -> Line:
        """Which lot."""
        return title_line(self.view, width)

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """What it needs; of one that ended how it is put right."""
        if self.view.lot.stage in ("closed", "discarded") and not self.view.needs:
            keys = {name: key_of(f"lot.{name}") for name in ("stage", "finish", "history")}
            words = f"Ended by mistake? {keys['stage']} takes it back."
            if self.view.finish is not None:
                words += f" {keys['finish']} corrects its end;"
            first, *more = wrapped(f"{words} {keys['history']} shows every change.", width)
            return ((first, "quiet"),), ((more[0] if more else "", "quiet"),)
        if not self.view.needs:
            words = next_words(self.view, self.house.today(), self.house.zone)
            return ((cut(words, width), "quiet"),), ()
        return needs_lines(self.view, width, key_for)

    def hints(self) -> list[Hint]:
        """The usual keys that can work now; first the one that answers what the lot needs."""
        stage = self.view.lot.stage
        idle: tuple[str, ...] = ("lot.weigh",) if stage in ENDED else ()
        idle += ("lot.feel",) if stage in (*ENDED, *NOT_DRIED) else ()
        usual = [command for command in footer_of(self.NAME) if command.id not in idle]
        way = first_way(self.view.needs)
        if way is not None and way not in usual[:FOOTER_KEYS]:
            usual = [command for command in usual if command.id not in ("lot.finish", way.id)]
            general = ("lot.keys", "lot.leave")
            at = next(n for n, command in enumerate(usual) if command.id not in general)
            usual.insert(at, way)
        return [(KEY_WORDS.get(c.keys[0], c.keys[0]), c.label) for c in usual]

    # ── moving about ──────────────────────────────────────────────────────────────────────

    def do_next_tab(self) -> None:
        """Log, dose sheet, figures."""
        self._turn(1)

    def do_previous_tab(self) -> None:
        """The other way round."""
        self._turn(-1)

    def _turn(self, by: int) -> None:
        self._tab = (self._tab + by) % len(TABS)
        self._fill()

    def do_size(self) -> None:
        """Both, the curve alone, the list alone."""
        self._split = (self._split + 1) % len(SPLITS)
        self._fill()

    def do_base(self) -> None:
        """Switch between hang and green weight."""
        self.house.base = "green" if self.house.base == "hang" else "hang"
        self.changed(set())

    def here(self) -> LogLine:
        """The line of the log under the cursor."""
        key = self.list.cursor_key
        found = [line for line in self.view.log if (line.kind, line.ref) == key]
        if self._tab or not found:
            sheet = key_of("lot.sheet")
            raise Refused(f"Choose a line of the log: ← → lead to it; {sheet} opens the sheet.")
        return found[0]

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
            raise Refused(f"{code} takes no more weigh-ins; {end} corrects its end.")
        from curedash.services.rack import read_rack

        house = self.house
        rows = house.read(lambda conn: read_rack(conn, house.now())).rows
        others = [row.lot for row in rows]
        self.talk(WeighIn(self, self.view.lot, self._weighed, text=text, others=others))

    def _weighed(self, kept: Weighed) -> None:
        self.hush()
        width = self.app.size.width
        self.show_message(
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

    do_contact = _asking(lot_looks.contact)
    do_answer = _asking(lot_looks.answering)
    do_note = _asking(lot_looks.note)

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
            self.show_message(log_words(line, self.house.zone))
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
