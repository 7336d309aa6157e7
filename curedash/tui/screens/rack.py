"""The Rack, the first screen: does anything need me today, and when is each piece ready?"""

from collections.abc import Iterable
from time import monotonic
from typing import cast

from textual.widget import Widget

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.needs.lot_needs import Need, gathered
from curedash.domain.records import LotState, StoredNeed
from curedash.present.rack import (
    heads_line,
    layout_for,
    needs_strip,
    nothing_words,
    row_line,
    title_line,
)
from curedash.present.weighing.weigh_line import saved_words
from curedash.present.words import Line, filled, plain, stage, text_of
from curedash.services.household.undo import redo_last, undo_last
from curedash.services.rack import RackRow, in_rack_order, read_rack, read_row, snoozed
from curedash.services.weighing.weigh import Weighed
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.line_input import starts_weight
from curedash.tui.chassis.list_page import ListPage
from curedash.tui.chassis.page import ONE_PAINT_S
from curedash.tui.chassis.state import House
from curedash.tui.flows.weighing import WeighIn
from curedash.tui.prompts.prompt import Ask
from curedash.tui.widgets.lines import FixedLines, LineList

HELD_S = 1.0  # so soon after it left another page a key does not leave the program
REPEAT_S = 0.25  # a key that is held comes again sooner than this
SETTLE_S = 0.05
REMEMBER_AFTER_S = 2.0
AROUND = 5  # title, heads, foot
MANY_ROWS = 500  # above this the whole Rack is read again only after a pause
SETTLE_MANY_S = 2.0


class Rack(ListPage):
    """Every open lot, one line each."""

    NAME = "rack"

    def __init__(self, house: House) -> None:
        super().__init__(house)
        self._rows: dict[int, RackRow] = {}
        self._order: list[int] = []
        self._needs: list[Need] = []
        self._day = house.today()
        self._find = ""
        self._only: tuple[str, str] | None = None  # batch, place or stage; and which
        self._settling = False
        self._foot_taken = False  # by something typed or said: no needs stand there
        self._fresh = True  # the rows stand in their order
        self._renew = False  # put them in order on coming back
        self._went_back = house.went_back
        self.heads = FixedLines(house.styles, id="heads")
        self._remembered: set[tuple[str, str | None, str]] = set()
        self.list = LineList(house.styles, id="body")
        self.more = FixedLines(house.styles, id="more", lines=0)  # needs below a short Rack
        self._read_all(anew=True)

    def body(self) -> Iterable[Widget]:
        """Heads and rows, and needs where the rows leave lines empty."""
        yield self.heads
        yield self.list
        yield self.more

    # ── reading ───────────────────────────────────────────────────────────────────────────

    def _read_all(self, *, anew: bool) -> None:
        """Read every lot; rows keep their places unless the order is wanted anew."""
        house = self.house
        rack = house.read(lambda conn: read_rack(conn, house.now(), base=house.base))
        self._rows = {row.lot.id: row for row in rack.rows}
        self._needs = gathered(rack.needs, [row.lot for row in rack.rows])
        self._asleep: list[StoredNeed] = []
        if not self._needs:
            self._asleep = house.read(lambda conn: snoozed(conn, house.now()))
        self._day = house.today()
        fresh = [row.lot.id for row in rack.rows]
        if anew:
            self._order = fresh
        else:
            known = set(self._order)
            self._order = [lot_id for lot_id in self._order if lot_id in self._rows]
            self._order += [lot_id for lot_id in fresh if lot_id not in known]
        self._fresh = self._order == fresh

    def changed(self, lots: set[int]) -> None:
        """Repaint the rows of these lots now, and everything else that differs a little later."""
        for lot_id in lots:
            self._read_one(lot_id)
        if not self._settling:
            self._settling = True
            many = len(self._rows) > MANY_ROWS
            self.set_timer(SETTLE_MANY_S if many else SETTLE_S, self._settle)

    def _read_one(self, lot_id: int) -> None:
        house = self.house
        row = house.read(lambda conn: read_row(conn, lot_id, house.now(), base=house.base))
        if row is not None and lot_id in self._rows:
            self._rows[lot_id] = row
            self.list.redraw([lot_id])

    def _settle(self) -> None:
        self._settling = False
        anew = self.house.today() != self._day or self._is_another()
        try:
            self._read_all(anew=anew)
        except CuredashError as trouble:
            self.say(str(trouble), "act")
            return
        self._show_rows()
        self._remember_news()
        if anew:
            self.refresh_windows()

    def _remember_news(self) -> None:
        """Needs that came or went are written down, so that "cleared lately" is complete."""
        found = {(need.cause, need.lot or need.place, need.message) for need in self._needs}
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
        top again.
        """
        another = self._is_another()
        self._read_all(anew=self._renew or another or self.house.today() != self._day)
        self._renew = False
        self._show_rows()
        if another:
            self.refresh_windows()

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def on_mount(self) -> None:
        """Fill the list; the first paint is already right."""
        self._show_rows()
        self.set_timer(REMEMBER_AFTER_S, self._settle_in)

    def _settle_in(self) -> None:
        """Once it stands: write down the needs, look for windows of an earlier day."""
        self._remember_news()
        self.refresh_windows()

    def _show_rows(self) -> None:
        self.list.show([lot_id for lot_id in self._order if self._wanted(lot_id)], self._line)
        self.draw()

    def draw(self) -> None:
        """Title, heads, foot."""
        layout = layout_for(self.app.size.width)
        self.heads.show(((heads_line(layout), "quiet"),))
        self._draw_more()
        super().draw()

    def draw_foot(self) -> None:
        """The needs above say how many more there are while those of the foot give way."""
        super().draw_foot()
        taken = self.talking is not None or bool(self._said)
        if taken != self._foot_taken:
            self._foot_taken = taken
            self._draw_more()

    def _draw_more(self) -> None:
        """Needs in the lines below the rows; their number changes with that of the rows only."""
        width, spare = self.app.size.width, self._spare()
        if self.more.make_room(spare):
            self.app.delay_update(ONE_PAINT_S)
        above = self._strip(width)[:spare] if self._needs else []
        if self._foot_taken and 0 < spare < len(self._needs):
            above = needs_strip(self._needs, width, spare)
        blank: list[Line] = [()] * (spare - len(above))
        self.more.show(*(filled(line, width) for line in (*above, *blank)))

    def _line(self, lot_id: object) -> Line:
        layout = layout_for(self.app.size.width)
        return row_line(self._rows[cast(int, lot_id)], layout, self.house.zone)

    def title_line(self, width: int) -> Line:
        """Counts, base, day."""
        return title_line(
            list(self._rows.values()),
            self._needs,
            base=self.house.base,
            today=self._day,
            width=width,
            filtered=self._filter_words(),
            order_key="" if self._fresh else key_of("rack.order"),
        )

    def idle_lines(self, width: int) -> tuple[Line, Line]:
        """The most urgent needs, or how to begin."""
        if not self._rows:
            key = key_of("rack.new-batch")
            return ((f"No lots yet. Press {key} to salt the first batch.", ""),), ()
        if not self.list.keys:
            return (("No row matches; Esc shows all again.", ""),), ()
        if not self._needs:
            return ((nothing_words(self._asleep, self.house.zone), "quiet"),), ()
        first, second = self._strip(width)[self._spare() :][:2]
        return first, second

    def _spare(self) -> int:
        """Lines a short Rack leaves empty, but for one between; a filter frees none."""
        return max(0, self.app.size.height - AROUND - max(1, len(self._order)) - 1)

    def _strip(self, width: int) -> list[Line]:
        """The needs for the empty lines and the two of the foot below them.

        Those of the foot stay free for what is said, so that both are seen, where the empty lines
        hold every need; else they hold the last ones.
        """
        spare = self._spare()
        if len(self._needs) <= spare:
            lines = needs_strip(self._needs, width, spare)
            told = [line for line in lines if text_of(line).strip()]
            return [*told, *[()] * (spare - len(told)), (), ()]
        return needs_strip(self._needs, width, spare + 2)

    # ── which rows ────────────────────────────────────────────────────────────────────────

    def _wanted(self, lot_id: int) -> bool:
        lot = self._rows[lot_id].lot
        if self._only is not None:
            kind, which = self._only
            own = {"batch": lot.batch, "place": lot.place or "", "stage": lot.stage}
            if own[kind] != which:
                return False
        words = (
            lot.code,
            lot.piece,
            lot.batch,
            lot.batch_name,
            lot.place or "",
            stage(lot.stage),
            lot.style_name,
        )
        return self._find.casefold() in " ".join(words).casefold()

    def _filter_words(self) -> str:
        parts = []
        if self._only is not None:
            kind, which = self._only
            shown = {"batch": f"batch {which}", "stage": stage(which)}.get(kind, which)
            parts.append(plain(shown) or "no place")
        if self._find:
            parts.append(f"“{plain(self._find)}”{self._in_style()}")
        if not parts:
            return ""
        return f"{' + '.join(parts)}: {len(self.list.keys)} of {len(self._rows)}"

    def _in_style(self) -> str:
        """Which style holds the letters, where no row shows any of them."""
        lots = [self._rows[cast(int, key)].lot for key in self.list.keys]
        find, styles = self._find.casefold(), {lot.style_name for lot in lots}
        seen = " ".join(f"{lot.code} {lot.piece} {stage(lot.stage)}" for lot in lots)
        style = styles.pop() if len(styles) == 1 else ""
        if find in style.casefold() and find not in seen.casefold():
            return f" in style {plain(style)}"
        return ""

    def _filter(self, only: tuple[str, str] | None, find: str) -> None:
        self._only, self._find = only, find
        self._show_rows()
        self.draw()

    def _toggle_only(self, kind: str, which: str) -> None:
        self._filter(None if self._only == (kind, which) else (kind, which), self._find)

    def do_only_batch(self) -> None:
        """Only the batch of this row."""
        self._toggle_only("batch", self._here().lot.batch)

    def do_only_place(self) -> None:
        """Only the place of this row."""
        self._toggle_only("place", self._here().lot.place or "")

    def do_only_stage(self) -> None:
        """Only the stage of this row."""
        self._toggle_only("stage", self._here().lot.stage)

    def do_find(self) -> None:
        """Only rows that hold some letters."""

        def live(text: str) -> None:
            self._filter(self._only, text.strip())

        def take(text: str) -> None:
            self._filter(self._only, text)

        self.talk(
            Ask(
                self,
                "find",
                take,
                text=self._find,
                live=live,
                gone=lambda: live(""),
                help="letters of code, piece, batch, place, stage or style",
                does=("keep these rows", "all rows"),
            )
        )

    def do_clear(self) -> None:
        """All rows again."""
        if self._only is not None or self._find:
            self._filter(None, "")

    # ── moving about ──────────────────────────────────────────────────────────────────────

    def do_order(self) -> None:
        """Put the rows in order again."""
        self._order = [row.lot.id for row in in_rack_order(list(self._rows.values()))]
        self._fresh = True
        self._show_rows()
        self.say("Ordered: what needs somebody first, then the soonest ready.", "quiet")

    def do_base(self) -> None:
        """Switch between hang and green weight."""
        self.house.base = "green" if self.house.base == "hang" else "hang"
        self._read_all(anew=False)
        self._show_rows()

    def _here(self) -> RackRow:
        key = self.list.cursor_key
        if key is None:
            raise Refused(f"There is no lot here; {key_of('rack.new-batch')} salts a new batch.")
        return self._rows[cast(int, key)]

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
        others = [row.lot for row in self._rows.values()]
        self.talk(WeighIn(self, self._here().lot, self._weighed, text=text, others=others))

    def take_up(self, lot: LotState, text: str) -> None:
        """Go on with a weight that was half typed."""
        others = [row.lot for row in self._rows.values()]
        self.talk(WeighIn(self, lot, self._weighed, text=text, others=others))

    def _weighed(self, kept: Weighed) -> None:
        self.hush()
        width = self.app.size.width
        self.say(saved_words(kept.lot, kept.preview, width, self.undo_key), "good")

    def do_undo(self) -> None:
        """Take back the last change of this session."""
        again = key_of("rack.redo")
        self.write(
            undo_last, lambda what: self.say(f"Taken back: {what}. {again} puts it back.", "good")
        )

    def do_redo(self) -> None:
        """Do again what was taken back last."""
        back = key_of("rack.undo")
        self.write(
            redo_last, lambda what: self.say(f"Done again: {what}. {back} takes it back.", "good")
        )

    def do_round(self) -> None:
        """Weigh what is due."""
        self._renew = True
        self.show("round", ended=self.say)

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

    def do_new_batch(self) -> None:
        """Salt a new batch."""
        self._renew = True
        self.show("new_batch")

    def do_open(self) -> None:
        """Open this lot."""
        self.show("lot", lot_id=self._here().lot.id)

    def do_sheet(self) -> None:
        """The dose sheets of this lot's batch."""
        lot = self._here().lot
        self.show("dose_sheet", batch_id=lot.batch_id, lot_id=lot.id)

    def do_misdose(self) -> None:
        """What really went into this lot, and common fixes."""
        self.show("misdose", lot_id=self._here().lot.id)

    def do_tags(self) -> None:
        """Tags of this lot, its batch or the rows shown."""
        self._paper("tags")

    def do_record(self) -> None:
        """The record of this lot, its batch or the rows shown."""
        self._paper("record")

    def _paper(self, name: str) -> None:
        from curedash.tui.flows import export_flow
        from curedash.tui.prompts.converse import converse

        shown = [self._rows[cast(int, key)].lot for key in self.list.keys]
        lot = self._here().lot
        converse(self, lambda: getattr(export_flow, name)(self, lot, shown), export_flow.NOTHING)

    def do_turned(self) -> None:
        """It was turned in the cure."""
        self._step("turning")

    def do_ph(self) -> None:
        """Its pH was measured."""
        self._step("measuring_ph")

    def do_swap(self) -> None:
        """Its newest weigh-in was another lot's."""
        self._step("swapping")

    def _step(self, name: str) -> None:
        from curedash.tui.flows import lot_steps
        from curedash.tui.prompts.converse import converse

        lot = self._here().lot
        converse(self, lambda: getattr(lot_steps, name)(self, lot))

    def do_stage(self) -> None:
        """Move this lot on."""
        from curedash.tui.flows.choose_stage import begin

        begin(self, self._here().lot)

    def do_quit(self) -> None:
        """Leave the program, unless the same key has just left another page: it was held."""
        key, at = self.house.left_by
        if key and key == self.key_taken and monotonic() - at < HELD_S:
            again = (
                key,
                monotonic() + REPEAT_S - HELD_S,
            )  # what repeats by itself is not an answer
            self.house.left_by = again
            self.say(f"{key_of('rack.quit')} again leaves curedash.")
            return
        self.app.exit(0)
