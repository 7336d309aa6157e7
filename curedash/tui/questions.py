"""Several questions one after another on the foot lines, written as one function.

A generator yields a :class:`Text`, a :class:`Choice` or a :class:`Save` and is handed the answer;
Esc at any question ends it and nothing is kept. A :class:`Save` that the services doubt asks
whether to keep it all the same; one they refuse is said and ends it.
"""

from collections.abc import Callable, Generator, Sequence
from typing import Any

from curedash.domain.errors import CuredashError, Doubtful
from curedash.domain.record import record
from curedash.present.words import Line, cells, cut, packed, plain, wrapped
from curedash.tui.page import Page
from curedash.tui.talk import Ask, Because, Hint, Talk
from curedash.tui.writer import Job


@record
class Text:
    """A line of text; ``read`` turns it into the answer or refuses it with a sentence."""

    question: str
    read: Callable[[str], Any]
    help: str = ""
    echo: Callable[[Any], str] | None = None  # what the answer means, shown while it is typed
    text: str = ""


@record
class Choice:
    """One of a few by its number; Enter takes the usual one, if there is one.

    With ``True`` as its one answer it is no list but a question: ``y``, or nothing. A digit never
    answers it, that may be meant for the weight before it.
    """

    question: str
    options: tuple[tuple[Any, str], ...]  # answer, words
    usual: int | None = None
    help: str = ""

    @property
    def yes_or_nothing(self) -> bool:
        """A question, not a list of one."""
        return len(self.options) == 1 and self.options[0][0] is True


@record
class Save:
    """A change to write; the answer is what the service returned.

    ``job`` is asked for the job twice at most: with None, and after a doubt with what the person
    said to it (a note where ``by_note``, else ``yes``).
    """

    job: Callable[[str | None], Job]
    by_note: bool = False


Steps = Generator[Text | Choice | Save, Any, Any]


def converse(page: Page, steps: Steps) -> None:
    """Begin with the first question."""
    Conversation(page, steps).answer(None)


class Conversation:
    """Hands answers to the generator and puts its next question on the foot lines."""

    def __init__(self, page: Page, steps: Steps) -> None:
        self.page = page
        self._steps = steps

    def answer(self, value: Any) -> None:
        """Go on with an answer; a refusal from between the questions ends it with its sentence."""
        try:
            step = self._steps.send(value)
        except StopIteration:
            if isinstance(self.page.talking, (Asked, Picked)):
                self.page.hush()
            return
        except CuredashError as refusal:
            self._end(refusal)
            return
        self._put(step)

    def _put(self, step: Text | Choice | Save) -> None:
        if isinstance(step, Text):
            self.page.talk(Asked(self.page, step, self))
        elif isinstance(step, Choice):
            self.page.talk(Picked(self.page, step, self.answer, self.close))
        else:
            self._save(step, None)

    def _save(self, step: Save, said: str | None) -> None:
        def stopped(refusal: CuredashError) -> None:
            if isinstance(refusal, Doubtful) and said is None:
                self._doubt(step, refusal)
            else:
                self._end(refusal)

        self.page.hush()
        self.page.write(step.job(said), self.answer, stopped)

    def _doubt(self, step: Save, doubt: Doubtful) -> None:
        def again(said: str) -> Any:
            self._save(step, said)
            return None

        if step.by_note:
            self.page.talk(Because(
                self.page, plain(str(doubt)), "do it all the same, because",
                lambda text: again(text) if text else "A few words why, or Esc.", gone=self.close,
            ))  # fmt: skip
            return
        keep = Choice(str(doubt), ((True, "keep it all the same"),))
        self.page.talk(Picked(self.page, keep, lambda _yes: again("yes"), self.close))

    def _end(self, refusal: CuredashError) -> None:
        self.close()
        self.page.hush()
        self.page.say(str(refusal), "act")

    def close(self) -> None:
        """No more questions."""
        self._steps.close()


class Asked(Ask):
    """A line of text whose meaning is echoed while it is typed."""

    def __init__(
        self, page: Page, step: Text, talk: Conversation,
        then: Callable[[Any], None] | None = None,
    ) -> None:  # fmt: skip
        super().__init__(page, plain(step.question), self._take, text=step.text,
                         help=plain(step.help), gone=talk.close)  # fmt: skip
        self.step = step
        self._go = then or talk.answer

    def _take(self, text: str) -> str | None:
        try:
            value = self.step.read(text)
        except CuredashError as unclear:
            return str(unclear)
        self._go(value)
        return None

    def lines(self, width: int) -> tuple[Line, Line]:
        """The question and the text; under it the trouble, the echo or the help."""
        if cells(self.question) > width * 2 // 3:
            self.question = cut(self.question, width * 2 // 3)
        first, second = super().lines(width)
        if self._trouble or not self.typed.text.strip() or self.step.echo is None:
            return first, second
        try:
            return first, (
                (cut(plain(self.step.echo(self.step.read(self.typed.text))), width), ""),
            )
        except CuredashError as unclear:
            return first, ((wrapped(str(unclear), width, 1)[0], "quiet"),)


class Picked(Talk):
    """A few answers by number."""

    def __init__(
        self, page: Page, step: Choice, then: Callable[[Any], None], gone: Callable[[], None]
    ) -> None:
        super().__init__(page)
        self.step, self._then, self._gone = step, then, gone

    def lines(self, width: int) -> tuple[Line, Line]:
        """The question, and the numbered answers; many of them take both lines."""
        question, head = plain(self.step.question), "strong"
        if self.step.yes_or_nothing:
            first, *more = wrapped(question, width)
            second = more[0] if more else plain(self.step.help)
            return ((first, head),), ((cut(second, width), head if more else "quiet"),)
        words = [f"{n} {plain(label)}" for n, (_, label) in enumerate(self.step.options, 1)]
        rows = packed(words, width)
        if len(rows) > 1 and cells(question) + 3 < width // 2:
            return _pair(packed([f"{question}? {words[0]}", *words[1:]], width), width)
        if len(rows) > 1:
            return _pair(rows, width)  # what is asked was seen before; the answers were not
        return ((cut(question, width), head),), ((rows[0], ""),)

    def hints(self) -> list[Hint]:
        """A number, Enter for the usual one, Esc."""
        usual: list[Hint] = []
        if self.step.usual is not None:
            usual = [("Enter", plain(self.step.options[self.step.usual][1]))]
        if self.step.yes_or_nothing:
            return [("y", plain(self.step.options[0][1])), ("n Esc", "leave")]
        last = len(self.step.options)
        numbers = "1" if last == 1 else f"1–{last}"
        return [*usual, (numbers, "choose"), ("Esc", "leave")]

    def key(self, key: str, char: str | None) -> bool:
        """One key decides."""
        number = self._number(key, char)
        if 1 <= number <= len(self.step.options):
            self._then(self.step.options[number - 1][0])
        elif key in ("escape", "q") or (key == "n" and self.step.yes_or_nothing):
            self.page.hush()
            self._gone()
        return True

    def _number(self, key: str, char: str | None) -> int:
        """Which answer a key means, 0 for none."""
        if key == "enter" and self.step.usual is not None:
            return self.step.usual + 1
        if self.step.yes_or_nothing:
            return int(key == "y")
        return int(char) if char is not None and char in "123456789" else 0


def _pair(rows: Sequence[str], width: int) -> tuple[Line, Line]:
    second = rows[1] if len(rows) == 2 else cut("  ".join(rows[1:]), width)
    return ((rows[0], ""),), ((second, ""),)


def picks(options: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Options that are their own words."""
    return tuple((option, option) for option in options)
