"""What the form of a new batch asks at its foot: a style nobody knows, another form half-typed."""

from collections.abc import Callable
from datetime import datetime, tzinfo

from curedash.domain.wording import listed
from curedash.present.dosing.form.batch_doubts import COARSE, CoarseDose, NumberAsName
from curedash.present.dosing.form.batch_field import Option
from curedash.present.dosing.taken_in import was_earlier
from curedash.present.words import Line, moment_words, plain, wrapped
from curedash.services.file import drafts
from curedash.tui.chassis.foot_prompt import Hint
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.prompt import Because, KeyQuestion, Way


def about_style(
    page: Page,
    typed: str,
    near: list[Option],
    keep: Callable[[], None],
    take: Callable[[str], None],
    again: Callable[[], None],
) -> KeyQuestion:
    """A style nobody knows: a slip of the finger, or one of one's own?"""
    words, likely = f"There is no style “{plain(typed)}”.", list[Way]()
    if near:
        first = near[0][0]
        words = f"{words} Did you mean {listed((plain(_both(one)) for one in near), 'or')}?"
        likely = [Way(("y", "f5"), ("y", f"take {plain(first)}"), lambda: take(first))]
    own = "A style of your own starts at 30–40 % loss and no curing salt."
    ways = (
        *likely,
        Way(("k",), ("k", "a style of your own"), keep),
        Way(("n", "escape"), ("n", "type it again"), again),
    )
    return KeyQuestion(page, ((words, "act"), (own, "quiet")), ways)


def about_number(
    page: Page,
    doubt: NumberAsName,
    touched: dict[str, str],
    go_on: Callable[[], None],
    again: Callable[[], None],
) -> KeyQuestion:
    """A number in a field of words: the name is really that, or it was meant for another field."""

    def keep() -> None:
        touched.update(doubt.meant)
        go_on()

    ways = (
        Way(("k",), ("k", "it is the name"), keep),
        Way(("n", "escape"), ("n", "type it again"), again),
    )
    return KeyQuestion(page, ((doubt.question, "act"), (doubt.way_out, "quiet")), ways)


def about_scale(
    page: Page,
    doubt: CoarseDose,
    touched: dict[str, str],
    go_on: Callable[[], None],
    premix: Callable[[], None],
    again: Callable[[], None],
) -> KeyQuestion:
    """A scale too coarse for the curing salt: another one, a pre-mix, or kept so."""

    def keep() -> None:
        touched[COARSE] = doubt.doses
        go_on()

    more = "No scale was named, so 1 g is assumed." if doubt.assumed else ""
    ways = (
        Way(("n", "escape"), ("n", "type its steps, e.g. 0.1"), again),
        Way(("f8",), ("F8", "a pre-mix"), premix),
        Way(("k",), ("k", "keep these doses"), keep),
    )
    return KeyQuestion(page, ((doubt.question, "act"), (more, "quiet")), ways)


def about_all_in(
    page: Page,
    lines: int,
    mixed_at: datetime | None,
    go_on: Callable[[], None],
    again: Callable[[], None],
) -> KeyQuestion:
    """What is stuffed already holds all that the sheet asks for; it is ticked on that word only.

    Mixed earlier, it counts as stuffed then, and that is said.
    """
    words = f"Stuffed already: did all {lines} lines of its dose sheet go in as planned?"
    more = "If not, leave “weight stuffed” empty: tick the sheet, then weigh it."
    if mixed_at is not None and was_earlier(mixed_at, page.house.now()):
        when = page.house.moment_words(mixed_at)
        more = (
            f"It counts as stuffed when it was mixed, {when}. If not, leave “weight stuffed” empty."
        )
    ways = (
        Way(("y",), ("y", "tick all, save it"), go_on),
        Way(("n", "escape"), ("n", "not yet"), again),
    )
    return KeyQuestion(page, ((words, "strong"), (more, "quiet")), ways)


def about_draft(
    page: Page, draft: drafts.Draft, take_up: Callable[[drafts.Draft], None]
) -> KeyQuestion:
    """Another form is half-typed; only one of them can be saved."""
    words = f"{kept_words(draft, page.house.zone)}. Delete it?"
    ways = (
        Way(("y",), ("y", "delete it"), lambda: None),
        Way(("n",), ("n", "go on with it instead"), lambda: take_up(draft)),
        Way(("escape", "q"), ("Esc", "leave"), page.leave),
    )
    more = "Only one unfinished form can be saved."
    return KeyQuestion(page, ((words, "strong"), (more, "quiet")), ways)


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
