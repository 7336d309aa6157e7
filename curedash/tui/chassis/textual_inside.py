"""The private parts of Textual that the program needs, here and nowhere else.

Another version may change them without a word: ``tests/endurance/long_newest.py`` runs what
rests on them against the newest one, and ``tests/architecture/test_private_parts.py`` finds any
that is used elsewhere.
"""

from collections.abc import Iterable
from typing import Any

from textual import events
from textual._styles_cache import StylesCache
from textual._xterm_parser import XTermParser
from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message
from textual.screen import Screen


def write_to_terminal(app: App[Any], sequence: str) -> None:
    """Send a sequence as it is: the library has a bell, but no caret, title or notification."""
    if app._driver is not None:
        app._driver.write(sequence)


def messages_waiting(app: App[Any]) -> int:
    """How many messages the program has not taken yet, keys among them."""
    return app._message_queue.qsize()


def forget_painted_lines() -> None:
    """Let the lines go that pages painted: the library keeps those of the last thousand."""
    StylesCache.get_inner_outer.cache_clear()


class FaultsApp(App[int], inherit_bindings=False):
    """A program that words its own faults."""

    def take_fault(self, error: Exception) -> None:
        """What to do with a fault; the library prints its trace and ends."""
        super()._handle_exception(error)

    def _handle_exception(self, error: Exception) -> None:
        self.take_fault(error)

    def end_with(self, code: int) -> None:
        """Leave without taking another message, with this exit code."""
        self._return_code = code
        self._close_messages_no_wait()


class MessageScreen(Screen[Any], inherit_bindings=False):
    """A screen that sees every message that reaches it, and draws only while it is on top."""

    def _compositor_refresh(self) -> None:
        """Draw what changed; below another page nothing: coming back all of it is painted.

        The library paints the whole of the page on top anew for each line that changes below it.
        """
        if self.app.screen_stack and self is self.app.screen_stack[-1]:
            super()._compositor_refresh()

    async def take_message(self, message: Message) -> None:
        """What to do with a message; the library calls what handles it."""
        await super()._dispatch_message(message)

    async def _dispatch_message(self, message: Message) -> None:
        await self.take_message(message)


CLICKS = ("?1000", "?1006")  # pressed buttons and the wheel, no motion; places as numbers (SGR)


def use_mouse(app: App[Any], *, on: bool) -> None:
    """Have the terminal report clicks and the wheel, or leave the mouse to it again."""
    if isinstance(app._driver, FaultsDriver):
        app._driver.use_mouse(on=on)


class FaultsDriver(LinuxDriver):
    """A driver whose key thread hands its faults to the program; a mouse only clicks and rolls."""

    @property
    def has_mouse(self) -> bool:
        """Whether the terminal was asked to report the mouse."""
        return bool(self._mouse)

    def use_mouse(self, *, on: bool) -> None:
        """Ask the terminal for it, or no more."""
        if on == self._mouse:
            return
        self._disable_mouse_support()
        self._mouse = on
        self._enable_mouse_support()

    def _enable_mouse_support(self) -> None:
        self._ask_for_mouse("h")

    def _disable_mouse_support(self) -> None:
        self._ask_for_mouse("l")

    def _enable_mouse_pixels(self) -> None:
        """Never: a place is a cell."""

    def _ask_for_mouse(self, end: str) -> None:
        if self._mouse:
            self.write("".join(f"\x1b[{mode}{end}" for mode in CLICKS))
            self.flush()

    def _run_input_thread(self) -> None:
        """Read keys; a fault ends the program in order, with its trace in the log."""
        try:
            self.run_input_thread()
        except Exception as fault:
            self._app.call_later(self._app._handle_exception, fault)


class KeyParser(XTermParser):
    """From what a terminal sends to keys, with a way to say what a sequence is."""

    def key_events(self, sequence: str, alt: bool = False) -> Iterable[events.Key]:
        """What the library makes of a sequence."""
        return super()._sequence_to_key_events(sequence, alt)

    def _sequence_to_key_events(self, sequence: str, alt: bool = False) -> Iterable[events.Key]:
        return self.key_events(sequence, alt)
