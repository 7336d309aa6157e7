"""What really went in: mg/kg and salt that are in now, what is short or over, what people do."""

from collections.abc import Iterable
from typing import cast

from textual.widget import Widget

from curedash.domain.dosing import MisDose
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.records import LotState
from curedash.present.dosing import misdose_form as bench
from curedash.present.dosing.misdose_form import BenchRead
from curedash.present.weighing.green import green_phrase
from curedash.present.words import Line, cut, plain, wrapped
from curedash.services.dosing.batch_sheet import sheet_of_lot
from curedash.services.dosing.jars import shelf
from curedash.services.dosing.misdose import KeptMisDose, bench_of, keep_misdose
from curedash.services.drying.observe import decide
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.form import Form
from curedash.tui.chassis.form_page import FormPage
from curedash.tui.chassis.state import DashboardState
from curedash.tui.prompts.as_shown import write_as_shown
from curedash.tui.widgets.lines import LineList


class MisDoseBench(FormPage):
    """The bench of one lot; it gives numbers and choices, no verdict."""

    NAME = "misdose"
    BUTTONS = (("Record it F10", "Record F10", "do_save"), ("Leave Esc", "Leave Esc", "do_leave"))

    def __init__(self, house: DashboardState, *, lot_id: int) -> None:
        super().__init__(house)
        self._sheet = house.read(sheet_of_lot, lot_id)
        self._jars = house.read(shelf)
        if self._sheet.dose is None:
            raise Refused(f"{self._sheet.lot.code} has no dose sheet; write a note instead.")
        self._lines = {str(line.id): line for line in self._sheet.lines}
        self._read: BenchRead | None = None
        self._found: MisDose | str = ""  # what the bench says, or why it cannot
        self._bench: list[Line] = []
        self._words = ""
        self.form = Form(
            bench.kind,
            lambda field_id: bench.options(field_id, self._jars),
            lambda field_id: self.form.touched.get(field_id, ""),
        )
        self.list = LineList(house.styles, id="fields")
        self.bench = LineList(house.styles, id="body", cursor=False)
        self.compute()

    def body(self) -> Iterable[Widget]:
        """Fields, bench, buttons."""
        self.list.styles.height = len(self._lines) + 3
        self.list.styles.max_height = "50%"
        yield self.list
        yield self.bench
        yield self.buttons

    def compute(self) -> None:
        """Read what was typed and compare it with the plan."""
        self.form.lay_out(bench.rows(self._sheet.lines))
        read = self._read = bench.read_bench(self.form.touched, self._sheet.lines, self._jars)
        lot = self._sheet.lot
        try:
            self._found, _dose = self.house.read(bench_of, lot, read.went_in, self.house.now())
        except CuredashError as refusal:
            self._found = str(refusal)

    def show_form(self) -> None:
        """Fields, then the bench, broken to the width there is."""
        found, width = self._found, self.app.size.width
        if isinstance(found, str):
            self._bench = [((line, "act"),) for line in wrapped(found, width, 3)]
        else:
            self._bench = bench.bench_text(found, width)
        self.list.show([row[0] for row in self.form.rows], self._field)
        self.list.move_to(self.form.at)
        self.bench.show(range(len(self._bench)), lambda at: self._bench[cast(int, at)])

    def _field(self, key: object) -> Line:
        field_id = str(key)
        focused = field_id == self.form.at and self.button is None
        shown = self.form.typed.shown if focused else self.form.touched.get(field_id, "")
        return bench.bench_field(
            field_id,
            plain(shown),
            self._lines.get(field_id),
            self._read,
            self.app.size.width,
            focused=focused,
            tone=self.form.typed.tone,
        )

    def title_line(self, width: int) -> Line:
        """Which lot."""
        lot = self._sheet.lot
        words = f"{lot.code} {plain(lot.piece)}".strip() + f", {green_phrase(lot)}"
        return (("WHAT WENT IN  ", "title"), (cut(words, width - 14), ""))

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What the field wants, or what cannot be read."""
        read = cast(BenchRead, self._read)
        if self.button is None and self.form.at in read.troubles:
            lines = [*wrapped(read.troubles[self.form.at], width), ""]
            return ((lines[0], "act"),), ((lines[1], "act"),)
        if self.button is not None:
            return (("Enter does it.", "quiet"),), ()
        line = self._lines.get(self.form.at) if width < bench.NARROW else None
        words = bench.help_text(self.form.at, line)
        return tuple(((each, "quiet"),) for each in wrapped(words, width))

    def hints(self) -> list[Hint]:
        """What the keys do here."""
        more: list[Hint] = [("PgDn", "more")] if self.bench.below else []
        return [("F10", "record it"), ("Esc", "leave"), *more, ("Tab ↑↓", "fields"), ("F1", "keys")]

    def changed(self, lots: set[int]) -> None:
        """Somebody ticked something: the bench follows."""
        if self._sheet.lot.id in lots:
            self._sheet = self.house.read(sheet_of_lot, self._sheet.lot.id)
            self._lines = {str(line.id): line for line in self._sheet.lines}
            self.compute()
            self.draw()

    def shown_again(self) -> None:
        """Back from the keys: what was typed stands."""

    def do_bench_down(self) -> None:
        """Scroll down."""
        self.bench.page(1)

    def do_bench_up(self) -> None:
        """Scroll up."""
        self.bench.page(-1)

    def do_save(self) -> None:
        """Keep what went in with its lot."""
        read = cast(BenchRead, self._read)
        if read.troubles:
            raise Refused(next(iter(read.troubles.values())))
        lot_id, now = self._sheet.lot.id, self.house.now()
        if read.decides:
            write_as_shown(
                self, lambda conn, by: decide(conn, by, lot_id, read.note, now), self._kept
            )
            return
        if read.says_nothing:
            raise Refused(
                "Say first what went in: grams of an ingredient, another salt, a leak; or what you"
                " decide."
            )
        write_as_shown(
            self,
            lambda conn, by: keep_misdose(
                conn, by, lot_id, read.went_in, now, note=read.note or None
            ),
            self._kept,
        )

    def _kept(self, _kept: KeptMisDose | LotState) -> None:
        self.leave()
