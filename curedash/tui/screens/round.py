"""The Round: every lot that is due, one weight after another, in hanging order."""

from collections.abc import Callable, Iterable
from typing import ClassVar, cast

from textual.widget import Widget

from curedash.domain.needs.lot_needs import days_to_weigh_in, gathered
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.present.display_units import in_pounds
from curedash.present.signs import key_drawn
from curedash.present.weighing.round import (
    WITH_MEAT,
    ended_lines,
    ended_words,
    round_heads,
    round_line,
)
from curedash.present.weighing.weigh_line import net_words
from curedash.present.words import Line, count, filled
from curedash.services.household.household import need_rules
from curedash.services.household.undo import undo_last
from curedash.services.rack import read_rack, read_row
from curedash.services.weighing.weigh import Preview, Weighed, hint
from curedash.tui.chassis.commands import by_key, key_of
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.state import DashboardState
from curedash.tui.flows.weigh_in_line import TARE_LABELS
from curedash.tui.flows.weighing import WeighIn
from curedash.tui.prompts.prompt import Ask, PagePrompt
from curedash.tui.widgets.lines import FixedLines, LineList


class RoundWeighIn(WeighIn):
    """The weigh-in line of a round: its letters are the round's commands."""

    def empty_hints(self) -> list[Hint]:
        """The round's own keys."""
        keys = [
            (key, self.tare_label if label in TARE_LABELS else label)
            for key, label in self.page.hints()
        ]
        return [("Enter", "save"), *keys]

    def empty_key(self, key: str) -> bool:  # noqa: ARG002
        """Letters on the empty line belong to the round."""
        return False

    def leave(self) -> None:
        """Esc on a typed value empties the line; on an empty one it ends the round."""
        if self.typed.text:
            self.typed.clear()
        else:
            cast(Round, self.page).do_leave()


class Ended(PagePrompt):
    """The round is over: it is looked at until a key takes one back to where it began.

    Digits and other letters do nothing: somebody may be typing the next weight.
    """

    page: "Round"
    gives_way = True
    SCROLL: ClassVar[dict[str, int]] = {"up": -1, "k": -1, "down": 1, "j": 1}

    def lines(self, width: int) -> tuple[Line, ...]:  # noqa: ARG002
        """That it is over, and whether there is more below."""
        seen = self.page.any_weighed
        words = f"The round is over; {'what was weighed is saved' if seen else NOTHING_WEIGHED}."
        more = len(self.page.list.keys) > self.page.list.size.height
        return ((words, "good"),), (((key_drawn("↓ for the rest") if more else ""), "quiet"),)

    def hints(self) -> list[Hint]:
        """Back to the Rack, or the last weight back."""
        back = [(key_of("round.undo"), "undo the last one")] if self.page.any_weighed else []
        return [("Enter", "to the Rack"), *back]

    def key(self, key: str, char: str | None) -> bool:  # noqa: ARG002
        """Ways out, up and down; the round's own keys for help and for going back."""
        command = by_key(Round.NAME).get(key)
        if key in ("enter", "space") or (command is not None and command.id == "round.leave"):
            self.page.do_leave()
        elif key in self.SCROLL:
            self.page.list.move(self.SCROLL[key])
        elif command is not None and command.id not in NOT_AFTER:
            return False
        return True


NOTHING_WEIGHED = "nothing was weighed"
NOT_AFTER = (
    "round.later",
    "round.note",
    "round.tare",
    "round.round",
    "round.up",
    "round.down",
)  # need a lot to be weighed


class RoundLines(Page):
    """The lots of a round: which, and how far each is."""

    NAME = "round"

    def __init__(self, house: DashboardState, *, ended: Callable[[str, str], None]) -> None:
        super().__init__(house)
        self._ended = ended
        self._lots: list[LotState] = []
        self._others: list[LotState] = []
        self._due: set[int] = set()  # ids of what was due, weighed meanwhile or not
        self._nothing_due = False
        self._takes_all = False  # everything that hangs, not only what is due
        self._at = -1
        self._seen: dict[int, Preview] = {}
        self._before: dict[int, LotState] = {}  # as they were before they were weighed here
        self._was: dict[int, tuple[int | None, Preview | None]] = {}  # the other lot of a swap
        self._left_out: set[int] = set()
        self._done: list[int] = []  # ids of the lots in the order they were weighed or left out
        self._over = False  # every lot was dealt with
        self.heads = FixedLines(house.styles, id="heads")
        self.list = LineList(house.styles, id="body")
        self._read()

    @property
    def any_weighed(self) -> bool:
        """Whether anything was weighed in this round."""
        return bool(self._seen)

    def _read(self) -> None:
        """What is due in hanging order; everything that hangs if nothing is due."""
        house, now = self.house, self.house.now()
        rack = house.read(read_rack, now)
        rules = house.read(need_rules)
        self._others = [row.lot for row in rack.rows]
        drying = [lot for lot in self._others if lot.stage == "drying"]
        drying.sort(key=lambda lot: (lot.position, lot.id))
        due = [
            lot
            for lot in drying
            if lot.id in self._due
            or ((days := days_to_weigh_in(lot, now, house.zone, rules)) is not None and days <= 0)
        ]
        self._due = {lot.id for lot in due}
        self._nothing_due = not due
        self._lots = drying if self._takes_all or not due else due

    def body(self) -> Iterable[Widget]:
        """The heads of the columns and the lots of this round."""
        yield self.heads
        yield self.list

    # ── drawing ───────────────────────────────────────────────────────────────────────────

    def title_line(self, width: int) -> Line:
        """How far, and what the weights are."""
        which = "nothing was due: all that hangs" if self._nothing_due else "what is due"
        if self._takes_all and not self._nothing_due:
            which = "all that hangs"
        where = f"{self._at + 1}/{len(self._lots)}"
        if self._over:
            which, where = "what was weighed, what is next", "over"
        scale = not self._over and width >= WITH_MEAT and not in_pounds()
        said = " · ".join([which, "g on the scale"] if scale else [which])
        return (("ROUND   ", "title"), (where, "strong"), (f"   {said}", "quiet"))

    def draw(self) -> None:
        """A new width draws every line again."""
        super().draw()
        width = self.app.size.width
        self.heads.show(filled([("" if self._over else round_heads(width), "quiet")], width))
        if self._over:
            self._show_ended()
        else:
            self.list.redraw_all()

    def _show_lots(self) -> None:
        self.list.with_cursor(True)
        self.list.show(range(len(self._lots)), self._line)

    def _show_ended(self) -> None:
        """What was weighed, what was left out, what needs somebody next."""
        house = self.house
        rack = house.read(read_rack, house.now())
        needs = gathered(rack.needs, [row.lot for row in rack.rows])
        lines = ended_lines(len(self._seen), self._not_weighed(), needs, self.app.size.width)
        lines += [(), (("  Weighed", "title"),)] if self._seen else []
        lines += [self._line(at) for at, lot in enumerate(self._lots) if lot.id in self._seen]
        self.list.with_cursor(False)
        self.list.show([("end", at) for at in range(len(lines))], lambda key: lines[_at(key)])
        self.list.redraw_all()

    def changed(self, lots: set[int]) -> None:  # noqa: ARG002
        """What needs somebody may have changed."""
        if self._over:
            self._show_ended()

    def _line(self, at: object) -> Line:
        index = cast(int, at)
        lot = self._lots[index]
        state = ""
        if lot.id in self._seen:
            state = "weighed"
        elif lot.id in self._left_out:
            state = "left out"
        elif index == self._at:
            state = "next"
        seen = self._seen.get(lot.id)
        known = hint(lot, self.house.now(), self.house.zone)
        return round_line(lot, known, state, seen, self.app.size.width)

    def _where(self, lot: LotState) -> int:
        """The place of a lot in this round; one that was not due comes last."""
        known = [own.id for own in self._lots]
        if lot.id in known:
            return known.index(lot.id)
        self._lots.append(next((own for own in self._others if own.id == lot.id), lot))
        return len(known)

    def _of_id(self, lot_id: int) -> LotState:
        return next(lot for lot in (*self._lots, *self._others) if lot.id == lot_id)

    def _not_weighed(self) -> list[LotState]:
        return [lot for lot in self._lots if lot.id not in self._seen]


class Round(RoundLines):
    """Weigh what is due, or all that hangs; see how far, end with what was left out."""

    def on_mount(self) -> None:
        """Begin with the first."""
        if self._lots:
            self._go_to(0)
        else:
            self._leave(
                f"Nothing hangs yet; {key_of('rack.stage')} on a lot moves it on,"
                f" {key_of('rack.new')} salts a batch."
            )

    # ── going on ──────────────────────────────────────────────────────────────────────────

    def _go_to(self, at: int) -> None:
        """Read this lot again (somebody may have weighed it) and open its line."""
        if self._over or not self.list.keys:
            self._over = False
            self._show_lots()
            self.draw()
        before, self._at = self._at, at
        house, lot_id = self.house, self._lots[at].id
        row = house.read(read_row, lot_id, house.now())
        if row is not None:
            self._lots[at] = self._as_before(row.lot)
        self.list.redraw([before, at])
        self.list.move_to(at)
        self._open_line(None)
        self.draw_heading()

    def _as_before(self, lot: LotState) -> LotState:
        """A lot whose weight was taken back has its window again at once.

        That of the weight taken back is still in the file until a new one is computed.
        """
        before = self._before.get(lot.id)
        if before is None or before.last_weigh_in_id != lot.last_weigh_in_id:
            return lot
        return replace(lot, forecast=before.forecast)

    def _open_line(self, note: str | None) -> None:
        self.talk(
            RoundWeighIn(
                self,
                self._lots[self._at],
                self._weighed,
                others=self._others,
                note=note,
                together=set(self._seen),
            )
        )

    def _next(self) -> None:
        """The next lot nobody has dealt with, or the end."""
        open_ones = [
            at
            for at, lot in enumerate(self._lots)
            if lot.id not in self._seen and lot.id not in self._left_out
        ]
        later = [at for at in open_ones if at > self._at]
        if open_ones:
            self._go_to((later or open_ones)[0])
        else:
            self._end()

    def _weighed(self, kept: Weighed) -> None:
        """On to the next; a weight that was another lot's leaves this one on the scale."""
        at = self._where(kept.lot)
        self._before.setdefault(kept.lot.id, self._lots[at])
        self._seen[kept.lot.id] = kept.preview
        if kept.swapped is not None:
            self._swapped(kept.swapped, kept.lot.id)
        self._others = [kept.lot if own.id == kept.lot.id else own for own in self._others]
        self._left_out.discard(kept.lot.id)
        self._done.append(kept.lot.id)
        if at == self._at:
            self._next()
            if kept.swapped is not None:
                self.list.redraw_all()
            return
        self._show_lots()
        self.list.redraw_all()
        self._go_to(self._at)
        self.show_message(
            f"Saved for {kept.lot.code}; {self._lots[self._at].code} is still to weigh.", "good"
        )

    def _swapped(self, other: Weighed, with_id: int) -> None:
        """The other lot of a swap has a new weight too; going back gives it the old one."""
        self._was[with_id] = (other.lot.id, self._seen.get(other.lot.id))
        if other.lot.id in self._seen:
            self._seen[other.lot.id] = other.preview
        self._others = [other.lot if own.id == other.lot.id else own for own in self._others]

    def _end(self) -> None:
        """Everything was dealt with: that is looked at before the Rack comes back."""
        self._over = True
        self._show_ended()
        self.talk(Ended(self))
        self.draw()

    def _leave(self, words: str | None = None) -> None:
        left_out = [lot.code for lot in self._not_weighed()]
        said = words or ended_words(len(self._seen), left_out)
        self.hush()
        self.leave()
        self._ended(said, "today" if left_out else "good")

    def weigh_scanned(self, lot: LotState) -> None:
        """To this lot of the round; one that does not hang has its own page."""
        if lot.stage == "drying":
            self._go_to(self._where(lot))
            self._show_lots()
            self.list.move_to(self._at)
        else:
            super().weigh_scanned(lot)

    # ── commands ──────────────────────────────────────────────────────────────────────────

    def do_leave(self) -> None:
        """Leave; what was saved stays."""
        self._leave()

    def do_round(self) -> None:
        """Everything that hangs, or what is due again; the lot on the scale stays."""
        here = self._lots[self._at]
        stay = [*(self._of_id(lot_id) for lot_id in self._done), here]
        self._takes_all = not self._takes_all
        self._read()
        for lot in stay:
            self._where(lot)
        self._lots.sort(key=lambda lot: (lot.position, lot.id))
        at = self._where(here)
        if here.id in self._seen:
            at = next((n for n, lot in enumerate(self._lots) if lot.id not in self._seen), at)
        self._show_lots()
        self.list.redraw_all()
        self._go_to(at)

    def do_up(self) -> None:
        """Back to the lot above, weighed or not."""
        self._step(-1)

    def do_down(self) -> None:
        """On to the lot below, weighed or not."""
        self._step(1)

    def _step(self, by: int) -> None:
        at = max(0, min(len(self._lots) - 1, self._at + by))
        if at == self._at:
            return
        self._go_to(at)
        seen = self._seen.get(self._lots[at].id)
        if seen is not None:
            code = self._lots[at].code
            self.show_message(f"{code} was weighed in this round: {net_words(seen)}.", "today")

    def do_later(self) -> None:
        """Leave this lot out."""
        self._left_out.add(self._lots[self._at].id)
        self._done.append(self._lots[self._at].id)
        self._next()

    def do_note(self) -> None:
        """A note that is kept with the next weight."""

        def take(text: str) -> None:
            self._open_line(text or None)

        self.talk(
            Ask(
                self,
                f"note on {self._lots[self._at].code}",
                take,
                gone=lambda: self._open_line(None),
                help="saved with the weight that follows",
            )
        )

    def do_tare(self) -> None:
        """This once nothing but meat is on the scale."""
        line = self.talking
        if isinstance(line, WeighIn):
            line.turn_tare()

    def do_undo(self) -> None:
        """Back to the lot before, taking its weight back."""
        if not self._done:
            self.show_message(f"Nothing to undo in this round of {count(len(self._lots), 'lot')}.")
            return
        lot = self._of_id(self._done[-1])
        if lot.id in self._seen:
            self.write(undo_last, lambda what: self._back(lot, f"Undone: {what}."))
        else:
            self._back(lot, f"{lot.code} is no longer left out.")

    def _back(self, lot: LotState, said: str) -> None:
        self._seen.pop(lot.id, None)
        other_id, before = self._was.pop(lot.id, (None, None))
        if other_id is not None and before is not None:
            self._seen[other_id] = before
        self._left_out.discard(lot.id)
        self._done.pop()
        self._go_to(self._where(lot))
        self.show_message(said, "good")


def _at(key: object) -> int:
    return cast(tuple[str, int], key)[1]
