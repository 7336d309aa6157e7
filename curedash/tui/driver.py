"""Reading keys without waking up ten times a second.

The library's key thread asks for keys every tenth of a second, so that a bare Esc is told from
the beginning of a longer key; while nobody types there is nothing to tell. This one sleeps until
a key comes, ticks for a moment after it, and is woken when the screen is left.
"""

import os
import selectors
import time
from codecs import getincrementaldecoder
from collections.abc import Iterable
from threading import Event
from typing import Any, cast

from textual import events
from textual._xterm_parser import XTermParser
from textual.app import App
from textual.constants import ESCAPE_DELAY
from textual.drivers.linux_driver import LinuxDriver

TICK_S = 0.1
TICKS_FOR_S = max(1.0, 2 * ESCAPE_DELAY)  # after a key: longer than the wait for the rest of one

ESC = "\x1b"
BEGINS_LONGER = "[O"  # Esc and one of these begin an arrow, an F-key or an answer of the terminal


class EscFirst(XTermParser):
    """Esc and a letter soon after it are Esc, then the letter.

    A terminal sends the same for Alt and the letter; nothing here is bound to that, and Esc typed
    fast would put a letter (or a ¡ for a 1) where it was to leave.
    """

    def _sequence_to_key_events(self, sequence: str, alt: bool = False) -> Iterable[events.Key]:
        """What the library makes of a sequence, except of these."""
        first, second = sequence[:1], sequence[1:]
        if len(second) == 1 and first == ESC and _is_own_key(second):
            alt, sequence = True, second
        if alt:  # also where the rest of a longer sequence never came
            yield events.Key("escape", ESC)
        yield from super()._sequence_to_key_events(sequence)


def _is_own_key(char: str) -> bool:
    return char == "\r" or (char.isprintable() and char not in BEGINS_LONGER)


class Waking(Event):
    """An event that can be waited for beside a terminal."""

    def __init__(self) -> None:
        super().__init__()
        self.read_end, self._write_end = os.pipe()

    def set(self) -> None:
        """Set it and wake whoever waits at the read end."""
        if not self.is_set():
            super().set()
            os.write(self._write_end, b"\0")

    def clear(self) -> None:
        """Unset it; the next wait is a wait again."""
        if self.is_set():
            os.read(self.read_end, 1)
            super().clear()


class PatientDriver(LinuxDriver):
    """The library's driver with another way to wait for keys."""

    def __init__(self, app: App[Any], **given: Any) -> None:
        super().__init__(app, **given)
        self.exit_event = Waking()

    def run_input_thread(self) -> None:
        """Pass keys on until the screen is left."""
        waking = cast(Waking, self.exit_event)
        parser = EscFirst(self._debug)
        decode = getincrementaldecoder("utf-8")().decode
        tick_until = time.monotonic() + TICKS_FOR_S
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            selector.register(waking.read_end, selectors.EVENT_READ)
            while not waking.is_set():
                wait_s = TICK_S if time.monotonic() < tick_until else None
                ready = [key.fd for key, _ in selector.select(wait_s)]
                if self.fileno in ready:
                    tick_until = time.monotonic() + TICKS_FOR_S
                    typed = os.read(self.fileno, 4096)
                    if not typed:
                        time.sleep(TICK_S)  # the terminal has gone; whoever looks after it ends us
                    else:
                        for event in parser.feed(decode(typed)):
                            self.process_message(event)
                for event in parser.tick():
                    self.process_message(event)
