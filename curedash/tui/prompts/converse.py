"""Several questions one after another on the foot lines, written as one function.

A generator yields a :class:`Text`, a :class:`Choice` or a :class:`Save` and is handed the answer;
until a Save it changes nothing, so Up and Esc begin it anew and hand it the answers before, and the
last question stands there again with what was answered; Esc at the first question leaves, and
nothing is saved then. What a value raises as a question is asked right at it (``Text.doubt``); what
a Save still doubts or refuses leads back to the last question, with every answer there.
"""

from collections.abc import Callable
from typing import Any

from curedash.domain.errors import Changed, CuredashError, Doubtful, Refused
from curedash.domain.quantity_text import QuantityText
from curedash.domain.record import record, replace
from curedash.domain.weighing.doubts import Doubt
from curedash.present.words import plain
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.prompt import Doubted, PagePrompt
from curedash.tui.prompts.prompt_kinds import Asked, Go, Picked, Slipped, Still, Stopped
from curedash.tui.prompts.questions import NOTHING, Choice, Save, Step, Steps, Text, Why

STILL, WORDS_WANTED = "do it anyway, because", "Say why in a few words, or press Esc."


@record
class Given:
    """A step that was answered: what the generator was handed, and what was typed for it."""

    step: Step
    value: Any
    text: str = ""


Left = str | Callable[[], str]  # what is said on leaving: what was not done, or all of it


def converse(page: Page, begin: Callable[[], Steps], nothing: Left = NOTHING) -> None:
    """Begin with the first question.

    ``begin`` makes the steps, anew each time somebody goes back; ``nothing`` is said on leaving.
    """
    Conversation(page, begin, nothing).begin()


class Conversation:
    """Hands answers to the generator and puts its next question on the foot lines."""

    def __init__(self, page: Page, begin: Callable[[], Steps], nothing: Left = NOTHING) -> None:
        self.page = page
        self._begin, self._nothing = begin, nothing
        self._steps: Steps | None = None
        self._step: Step | None = None  # asked now
        self._talk: PagePrompt | None = None  # the lines it is asked on
        self._given: list[Given] = []
        self._later: dict[int, Given] = {}  # answers to questions somebody went back from
        self._kept: set[str] = set()  # doubts that were answered with yes
        self._seen = page.house.seen  # what the questions rest on
        self._carried = ""  # a number typed at a choice: it waits for the first value asked

    # ── forward ───────────────────────────────────────────────────────────────────────────

    def begin(self) -> None:
        """Put the first question."""
        self._put(self._first())

    def _answer(self, value: Any, text: str = "") -> None:
        assert self._step is not None  # it is being answered
        self._given.append(Given(self._step, value, text))
        self._put(self._next(value))

    def _first(self) -> Step | None:
        self.close()
        self._steps = None
        return self._next(None)

    def _next(self, value: Any) -> Step | None:
        """The step after this answer; a refusal from between the questions is said."""
        try:
            if self._steps is None:
                self._steps = self._begin()
            return self._steps.send(value)
        except StopIteration:
            if self._talk is not None and self.page.talking is self._talk:
                self.page.hush()
        except CuredashError as refusal:
            self._refused(refusal)
        return None

    def _put(self, step: Step | None) -> None:
        if step is None:
            return
        self._step = step
        if isinstance(step, Save):
            self._save(step, None)
            return
        step = self._as_answered(step)
        back = self.back if self._goes_back else None
        if isinstance(step, Text):
            self._show(
                Asked(
                    self.page,
                    step,
                    self._answer,
                    doubted=self._doubt,
                    back=back,
                    gone=self._one_back,
                )
            )
        elif isinstance(step, Choice):
            self._show(Picked(self.page, step, self._picked, back=back, gone=self._leave))
        else:
            self._show(
                Still(self.page, step.against, STILL, self._reason, gone=self._last_question)
            )

    def _picked(self, value: Any) -> None:
        """What was typed beside the answer is meant for a value that follows."""
        if isinstance(self._talk, Picked) and self._talk.carried:
            self._carried = self._talk.carried
        self._answer(value)

    def _reason(self, text: str) -> str | None:
        if not text:
            return WORDS_WANTED
        self._answer(text, text)
        return None

    def _show(self, talk: PagePrompt, *typed: str) -> None:
        self._talk = talk
        talk.leave_all = self._leave if self._goes_back else None
        talk.answered = (*self._typed(), *typed)
        self.page.talk(talk)

    def _typed(self) -> list[str]:
        """What was typed for each question since the last save, with the question."""
        typed: list[str] = []
        for one in self._given:
            if isinstance(one.step, Save):
                typed = []
            elif one.text and isinstance(one.step, Text):
                typed.append(f"{plain(one.step.question)}: {one.text}")
        return typed

    # ── back ──────────────────────────────────────────────────────────────────────────────

    @property
    def _goes_back(self) -> bool:
        """Whether there is a question before; what was saved is never asked anew."""
        return bool(self._given) and not isinstance(self._given[-1].step, Save)

    def back(self) -> None:
        """The question before, with its answer; what is half typed here is kept as well."""
        if isinstance(self._step, Text) and isinstance(self._talk, Asked):
            self._later[len(self._given)] = Given(self._step, None, self._talk.typed.text)
        self._last_question()

    def _one_back(self) -> None:
        """Esc: the question before, with its answer; from the first one leave."""
        if self._goes_back:
            self.back()
        else:
            self._leave()

    def _last_question(self) -> None:
        """The last question that was answered; leave where there was none."""
        if not self._goes_back:
            self._leave()
            return
        last = len(self._given) - 1
        self._later[last] = self._given[last]
        known, self._given = self._given[:last], []
        step = self._first()
        for given in known:
            if step is None or not _same(given.step, step):
                break
            self._given.append(given)
            step = self._next(given.value)
        if isinstance(step, Save):  # the file changed meanwhile: nothing is written unasked
            self._stop(Refused("Something changed meanwhile; begin again."))
        else:
            self._put(step)

    def _as_answered(self, step: Text | Choice | Why) -> Text | Choice | Why:
        """The question with the answer that was given to it before, if it was."""
        later = self._later.get(len(self._given))
        if later is None or not _same(later.step, step):
            return self._with_carried(step)
        if isinstance(step, Text):
            return replace(step, text=later.text)
        if isinstance(step, Why):
            return step
        answers = [answer for answer, _ in step.options]
        if step.yes_or_nothing or later.value not in answers or later.value in step.grave:
            return step
        return replace(step, usual=answers.index(later.value))

    def _with_carried(self, step: Text | Choice | Why) -> Text | Choice | Why:
        """A value nobody typed yet takes the number that was typed at a choice before it."""
        if not isinstance(step, Text) or not self._carried:
            return step
        carried, self._carried = self._carried, ""
        return step if step.text else replace(step, text=carried)

    # ── doubts, saving, refusals ──────────────────────────────────────────────────────────

    def _doubt(self, asked: Asked, doubt: Doubt | str, go: Go) -> None:
        """Ask about a value where it can still be typed again."""
        question = doubt if isinstance(doubt, str) else doubt.question
        fix_g = None if isinstance(doubt, str) else doubt.likely_fix_g

        def keep() -> None:
            self._take_number()
            self._kept.add(_kernel(question))
            go()

        def change() -> None:
            self._take_number()
            asked.again()
            self._show(asked)

        if _kernel(question) in self._kept:
            go()
        elif isinstance(doubt, str) or fix_g is None:
            what = asked.step.what
            self._ask_about(Doubted(self.page, plain(question), keep, change, what), asked)
        else:
            self._ask_about(Slipped(self.page, doubt, fix_g, asked, keep, change), asked)

    def _ask_about(self, doubted: Doubted, asked: Asked) -> None:
        doubted.carries = True
        self._show(doubted, asked.aside())

    def _take_number(self) -> None:
        """What was typed on at a question about a value is meant for a value that follows."""
        if isinstance(self._talk, Doubted) and self._talk.carried:
            self._carried = self._talk.carried

    def _save(self, step: Save, said: str | None) -> None:
        job, seen = step.job(said), self._seen

        def stopped(refusal: CuredashError) -> None:
            if isinstance(refusal, Changed):
                self._changed(step, said, refusal)
            elif isinstance(refusal, Doubtful) and said is None:
                self._doubt_save(step, refusal)
            else:
                self._refused(refusal)

        self.page.hush()
        self.page.write(
            lambda conn, by: job(conn, replace(by, seen=seen)),
            self._answer,
            stopped,
            typed="; ".join(self._typed()),
        )

    def _changed(self, step: Save, said: str | None, changed: Changed) -> None:
        """Somebody else changed the same meanwhile: y does it on what it is now, n goes back."""
        self._seen = self._seen if changed.newest is None else changed.newest
        self._show(
            Doubted(
                self.page,
                plain(str(changed)),
                lambda: self._save(step, said),
                self._last_question,
                "an answer",
            )
        )

    def _doubt_save(self, step: Save, doubt: Doubtful) -> None:
        """What could not be known before; what was kept at its question is not asked again."""

        def again(said: str) -> Any:
            self._save(step, said)
            return None

        if step.by_note:
            self._show(
                Still(
                    self.page,
                    plain(str(doubt)),
                    STILL,
                    lambda text: again(text) if text else WORDS_WANTED,
                    gone=self._last_question,
                )
            )
        elif _kernel(str(doubt)) in self._kept:
            again("yes")
        else:
            self._show(
                Doubted(
                    self.page,
                    plain(str(doubt)),
                    lambda: again("yes"),
                    self._last_question,
                    "an answer",
                )
            )

    def _refused(self, refusal: CuredashError) -> None:
        if self._goes_back:
            self._show(Stopped(self.page, str(refusal), self._last_question, self._leave))
        else:
            self._stop(refusal)

    def _stop(self, refusal: CuredashError) -> None:
        self.close()
        self.page.hush()
        self.page.show_message(str(refusal), "act")

    def _leave(self) -> None:
        """No more questions; say what that means."""
        self.close()
        self.page.hush()
        if not isinstance(self._nothing, str):
            self.page.show_message(self._nothing())
            return
        saved = any(isinstance(given.step, Save) for given in self._given)
        self.page.show_message(
            f"Left; {'what was saved before stays' if saved else self._nothing}."
        )

    def close(self) -> None:
        """No more questions."""
        if self._steps is not None:
            self._steps.close()


def _same(one: Step, other: Step) -> bool:
    """Whether an answer to the one answers the other."""
    if isinstance(one, Save) or isinstance(other, Save):
        return isinstance(one, Save) and isinstance(other, Save)
    return type(one) is type(other) and one.question == other.question


def _kernel(doubt: str) -> str:
    """What is asked, without the lot it is about and whatever its numbers are by now.

    Example
    -------
    >>> from curedash.domain.quantity_text import grams, phrase
    >>> asked = phrase("{gain} heavier?", gain=grams(20))
    >>> _kernel(phrase("{code}: {question}", code="C1", question=asked))
    '{gain} heavier?'
    """
    if not isinstance(doubt, QuantityText):
        return doubt
    inner = doubt.parts.get("question")
    return _kernel(inner) if isinstance(inner, str) else doubt.template
