"""Moving a lot to another stage on the foot lines: where to, what it weighs, what hangs with it.

Only what the move asks for is asked; a move that stands against a rule is done with a note.
"""

from collections.abc import Callable

from curedash.domain.errors import CuredashError, Doubtful, NoteWanted, Refused
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.stages import CLOSED, DISCARDED, IN_CURE, RAW, SALT_REST, moves, word
from curedash.domain.times import local_day
from curedash.domain.units import Ambiguous, parse_weight_g
from curedash.present.view import estimate_example, mass, retold, tare_example, typed_weight
from curedash.present.weigh_line import name_words
from curedash.present.words import Line, cut, day, packed, plain
from curedash.services.change_stage import (
    Move,
    Moved,
    change_stage,
    codes_of,
    mates_of,
    stands_against,
    usual_next,
    what_is_asked,
)
from curedash.services.places import all_of
from curedash.tui.lot_typed import estimate_of
from curedash.tui.page import Page
from curedash.tui.talk import Ask, Because, Doubted, Hint, Talk

WEIGHTS = {
    "hang": "weight as it hangs, on the scale",
    "cured": "weight rinsed and dried, on the scale",
    "stage": "weight now, on the scale",
    "final": "final weight, on the scale",
}
FOLLOW = (RAW, IN_CURE, SALT_REST)  # stages that the lots of a batch leave together


def begin(page: Page, lot: LotState) -> None:
    """Ask where this lot goes; one that ended goes back to where it was before."""
    if lot.stage in (CLOSED, DISCARDED):
        from curedash.tui.lot_ends import taking_end_back
        from curedash.tui.questions import converse

        converse(page, lambda: taking_end_back(page, lot))
        return
    if not moves(lot.stage):
        raise Refused(f"{lot.code} is {word(lot.stage)}; it goes nowhere from here.")
    page.talk(Where(page, lot))


class Where(Talk):
    """The stages this lot may go to, by number; Enter takes the usual next one.

    One key takes every lot of the batch that is in the same stage along.
    """

    def __init__(self, page: Page, lot: LotState) -> None:
        super().__init__(page)
        self.lot = lot
        self._mates = page.house.read(lambda conn: mates_of(conn, lot))
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

    def lines(self, width: int) -> tuple[Line, Line]:
        """From where, and the numbered choices."""
        head = f"{name_words(self.lot)}, {word(self.lot.stage)} → {word(self._usual)}?"
        choices = packed((f"{n} {word(to)}" for n, to in enumerate(self._stages, 1)), width)
        if self._all:
            codes = codes_of(self._mates)
            head = f"all {len(self._mates)} ({codes}), {word(self.lot.stage)} → "
            return ((cut(f"{head}{word(self._usual)}?", width), "strong"),), ((choices[0], ""),)
        if len(choices) > 1:
            return ((choices[0], ""),), ((choices[1], ""),)
        return ((cut(head, width), "strong"),), ((choices[0], ""),)

    def hints(self) -> list[Hint]:
        """Enter, the whole batch or this lot alone, a number, Esc."""
        along = f"all {len(self._mates)} of {self.lot.batch}"
        if self._all:
            along = f"{self.lot.code} alone"
        return [
            ("Enter", word(self._usual)), *([("b", along)] if self._may_take_all else []),
            ("1–9", "another stage"), ("Esc", "leave"),
        ]  # fmt: skip

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
            from curedash.tui.together import begin_together

            begin_together(self.page, self.lot, self._mates, stage)
        elif stage == CLOSED:
            from curedash.tui.lot_ends import NOT_FINISHED, finishing
            from curedash.tui.questions import converse

            converse(self.page, lambda: finishing(self.page, self.lot), NOT_FINISHED)
        else:
            Moving(self.page, self.lot, stage).next_question()


def stages_offered(lot: LotState) -> list[str]:
    """Where this lot may go; rest and ferment only where its style has them."""
    left_out = set()
    if not lot.has_rest:
        left_out.add("salt-rest")
    if not lot.ferments:
        left_out.add("ferment")
    return [to for to in moves(lot.stage) if to not in left_out]


class Moving:
    """One move being put together, question by question."""

    def __init__(self, page: Page, lot: LotState, stage: str) -> None:
        self.page, self.lot = page, lot
        self.move = Move(stage, page.house.now())
        asked = what_is_asked(lot, stage)
        self._questions: list[Callable[[], None]] = []
        self._kind = next((kind for kind in asked if kind in WEIGHTS), "")
        if stage == "discarded":
            self._questions.append(self._ask_reason)
        if self._kind:
            self._questions.append(self._ask_weight)
        if "tare" in asked:
            self._questions.append(self._ask_tare)
        if stage not in ("closed", "discarded"):
            self._places = [place.name for place in page.house.read(all_of)]
            if len(self._places) > 1:
                self._questions.append(self._ask_place)

    def next_question(self) -> None:
        """Ask what is still open, then move."""
        if self._questions:
            self._questions.pop(0)()
        else:
            self._go()

    def head(self, question: str) -> str:
        """What stands before what is typed."""
        return f"{self.lot.code} → {word(self.move.stage)}: {question}"

    def left(self) -> None:
        """Esc at a question: nothing was kept of this lot."""

    def _ask(self, question: str, take: Callable[[str], None], help: str) -> None:
        """Ask one thing; what cannot be read stays with the reason."""

        def then(text: str) -> str | None:
            try:
                take(text)
            except CuredashError as unclear:
                return str(unclear)
            self.next_question()
            return None

        self.page.talk(Ask(self.page, self.head(question), then, help=help, gone=self.left))

    def _ask_weight(self) -> None:
        lot = self.lot
        last = lot.last_gross_g or lot.green_g
        known = f"last {mass(last)}" if lot.last_gross_g else f"green {mass(lot.green_g)}"
        if self._kind == "hang":
            known += f"; not weighed? a guess: {estimate_example()}"
        else:
            known += "; Enter leaves it out"
        self._ask(WEIGHTS[self._kind], self._take_weight, known)

    def _take_weight(self, text: str) -> None:
        self.move = self.weighed(text)

    def weighed(self, text: str) -> Move:
        """The move with a weight as typed: ``1535``, or an estimate, ``1500 ±40``."""
        if not text and self._kind == "hang":
            raise Refused("The loss is counted from this weight; type it or an estimate with ±.")
        if not text:
            return self.move
        weight_g, spread_g = estimate_of(self.lot, text)
        return replace(self.move, weight_g=weight_g, plus_minus_g=spread_g)

    def _ask_tare(self) -> None:
        self._ask(
            "how much of that is not meat", self._take_tare,
            f"hook, net, casing: e.g. {tare_example()}; Enter: nothing",
        )  # fmt: skip

    def _take_tare(self, text: str) -> None:
        tare_g, what = weight_and_words(text)
        if self.move.weight_g is not None and tare_g >= self.move.weight_g:
            raise Refused(f"Less than the {mass(self.move.weight_g)} on the scale, please.")
        self.move = replace(self.move, tare_g=tare_g, tare_what=what or None)

    def _ask_place(self) -> None:
        names = "   ".join(f"{n} {plain(name)}" for n, name in enumerate(self._places, 1))
        stays = plain(self.lot.place or "no place")
        self._ask("which place", self._take_place, f"Enter: stays in {stays}   {names}")

    def _take_place(self, text: str) -> None:
        if text:
            self.move = replace(self.move, place=chosen(text, self._places))

    def _ask_reason(self) -> None:
        self._ask("why", self._take_reason, "a few words; u takes it back")

    def _take_reason(self, text: str) -> None:
        if not text:
            raise Refused("A few words why, for next year.")
        self.move = replace(self.move, note=text)

    def _go(self) -> None:
        lot_id, move = self.lot.id, self.move
        self.page.write(
            lambda conn, by: change_stage(conn, by, lot_id, move), self._moved, self._stopped
        )

    def _moved(self, moved: Moved) -> None:
        self.page.hush()
        words = [f"{moved.lot.code} is {word(moved.lot.stage)} now"]
        words += [self._told(message, moved.lot) for message in moved.messages]
        self.page.say("; ".join(words) + ". u takes it back." + self._mates_wait(), "good")

    def _mates_wait(self) -> str:
        """Lots of its batch that may follow now, and the key that takes them together.

        Once they hang, each goes on at its own moment.
        """
        if self.lot.stage not in FOLLOW or self.move.stage in (CLOSED, DISCARDED):
            return ""
        waiting = self.page.house.read(lambda conn: mates_of(conn, self.lot))
        ready = self.page.house.read(
            lambda conn: [lot for lot in waiting if not stands_against(conn, lot, self.move)]
        )
        if len(ready) < 2:
            return ""
        return f" {codes_of(ready)} too? s on one, then b takes them together."

    def _told(self, message: str, lot: LotState) -> str:
        """What is said of the move after it, inside a sentence."""
        if message.startswith("planned until") and lot.stage_until is not None:
            return f"planned until {day(local_day(lot.stage_until, self.page.house.zone))}"
        return plain(retold(message)).rstrip(".")

    def _stopped(self, refusal: CuredashError) -> None:
        """A rule wants a note, a doubt a yes; a refusal ends it with its sentence."""
        if isinstance(refusal, NoteWanted):
            self._ask_note(retold(str(refusal)))
        elif isinstance(refusal, Doubtful):
            self.page.talk(Doubted(
                self.page, plain(retold(str(refusal))), self._keep_doubtful, self._weigh_again,
                "the weight",
            ))  # fmt: skip
        else:
            self._refused(refusal)

    def _refused(self, refusal: CuredashError) -> None:
        self.page.hush()
        self.page.say(str(refusal), "act")

    def _keep_doubtful(self) -> None:
        self.move = replace(self.move, keep_doubtful=True)
        self._go()

    def _weigh_again(self) -> None:
        """Weight and tare once more: either may be the wrong one."""
        had_tare = self.move.tare_g is not None
        self.move = replace(self.move, weight_g=None, plus_minus_g=None, tare_g=None)
        self._questions = [self._ask_tare] if had_tare else []
        self._ask_weight()

    def _ask_note(self, against: str) -> None:
        def then(text: str) -> str | None:
            if not text:
                return "A few words why, or Esc."
            self.move = replace(self.move, note=text)
            self._go()
            return None

        question = "do it all the same, because"
        self.page.talk(Because(self.page, plain(against), question, then, gone=self.left))


def weight_and_words(text: str) -> tuple[float, str]:
    """A tare and what it is, from one line; nothing typed is 0 g.

    Example
    -------
    >>> weight_and_words("28 g hook and net"), weight_and_words("")
    ((28.0, 'hook and net'), (0.0, ''))
    """
    words = text.split()
    if not words or words == ["0"]:
        return 0.0, ""
    for taken in range(len(words), 0, -1):
        try:
            tare_g = parse_weight_g(typed_weight(" ".join(words[:taken])))
            return tare_g, " ".join(words[taken:])
        except Ambiguous:
            raise
        except CuredashError:
            continue
    raise Refused(f"A weight first, then what it is: {tare_example()}.")


def chosen(text: str, names: list[str]) -> str:
    """One of the names, by its number or by the beginning of its name.

    Example
    -------
    >>> chosen("2", ["Fridge 2", "Chamber"]), chosen("fr", ["Fridge 2", "Chamber"])
    ('Chamber', 'Fridge 2')
    """
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= len(names):
        return names[int(text) - 1]
    fits = [name for name in names if name.casefold().startswith(text.casefold())]
    exact = [name for name in names if name.casefold() == text.casefold()]
    if len(exact or fits) != 1:
        raise Refused("Type the number or the name of a place from the list.")
    return (exact or fits)[0]
