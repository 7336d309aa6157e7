"""The program around the pages: opening, the look, watching the file and the terminal."""

import asyncio
import gc
import os
import signal
import sys
import threading
from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Offset
from textual.screen import Screen

from curedash.domain.errors import CuredashError, UsageError
from curedash.services.household.first_start import is_first_start
from curedash.store.file_trouble import why_read_only
from curedash.tui.chassis import apply_preferences as person
from curedash.tui.chassis.caret import Caret
from curedash.tui.chassis.commands import SCREENS, key_of
from curedash.tui.chassis.drawn_page import ONE_PAINT_S
from curedash.tui.chassis.page import Page
from curedash.tui.chassis.pasted_and_scanned import SCANNED
from curedash.tui.chassis.scanner import Scanner
from curedash.tui.chassis.state import DashboardState
from curedash.tui.chassis.textual_inside import FaultsApp, use_mouse
from curedash.tui.chassis.theme import themes

if TYPE_CHECKING:
    from curedash.feeds.scale import ScaleFeed
    from curedash.tui.chassis.daily_check import DailyCheck

LOOK_EVERY_S = 1.0
WAYS_OUT = ("ctrl+q", "ctrl+c", "ctrl+z")  # bound to the program, not to a page
MINUTE_LOOKS = 60  # looks between two minutes that may matter
LAST_SAVE_S = 1.5  # a save that waits for another program gets so long
LAST_WORD_S = 4.0
EXIT_TERMINAL_GONE, EXIT_TERMINATED, EXIT_INTERRUPTED = 129, 143, 130


def make_page(name: str, house: DashboardState, **given: Any) -> Page:
    """The page with this name; its module is loaded when first asked for."""
    module, _, kind = SCREENS[name].partition(":")
    page: Page = getattr(import_module(module), kind)(house, **given)
    return page


class Dashboard(FaultsApp, inherit_bindings=False):
    """One household file on the screen."""

    ENABLE_COMMAND_PALETTE = False
    CSS_PATH = "chassis/page.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "leave(0)", show=False, priority=True),
        Binding("ctrl+z", "stop_here", show=False, priority=True),
        Binding("ctrl+c", f"leave({EXIT_INTERRUPTED})", show=False, priority=True),
    ]

    def __init__(self, house: DashboardState) -> None:
        super().__init__(ansi_color=None)
        self.house = house
        house.navigator = self
        self.fault: Exception | None = None
        self.next_file: str | None = None
        self._looks = 0
        self._last = threading.RLock()
        self._drafts_kept = False
        self._daily_check: DailyCheck | None = None
        self.scale: ScaleFeed | None = None
        self.scanner = Scanner(self._scanned, self._typed, self.call_later)
        self._terminal = _terminal()
        self.animation_level = "none"
        self.caret = Caret(self)
        for theme in themes():
            self.register_theme(theme)
        self.theme = house.theme

    def get_default_screen(self) -> Page:
        """The Rack is the first screen, painted once."""
        self.delay_update(ONE_PAINT_S)
        return make_page("rack", self.house)

    def on_mount(self) -> None:
        """Start watching once the first screen stands."""
        self.house.writer.start()
        self.house.listen()
        if os.environ.get("CUREDASH_SCALE"):
            self.call_after_refresh(self._read_the_scale)
        self._look_again()
        self.call_after_refresh(self._offer)

    def _read_the_scale(self) -> None:
        """What settles on the scale goes into the weigh-in that is open."""
        from curedash.tui.chassis.scale import start

        self.scale = start(lambda grams: self.call_later(self._weighed, grams), self.tell)

    def _weighed(self, grams: float) -> None:
        page = self.screen_stack[-1] if self.screen_stack else None
        if isinstance(page, Page) and page.talking is not None:
            page.talking.weighed(grams)
            page.draw_foot()

    def on_unmount(self) -> None:
        """Leave the scale to the file opened next: of two readers each gets only some lines."""
        if self.scale is not None:
            self.scale.stop()

    def _offer(self) -> None:
        """What was half typed when the terminal went away."""
        from curedash.tui.flows.draft_resume import offer
        from curedash.tui.screens.rack import Rack

        page = self.screen_stack[0]
        if not isinstance(page, Rack) or page.talking is not None:
            return
        try:
            first = self.house.read(is_first_start)
        except CuredashError:
            return  # said by the look that follows
        cannot = self.house.read(why_read_only, self.house.db_path)
        if cannot is not None:
            page.show_message(f"{cannot}.", "act")
            return
        if first:
            page.show("first_start")
        else:
            offer(page, page.take_up)
        if self.house.view_troubles:
            page.show_message(self.house.view_troubles[0], "today")

    def _look_after_the_file(self) -> None:
        """Quick check and daily copy, in a thread, once the screen stands and on each new day."""
        if self._daily_check is None:
            from curedash.tui.chassis.daily_check import DailyCheck

            self._daily_check = DailyCheck(self.house.db_path, self.house.now, self.tell)
        self._daily_check.look(self.house.today())

    def tell(self, sentence: str) -> None:
        """A sentence from another thread, on the page that is on top."""
        self.call_later(lambda: self._top(lambda page: page.show_message(sentence, "act")))

    def _top(self, do: Callable[[Page], None]) -> None:
        page = self.screen_stack[-1] if self.screen_stack else None
        if isinstance(page, Page):
            do(page)

    def _look_again(self) -> None:
        """A bare timer of the event loop: the library's own would cost ten times as much."""
        asyncio.get_running_loop().call_later(LOOK_EVERY_S, self._look)

    async def on_event(self, event: events.Event) -> None:
        """Give a key straight to the page: typed fast, it never reaches the page it just left."""
        if isinstance(event, events.Resize):  # laid out anew it would be painted three times
            self.delay_update(ONE_PAINT_S)
        if isinstance(event, events.Key) and not event.is_forwarded and event.key not in WAYS_OUT:
            page = self.screen_stack[-1] if self.screen_stack else None
            if isinstance(page, Page) and page.focused is None:
                if not self.scanner.takes(event):
                    page.on_key(event)
                return
        await super().on_event(event)

    def _typed(self, key: events.Key) -> None:
        self._top(lambda page: page.on_key(key))

    def _scanned(self, code: str) -> None:
        self._top(lambda page: page.typed_meanwhile(SCANNED, code))

    # ── what pages ask of it: it alone knows all of them ──────────────────────────────────

    def open_page(self, name: str, **given: Any) -> None:
        """Put the page with this name on top, painted once."""
        page = make_page(name, self.house, **given)
        self.delay_update(ONE_PAINT_S)
        self.push_screen(page)

    def open_instead(self, name: str, **given: Any) -> None:
        """Put the page with this name in the place of the one on top."""
        page = make_page(name, self.house, **given)
        self.delay_update(ONE_PAINT_S)
        self.switch_screen(page)

    def write_file(self, page: Screen[Any], kind: str) -> None:
        """Ask on a page where a copy, a calendar or an export goes; write it there."""
        from curedash.tui.flows import export_flow
        from curedash.tui.prompts.converse import converse

        flows = {
            "back_up": export_flow.back_up,
            "calendar": export_flow.calendar,
            "export": export_flow.export,
        }
        if isinstance(page, Page):
            converse(page, lambda: flows[kind](page), export_flow.NOTHING)

    def open_file(self, path: str) -> None:
        """Go on with another file once this one is closed."""
        self.next_file = path
        self.exit(0)

    def look_like(self, theme: str | None) -> None:
        """Change the look at once, on every page that is open."""
        self.house.look_like(theme)
        self.theme = self.house.theme
        for page in self.screen_stack:
            page.refresh(layout=True)
            for widget in page.query("*"):
                widget.refresh()

    def use_mouse(self, *, on: bool) -> None:
        """Take clicks and the wheel from now on, or leave the mouse to the terminal."""
        use_mouse(self, on=on)

    def pointed(self, at: Offset, wheel: int) -> None:
        """A click, or the wheel by one up or down, on the page on top."""
        from curedash.tui.prompts.pointer import pressed, scrolled

        if wheel:
            self._top(lambda page: page.guarded(lambda: scrolled(page, at, wheel)))
        else:
            self._top(lambda page: page.guarded(lambda: pressed(page, at)))

    def action_stop_here(self) -> None:
        """Say that it cannot be put aside: a stopped program could hold the file for others."""
        leave = key_of("rack.leave")
        self._top(
            lambda page: page.show_message(
                f"Ctrl-Z does not work here; {leave} on the Rack leaves, what is saved stays.",
                "today",
            )
        )

    def action_leave(self, code: int) -> None:
        """Leave in order; what is half typed is offered at the next start."""
        self._keep_drafts()
        self.exit(code)

    def _look(self) -> None:
        """Has the terminal gone, has somebody written, has the minute passed?"""
        if not self.is_running:
            return
        self._look_again()
        if self._terminal is not None and not os.isatty(self._terminal):
            self.last_words(EXIT_TERMINAL_GONE)
        page = self.screen_stack[-1] if self.screen_stack else None
        self._looks += 1
        if not isinstance(page, Page):
            return
        self._look_after_the_file()
        try:
            touched = self.house.look()
            if touched is not None:
                page.changed(touched)
            elif self._looks % MINUTE_LOOKS == 0:
                page.minute_passed()
                page.refresh_later(())
        except CuredashError as trouble:
            if page.talking is None:  # a question keeps its words; a save says what came of it
                page.show_message(str(trouble), "act")

    def last_words(self, code: int) -> None:
        """The terminal is gone: keep drafts, close the file, end the process."""
        self._keep_drafts()
        self.house.close()
        os._exit(code)

    def terminated(self, code: int) -> None:
        """Asked to end: in order, and by force should nothing come of it (a stuck terminal)."""
        end = threading.Timer(LAST_WORD_S, self._by_force, (code,))
        end.daemon = True
        end.start()
        self.call_later(self._leave_in_order, code)

    def _leave_in_order(self, code: int) -> None:
        self._keep_drafts()
        self.exit(code)

    def _keep_drafts(self, *, may_write: bool = True) -> None:
        """Finish what is being saved, or give it up; then keep what was typed. Once."""
        with self._last:
            if self._drafts_kept:
                return
            self._drafts_kept = True
            self.house.writer.close(LAST_SAVE_S)
            for page in self.screen_stack:
                if isinstance(page, Page):
                    page.terminal_gone(may_write=may_write)

    def _by_force(self, code: int) -> None:
        self._keep_drafts(may_write=False)  # the connection is another thread's
        os._exit(code)

    def take_fault(self, error: Exception) -> None:
        """Keep the fault for the caller, who words it; no trace reaches the screen.

        A refusal that a timer met is said on the page on top.
        """
        if isinstance(error, CuredashError):
            self._top(lambda page: page.show_message(str(error), "act"))
            return
        if self.is_headless:
            super().take_fault(error)
            return
        if self.fault is None:
            self._keep_drafts()
        self.fault = self.fault or error
        self.end_with(70)


def _terminal() -> int | None:
    """The terminal to watch, None when there is none (tests, a pipe)."""
    try:
        number = (sys.__stdin__ or sys.stdin).fileno()
    except (OSError, ValueError, AttributeError):
        return None
    return number if os.isatty(number) else None


NOT_HERE = (
    "The dashboard needs a terminal that can place its cursor, and {why}; 'curedash lots' prints"
    " the Rack, 'curedash --help' lists the commands."
)
CANNOT_PLACE = ("", "dumb", "unknown")


def require_terminal() -> None:
    """Refuse to start where nothing could be typed or drawn.

    Raises
    ------
    UsageError : there is no terminal to read from or to draw on, or TERM says it draws nothing
    """
    for stream, what in ((sys.__stdin__, "input"), (sys.__stderr__, "error output")):
        try:
            there = stream is not None and os.isatty(stream.fileno())
        except (OSError, ValueError):
            there = False
        if not there:
            raise UsageError(NOT_HERE.format(why=f"standard {what} is not one"))
    term = os.environ.get("TERM", "")
    if term in CANNOT_PLACE:
        why = f"TERM is “{term}”" if term else "TERM is not set"
        raise UsageError(NOT_HERE.format(why=why))


def run(db_path: str, now: Callable[[], datetime], *, theme: str | None = None) -> int:
    """Open the dashboard on a file and stay until it is left.

    Parameters
    ----------
    db_path : the household file, made if it is missing
    now : the clock, asked whenever a moment is needed (aware)
    theme : a person's choice of look, None for the usual one

    Returns
    -------
    the exit code

    Raises
    ------
    CuredashError : there is no terminal, or the file cannot be opened; any other fault is raised
        as it is for a trace
    """
    require_terminal()
    view, troubles = person.take()
    house = DashboardState(db_path, now, theme=theme or view.theme, view_troubles=troubles)
    try:
        app = Dashboard(house)
        for number, act in (
            (signal.SIGHUP, lambda *_: app.last_words(EXIT_TERMINAL_GONE)),
            (signal.SIGTERM, lambda *_: app.terminated(EXIT_TERMINATED)),
            (signal.SIGINT, lambda *_: app.terminated(EXIT_INTERRUPTED)),
        ):
            signal.signal(number, act)
        from curedash.tui.chassis.driver import PatientDriver

        app.driver_class = PatientDriver
        gc.freeze()
        code = app.run(mouse=view.mouse == "on")
    finally:
        house.close()
    if app.fault is not None or house.faults:
        raise app.fault or house.faults[0]
    if app.next_file is not None:
        return run(app.next_file, now, theme=theme)
    return code or 0
