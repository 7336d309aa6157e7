"""Where a lot goes next: the stages it may go to, alone or with its batch."""

from curedash.domain.curing.stages import CLOSED, DISCARDED, GROUND, RAW, in_stage, moves, word
from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.present.weighing.weigh_line import name_words
from curedash.present.words import Line, cut, packed
from curedash.services.curing.change_stage import codes_of, mates_of, usual_next
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.prompt import PagePrompt


def begin(page: Page, lot: LotState) -> None:
    """Ask where this lot goes; one that ended goes back to where it was before."""
    if lot.stage in (CLOSED, DISCARDED):
        from curedash.tui.flows.lot_ends import taking_end_back

        converse(page, lambda: taking_end_back(page, lot))
        return
    if not moves(lot.stage):
        raise Refused(f"{lot.code} is {in_stage(lot.stage)}; that is its last stage.")
    page.talk(Where(page, lot))


class Where(PagePrompt):
    """The stages this lot may go to, by number; Enter takes the usual next one.

    One key takes every lot of the batch that is in the same stage along.
    """

    def __init__(self, page: Page, lot: LotState) -> None:
        super().__init__(page)
        self.lot = lot
        self._mates = page.house.read(mates_of, lot)
        self._all = False

    @property
    def _usual(self) -> str:
        usual = usual_next(self.lot)
        return usual if usual in self._stages and usual is not None else self._stages[0]

    @property
    def _stages(self) -> list[str]:
        """A batch does not end in one go: each lot has a final weight or a reason of its own."""
        found = stages_offered(self.lot)
        return [to for to in found if to not in (CLOSED, DISCARDED)] if self._all else found

    def lines(self, width: int) -> tuple[Line, ...]:
        """From where, and the numbered choices."""
        who = name_words(self.lot)
        if self._all:
            who = f"all {len(self._mates)} ({codes_of(self._mates)})"
        head = f"{who}, {word(self.lot.stage)} → {word(self._usual)}?"
        choices = packed((f"{n} {word(to)}" for n, to in enumerate(self._stages, 1)), width)
        return ((cut(head, width), "strong"),), *(((row, ""),) for row in choices)

    def hints(self) -> list[Hint]:
        """Enter, the whole batch or this lot alone, a number, Esc."""
        codes = codes_of(self._mates)
        two = codes.replace(", ", " and ") if len(self._mates) == 2 else f"all {len(self._mates)}"
        along = f"{two} together"
        if self._all:
            along = f"{self.lot.code} alone"
        return [
            ("Enter", word(self._usual)),
            *([("b", along)] if self._may_take_all else []),
            ("Esc", "leave"),
            (f"1–{len(self._stages)}", "choose"),
        ]

    @property
    def _may_take_all(self) -> bool:
        return len(self._mates) > 1

    def key(self, key: str, char: str | None) -> bool:
        """One key decides."""
        number = int(char) if char is not None and char in "123456789" else 0
        if key == "b" and self._may_take_all:
            self._all = not self._all
        elif key in ("enter", "s"):
            self._go(self._usual)
        elif 1 <= number <= len(self._stages):
            self._go(self._stages[number - 1])
        elif key in ("escape", "q"):
            self.page.hush()
        return True

    def _go(self, stage: str) -> None:
        """The end of a lot asks for more than a move does."""
        if self._all:
            from curedash.tui.flows.move_batch import begin_together

            begin_together(self.page, self.lot, self._mates, stage)
        elif stage == CLOSED:
            from curedash.tui.flows.lot_ends import NOT_FINISHED, finishing

            converse(self.page, lambda: finishing(self.page, self.lot), NOT_FINISHED)
        else:
            from curedash.tui.flows.move_lot import NOT_MOVED, moving

            converse(self.page, lambda: moving(self.page, self.lot, stage), NOT_MOVED)


def stages_offered(lot: LotState) -> list[str]:
    """Where this lot may go; rest and ferment only where its style has them."""
    left_out = set()
    if not lot.has_rest:
        left_out.add("salt-rest")
    if not lot.ferments:
        left_out.add("ferment")
    if lot.method == GROUND and lot.stage == RAW:  # its salt is mixed in: it is stuffed next
        left_out |= {"in-cure", "salt-rest"}
    return [to for to in moves(lot.stage) if to not in left_out]
