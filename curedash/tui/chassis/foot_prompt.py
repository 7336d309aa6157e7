"""What has the foot lines and the keys of a page first; the prompts are made on it."""

from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any

from curedash.present.words import Line

Hint = tuple[str, str]  # key, what it does
LEAVE_ALL = "ctrl+x"  # Esc goes back one question, this leaves them all


class FootPrompt(ABC):
    """A question on the foot lines; ``page.talk(…)`` puts it there, ``page.hush()`` ends it.

    ``answered`` is what was typed for the questions before it and is not saved yet.
    """

    answered: tuple[str, ...] = ()

    leave_all: Callable[[], None] | None = None  # where Esc only goes back one question

    gives_way = False  # to a scanned tag, while nothing is typed

    @abstractmethod
    def lines(self, width: int) -> tuple[Line, ...]:
        """The lines above the keys: two, or more where a sentence needs them."""

    def hints(self) -> list[Hint]:
        """The keys that mean something now."""
        return [("Enter", "save"), ("Esc", "leave")]

    def hints_with_leaving(self) -> list[Hint]:
        """The same, and the key that leaves several questions at once."""
        return [*self.hints(), *([] if self.leave_all is None else [("^X", "leave")])]

    def take(self, key: str, char: str | None) -> bool:
        """The key that leaves at once; any other goes to the question."""
        if key != LEAVE_ALL or self.leave_all is None:
            return self.key(key, char)
        self.leave_all()
        return True

    @abstractmethod
    def key(self, key: str, char: str | None) -> bool:
        """Take one key; False hands it on to the page's commands."""

    def paste(self, text: str) -> None:  # noqa: B027 - most have nothing to do
        """Take pasted text."""

    def weighed(self, grams_on_it: float) -> None:  # noqa: B027 - most have nothing to do
        """Take a weight from a scale [g]; only a weigh-in does."""

    def draft(self) -> tuple[str, dict[str, Any]] | None:
        """What is half typed, under the name of its draft; kept when the terminal goes away."""
        return None

    def aside(self) -> list[str] | str:
        """The same for a text file: the words of a command that enters it, or a sentence."""
        return ""
