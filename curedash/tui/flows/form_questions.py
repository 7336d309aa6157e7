"""What the form of a new batch asks at its foot: a style nobody knows, another form half-typed."""

from collections.abc import Callable
from datetime import tzinfo

from curedash.domain.wording import listed
from curedash.present.dosing.form.batch_doubts import NumberAsName
from curedash.present.dosing.form.batch_field import Option
from curedash.present.words import Line, cut, moment_words, plain, wrapped
from curedash.services.file import drafts
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.prompt import Because, PagePrompt


class NewStyle(PagePrompt):
    """A style nobody knows: a slip of the finger, or one of one's own?"""

    def __init__(
        self,
        page: Page,
        typed: str,
        near: list[Option],
        keep: Callable[[], None],
        take: Callable[[str], None],
        again: Callable[[], None],
    ) -> None:
        super().__init__(page)
        self._again = again
        self._typed, self._near, self._keep, self._take = typed, near, keep, take

    def lines(self, width: int) -> tuple[Line, ...]:
        """That there is none of this name, and those that are near."""
        words = f"There is no style “{plain(self._typed)}”."
        if self._near:
            near = listed((plain(_both(one)) for one in self._near), "or")
            words = f"{words} Did you mean {near}?"
        own = "A style of your own starts at 30–40 % loss and no curing salt."
        asked = [((line, "act"),) for line in wrapped(words, width)]
        return *asked, *(((line, "quiet"),) for line in wrapped(own, width))

    def hints(self) -> list[Hint]:
        """``y`` takes what was meant; a style is made with ``k`` alone."""
        found: list[Hint] = [("k", "a style of your own"), ("n", "type it again")]
        return [("y", f"take {plain(self._near[0][0])}"), *found] if self._near else found

    def key(self, key: str, char: str | None) -> bool:  # noqa: ARG002
        """One key decides; Enter and what is typed on answer nothing."""
        likely = key in ("y", "f5") and bool(self._near)
        if likely or key in ("k", "n", "escape"):
            self.page.hush()
        if likely:
            self._take(self._near[0][0])
        elif key == "k":
            self._keep()
        elif key in ("n", "escape"):
            self._again()
        return True


class NumberName(PagePrompt):
    """A number where a name belongs: is it one, or does it belong elsewhere?"""

    def __init__(
        self,
        page: Page,
        doubt: NumberAsName,
        touched: dict[str, str],
        go_on: Callable[[], None],
        again: Callable[[], None],
    ) -> None:
        super().__init__(page)
        self._doubt, self._touched = doubt, touched
        self._go_on, self._again = go_on, again

    def lines(self, width: int) -> tuple[Line, ...]:
        """The question, and where else it would go."""
        asked = [((line, "act"),) for line in wrapped(self._doubt.question, width)]
        return *asked, *(((line, "quiet"),) for line in wrapped(self._doubt.way_out, width))

    def hints(self) -> list[Hint]:
        """Enter answers nothing."""
        return [("k", "it is the name"), ("n", "type it again")]

    def key(self, key: str, char: str | None) -> bool:  # noqa: ARG002
        """One key decides; what is typed on answers nothing."""
        if key in ("k", "n", "escape"):
            self.page.hush()
            self._touched.update(self._doubt.meant if key == "k" else {})
            (self._go_on if key == "k" else self._again)()
        return True


class MakeAgain(PagePrompt):
    """A half-typed form lies here while another is begun: which of them goes on."""

    def __init__(
        self, page: Page, draft: drafts.Draft, take_up: Callable[[drafts.Draft], None]
    ) -> None:
        super().__init__(page)
        self._draft, self._take_up = draft, take_up

    def lines(self, width: int) -> tuple[Line, Line]:
        """What is kept, from when; and what happens to it."""
        kept = kept_words(self._draft, self.page.house.zone)
        return ((cut(f"{kept}. Delete it?", width), "strong"),), (
            ("Only one unfinished form can be saved.", "quiet"),
        )

    def hints(self) -> list[Hint]:
        """Nothing is overwritten without a ``y``."""
        return [("y", "delete it"), ("n", "go on with it instead"), ("Esc", "leave")]

    def key(self, key: str, char: str | None) -> bool:  # noqa: ARG002
        """One key decides."""
        if key in ("y", "n", "escape", "q"):
            self.page.hush()
        if key == "n":
            self._take_up(self._draft)
        elif key in ("escape", "q"):
            self.page.leave()
        return True


class WhySo(Because):
    """What is asked before a dose is saved: ``y`` takes the usual, ``k`` keeps it with a reason."""

    def __init__(
        self,
        page: Page,
        asked: str,
        usual: str,
        then: Callable[[str], str | None],
        take: Callable[[], None],
    ) -> None:
        super().__init__(page, asked, "reason", then)
        self._usual, self._take = usual, take
        self._in_doubt = bool(usual)  # until k: letters answer, they are no reason yet
        self._question = asked

    def lines(self, width: int) -> tuple[Line, ...]:
        """The question alone, then with the reason that is typed."""
        if not self._in_doubt:
            return super().lines(width)
        return tuple(((line, "act"),) for line in wrapped(plain(self._question), width))

    def hints(self) -> list[Hint]:
        """Neither ``y`` nor Enter accepts what is in doubt."""
        if not self._in_doubt:
            return [("Enter", "keep it, with the reason"), ("Esc", "change it")]
        keep = ("k", "keep it, with a reason")
        return [("y", f"take {self._usual}"), keep, ("Esc", "change it")]

    def key(self, key: str, char: str | None) -> bool:
        """``y`` takes the usual, ``k`` asks for the reason; then everything is the reason."""
        if self._usual and (key == "f5" or (self._in_doubt and key == "y")):
            self.page.hush()
            self._take()
            return True
        if self._in_doubt and key not in ("escape", "n"):
            self._in_doubt = key != "k"
            self.page.draw_foot()
            return True
        return super().key("escape" if self._in_doubt else key, None if self._in_doubt else char)


def _both(style: Option) -> str:
    """A style by its id and its words: ``coppa (collar)``."""
    return style[1] if style[0] in style[1].casefold() else f"{style[0]} ({style[1]})"


def kept_words(draft: drafts.Draft, zone: tzinfo) -> str:
    """What a half-typed form was called, and when it was left."""
    touched = draft.body.get("touched")
    name = plain(str(touched.get("name", ""))) if isinstance(touched, dict) else ""
    what = f"“{name}”, unfinished," if name else "An unfinished batch"
    return f"{what} is saved from {moment_words(draft.at, zone)}"
