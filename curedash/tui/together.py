"""The lots of a batch moved on together: a weight for each, tare, place and reason once for all.

Each lot is on disk before the next one is asked for, so leaving half-way keeps what was hung.
"""

from collections.abc import Callable, Sequence

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.stages import stated, word
from curedash.present.view import mass, retold
from curedash.present.weigh_line import name_words
from curedash.present.words import Line, cut, percent, plain
from curedash.services.change_stage import (
    Move,
    Moved,
    change_together,
    codes_of,
    stands_against,
    what_is_asked,
)
from curedash.tui.page import Page
from curedash.tui.staging import Moving, weight_and_words
from curedash.tui.talk import Ask, Hint

LEAVES_OUT = "-"
OTHER_TARE = "tare"


def begin_together(page: Page, lot: LotState, mates: Sequence[LotState], stage: str) -> None:
    """Move these lots; those against which something stands that this one is free of stay."""
    Together(page, lot, mates, stage).next_lot()


class Together:
    """What all of them share, who still waits, who went, who was left out and why."""

    def __init__(self, page: Page, lot: LotState, mates: Sequence[LotState], stage: str) -> None:
        self.page, self.stage = page, stage
        self.shared = Move(stage, page.house.now())
        self.tare_known = self.place_known = self.in_one_go = False
        self.moved: list[Moved] = []
        self.left: list[tuple[str, str]] = []
        against = {mate.id: self._against(mate) for mate in mates}
        free = not against[lot.id]
        for mate in mates:
            if free and against[mate.id]:
                self.left.append((mate.code, against[mate.id]))
        stay = {code for code, _ in self.left}
        self.waiting = [mate for mate in mates if mate.code not in stay]
        self.number = len(self.waiting)

    def _against(self, lot: LotState) -> str:
        found = self.page.house.read(lambda conn: stands_against(conn, lot, self.shared))
        return plain(retold(stated(found[0]))) if found else ""

    def next_lot(self) -> None:
        """The next lot that waits, or what came of it all."""
        if not any(what_is_asked(lot, self.stage) for lot in self.waiting) and self.waiting:
            InOneGo(self, self.waiting).next_question()
        elif self.waiting:
            OneOf(self, self.waiting.pop(0)).next_question()
        else:
            self.tell()

    def leave_out(self, lot: LotState) -> None:
        """Not this one."""
        self.left.append((lot.code, ""))
        self.next_lot()

    def stop(self, lot: LotState, why: str = "") -> None:
        """No more of them."""
        self.left += [(each.code, "") for each in (lot, *self.waiting)]
        self.waiting = []
        self.tell(why)

    def tell(self, why: str = "") -> None:
        """Who is where now, who was left out and why, what undo takes back."""
        self.page.hush()
        parts = [why] if why else []
        if self.moved:
            codes = codes_of([moved.lot for moved in self.moved])
            are = "is" if len(self.moved) == 1 else "are"
            parts.append(f"{codes} {are} {word(self.stage)} now.")
        for reason in dict.fromkeys(reason for _, reason in self.left):
            codes = ", ".join(code for code, each in self.left if each == reason)
            parts.append(f"Left out: {codes}" + (f" ({reason})." if reason else "."))
        if self.moved:
            one = self.in_one_go or len(self.moved) == 1
            parts.append("u takes it back." if one else "u takes the last one back.")
        self.page.say(" ".join(parts), "act" if why else "good")


class OneOf(Moving):
    """One lot of several: its weight is asked, what is known of the others is not."""

    def __init__(self, together: Together, lot: LotState) -> None:
        super().__init__(together.page, lot, together.stage)
        self._together = together
        shared = together.shared
        self.move = replace(self.move, note=shared.note, place=shared.place)
        if together.tare_known and "tare" in what_is_asked(lot, together.stage):
            self.move = replace(self.move, tare_g=shared.tare_g, tare_what=shared.tare_what)
        asked = {
            self._ask_tare: not together.tare_known, self._ask_place: not together.place_known,
        }  # fmt: skip
        self._questions = [ask for ask in self._questions if asked.get(ask, True)]

    def head(self, question: str) -> str:
        """Which lot of how many, and what is asked."""
        done = self._together.number - len(self._together.waiting)
        return f"{name_words(self.lot)}, {done} of {self._together.number}: {question}"

    def left(self) -> None:
        """Esc: this one and those that wait stay where they are."""
        self._together.stop(self.lot)

    def _ask_weight(self) -> None:
        def then(text: str) -> str | None:
            if text == LEAVES_OUT or (not text and self._kind == "hang"):
                self._together.leave_out(self.lot)
                return None
            try:
                self._take_weight(text)
            except CuredashError as unclear:
                return str(unclear)
            self.next_question()
            return None

        help = "nothing typed: this one is left out"
        if self.move.tare_g:
            help = f"less {self._tare_words()}; other tare: 1108 tare 35; nothing: left out"
        if self._kind != "hang":
            help = f"nothing typed: not weighed; {LEAVES_OUT} leaves this one out"
        question = "as it hangs, on the scale" if self._kind == "hang" else "on the scale"
        self.page.talk(Echoed(self.page, self.head(question), then, help, self._echo, self.left))

    def _tare_words(self) -> str:
        return f"{mass(self.move.tare_g or 0.0)} {plain(self.move.tare_what or '')}".strip()

    def weighed(self, text: str) -> Move:
        """The weight, and behind the word a tare that is this lot's alone."""
        number, own, worn = text.partition(OTHER_TARE)
        move = super().weighed(number.strip())
        if not own:
            return move
        tare_g, what = weight_and_words(worn.strip())
        if move.weight_g is not None and tare_g >= move.weight_g:
            raise Refused(f"Less than the {mass(move.weight_g)} on the scale, please.")
        return replace(move, tare_g=tare_g, tare_what=what or None)

    def _take_weight(self, text: str) -> None:
        super()._take_weight(text)
        if OTHER_TARE in text:
            self._questions = [ask for ask in self._questions if ask != self._ask_tare]

    def _echo(self, text: str) -> str:
        """What the weight means: net of what hangs with it, beside the weight before."""
        try:
            move = self.weighed(text)
        except CuredashError as unclear:
            return str(unclear)
        if move.weight_g is None:
            return ""
        tare_g = self.lot.tare_g if move.tare_g is None else move.tare_g
        net_g = move.weight_g - tare_g
        words = f"{mass(net_g)} net"
        if tare_g:
            words += f" ({mass(move.weight_g)} − {mass(tare_g)})"
        before_g = self.lot.last_net_g or self.lot.green_g
        less = percent(100 * abs(before_g - net_g) / before_g)
        return f"{words}, {less} {'under' if net_g <= before_g else 'over'} {mass(before_g)}"

    def _take_tare(self, text: str) -> None:
        super()._take_tare(text)
        together = self._together
        together.tare_known = True
        together.shared = replace(
            together.shared, tare_g=self.move.tare_g, tare_what=self.move.tare_what
        )

    def _take_place(self, text: str) -> None:
        super()._take_place(text)
        self._together.place_known = True
        self._together.shared = replace(self._together.shared, place=self.move.place)

    def _moved(self, moved: Moved) -> None:
        self._together.moved.append(moved)
        self._together.shared = replace(self._together.shared, note=self.move.note)
        self._together.next_lot()

    def _refused(self, refusal: CuredashError) -> None:
        self._together.stop(self.lot, str(refusal))

    def _weigh_again(self) -> None:
        """The weight once more; the tare it was weighed with stays."""
        self.move = replace(self.move, weight_g=None, plus_minus_g=None)
        self._ask_weight()


class InOneGo(OneOf):
    """All of them in one change: nothing is weighed."""

    def __init__(self, together: Together, lots: Sequence[LotState]) -> None:
        self._lots = list(lots)
        together.waiting = list(lots)[1:]
        super().__init__(together, lots[0])

    def head(self, question: str) -> str:
        """All of them."""
        return f"{codes_of(self._lots)} → {word(self.move.stage)}: {question}"

    def _go(self) -> None:
        ids, move = [lot.id for lot in self._lots], self.move
        self.page.write(
            lambda conn, by: change_together(conn, by, ids, move), self._all_moved, self._stopped
        )

    def _all_moved(self, moved: Sequence[Moved]) -> None:
        self._together.moved += moved
        self._together.waiting, self._together.in_one_go = [], True
        self._together.tell()


class Echoed(Ask):
    """A weight whose meaning stands under it while it is typed."""

    def __init__(
        self, page: Page, question: str, then: Callable[[str], str | None], help: str,
        echo: Callable[[str], str], gone: Callable[[], None],
    ) -> None:  # fmt: skip
        super().__init__(page, question, then, help=help, gone=gone)
        self._echo = echo

    def hints(self) -> list[Hint]:
        """Enter goes on to the next; Esc leaves those that wait where they are."""
        return [("Enter", "next"), ("Esc", "leave the rest as it is")]

    def lines(self, width: int) -> tuple[Line, Line]:
        """The question and the text; under it the trouble, the echo or the help."""
        first, second = super().lines(width)
        typed = self.typed.text.strip()
        if self._trouble or not typed or typed == LEAVES_OUT:
            return first, second
        return first, ((cut(plain(self._echo(typed)), width), "quiet"),)
