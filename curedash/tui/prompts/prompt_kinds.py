"""One question of a conversation on the foot lines, and what may come between two of them."""

from collections.abc import Callable, Sequence
from typing import Any

from curedash.domain.errors import CuredashError
from curedash.domain.weighing.doubts import Doubt
from curedash.present.display_units import mass
from curedash.present.words import Line, cells, cut, packed, plain, wrapped
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.line_input import TypedLine, starts_weight
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.prompt import Ask, Because, Doubted, PagePrompt
from curedash.tui.prompts.questions import Choice, Text

Go = Callable[[], None]
MOST_NUDGED = 8  # characters shown of what answers nothing,
MOST_TYPED = 40  # and kept of it
LEAST_TYPED = 12  # cells for what is typed behind a question
MOST_LINES = 4  # of one sentence
BACK = ("up", "shift+tab")
BACK_HINT: Hint = ("↑ Esc", "back")
LEAVE_HINT: Hint = ("Esc", "leave")


class Asked(Ask):
    """A line of text whose meaning is echoed while it is typed.

    ``then`` takes what was meant and what was typed; ``doubted`` takes a question about it and how
    to go on all the same; ``back``, where there is a question before, goes there.
    """

    def __init__(
        self,
        page: Page,
        step: Text,
        then: Callable[[Any, str], None],
        *,
        doubted: Callable[["Asked", "Doubt | str", Go], None],
        back: Go | None,
        gone: Go,
    ) -> None:
        super().__init__(
            page, plain(step.question), self._take, text=step.text, help=plain(step.help), gone=gone
        )
        self.step = step
        self._go, self._doubted, self._back = then, doubted, back

    def _take(self, text: str) -> None:
        value = self.step.read(text)
        doubt = None if self.step.doubt is None else self.step.doubt(value)
        if doubt is None:
            self._go(value, text)
        else:
            self._doubted(self, doubt, lambda: self._go(value, text))

    def again(self) -> None:
        """What was typed stands there to be typed over, or put right with the arrows."""
        self.typed = TypedLine(self.typed.text, marked=True)

    def retype(self, grams: float) -> None:
        """The likely fix stands there instead, and is taken."""
        self.typed = TypedLine(f"{grams:.10g} g")
        self._answer()

    def hints(self) -> list[Hint]:
        """Enter; the way back, from the first question out."""
        return [("Enter", "take it"), LEAVE_HINT if self._back is None else BACK_HINT]

    def key(self, key: str, char: str | None) -> bool:
        """The question before is one key away; all else as any line of text."""
        if key in BACK:
            if self._back is not None:
                self._back()
            return True
        return super().key(key, char)

    def lines(self, width: int) -> tuple[Line, ...]:
        """The question and the text; under it the trouble, the echo or the help."""
        self.question = _asked_in(self.question, max(width * 2 // 3, width - LEAST_TYPED))
        first, *rest = super().lines(width)
        if self._trouble:
            return first, *rest
        if not self.typed.text.strip() or self.step.echo is None:
            return first, *(((line, "quiet"),) for line in wrapped(self.help, width) or [""])
        try:
            return first, (
                (cut(plain(self.step.echo(self.step.read(self.typed.text))), width), ""),
            )
        except CuredashError as unclear:
            return first, ((wrapped(str(unclear), width, 1)[0], "quiet"),)


def _asked_in(question: str, room: int) -> str:
    """A question as far as it has room: without its last words behind a comma, else cut."""
    while cells(question) > room and ", " in question:
        question = question.rpartition(", ")[0]
    return cut(question, room)


class Slipped(Doubted):
    """A weight with a likely fix: as in a weigh-in ``y`` takes it, ``k`` keeps what was typed."""

    def __init__(
        self, page: Page, doubt: Doubt, fix_g: float, asked: Asked, keep: Go, change: Go
    ) -> None:
        super().__init__(page, plain(doubt.question), keep, change, asked.step.what)
        self.fix_g, self._asked = fix_g, asked

    def lines(self, width: int) -> tuple[Line, ...]:
        """The whole question."""
        return tuple(((line, "act"),) for line in wrapped(self.doubt, width, MOST_LINES))

    def hints(self) -> list[Hint]:
        """The fix first."""
        return [
            ("y", mass(self.fix_g)),
            ("k", f"keep {plain(self._asked.typed.text)}"),
            ("n Esc", f"change {self.what}"),
            *self.number_hints,
        ]

    def key(self, key: str, char: str | None) -> bool:
        """``y`` takes the fix, ``k`` what was typed, ``n`` and Esc type it again."""
        if self.typed_on(key, char):
            return True
        if key == "y":
            self._change()
            self._asked.retype(self.fix_g)
            return True
        return super().key(key, char)


class Picked(PagePrompt):
    """A few answers by number."""

    def __init__(
        self, page: Page, step: Choice, then: Callable[[Any], None], *, back: Go | None, gone: Go
    ) -> None:
        super().__init__(page)
        self.step, self._then, self._back, self._gone = step, then, back, gone
        self._nudged = ""  # what was typed that is none of the answers
        self._number_typed = ""  # a number that Enter ended: it waits for the value asked next

    def lines(self, width: int) -> tuple[Line, ...]:
        """The question, and under it the numbered answers on as many lines as they take."""
        question, head = plain(self.step.question), "strong"
        if self.step.yes_or_nothing:
            first, *more = wrapped(question, width, MOST_LINES)
            if not more:
                return ((first, head),), ((cut(plain(self.step.help), width), "quiet"),)
            return tuple(((line, head),) for line in (first, *more))
        words = [f"{n} {plain(label)}" for n, (_, label) in enumerate(self.step.options, 1)]
        rows = packed(words, width)
        if len(rows) > 1 and cells(question) + 3 < width // 2:
            return _rows(packed([f"{question}?   {words[0]}", *words[1:]], width))
        return ((cut(question, width), head),), *_rows(rows)

    def hints(self) -> list[Hint]:
        """A number, Enter for the usual one, the way back, Esc."""
        out = LEAVE_HINT if self._back is None else BACK_HINT
        if self.step.yes_or_nothing:
            no = [("n", "leave"), BACK_HINT] if self._back is not None else [("n Esc", "leave")]
            return [("y", plain(self.step.options[0][1])), *no]
        usual: list[Hint] = []
        if self.step.usual is not None:
            usual = [("Enter", plain(self.step.options[self.step.usual][1]))]
        last = len(self.step.options)
        numbers = "1" if last == 1 else f"1–{last}"
        choose = (
            f"choose: a number, not {self._nudged[-MOST_NUDGED:]}" if self._nudged else "choose"
        )
        if self._number_typed:
            choose = f"choose first; {self._number_typed} is used next"
        return [*usual, (numbers, choose), out]

    def key(self, key: str, char: str | None) -> bool:
        """One key decides; the digits of a number that was begun belong to it until Enter."""
        number = self._number(key, char)
        if 1 <= number <= len(self.step.options):
            self._then(self.step.options[number - 1][0])
        elif key in (*BACK, "escape") and self._back is not None:
            self._back()
        elif key in ("escape", "q") or (key == "n" and self.step.yes_or_nothing):
            self.page.hush()
            self._gone()
        elif key == "enter" and self._begun:
            self._number_typed, self._nudged = self._nudged, ""
        elif key == "enter":
            self._nudged = "Enter"
        elif key == "backspace":
            self._nudged = self._nudged[:-1] if self._begun else ""
        elif char is not None and char.isprintable():
            before = "" if self._nudged == "Enter" else self._nudged
            self._nudged = (before + char)[-MOST_TYPED:]
        return True

    @property
    def carried(self) -> str:
        """A number typed here, meant for the value that is asked next."""
        return self._nudged if self._begun else self._number_typed

    @property
    def _begun(self) -> bool:
        return starts_weight(self._nudged[:1] or None)

    def _number(self, key: str, char: str | None) -> int:
        """Which answer a key means, 0 for none."""
        if key == "enter" and self.step.usual is not None:
            return self.step.usual + 1
        if self.step.yes_or_nothing:
            return int(key == "y")
        if self._begun:
            return 0
        return int(char) if char is not None and char in "123456789" else 0


def _rows(rows: Sequence[str]) -> tuple[Line, ...]:
    """As many lines as the answers take: one that is out of sight cannot be chosen."""
    return tuple(((row, ""),) for row in rows)


class Still(Because):
    """Why it is done although a rule is used against it; Esc goes back to the last question."""

    def hints(self) -> list[Hint]:
        """Enter and the way back."""
        return [("Enter", "do it"), ("↑ Esc", "back")]

    def key(self, key: str, char: str | None) -> bool:
        """The question before is one key away."""
        return super().key("escape" if key in BACK else key, char)


class Stopped(PagePrompt):
    """A refusal after all was answered: Enter goes back to the last answer, nothing is lost.

    Any key that means nothing here ends the conversation and does what it always does.
    """

    def __init__(self, page: Page, refusal: str, back: Go, gone: Go) -> None:
        super().__init__(page)
        self.refusal, self._back, self._gone = refusal, back, gone

    def lines(self, width: int) -> tuple[Line, ...]:
        """The whole sentence."""
        said = wrapped(plain(self.refusal), width, MOST_LINES)
        return tuple(((line, "act"),) for line in said)

    def hints(self) -> list[Hint]:
        """Back, or leave."""
        return [("Enter ↑", "back to the last answer"), ("Esc", "leave")]

    def key(self, key: str, char: str | None) -> bool:  # noqa: ARG002
        """Enter and Up go back; Esc leaves; the page has the others."""
        if key in ("enter", *BACK):
            self._back()
            return True
        self.page.hush()
        self._gone()
        return key in ("escape", "q")
