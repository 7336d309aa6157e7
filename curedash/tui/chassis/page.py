"""The base of every screen: title, body, two lines and the keys at the foot; keys by registry.

A page names itself (``NAME``), makes its body (:meth:`body`), says what stands in its title and
on its two foot lines, and has a ``do_…`` method for each of its commands. Whatever it changes
goes through :meth:`write`; while that is under way further keys wait in order.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from contextlib import suppress
from time import monotonic
from typing import Any, ClassVar

from textual import events
from textual._styles_cache import StylesCache
from textual.app import ComposeResult
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget

from curedash.domain.errors import CuredashError
from curedash.domain.needs.lot_needs import Need
from curedash.present.words import Line, cells, cut, filled, plain, wrapped
from curedash.services.file.drafts import keep_or_not, set_aside
from curedash.store.rescue import Rescued
from curedash.tui.chassis import background
from curedash.tui.chassis.commands import KEY_WORDS, Command, by_key, footer_of, key_of, of_page
from curedash.tui.chassis.foot_prompt import FootPrompt, Hint
from curedash.tui.chassis.pasted_and_scanned import PASTED, SCANNED, PastedAndScanned
from curedash.tui.chassis.state import House
from curedash.tui.chassis.writer import Job, Order, Waiting, Written
from curedash.tui.widgets.lines import FixedLines

SAVING_SHOWN_AFTER_S = 0.4
SAVING = "saving … (the file or the card is slow)"
REFRESH_AFTER_S = 0.1  # first the row is painted, then its pull window computed
FOOT_LINES = 2  # above the keys, unless what is said takes more
MOST_SAID = 6
FAULT = (
    "Something went wrong inside curedash at that key. What was saved is in the file; the details"
    " are logged when you leave."
)
ONE_PAINT_S = 0.03  # laying out a page anew would paint it three times


class Page(PastedAndScanned, Screen[Any], inherit_bindings=False):
    """One screen of the program."""

    NAME: ClassVar[str] = ""
    AUTO_FOCUS = None
    ALLOW_SELECT = False

    def __init__(self, house: House) -> None:
        super().__init__()
        self.house = house
        self.talking: FootPrompt | None = None
        self.key_taken = ""  # the last one
        self._said: list[Line] = []
        self._commands = by_key(self.NAME)
        self._held: list[tuple[str, str | None]] = []
        self._is_open = False  # drawn, with rows under the cursor
        self._is_left = False
        self._leaves_next = False  # once it is on top again
        self._writing = 0
        self._orders: list[Order] = []  # what is being written
        self._busy = ""  # why a save takes long
        self._if_slow = SAVING
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

    def typed_key(self, key: str, char: str | None) -> None:
        """A key that is not a command (a digit on the Rack starts a weigh-in)."""

    def changed(self, lots: set[int]) -> None:
        """Somebody wrote to the file; these lots at least (none named: readings, needs …)."""

    def minute_passed(self) -> None:
        """The minute that may matter has passed."""

    def shown_again(self) -> None:
        """The page is on top again."""
        self.changed(set())

    def terminal_gone(self, *, may_write: bool = True) -> None:
        """The program ends unasked: what was typed and is not saved is kept.

        In the file, to be offered at the next start; where that takes nothing (or is not to be
        touched: not ``may_write``), as a line of a text file.
        """
        for order in self._orders:
            if order.typed and not order.saved:
                self.set_aside(order.typed)
        talk = self.talking
        if talk is None or (self._orders and all(order.saved for order in self._orders)):
            return
        draft = talk.draft()
        if draft is not None and may_write and self.kept_as_draft(*draft):
            return
        aside = talk.aside()
        if talk.answered and isinstance(aside, str):
            aside = "; ".join((*talk.answered, *([aside] if aside else [])))
        if aside:
            self.set_aside(aside)

    def kept_as_draft(self, name: str, body: dict[str, Any]) -> bool:
        """Whether the file took it."""
        return keep_or_not(self.house.reader, name, body, self.house.now()) is None

    def set_aside(self, aside: Sequence[str] | str) -> None:
        """Words of a command that enters it, or a sentence; nobody can be told if that fails."""
        with suppress(CuredashError):
            set_aside(aside, self.house.db_path, self.house.now())

    # ── layout and drawing ────────────────────────────────────────────────────────────────

    def compose(self) -> ComposeResult:
        """Title, body, foot."""
        yield self.heading
        yield from self.body()
        yield self.foot

    def on_mount(self) -> None:
        """Draw for the first time; then take the keys that were typed before it could be seen."""
        self.draw()
        self.call_after_refresh(self._opened)

    def _opened(self) -> None:
        self._is_open = True
        held, self._held = self._held, []
        for key, char in held:
            self.typed_meanwhile(key, char)

    async def _dispatch_message(self, message: Message) -> None:
        """Whatever reaches the page, also by a timer: a refusal is said and never ends it."""
        try:
            await super()._dispatch_message(message)
        except CuredashError as refusal:
            self.say(str(refusal), "act")

    def on_resize(self) -> None:
        """Draw for the new width."""
        self.draw()

    def on_screen_resume(self) -> None:
        """Coming back to this page."""
        if self.is_mounted:
            self.shown_again()
            self.draw()
            if self._leaves_next:
                self.leave()

    def on_unmount(self) -> None:
        """Let the lines it painted go: the library would keep those of the last thousand pages."""
        StylesCache.get_inner_outer.cache_clear()

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
            lines, hints = [first, *(self._said or rest)], self.talking.hints()
        else:
            lines, hints = [*(self._said or self.idle_lines(width))], self.hints()
        lines += [()] * (FOOT_LINES - len(lines))
        if self._busy:
            lines[-1] = ((cut(self._busy, width), "today"),)
        if self.foot.make_room(len(lines) + 1):
            self.app.delay_update(ONE_PAINT_S)
        self.foot.show(*(filled(line, width) for line in lines), keys_line(hints, width))

    def hints(self) -> list[Hint]:
        """The keys at the foot, from the registry, without those that cannot work now."""
        left_out = self.cannot()
        return [
            (KEY_WORDS.get(c.keys[0], c.keys[0]), c.label)
            for c in footer_of(self.NAME)
            if c.id not in left_out
        ]

    def cannot(self) -> Collection[str]:
        """The commands that have nothing to work on now."""
        return ()

    # ── saying and asking ─────────────────────────────────────────────────────────────────

    def say(self, text: str, tone: str = "") -> None:
        """Put a sentence on the foot lines until the next key, the whole of it."""
        width = self.app.size.width
        self._said = [((line, tone),) for line in wrapped(plain(text), width, MOST_SAID)]
        self.draw_foot()

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

    # ── keys ──────────────────────────────────────────────────────────────────────────────

    def on_key(self, event: events.Key) -> None:
        """Every key that no focused field took."""
        event.stop()
        self.typed_meanwhile(event.key, event.character)

    def take_key(self, key: str, char: str | None) -> None:
        """First the conversation, then the commands, then what the page makes of it."""
        self._said = []
        self.key_taken = key
        if key != self.house.left_by[0]:
            self.house.left_by = ("", 0.0)  # it is held no more
        if self.talking is not None and self.talking.key(key, char):
            self.draw_foot()
            return
        command = self._commands.get(key)
        if command is not None:
            self.run_command(command)
        else:
            self.typed_key(key, char)
        self.draw_foot()

    def rebind(self, commands: dict[str, Command]) -> None:
        """Other keys from now on."""
        self._commands = commands

    def run_command(self, command: Command) -> None:
        """Do a command; a refusal is said, never raised."""
        self.guarded(getattr(self, command.method))

    def guarded(self, do: Callable[[], object]) -> None:
        """Do what a key or a paste starts: a refusal is said, a fault is kept for the log.

        Neither ends the program: what is typed elsewhere stays where it is.
        """
        try:
            do()
        except CuredashError as refusal:
            self.say(str(refusal), "act")
        except Exception as fault:
            if self.app.is_headless:
                raise
            self.house.faults.append(fault)
            self.say(FAULT, "act")

    def show(self, name: str, **given: Any) -> None:
        """Open another page."""
        self.house.navigator.open_page(name, **given)

    def do_keys(self) -> None:
        """Open the Keys screen of this page."""
        self.show("keys", of=self.NAME)

    def do_palette(self) -> None:
        """Open the list of all commands."""
        self.show("palette", of=self)

    def do_backup(self) -> None:
        """A copy of the whole file."""
        self.house.navigator.write_file(self, "back_up")

    def do_restore(self) -> None:
        """The copies there are."""
        self.show("copies")

    def do_calendar(self) -> None:
        """The days to come, for a phone."""
        self.house.navigator.write_file(self, "calendar")

    def do_export(self) -> None:
        """Everything, lossless."""
        self.house.navigator.write_file(self, "export")

    def do_leave(self) -> None:
        """Back to the page below."""
        self.leave()

    def leave(self) -> None:
        """Back to the page below, painted once; a second time, or from the first page, nowhere."""
        stack = self.app.screen_stack
        if self._is_left or self not in stack[1:]:
            return
        if stack[-1] is not self:
            self._leaves_next = True
            return
        self._is_left = True
        self.house.left_by = (self.key_taken, monotonic())
        self.app.delay_update(ONE_PAINT_S)
        self.dismiss()

    # ── writing ───────────────────────────────────────────────────────────────────────────

    def write(
        self,
        job: Job,
        then: Callable[[Any], None],
        failed: Callable[[CuredashError], None] | None = None,
        *,
        typed: str = "",
    ) -> None:
        """Run a changing service in the writer's thread, then ``then`` with what it returned.

        A refusal reaches ``failed``, by default as a sentence on the foot; keys typed meanwhile
        are taken after success and dropped after a refusal. ``typed`` is what the page would no
        longer show, should the program end before it is saved.
        """
        self._writing += 1

        def not_kept(trouble: CuredashError) -> None:
            if isinstance(trouble, Rescued):  # it is stored, if elsewhere: not to be typed again
                self.hush()
                self._refused(trouble)
            else:
                (failed or self._refused)(trouble)

        order = Order(self, job, then, not_kept, typed=typed)
        self._orders.append(order)
        self.house.writer.submit(order)
        self.set_timer(SAVING_SHOWN_AFTER_S, self._still_saving)

    def on_written(self, message: Written) -> None:
        """The writer's answer."""
        touched, there = self._look(), list(self.app.screen_stack)
        if message.quiet and message.unforeseen:
            self._derived_fault(message.unforeseen)
            return
        self.guarded(message.deliver)
        if message.quiet:
            return
        self._writing -= 1
        self._orders.remove(message.order)
        self._busy, self._if_slow = "", SAVING
        held, self._held = self._held, []
        said = self._said
        if touched:
            lots = tuple(touched)
            self.set_timer(REFRESH_AFTER_S, lambda: self.refresh_later(lots))
        self.draw_foot()
        for key, char in held if message.trouble is None else ():
            top = self.app.screen_stack[-1]
            if top is self or (isinstance(top, Page) and top not in there):
                top.typed_meanwhile(key, char)
        self._said_still(said)

    def typed_meanwhile(self, key: str, char: str | None) -> None:
        """A key typed while something was written, here or on the page that opened this one.

        On a page one came back to it would do something else than was meant: it is dropped.
        """
        if self._writing or not self._is_open:
            self._held.append((key, char))
        elif key == PASTED:
            self.guarded(lambda: self.pasted(char or ""))
        elif key == SCANNED:
            self.guarded(lambda: self.scanned(char or ""))
        else:
            self.guarded(lambda: self.take_key(key, char))

    def _said_still(self, said: list[Line]) -> None:
        """What came of it stays until a key that was pressed after it."""
        if said and not self._said and not self._writing and self.talking is None:
            self._said = said
            self.draw_foot()

    def _look(self) -> set[int] | None:
        """Show what the file holds now; one that cannot be read this moment is looked at later."""
        try:
            touched = self.house.look()
            if touched is not None:
                self._changed_here(touched)
        except CuredashError:
            return None
        return touched

    def on_waiting(self, _message: Waiting) -> None:
        """Another program writes; the keys typed meanwhile are kept."""
        self._slow("busy: another program is writing; trying again, what you typed is not lost")

    def refresh_later(self, lots: Iterable[int]) -> None:
        """Compute pull windows of these lots and remember needs, off the paint path."""
        for lot_id in lots:
            self._quietly(background.forecast(lot_id), self._window_computed)
        self._quietly(background.remember, self._looked)

    def _quietly(self, job: Job, then: Callable[[Any], None]) -> None:
        """Write derived data; that it could not be written is not news to anybody."""
        order = Order(self, job, then, lambda _refusal: None, quiet=True)
        self.house.writer.submit(order)

    def refresh_windows(self) -> None:
        """Compute the pull windows that are missing or from an earlier day, lot by lot."""
        self._quietly(background.stale, self.refresh_later)

    def _derived_fault(self, fault: Exception) -> None:
        """What can be computed again must not end the program; the fault is kept for its log."""
        if not self.house.faults:
            self.say("A pull window or need could not be computed; what you saved is there.", "act")
        self.house.faults.append(fault)

    def _looked(self, needs: list[Need]) -> None:
        """Ring, if something is new and ringing was chosen."""
        signs = self.house.notifier.signs(needs)
        driver = self.app._driver  # the library offers a bell, but neither title nor notification
        if signs and driver is not None:
            driver.write(signs)

    def _window_computed(self, lot_ids: set[int]) -> None:
        self._changed_here(lot_ids)

    def _changed_here(self, lots: set[int]) -> None:
        """Show it, and on the page above too: it would keep what was there when it was opened."""
        self.changed(lots)
        top = self.app.screen_stack[-1]
        if top is not self and isinstance(top, Page) and top.is_mounted:
            top.changed(lots)

    def _refused(self, refusal: CuredashError) -> None:
        self.say(str(refusal), "act")

    def _still_saving(self) -> None:
        if not self._busy:
            self._slow(self._if_slow)

    def if_slow(self, words: str) -> None:
        """What to say, should the next thing that is written take long."""
        self._if_slow = words

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
    used = 0
    for key, label in hints:
        text = ("   " if spans else "") + key
        size = cells(text) + 1 + cells(label)
        if used + size > width:
            break
        spans += [(text, "key"), (f" {label}", "quiet")]
        used += size
    return filled(spans, width)
