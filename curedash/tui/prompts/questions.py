"""What a conversation can ask: a text, a choice, a reason; and a change to save between them."""

from collections.abc import Callable, Generator, Sequence
from typing import Any, Concatenate, ParamSpec, TypeVar

from curedash.domain.record import record, replace
from curedash.domain.weighing.doubts import Doubt
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis.writer import Job

P = ParamSpec("P")
T = TypeVar("T")


@record
class Text:
    """A line of text; ``read`` turns it into the answer or refuses it with a sentence."""

    question: str
    read: Callable[[str], Any]
    help: str = ""
    echo: Callable[[Any], str] | None = None  # what the answer means, shown while it is typed
    text: str = ""
    doubt: Callable[[Any], Doubt | str | None] | None = None  # a question about the answer
    what: str = "it"  # what n changes then


@record
class Choice:
    """One of a few by its number; Enter takes the usual one, if there is one.

    With ``True`` as its one answer it is a question, not a list: ``y``, or nothing. A digit never
    answers it, that may be meant for the weight before it.
    """

    question: str
    options: tuple[tuple[Any, str], ...]  # answer, words
    usual: int | None = None
    help: str = ""
    grave: tuple[Any, ...] = ()  # answers that Enter never takes, not even when one comes back

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


@record
class Why:
    """A rule is used against it: the answer is a few words why it is done all the same."""

    against: str

    @property
    def question(self) -> str:
        """What makes it the same question."""
        return self.against


Step = Text | Choice | Why | Save
Steps = Generator[Step, Any, Any]
NOTHING = "nothing was changed"


def save(
    change: Callable[Concatenate[Connection, By, P], Any], *given: P.args, **more: P.kwargs
) -> Save:
    """A change by a service that asks nothing."""
    return Save(lambda _: lambda conn, by: change(conn, by, *given, **more))


def save_or_doubt(
    change: Callable[..., Any], *given: Any, yes: str = "keep_doubtful", **more: Any
) -> Save:
    """A change by a service that asks about what is odd; with ``yes`` it is made all the same."""
    return Save(
        lambda said: lambda conn, by: change(conn, by, *given, **more, **{yes: said is not None})
    )


def save_with(change: Callable[..., Any], row_id: int, what: Any) -> Save:
    """The same, where the field ``keep_doubtful`` of the service's record says yes."""
    return Save(
        lambda said: (
            lambda conn, by: change(conn, by, row_id, replace(what, keep_doubtful=said is not None))
        )
    )


def or_none(read: Callable[[str], T]) -> Callable[[str], T | None]:
    """A value, or nothing where Enter alone was pressed."""
    return lambda text: read(text) if text else None


def if_any(echo: Callable[[Any], str]) -> Callable[[Any], str]:
    """Echo a value that is there."""
    return lambda value: "" if value is None else echo(value)


def picks(options: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Options that are their own words."""
    return tuple((option, option) for option in options)
