"""What the line of a weigh-in shows while a weight is typed, and under which keys."""

from collections.abc import Callable, Collection, Sequence
from datetime import datetime

from curedash.domain.errors import CuredashError
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.typed.unit_sizes import Ambiguous
from curedash.domain.typed.weight_and_day import weight_and_day
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.weighing.doubts import Doubt
from curedash.present.display_units import in_pounds, mass, retold, typed_weight
from curedash.present.weighing.weigh_line import doubt_answers, echo_words, hint_parts, prompt_words
from curedash.present.words import Line, Span, cells, fitting, plain, wrapped
from curedash.services.weighing.weigh import Preview, Weighed, finest_division_g, hint, preview_at
from curedash.tui.chassis.commands import by_key, key_of
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.line_input import TypedLine
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.prompt import MOST_LINES, PagePrompt, TypedOn

TARE = "round.tare"  # its key works wherever something is weighed
TARE_LABELS = ("without tare", "with tare")  # of the key that turns it
MOST_FIGURES = 5  # of a weight without a unit that may still be going on


def may_grow(text: str) -> bool:
    """Whether what was typed is a number yet without a unit, which the next digit may make clear.

    Example
    -------
    >>> may_grow("2 "), may_grow("2 4.6 oz"), may_grow("9999999")
    (True, False, False)
    """
    figures = sum(char.isdecimal() for char in text)
    return 0 < figures <= MOST_FIGURES and not any(char.isalpha() for char in text)


class WeighInLine(PagePrompt):
    """A weight as far as it was typed, with what it means."""

    gives_way = True

    def __init__(
        self,
        page: Page,
        lot: LotState,
        saved: Callable[[Weighed], None],
        *,
        text: str = "",
        others: Sequence[LotState] = (),
        note: str | None = None,
        together: Collection[int] = (),
    ) -> None:
        super().__init__(page)
        self.lot, self.note = lot, note
        self._together = together  # ids of lots weighed in the same round
        self.without_tare = False
        self.typed = TypedLine(text)
        self._saved, self._others = saved, others
        self._questions: list[Doubt] = []
        self._typed_on = TypedOn()  # at a question
        self._readings: tuple[float, ...] = ()
        self._seen: Preview | None = None
        self._trouble = ""
        self._scaled = ""  # what a scale on a port filled in last
        self._aside: tuple[str, str] | None = None  # what was written to a text file, and where
        self._own = lot  # the lot it began with; a weight may turn out to be another's
        self._expect()

    # ── what it shows ─────────────────────────────────────────────────────────────────────

    def lines(self, width: int) -> tuple[Line, ...]:
        """The line being typed, and under it the question, the trouble, the echo or the hint."""
        shown = plain(self.typed.shown)
        room = max(10, width // 2)
        shown = shown if len(shown) <= room else "…" + shown[-(room - 1) :]
        spans: list[Span] = [(f"{prompt_words(self.lot)} › ", "strong"), (shown, self.typed.tone)]
        spans.append((" " + self._on_what(), "quiet"))
        if self.note:
            spans.append((f" · note: {plain(self.note)}", "quiet"))
        words, tone = self._under(width)
        return tuple(spans), *(((line, tone),) for line in wrapped(words, width, MOST_LINES))

    def _under(self, width: int) -> Span:
        if self._questions:
            return retold(self._questions[0].question), "today"
        if self._trouble:
            return self._trouble, "act"
        if not self.typed.text:
            return self._hint_words(width), "quiet"
        try:
            seen = self._read()
            when = self.when_words(seen)
            return when + echo_words(seen, width - cells(when)), ""
        except CuredashError as unclear:
            if may_grow(self.typed.text):
                return self._hint_words(width), "quiet"
            return retold(str(unclear)), "quiet"

    def when_words(self, seen: Preview) -> str:
        """``24 Nov 18:30: `` of a weight read on another day; empty for now."""
        if self.parts()[1] is None:
            return ""
        return f"{self.page.house.moment_words(seen.at)}: "

    def _hint_words(self, width: int) -> str:
        """What to expect on the scale with what lies on it this once."""
        return fitting(hint_parts(self._hint, alone=self.without_tare), width)

    def _on_what(self) -> str:
        text = self.typed.text
        what = "the meat alone" if self.without_tare else "on the scale"
        if in_pounds():
            return what if text else f"{what}, e.g. 2 4.8 (lb oz)"
        if any(char.isalpha() for char in text):
            return what
        return "g, the meat alone" if self.without_tare else "g on the scale"

    def hints(self) -> list[Hint]:
        """The keys that mean something at this moment."""
        if self._readings:
            first, second = self._readings[:2]
            answers = [("y", f"{mass(first)}"), ("k", f"{mass(second)}"), ("n Esc", "change it")]
            return self._with_number(answers)
        if self._questions:
            typed_g = self._seen.gross_g if self._seen is not None else 0.0
            worn = self._seen is not None and self._seen.tare_g
            what = plain(self.lot.tare_what or "tare") if worn else ""
            return self._with_number(doubt_answers(self._questions[0], typed_g, what))
        if self.typed.text:
            again = self._trouble and self._aside is not None
            return [("Enter", "try again" if again else "save"), ("Esc", "leave")]
        return self.empty_hints()

    def _with_number(self, answers: list[Hint]) -> list[Hint]:
        """The answers to a question; the last changes it, to the number that was typed on."""
        number = plain(self._typed_on.number)
        return [*answers[:-1], (answers[-1][0], f"change it to {number}")] if number else answers

    def empty_hints(self) -> list[Hint]:
        """While nothing is typed letters are commands."""
        return [("Enter", "save"), ("Esc", "leave"), (key_of(TARE), self.tare_label)]

    @property
    def tare_label(self) -> str:
        """What the key for the tare does now."""
        return TARE_LABELS[self.without_tare]

    def is_tare(self, key: str) -> bool:
        """Whether this key turns it: a letter only while nothing is typed."""
        command = by_key("round").get(key)
        return (
            command is not None and command.id == TARE and not (self.typed.text and key[1:] == "")
        )

    def turn_tare(self) -> None:
        """The scale shows the meat alone, or no longer."""
        self.without_tare = not self.without_tare
        self._expect()

    def _expect(self) -> None:
        """What is to be expected of this lot with what lies on the scale."""
        house = self.page.house
        on_it = replace(self.lot, tare_g=0.0, tare_what=None) if self.without_tare else self.lot
        self._hint = hint(on_it, house.now(), house.zone)

    # ── saving ────────────────────────────────────────────────────────────────────────────

    def parts(self) -> tuple[str, datetime | None]:
        """The weight as typed, and the moment behind it, if one was typed."""
        last, house = self.lot.last_gross_g or self.lot.green_g, self.page.house

        def is_weight(text: str) -> bool:
            try:
                parse_weight_g(typed_weight(text, last), last_g=last)
            except Ambiguous:
                return True
            except CuredashError:
                return False
            return True

        return weight_and_day(self.typed.text, is_weight, house.now(), house.zone)

    def _read(self) -> Preview:
        house = self.page.house
        last = self.lot.last_gross_g or self.lot.green_g
        weight, at = self.parts()
        now, text = house.now(), typed_weight(weight, last)
        return house.read(
            lambda conn: preview_at(
                conn,
                self.lot,
                text,
                now,
                house.zone,
                at or now,
                without_tare=self.without_tare,
                division_g=finest_division_g(conn, last or 0.0),
                others=lambda: self._others,
            )
        )
