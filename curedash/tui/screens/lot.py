"""One lot: curve and facts above, its log, dose sheet or figures below, every action by a key."""

from collections.abc import Iterable
from typing import cast

from textual.geometry import Size
from textual.widget import Widget

from curedash.domain.errors import NotFound
from curedash.domain.records import ENDED
from curedash.present.curing.cure_days import before_curve_lines, softening_words
from curedash.present.drying import lot as lot_page
from curedash.present.drying.curve import lot_curve_lines
from curedash.present.drying.lot import Fact
from curedash.present.signs import key_drawn
from curedash.present.words import Line, cells, cut, filled, wrapped
from curedash.services.household.packs import mates_of
from curedash.services.lot_view import LotView, read_lot
from curedash.tui.chassis.commands import FOOTER_KEYS, footer_of, key_of, key_word
from curedash.tui.chassis.drawn_page import ONE_PAINT_S
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.need_keys import first_way, key_for
from curedash.tui.chassis.state import DashboardState
from curedash.tui.screens.lot_commands import TABS, LotCommands
from curedash.tui.widgets.lines import FixedLines, LineList

SPLITS = ("both", "curve", "list")
AROUND = 4  # title and foot
BESIDE_FROM = 76  # columns from which facts stand beside the curve
FACTS_WIDTH = ((120, 46), (100, 40), (0, 35))
WINDOW_FACTS = 4  # lines that a window takes once it is computed
EVERY = 10**3  # lines, as many as there are
ROOM_FURTHER = 3  # lines below the list that are left blank rather than filled
LEAST_DRAWN = 8  # lines of the curve that facts above it leave where they can
CURVE_WIDTH = 110  # a wider one would push the facts out of sight
NOT_DRIED = ("raw", "in-cure", "fermenting")  # there is no rim to be felt yet


def _side(width: int) -> int:
    """Cells of the facts beside the curve."""
    side = next(cells for least, cells in FACTS_WIDTH if width >= least)
    return max(side, width - CURVE_WIDTH - 2)


class Lot(LotCommands):
    """The page of one lot."""

    NAME = "lot"

    def __init__(self, house: DashboardState, *, lot_id: int, begins: str = "") -> None:
        super().__init__(house, lot_id)
        self._begins = begins  # the method of a command that was chosen before it opened
        self._split = 0
        self._upper_lines: list[Line] = []
        self._upper_height: int | None = None
        self._shared_at: tuple[Size, int] = Size(0, 0), 0
        self._facts_above = 0  # how many facts stand whole beside the curve
        self._below: list[Line] = []
        self.upper = LineList(house.styles, id="upper", cursor=False)
        self.tabs = FixedLines(house.styles, id="tabs")
        self.further = FixedLines(house.styles, id="further", lines=0)
        self.view: LotView = self._read()

    def body(self) -> Iterable[Widget]:
        """Curve and facts, the line between, the list below, the others where they have room."""
        yield from (self.upper, self.tabs, self.list, self.further)

    # ── reading ───────────────────────────────────────────────────────────────────────────

    def _read(self) -> LotView:
        house = self.house
        return house.read(read_lot, self.lot_id, house.now(), base=house.base)

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

    def _begin(self) -> None:
        """Do what it was opened for, as by a tag that was scanned."""
        if self._begins:
            self.guarded(getattr(self, self._begins))

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
        split, known = (
            SPLITS[self._split],
            lot_page.page_facts(self.view, self.house.today(), self.house.zone),
        )
        height = {"both": self._shared(known, width, room), "curve": room - 1, "list": 0}[split]
        alone = split == "curve"
        self._facts_above = 0
        self._upper_lines = self._drawn(known, width, height + alone) if height else []
        if not self.view.curve.points:  # nothing to draw: the list follows at once
            height = min(height, len(self._upper_lines) + 1)
        if self._upper_height not in (None, height + alone):
            self.app.delay_update(ONE_PAINT_S)
        self._upper_height = height + alone
        self.upper.styles.height = height + alone
        self.upper.styles.display = "block" if height else "none"
        self.list.styles.display = self.tabs.styles.display = "none" if alone else "block"
        self.upper.show(range(len(self._upper_lines)), lambda at: self._upper_lines[cast(int, at)])

    def _shared(self, known: list[Fact], width: int, room: int) -> int:
        """Lines above the list: three fifths, and of those the log leaves what the facts want.

        The same until the window has another size: a window that comes later finds its lines.
        """
        usual = room * 3 // 5
        if width < BESIDE_FROM:
            wanted = len(lot_page.compact_lines(known, width, EVERY)) + LEAST_DRAWN
        else:
            wanted = len(lot_page.fact_lines(known, _side(width), EVERY))
        if self.view.lot.stage == "drying" and self.view.lot.forecast is None:
            wanted += WINDOW_FACTS
        height = max(usual, min(wanted, room - 1 - len(self.view.log)))
        size = self.app.size
        if self._shared_at[0] == size and self._shared_at[1] + len(self.view.log) < room:
            height = max(height, self._shared_at[1])
        self._shared_at = size, height
        return height

    def _drawn(self, known: list[Fact], width: int, height: int) -> list[Line]:
        """Curve and facts beside each other, or the facts above the curve."""
        if width < BESIDE_FROM:
            most = max(2, height * 2 // 5, height - LEAST_DRAWN)
            few = lot_page.compact_lines(known, width, most)
            self._facts_above = lot_page.facts_packed(known, width, most)
            return few + self._curve(width, height - len(few))
        side = _side(width)
        drawn = self._curve(width - side - 2, height)
        told = lot_page.fact_lines(known, side, height)
        self._facts_above = lot_page.facts_shown(known, told, side, height)
        blank = filled([], side)
        return [
            (
                *(drawn[y] if y < len(drawn) else filled([], width - side - 2)),
                ("  ", ""),
                *(told[y] if y < len(told) else blank),
            )
            for y in range(max(len(drawn), len(told)))
        ]

    def _curve(self, width: int, height: int) -> list[Line]:
        """The curve, or what comes before it begins."""
        house, view = self.house, self.view
        if view.curve.points:
            soft = softening_words(view, house.today(), house.zone, width)
            return lot_curve_lines(view.curve, house.now(), house.zone, width, height, soft)
        return before_curve_lines(view, house.today(), house.zone, width, height)

    def _fill_list(self) -> None:
        width, house, view = self.app.size.width, self.house, self.view
        tab = TABS[self.tab]
        if tab == "log":
            rows = {(line.kind, line.ref): line for line in view.log}
            self.list.show(
                list(rows),
                lambda key: lot_page.log_line(
                    rows[cast("tuple[str, int]", key)], house.zone, width, house.today()
                ),
            )
        else:
            lines = self._sheet(width) if tab == "dose sheet" else self._figures(width)
            self._below = lines or [filled([(lot_page.ALL_ABOVE, "quiet")], width)]
            self.list.show([(tab, at) for at in range(len(self._below))], self._below_line)
        self._fill_further(width)

    def _sheet(self, width: int) -> list[Line]:
        mates = self.house.read(mates_of, self.lot_id)
        return lot_page.sheet_lines(self.view, self.house.zone, width, mates)

    def _figures(self, width: int) -> list[Line]:
        house = self.house
        return lot_page.detail_lines(self.view, house.today(), house.zone, width, self._facts_above)

    def _fill_further(self, width: int) -> None:
        """Below the log, what else is known: each of the other lists that has room as a whole."""
        used = len(self.list.keys) + (self._upper_height or 0) + 1
        room = self.app.size.height - AROUND - used if SPLITS[self._split] != "curve" else 0
        lines: list[Line] = []
        for name, more in self._others(width) if room > ROOM_FURTHER else ():
            if more and len(lines) + 2 + len(more) <= room:
                lines += [(), filled([(f" {name.upper()}", "title")], width), *more]
        self.list.styles.height = len(self.list.keys) if lines else "1fr"
        self.further.display = bool(lines)
        self.further.make_room(room)
        self.further.styles.height = "1fr"
        self.further.show(*lines, *[()] * (self.further.room - len(lines)))

    def _others(self, width: int) -> list[tuple[str, list[Line]]]:
        """What is drawn below the log: the sheet without the figures above it, the figures."""
        if TABS[self.tab] != "log":
            return []
        mates = self.house.read(mates_of, self.lot_id)
        ticked = lot_page.ticked_lines(self.view, self.house.zone, width, mates)
        return [("dose sheet", ticked), ("figures", self._figures(width))]

    def _below_line(self, key: object) -> Line:
        return self._below[cast("tuple[str, int]", key)[1]]

    def draw(self) -> None:
        """Title, the line of tabs, foot."""
        width = self.app.size.width
        spans = []
        for at, name in enumerate(TABS):
            spans.append(
                (
                    f" {name.upper()} " if at == self.tab else f" {name} ",
                    "title" if at == self.tab else "quiet",
                )
            )
        spans.append((key_drawn("  ← →"), "quiet"))
        if TABS[self.tab] == "dose sheet" and self.view.doses:
            hint = f"   {key_of('lot.right')}: tick it, correct it"
            fits = sum(cells(text) for text, _ in spans) + cells(hint) <= width
            spans += [(hint, "quiet")] if fits else []
        self.tabs.show(filled(spans, width))
        super().draw()

    def title_line(self, width: int) -> Line:
        """Which lot."""
        return lot_page.title_line(self.view, width)

    def idle_lines(self, width: int) -> tuple[Line, ...]:
        """What it needs; of one that ended how it is corrected."""
        if self.view.lot.stage in ENDED and not self.view.needs:
            keys = {name: key_of(f"lot.{name}") for name in ("stage", "finish", "history")}
            words = f"Closed by mistake? {keys['stage']} undoes it."
            if self.view.finish is not None:
                words = f"{words} {keys['finish']} corrects how it was finished;"
            first, *more = wrapped(f"{words} {keys['history']} shows every change.", width)
            return ((first, "quiet"),), ((more[0] if more else "", "quiet"),)
        if not self.view.needs:
            keys = {name: key_of(f"lot.{name}") for name in ("hold", "pack", "finish")}
            words = lot_page.next_words(self.view, self.house.today(), self.house.zone, keys)
            return ((cut(words, width), "quiet"),), ()
        return lot_page.needs_lines(self.view, width, key_for)

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
        return [(key_word(c.keys[0]), c.label) for c in usual]

    # ── moving about ──────────────────────────────────────────────────────────────────────

    def do_next_tab(self) -> None:
        """Log, dose sheet, figures."""
        self._turn(1)

    def do_previous_tab(self) -> None:
        """The other way round."""
        self._turn(-1)

    def _turn(self, by: int) -> None:
        self.tab = (self.tab + by) % len(TABS)
        self._fill()

    def do_view(self) -> None:
        """Both, the curve alone, the list alone."""
        self._split = (self._split + 1) % len(SPLITS)
        self._fill()

    def do_base(self) -> None:
        """Switch between hang and green weight."""
        self.house.base = "green" if self.house.base == "hang" else "hang"
        self.changed(set())
