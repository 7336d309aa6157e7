"""How a page is drawn: title, body, two lines and the keys at the foot."""

from collections.abc import Collection, Iterable
from typing import ClassVar

from textual.app import ComposeResult
from textual.widget import Widget

from curedash.present.signs import key_drawn
from curedash.present.words import Line, cells, cut, filled, plain, wrapped
from curedash.tui.chassis.commands import footer_of, key_of, key_word, of_page
from curedash.tui.chassis.foot_prompt import FootPrompt, Hint
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.textual_inside import MessageScreen, forget_painted_lines
from curedash.tui.widgets.lines import FixedLines

FOOT_LINES = 2  # above the keys, unless what is said takes more
MESSAGE_LINES = 6
GAP = "   "  # between two keys at the foot
ROOMY = 50  # columns from which there are so many
ASKED = 5  # keys of a question, its way out among them
ONE_PAINT_S = 0.03  # laying out a page anew would paint it three times


class DrawnPage(MessageScreen, inherit_bindings=False):
    """A screen of lines: only those that differ are repainted."""

    NAME: ClassVar[str] = ""
    AUTO_FOCUS = None
    ALLOW_SELECT = False

    def __init__(self, house: DashboardState) -> None:
        super().__init__()
        self.house = house
        self.talking: FootPrompt | None = None
        self._said: list[Line] = []
        self._writing = 0  # changes under way
        self._busy = ""  # why a save takes long
        self.heading = FixedLines(house.styles, id="heading")
        self.foot = FixedLines(house.styles, id="foot", lines=FOOT_LINES + 1)

    # ── what a page fills in ──────────────────────────────────────────────────────────────

    def body(self) -> Iterable[Widget]:
        """What stands between title and foot."""
        return ()

    def title_line(self, width: int) -> Line:  # noqa: ARG002
        """The first line."""
        return ((self.NAME.upper(), "title"),)

    def idle_lines(self, width: int) -> tuple[Line, ...]:  # noqa: ARG002
        """The two lines above the keys while nobody types and nothing was said."""
        return (), ()

    # ── layout and drawing ────────────────────────────────────────────────────────────────

    def compose(self) -> ComposeResult:
        """Title, body, foot."""
        yield self.heading
        yield from self.body()
        yield self.foot

    def on_resize(self) -> None:
        """Draw for the new width; a line as wide as before may have been too small to draw."""
        self.query(FixedLines).refresh()
        self.draw()

    def on_unmount(self) -> None:
        """Let the lines it painted go."""
        forget_painted_lines()

    def draw(self) -> None:
        """Title and foot; only lines that differ are repainted."""
        self.draw_heading()
        self.draw_foot()

    def draw_heading(self) -> None:
        """The title alone, where it follows what is in sight."""
        width = self.app.size.width
        self.heading.show(filled(self.title_line(width), width))

    def draw_foot(self) -> None:
        """The two lines and the keys; a sentence that takes more than two gets them."""
        width = self.app.size.width
        if self.talking is not None:
            first, *rest = self.talking.lines(width)
            lines, hints = [first, *(self._said or rest)], self.talking.hints_with_leaving()
        else:
            lines, hints = [*(self._said or self.idle_lines(width))], self.hints()
        lines += [()] * (FOOT_LINES - len(lines))
        if self._busy:
            lines[-1] = ((cut(self._busy, width), "today"),)
        if self.foot.make_room(len(lines) + 1):
            self.app.delay_update(ONE_PAINT_S)
        self.foot.show(*(filled(line, width) for line in lines), keys_line(hints, width))

    def hints_now(self) -> list[Hint]:
        """The keys at the foot, those of a question before those of the page."""
        return self.talking.hints_with_leaving() if self.talking is not None else self.hints()

    def hints(self) -> list[Hint]:
        """The keys at the foot, from the registry, without those that cannot work now."""
        left_out = self.cannot()
        return [
            (key_word(c.keys[0]), c.label) for c in footer_of(self.NAME) if c.id not in left_out
        ]

    def cannot(self) -> Collection[str]:
        """The commands that have nothing to work on now."""
        return ()

    # ── saying and asking ─────────────────────────────────────────────────────────────────

    def show_message(self, text: str, tone: str = "") -> None:
        """Put a sentence on the foot lines until the next key, the whole of it."""
        width = self.app.size.width
        self._said = [((line, tone),) for line in wrapped(plain(text), width, MESSAGE_LINES)]
        self.draw_foot()

    def done(self, said: str, *more: str) -> None:
        """Say what was done, which key takes it back, and what else there is to say."""
        self.show_message(" ".join((said, f"{self.undo_key} undoes it.", *more)), "good")

    def clear_message(self) -> None:
        """What was said has been read."""
        self._said = []

    @property
    def undo_key(self) -> str:
        """The key that takes back what was done on this page, for a sentence that names it."""
        known = {command.id for command in of_page(self.NAME)}
        own = next((c for c in (f"{self.NAME}.undo", f"{self.NAME}.back") if c in known), None)
        return key_of(own or "rack.undo")

    def talk(self, talk: FootPrompt) -> None:
        """Start a conversation on the foot lines."""
        self.talking, self._said = talk, []
        self.draw_foot()

    def hush(self) -> None:
        """End the conversation."""
        self.talking = None
        self.draw_foot()

    def busy(self, words: str) -> None:
        """Say what takes long, until it is through."""
        self._slow(words)

    def _slow(self, words: str) -> None:
        """Say on the second foot line that a save is still under way, if one is."""
        if self._writing:
            self._busy = words
            self.draw_foot()


def keys_line(hints: list[Hint], width: int) -> Line:
    """Keys and what they do on one line; what does not fit is left out."""
    spans: list[tuple[str, str]] = []
    for text, label in keys_shown(hints, width):
        spans += [(text, "key"), (f" {label}", "quiet")]
    return filled(spans, width)


def keys_shown(hints: list[Hint], width: int) -> list[tuple[str, str]]:
    """The keys that fit, each with the blanks before it, and what each does.

    The way out of a question is always among them; what the first key does is cut for it. On a
    phone one blank is enough between the keys of a page, so that the usual ones are all there.

    Example
    -------
    >>> keys_shown([("Enter", "equalise 17 d"), ("1–4", "choose"), ("Esc", "leave")], 31)
    [('Enter', 'equalise 17 d'), ('   Esc', 'leave')]
    """
    hints = [(key_drawn(key), label) for key, label in hints]
    shown: list[tuple[str, str]] = []
    used = 0
    out = next((n for n, (key, _) in enumerate(hints[:ASKED]) if key.endswith("Esc")), -1)
    gap = " " if out < 0 and width < ROOMY else GAP
    room = width if out < 1 else width - len(gap) - cells(" ".join(hints[out]))
    for n, (key, label) in enumerate(hints):
        text = (gap if shown else "") + key
        least = cells(text) + 1
        if n == out:
            room = width
        elif not n and out > 0:
            label = cut(label, max(0, room - least))
        elif used + least + cells(label) > room:
            if n > out:
                break
            continue
        used += least + cells(label)
        shown.append((text, label))
    return shown
