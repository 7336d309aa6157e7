"""The Rack, the first screen: does anything need me today, and when is each piece ready?"""

from collections.abc import Iterable
from typing import cast

from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from curedash.domain.errors import CuredashError
from curedash.present.rack.around import (
    MARKED,
    Asked,
    legend_lines,
    marked_line,
    needs_strip,
    nothing_words,
    title_line,
)
from curedash.present.rack.columns import span_of
from curedash.present.rack.layout import Axis, Layout, axis_of, heads_line, layout_for, pane_columns
from curedash.present.rack.row import Around, row_line
from curedash.present.words import Line, filled, text_of
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.drawn_page import FOOT_LINES, ONE_PAINT_S
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.need_keys import action_of, key_shown, rack_key, steps_of
from curedash.tui.chassis.state import DashboardState
from curedash.tui.prompts.prompt import Ask
from curedash.tui.screens.rack_commands import RackCommands
from curedash.tui.widgets.lines import FixedLines

REFRESH_AFTER_S = 0.05
REMEMBER_AFTER_S = 2.0
AROUND = 5  # title, heads, foot
AT_END = 5  # cells of a line that the words of a need leave
MOVES_AFTER = 6  # keys at the foot before the one that moves the pointer
EMPTY = 3  # lines of a Rack without lots: how to begin
LEAST_LEGEND = 3  # lines below the needs; with fewer no legend fits
MANY_ROWS = 500  # above this the whole Rack is read again only after a pause
REFRESH_MANY_AFTER_S = 2.0


class Rack(RackCommands):
    """Every open lot, one line each."""

    NAME = "rack"
    HEADS = 1

    def __init__(self, house: DashboardState) -> None:
        super().__init__(house)
        self._read_waits = False
        self._foot_taken = False  # by something typed or said: no needs stand there
        self._foot_room = FOOT_LINES + 1  # of a long message more
        self._went_back = house.went_back
        self._remembered: set[tuple[str, str | None, str]] = set()
        self._axis: Axis | None = None
        self._layout: Layout = layout_for(0)
        self.list.moved = self._marked
        self.more = FixedLines(house.styles, id="more", lines=0)  # needs below a short Rack
        self.pane = FixedLines(house.styles, id="pane", lines=0)

    def body(self) -> Iterable[Widget]:
        """Heads and rows, needs where the rows leave lines empty, and the marked lot beside."""
        yield self.heads
        yield Horizontal(Vertical(self.list, self.more), self.pane)

    # ── reading ───────────────────────────────────────────────────────────────────────────

    def changed(self, lots: set[int]) -> None:
        """Repaint the rows of these lots now, and everything else that differs a little later."""
        for lot_id in lots:
            if self.rows.read_one(lot_id):
                self.list.redraw([lot_id])
        if not self._read_waits:
            self._read_waits = True
            many = len(self.rows) > MANY_ROWS
            self.set_timer(REFRESH_MANY_AFTER_S if many else REFRESH_AFTER_S, self._read_anew)

    def _read_anew(self) -> None:
        self._read_waits = False
        anew = self.house.today() != self.rows.day or self._is_another()
        try:
            self.rows.read(anew=anew)
        except CuredashError as trouble:
            self.show_message(str(trouble), "act")
            return
        self._show_rows()
        self._to_added_lot()
        self._remember_news()
        if anew:
            self.refresh_windows()

    def _remember_news(self) -> None:
        """Needs that came or went are written down, so that "cleared lately" is complete."""
        found = {(need.cause, need.lot or need.place, need.message) for need in self.rows.needs}
        if found != self._remembered:
            self._remembered = found
            self.refresh_later(())

    def _is_another(self) -> bool:
        """Whether a copy of the file was brought back since the last look."""
        before, self._went_back = self._went_back, self.house.went_back
        return before != self._went_back

    def minute_passed(self) -> None:
        """Days and needs move on by themselves."""
        self.changed(set())

    def shown_again(self) -> None:
        """Coming back: after a look at one lot the next one is still the row below.

        A round, a new batch, a copy brought back or another day puts what needs somebody at the
        top again. The cursor is on the first lot of a batch that was saved meanwhile.
        """
        another = self._is_another()
        self.rows.read(anew=self.renew or another or self.house.today() != self.rows.day)
        self.renew = False
        self._show_rows()
        self._to_added_lot()
        if another:
            self.refresh_windows()

    def _to_added_lot(self) -> None:
        """The cursor to the first lot of a batch just saved, once its row is there."""
        added = self.house.added_lot
        if added is not None and added in self.list.keys:
            self.house.added_lot = None
            self.list.move_to(added)
            self.draw()

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def on_mount(self) -> None:
        """Fill the list; the first paint is already right."""
        self._show_rows()
        self.set_timer(REMEMBER_AFTER_S, self._after_first_paint)

    def _after_first_paint(self) -> None:
        """Once it stands: write down the needs, look for windows of an earlier day."""
        self._remember_news()
        self.refresh_windows()

    def _show_rows(self) -> None:
        self._lay_out()
        self.list.show(self.rows.wanted(), self._line)
        self.draw()

    def _lay_out(self) -> None:
        """The columns for this width, and the axis that the windows shown share."""
        before, layout = self._layout, self._wanted_layout()
        windows = []
        if layout.axis:
            spans = [span_of(row, self.house.zone) for row in self.rows.every]
            windows = [span for span in spans if span is not None]
        axis = axis_of(windows, self.rows.day, layout.axis - 1)
        self._layout = layout
        if axis != self._axis or layout != before:
            self._axis = axis
            self.list.redraw_all()

    def _wanted_layout(self) -> Layout:
        return layout_for(self.app.size.width, self.rows.code_cells)

    def draw(self) -> None:
        """Title, heads, pane, foot."""
        if self._layout != self._wanted_layout():
            self._lay_out()
        order_key = "" if self.rows.fresh else key_of("rack.order")
        self.heads.show(((heads_line(self._layout, self._axis, order_key), "quiet"),))
        self._draw_more()
        self._draw_pane()
        super().draw()

    def draw_foot(self) -> None:
        """The needs above say how many more there are while those of the foot give way."""
        super().draw_foot()
        taken = self.talking is not None or bool(self._said)
        if (taken, self.foot.room) != (self._foot_taken, self._foot_room):
            self._foot_taken, self._foot_room = taken, self.foot.room
            self._draw_more()

    def _draw_more(self) -> None:
        """Needs in the lines below the rows and above a message."""
        grown = self._foot_room - FOOT_LINES - 1  # takes empty lines before it takes rows
        width, spare = self._left_columns(), max(0, self._spare() - grown)
        if self.more.make_room(spare):
            self.app.delay_update(ONE_PAINT_S)
        above = self._strip(width)[:spare] if self.rows.needs else []
        if self._foot_taken and 0 < spare < len(self.rows.needs):
            above = self._needs_strip(width, spare)
        legend = self._legend(width, spare - len(self.rows.needs))
        if legend:
            above = [*above[: len(self.rows.needs)], *legend]
        blank: list[Line] = [()] * (spare - len(above))
        self.more.show(*(filled(line, width) for line in (*above, *blank)))

    def _legend(self, width: int, lines: int) -> list[Line]:
        """What the signs mean, where all of it has room below the needs."""
        if lines < LEAST_LEGEND or not self.rows.needs:
            return []
        drawn = [heads_line(self._layout), *(text_of(self._line(key)) for key in self.list.keys)]
        shown = legend_lines("\n".join(drawn), width, lines - 1)
        return [(), *shown] if shown else []

    def _draw_pane(self) -> None:
        """The marked lot beside the list, where there is room for it."""
        width = pane_columns(self.app.size.width)
        height = max(0, self.app.size.height - AROUND) if width else 0
        self.pane.display = bool(width)
        self.pane.styles.width = width
        self.pane.make_room(height)
        key = self.list.cursor_key
        if not height or key is None:
            self.pane.show(*[filled((), width)] * height)
            return
        from curedash.present.rack.pane import pane_lines

        row = self.rows.row(cast(int, key))
        self.pane.show(
            *pane_lines(row, steps_of(row), width, height, self.rows.day, self.house.zone)
        )

    def _marked(self) -> None:
        """The cursor is on another row: its whole name and next action follow."""
        self._draw_pane()

    def _line(self, lot_id: object) -> Line:
        row = self.rows.row(cast(int, lot_id))
        action = action_of(row.needs)
        around = Around(self.house.zone, self._axis, action, self.rows.day)
        return row_line(row, self._layout, around)

    def _left_columns(self) -> int:
        """Cells that the pane leaves."""
        return self.app.size.width - pane_columns(self.app.size.width)

    def hints(self) -> list[Hint]:
        """After the usual keys that an arrow moves the pointer."""
        usual = super().hints()
        return [*usual[:MOVES_AFTER], ("↑↓", f"move {MARKED}"), *usual[MOVES_AFTER:]]

    def title_line(self, width: int) -> Line:
        """Counts, base, day."""
        return title_line(
            self.rows.every,
            self.rows.needs,
            base=self.house.base,
            today=self.rows.day,
            width=width,
            filtered=self.rows.filter_words(self.list.keys),
            places=self._needs_in_lines(width)[1] > 0,
        )

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """The marked lot with its next action and the needs that are left, or how to begin."""
        if not len(self.rows):
            key = key_of("rack.new")
            return ((f"No lots yet. Press {key} to salt the first batch.", ""),), ()
        if not self.list.keys:
            return (("No row matches; Esc shows all again.", ""),), ()
        row = self.rows.row(cast(int, self.list.cursor_key))
        key = key_shown(rack_key(row.needs[0])) if row.needs else ""
        lines = self.rows.in_lines(self._spare() + 1)[: self._spare() + 1]
        seen = any(need.lot_id == row.lot.id for told in lines for need in told)
        if pane_columns(width):
            marked: Line = ()  # all of it is in the pane
        else:
            marked = marked_line(row, key, width, weigh_key=key_of("rack.weigh"), why=not seen)
        if not self.rows.needs:
            return ((nothing_words(self.rows.asleep, self.house.zone), "quiet"),), marked
        return self._strip(width)[self._spare()], marked

    def _spare(self) -> int:
        """Lines below the rows for needs: one is left blank between, unless it has a need too.

        A filter frees none.
        """
        free = self.app.size.height - AROUND - (len(self.rows) or EMPTY)
        return max(0, free if len(self.rows.needs) > free else free - 1)

    def _strip(self, width: int) -> list[Line]:
        """The needs for the empty lines and the one of the foot below them.

        That of the foot stays free for what is said, so that both are seen, where the empty lines
        hold every need; else it holds the last ones.
        """
        spare = self._spare()
        if len(self.rows.needs) <= spare:
            lines = self._needs_strip(width, spare)
            told = [line for line in lines if text_of(line).strip()]
            return [*told, *[()] * (spare - len(told)), ()]
        return self._needs_strip(width, spare + 1)

    def _needs_in_lines(self, width: int, lines: int | None = None) -> tuple[list[Asked], int]:
        """The needs in the lines there are for them, and whether some have none."""
        lines = self._spare() + 1 if lines is None else lines
        return self.rows.asked_lines(lines, self._layout.far, width - AT_END)

    def _needs_strip(self, width: int, lines: int) -> list[Line]:
        key = key_of("rack.needs")
        shown, missing = self._needs_in_lines(width, lines)
        rest = len(self.rows.needs) - len(shown) if missing else 0
        return needs_strip(shown, width, lines, rest=rest, more_key=key)

    # ── which rows ────────────────────────────────────────────────────────────────────────

    def _filter(self, find: str | None = None) -> None:
        if find is not None:
            self.rows.find = find
        self._show_rows()

    def do_find(self) -> None:
        """Only rows that hold some letters."""
        self.talk(
            Ask(
                self,
                "find",
                self._filter,
                text=self.rows.find,
                live=lambda text: self._filter(text.strip()),
                gone=lambda: self._filter(""),
                help="letters of code, meat, batch, place, stage or style",
                does=("keep these rows", "all rows"),
            )
        )

    def do_clear(self) -> None:
        """All rows again."""
        if self.rows.only is not None or self.rows.find:
            self.rows.only = None
            self._filter("")

    def do_order(self) -> None:
        """Put the rows in order again."""
        self.rows.put_in_order()
        self._show_rows()
        self.show_message("Sorted again: urgent first, then the soonest ready.", "quiet")

    def do_base(self) -> None:
        """Switch between hang and green weight."""
        self.house.base = "green" if self.house.base == "hang" else "hang"
        self.rows.read(anew=False)
        self._show_rows()
