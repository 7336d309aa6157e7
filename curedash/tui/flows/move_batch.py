"""The lots of a batch moved on together: a weight for each, tare, place and reason once for all.

Each lot is on disk before the next one is asked for, so leaving half-way keeps what was hung.
"""

from collections.abc import Generator, Sequence
from typing import Any

from curedash.domain.curing.stages import in_stage, stated, word
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.wording import by_number
from curedash.present.display_units import bare, mass, retold
from curedash.present.weighing.weigh_line import name_words
from curedash.present.words import plain
from curedash.services.curing.change_stage import (
    Move,
    change_stage,
    change_together,
    codes_of,
    goes_unweighed,
    reasons_against,
    what_is_asked,
)
from curedash.tui.chassis.page import Page
from curedash.tui.flows import move_lot
from curedash.tui.flows.move_lot import MoveQuestions
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Step, Steps, save, save_with

LEAVES_OUT = "-"


def begin_together(page: Page, lot: LotState, mates: Sequence[LotState], stage: str) -> None:
    """Move these lots; those against which something stands that this one is free of stay."""
    together = Together(page, lot, mates, stage)
    converse(page, together.steps, together.left_words)


class Together:
    """What all of them share, who still waits, who went, who was left out and why."""

    def __init__(self, page: Page, lot: LotState, mates: Sequence[LotState], stage: str) -> None:
        self.page, self.stage = page, stage
        against = {mate.id: self._against(mate) for mate in mates}
        free = not against[lot.id]
        self._stay = [(m.code, against[m.id]) for m in mates if free and against[m.id]]
        stay = {code for code, _ in self._stay}
        self.lots = [mate for mate in mates if mate.code not in stay]
        self._begin()

    def _begin(self) -> None:
        self.left = list(self._stay)
        self.gone: list[str] = []  # codes of those that moved
        self.shared = Move(self.stage, self.page.house.now())
        self.knows_tare = self.knows_place = False

    def _against(self, lot: LotState) -> str:
        move = Move(self.stage, self.page.house.now())
        found = self.page.house.read(reasons_against, lot, move)
        return plain(retold(stated(found[0]))) if found else ""

    def steps(self) -> Steps:
        """One after the other, or all in one change where nothing is weighed."""
        self._begin()
        if any(what_is_asked(lot, self.stage) for lot in self.lots):
            for number, lot in enumerate(self.lots, 1):
                yield from self._one(lot, number)
        elif self.lots:
            yield from self._in_one_go()
        one = len(self.gone) == 1 or not any(what_is_asked(lot, self.stage) for lot in self.lots)
        self.page.show_message(self._words(one), "good")

    def _one(self, lot: LotState, number: int) -> Generator[Step, Any, None]:
        asking = self._questions_of(lot, number)
        move = yield from move_lot.questions(self.page, asking, self.shared)
        if move is None:
            self.left.append((lot.code, ""))
            return
        self._share(asking, move)
        yield save_with(change_stage, lot.id, move)
        self.gone.append(lot.code)

    def _questions_of(self, lot: LotState, number: int) -> MoveQuestions:
        """Its weight, and what is not known of the others yet."""
        asked = what_is_asked(lot, self.stage)
        hangs = move_lot.weighed_as(asked) == "hang"
        unweighed = hangs and goes_unweighed(lot, Move(self.stage, self.page.house.now()))

        def read(text: str) -> Any:
            if text == LEAVES_OUT or (not text and hangs and not unweighed):
                return move_lot.LEFT_OUT
            return move_lot.weighed(self.page, lot, text) if text else None

        help = "Enter leaves this one out"
        if unweighed or not hangs:
            help = f"Enter: not weighed; {LEAVES_OUT} leaves this one out"
        elif self.knows_tare and self.shared.tare_g:
            tare = f"{mass(self.shared.tare_g)} {plain(self.shared.tare_what or '')}".strip()
            other = f"{bare(1108)} tare {bare(35)}"
            help = f"minus the tare of {tare}; another tare: {other}; Enter leaves it out"
        return MoveQuestions(
            lot,
            lambda question: f"{name_words(lot)}, {number} of {len(self.lots)}: {question}",
            "as it hangs, on the scale"
            if hangs
            else "on the scale"
            if move_lot.weighed_as(asked)
            else "",
            help,
            read,
            "tare" in asked and not self.knows_tare,
            () if self.knows_place else move_lot.places_to_choose(self.page, self.stage),
            "" if self.knows_place else move_lot.asks_new_place(self.page, lot, self.stage),
        )

    def _share(self, asking: MoveQuestions, move: Move) -> None:
        """What the next ones are not asked again; a weight is each lot's own."""
        self.shared = replace(self.shared, note=move.note)
        if asking.tare and move.weight_g is not None:
            self.knows_tare = True
            self.shared = replace(self.shared, tare_g=move.tare_g, tare_what=move.tare_what)
        if asking.places or asking.stays:
            self.knows_place = True
            self.shared = replace(self.shared, place=move.place, new_place=move.new_place)

    def _in_one_go(self) -> Generator[Step, Any, None]:
        codes = codes_of(self.lots)
        asking = move_lot.alone(self.page, self.lots[0], self.stage)
        asking = replace(asking, head=lambda question: f"{codes} → {word(self.stage)}: {question}")
        move = yield from move_lot.questions(self.page, asking, self.shared)
        if move is None:
            return
        ids = [lot.id for lot in self.lots]
        yield save(change_together, ids, move)
        self.gone = [lot.code for lot in self.lots]

    def left_words(self) -> str:
        """Esc: this one and those that wait stay where they are."""
        settled = {*self.gone, *(code for code, _ in self.left)}
        self.left += [(lot.code, "") for lot in self.lots if lot.code not in settled]
        return self._words(len(self.gone) == 1)

    def _words(self, one: bool) -> str:
        """Who is where now, who was left out and why, what undo takes back."""
        parts = []
        if self.gone:
            went = codes_of([lot for lot in self.lots if lot.code in self.gone])
            now = in_stage(self.stage)
            parts.append(
                by_number(len(self.gone), f"{went} is {now} now.", f"{went} are {now} now.")
            )
        for reason in dict.fromkeys(reason for _, reason in self.left):
            codes = ", ".join(code for code, each in self.left if each == reason)
            parts.append(f"Left out: {codes}" + (f" ({reason})." if reason else "."))
        if self.gone:
            parts.append(
                f"{self.page.undo_key} undoes it."
                if one
                else f"{self.page.undo_key} undoes the last one."
            )
        return " ".join(parts)
