"""A conversation on the foot lines of a page: keys come here first, focus never moves."""

from collections.abc import Callable, Sequence
from time import monotonic
from typing import NamedTuple

from curedash.domain.errors import CuredashError
from curedash.present.words import Line, cut, plain, wrapped
from curedash.tui.chassis.foot_prompt import FootPrompt, Hint
from curedash.tui.chassis.line_input import TypedLine, starts_weight
from curedash.tui.chassis.page import Page

MOST_LINES = 3  # of one sentence under what is typed
ANSWERS = ("y", "k", "n")  # to a question about a value: the likely fix, keep, change
MOST_TYPED_ON = 40  # characters
TYPED_ON_S = 1.0  # a pause as long as this ends what was typed unaware of a question


class PagePrompt(FootPrompt):
    """Base of the conversations; each knows the page it is held on."""

    def __init__(self, page: Page) -> None:
        self.page = page


class Way(NamedTuple):
    """An answer: its keys, what is shown of it at the foot, and what it does."""

    keys: tuple[str, ...]
    shown: Hint
    do: Callable[[], None]


class KeyQuestion(PagePrompt):
    """A few sentences and the keys that answer them; no other key means anything.

    ``said`` are the sentences with their tones; the question is over before an answer is done.
    """

    def __init__(self, page: Page, said: Sequence[tuple[str, str]], ways: Sequence[Way]) -> None:
        super().__init__(page)
        self._said, self._ways = said, ways

    def lines(self, width: int) -> tuple[Line, ...]:
        """The sentences, each whole."""
        return tuple(((row, tone),) for text, tone in self._said for row in wrapped(text, width))

    def hints(self) -> list[Hint]:
        """The answers."""
        return [way.shown for way in self._ways]

    def key(self, key: str, char: str | None) -> bool:  # noqa: ARG002
        """Do what one of the answers says."""
        for way in self._ways:
            if key in way.keys:
                self.page.hush()
                way.do()
                break
        return True


class Ask(PagePrompt):
    """One question answered by a line of text, e.g. a filter or a reason.

    ``text`` is what stands there at first and is typed over, unless ``begun``: typed already.
    """

    def __init__(
        self,
        page: Page,
        question: str,
        then: Callable[[str], str | None],
        *,
        text: str = "",
        begun: bool = False,
        help: str = "",
        live: Callable[[str], None] | None = None,
        gone: Callable[[], None] | None = None,
        does: tuple[str, str] = ("take it", "leave"),
    ) -> None:
        super().__init__(page)
        self.question, self.help, self.does = question, help, does
        self.typed = TypedLine(text, marked=not begun)
        self._then, self._live, self._gone = then, live, gone
        self._trouble = ""
        self._own = begun  # somebody typed here; else it only stands there

    def lines(self, width: int) -> tuple[Line, ...]:
        """The question with the text so far, and what is wrong or could be typed."""
        room = max(8, width - len(self.question) - 3)
        shown = self.typed.shown
        shown = shown if len(shown) <= room else "…" + shown[-(room - 1) :]
        first: Line = ((f"{self.question} › ", "strong"), (plain(shown), self.typed.tone))
        if self._trouble:
            trouble = wrapped(plain(self._trouble), width, MOST_LINES)
            return first, *(((line, "act"),) for line in trouble)
        return first, *(((line, "quiet"),) for line in wrapped(self.help, width, MOST_LINES))

    def hints(self) -> list[Hint]:
        """Enter and Esc."""
        return [("Enter", self.does[0]), ("Esc", self.does[1])]

    def key(self, key: str, char: str | None) -> bool:
        """Text keys change the line, Enter answers, Esc leaves."""
        if key == "escape":
            self.page.hush()
            if self._gone is not None:
                self._gone()
        elif key == "enter":
            self._answer()
        elif self.typed.key(key, char):
            self._changed()
        return True

    def refuse(self, sentence: str) -> None:
        """Why what is typed was not taken; what is typed next replaces it."""
        self._trouble, self.typed = sentence, TypedLine(self.typed.text, marked=True)

    def paste(self, text: str) -> None:
        """Pasted text goes in at the caret."""
        self.typed.put(text)
        self._changed()

    def aside(self) -> str:
        """The question and what was typed; what only stood there is no news."""
        text = self.typed.text.strip()
        return f"{plain(self.question)}: {text}" if text and self._own else ""

    def _changed(self) -> None:
        self._trouble, self._own = "", True
        if self._live is not None:
            self._live(self.typed.text)

    def _answer(self) -> None:
        """Hand the text over; a refusal, or a sentence back, means that it stays.

        What is typed next replaces it; an arrow or Backspace edits it.
        """
        try:
            trouble = self._then(self.typed.text.strip())
        except CuredashError as refusal:
            if self.page.talking is not self:
                raise
            trouble = str(refusal)
        if trouble:
            self.refuse(trouble)
        elif self.page.talking is self:
            self.page.hush()


class Because(Ask):
    """What is used against it first, on its own line; under it the reason for doing it still."""

    def __init__(
        self,
        page: Page,
        against: str,
        question: str,
        then: Callable[[str], str | None],
        *,
        gone: Callable[[], None] | None = None,
    ) -> None:
        super().__init__(page, question, then, gone=gone)
        self.against = against

    def lines(self, width: int) -> tuple[Line, ...]:
        """The sentence, or what is wrong with the reason; then the reason so far."""
        against = wrapped(plain(self._trouble or self.against), width, MOST_LINES)
        return *(((line, "act"),) for line in against), super().lines(width)[0]


class TypedOn:
    """What somebody types on, unaware of a question: the k of "28 hook" answers nothing.

    That begins with a character that is not an answer and ends with Enter, Esc or a pause. A number
    typed so, with what follows it, waits for the line it was meant for.
    """

    def __init__(self) -> None:
        self.number = ""
        self._until = 0.0

    def takes(self, key: str, char: str | None) -> bool:
        """Whether a key belongs to what is typed on."""
        now = monotonic()
        goes_on = now < self._until
        if key in ("enter", "escape", "n"):  # n changes: that loses nothing
            self._until = 0.0
            return goes_on and key == "enter"
        if key == "backspace" and self.number:
            self.number = self.number[:-1]
            return True
        if not goes_on and (char is None or not char.isprintable() or key in ANSWERS):
            return False
        self._until = now + TYPED_ON_S
        if char is not None and char.isprintable():
            if not goes_on or not self.number:
                self.number = char if starts_weight(char) else ""
            else:
                self.number = (self.number + char)[-MOST_TYPED_ON:]
        return True


class Doubted(PagePrompt):
    """A value that makes little sense: one key keeps it, any other way back changes it."""

    def __init__(
        self,
        page: Page,
        doubt: str,
        keep: Callable[[], None],
        change: Callable[[], None],
        what: str,
    ) -> None:
        super().__init__(page)
        self.doubt, self.what = doubt, what
        self.under = f"Nothing is saved yet: k keeps it anyway, n changes {what}."
        self._keep, self._change = keep, change
        self._typed_on = TypedOn()
        self.carries = False  # what is typed on comes to the next question

    def lines(self, width: int) -> tuple[Line, ...]:
        """The question, and the keys that answer it where it takes one line."""
        first, *more = wrapped(self.doubt, width, MOST_LINES)
        if more:
            return tuple(((line, "act"),) for line in (first, *more))
        return ((first, "act"),), ((cut(self.under, width), "quiet"),)

    def hints(self) -> list[Hint]:
        """Keep or change; nothing else answers."""
        return [("k", "keep it anyway"), ("n Esc", f"change {self.what}"), *self.number_hints]

    @property
    def carried(self) -> str:
        """A number typed here, meant for a value that is asked after this."""
        return self._typed_on.number.strip()

    @property
    def number_hints(self) -> list[Hint]:
        """That a number waits for the next question, where there may be one."""
        return [(plain(self.carried), "is used next")] if self.carries and self.carried else []

    def typed_on(self, key: str, char: str | None) -> bool:
        """Whether a key belongs to what somebody types on, unaware of the question."""
        return self._typed_on.takes(key, char)

    def key(self, key: str, char: str | None) -> bool:
        """Only k, n and Esc mean anything, so that what is typed on answers nothing.

        ``y`` is for the likely fix everywhere, and there is none here.
        """
        if self.typed_on(key, char):
            return True
        if key == "k":
            self._keep()
        elif key in ("n", "escape"):
            self._change()
        return True


class DoubtedDose(Doubted):
    """A dose far from its plan: ``y`` is the likely fix where there is one, and nothing else.

    ``k`` says that it really went in.
    """

    def __init__(
        self,
        page: Page,
        doubt: str,
        keep: Callable[[], None],
        change: Callable[[], None],
        fix: tuple[str, Callable[[], None]] | None,
        kept: str,
    ) -> None:
        super().__init__(page, doubt, keep, change, "the weight")
        self.under = "Nothing is saved yet."
        self._fix, self._kept_words = fix, kept

    def hints(self) -> list[Hint]:
        """The likely fix first."""
        fix = [] if self._fix is None else [("y", f"it was {self._fix[0]}")]
        return [*fix, ("k", self._kept_words), ("n Esc", "change the weight")]

    def key(self, key: str, char: str | None) -> bool:
        """``y`` takes the fix; all else as any doubt."""
        if not self.typed_on(key, char):
            if key == "y":
                if self._fix is not None:
                    self._fix[1]()
                return True
            return super().key(key, char)
        return True
