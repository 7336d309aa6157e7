"""Reading keys without waking up ten times a second, and whatever else a terminal sends.

The library's key thread asks for keys every tenth of a second, so that a bare Esc is told from
the beginning of a longer key; while nobody types there is nothing to tell. This one sleeps until
a key comes, ticks for a moment after it, and is woken when the screen is left.

A terminal, a serial line or a paste may send any bytes. What is not a text, an answer to a question
nobody asked, a sequence without end and a paste without end are taken off here (:class:`Typed`),
so that none of them stops the program, acts as keys or holds the keys up.
"""

import os
import re
import selectors
import signal
import time
from codecs import getincrementaldecoder
from collections.abc import Callable, Generator, Iterable
from threading import Event
from typing import Any, cast

from textual import events
from textual.app import App
from textual.constants import ESCAPE_DELAY
from textual.geometry import Offset
from textual.message import Message

from curedash.present.terminal_signals import shortened
from curedash.tui.chassis.textual_inside import FaultsDriver, KeyParser, messages_waiting

TICK_S = 0.1
TICKS_FOR_S = max(3.0, 2 * ESCAPE_DELAY)  # after a key: longer than any wait for the rest

ESC = "\x1b"
BEGINS_LONGER = "[O"  # Esc and one of these begin an arrow, an F-key or an answer of the terminal

PASTE, PASTE_END = "\x1b[200~", "\x1b[201~"
MOST_PASTED = 20_000  # characters that are kept of one paste
PASTE_ENDS_AFTER_S = 2.0  # without a character, should its end never come
WARN_AFTER_S = 0.2  # the keys that came with it are through: the next one takes it away
FLOOD = 512  # so many characters at once, and no Esc, come from a paste and not from fingers
FLOOD_GOES_ON_S = 0.05  # what follows so soon belongs to it
MOST_WAITING = 2000  # keys the pages have not taken yet: nobody typed those
WAYS_OUT = ("ctrl+c", "ctrl+q")
MOST_CELLS = 2000  # columns or lines; more is not a terminal

# ECMA-48, 5.4: CSI, parameters, intermediates, one final byte
_CSI = re.compile(r"\x1b\[([0-?]*)([ -/]*)([@-~])?")
_OPEN_CSI = re.compile(r"\x1b\[[0-?]*[ -/]*\Z")
_LONGEST_CSI = 30
_SIZE = re.compile(r"48;(\d+)[\d:]*;(\d+)")
# ECMA-48, 5.6: control strings (DCS, SOS, OSC, PM, APC) up to their end
_STRING = re.compile(r"\x1b[PX\]^_][^\x1b\a]*(?:\a|\x1b\\)")
_REST_OF_CSI = re.compile(r"[ -?]*[@-~]?")


class EscFirst(KeyParser):
    """Esc and a letter soon after it are Esc, then the letter.

    A terminal sends the same for Alt and the letter; nothing here is bound to that, and Esc typed
    fast would put a letter (or a ¡ for a 1) where it was to leave.
    """

    def key_events(self, sequence: str, alt: bool = False) -> Iterable[events.Key]:
        """What the library makes of a sequence, except of these."""
        first, second = sequence[:1], sequence[1:]
        if len(second) == 1 and first == ESC and _is_own_key(second):
            alt, sequence = True, second
        if alt:  # also where the rest of a longer sequence never came
            yield events.Key("escape", ESC)
        yield from super().key_events(sequence)


def _is_own_key(char: str) -> bool:
    return char == "\r" or (char.isprintable() and char not in BEGINS_LONGER)


TOO_MUCH = "Too many keys came at once; the rest was left out."
NO_TEXT = "The terminal sent something that is not UTF-8 text, shown as �: set it to UTF-8."


class Typed:
    """From the bytes of a terminal to keys and pastes.

    Bytes that are no UTF-8 become replacement signs, one each; :attr:`was_no_text` says so.
    """

    def __init__(self, debug: bool = False) -> None:
        self._debug = debug
        self._parser = EscFirst(debug)
        self._decoder = getincrementaldecoder("utf-8")("replace")
        self._pasted: list[str] | None = None  # what came of a paste that has not ended
        self._pasted_cells = 0
        self._end_of_paste = ""  # the beginning of its end, perhaps
        self._quiet_since = 0.0
        self._open = ""  # the beginning of a sequence, its rest perhaps in the next bytes
        self._flooded_at = 0.0
        self._in_long = False  # within a sequence longer than any key
        self.was_no_text = False

    def feed(self, data: bytes) -> Iterable[Message]:
        """The keys and pastes in these bytes."""
        self._quiet_since = time.monotonic()
        yield from self._text(self._decoder.decode(data))

    def _text(self, text: str) -> Iterable[Message]:
        self.was_no_text = self.was_no_text or "\N{REPLACEMENT CHARACTER}" in text
        text, self._open = self._open + text, ""
        while text:
            if self._pasted is not None:
                text = yield from self._more_pasted(text)
                continue
            before, begins, text = text.partition(PASTE)
            yield from self._keys(before)
            if begins:
                self._pasted, self._pasted_cells, self._end_of_paste = [], 0, ""

    def tick(self) -> Iterable[Message]:
        """What is due because nothing more came: a bare Esc, a paste without end."""
        quiet_s = time.monotonic() - self._quiet_since
        if quiet_s > ESCAPE_DELAY and self._decoder.getstate()[0]:  # half a character
            yield from self._text(self._decoder.decode(b"", final=True))
            self._decoder.reset()
        if self._pasted is not None:
            if quiet_s > PASTE_ENDS_AFTER_S:
                yield self._paste()
            return
        if self._open and quiet_s > ESCAPE_DELAY:
            text, self._open = self._open, ""
            yield from self._safely(lambda: self._parser.feed(text))
        yield from self._safely(self._parser.tick)

    def _more_pasted(self, text: str) -> Generator[Message, None, str]:
        """Take what belongs to the paste; what comes after its end is left over."""
        assert self._pasted is not None
        inside, ends, rest = (self._end_of_paste + text).partition(PASTE_END)
        self._end_of_paste = ""
        if not ends:
            cut = next(
                (n for n in range(len(PASTE_END) - 1, 0, -1) if inside.endswith(PASTE_END[:n])), 0
            )
            self._end_of_paste = inside[len(inside) - cut :]
            inside = inside[: len(inside) - cut]
        kept = inside[: max(0, MOST_PASTED - self._pasted_cells)]
        self._pasted.append(kept)
        self._pasted_cells += len(kept)
        if ends:
            yield self._paste()
        return rest

    def _paste(self) -> events.Paste:
        text = "".join(self._pasted or ()).replace("\0", "")
        self._pasted = None
        return events.Paste(text)

    def _keys(self, text: str) -> Iterable[Message]:
        """Keys, and answers of the terminal; a flood of characters is a paste."""
        now = time.monotonic()
        goes_on = text and now - self._flooded_at < FLOOD_GOES_ON_S
        if (len(text) >= FLOOD or goes_on) and ESC not in text and not self._in_long:
            self._flooded_at = now
            yield events.Paste(text.replace("\0", ""))
            return
        text = self._without_long(_STRING.sub("", text))
        if (begun := _OPEN_CSI.search(text)) is not None:
            text, self._open = text[: begun.start()], begun.group()
        yield from self._safely(lambda: self._parser.feed(text) if text else ())

    def _without_long(self, text: str) -> str:
        """Take off sequences that are longer than any key, and sizes no terminal has."""
        if self._in_long:
            rest = cast(re.Match[str], _REST_OF_CSI.match(text))
            self._in_long = rest.end() == len(text) and not "@" <= text[-1:] <= "~"
            text = text[rest.end() :]

        def kept(found: re.Match[str]) -> str:
            first, between, final = found.groups()
            if len(first) + len(between) > _LONGEST_CSI:
                self._in_long = final is None and found.end() == len(found.string)
                return ""
            size = _SIZE.match(first) if final == "t" else None
            if size is not None and not all(0 < int(n) <= MOST_CELLS for n in size.groups()):
                return ""
            return found.group()

        return _CSI.sub(kept, text)

    def _safely(self, ask: Callable[[], Iterable[Message]]) -> Iterable[Message]:
        """What the library makes of it; what it cannot read is dropped and it begins anew."""
        try:
            yield from ask()
        except Exception:  # numbers beyond any character, and what else nobody thought of
            self._parser = EscFirst(self._debug)


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


def erases_in_colour(fileno: int) -> bool:
    """Whether the terminal erases cells in the colour of the ground, by what is known of TERM."""
    try:
        import curses
    except ImportError:  # a Python that was built without it
        return False
    try:
        curses.setupterm(None, fileno)
    except curses.error:
        return False
    return curses.tigetflag("bce") == 1 and curses.tigetstr("ech") == b"\x1b[%p1%dX"


class PatientDriver(FaultsDriver):
    """The library's driver with another way to wait for keys."""

    def __init__(self, app: App[Any], **given: Any) -> None:
        super().__init__(app, **given)
        self.program, self.debugs = app, bool(given.get("debug"))
        self.exit_event = Waking()
        # Ctrl-Z while the terminal is not (or no longer) ours would stop a program that others
        # may wait for
        signal.signal(signal.SIGTSTP, signal.SIG_IGN)
        self._said: set[str] = set()
        self._erases = erases_in_colour(self.fileno)

    def write(self, data: str) -> None:
        """Send what is painted, in fewer bytes where the terminal erases in colour."""
        super().write(shortened(data) if self._erases else data)

    def run_input_thread(self) -> None:
        """Pass keys on until the screen is left."""
        waking = cast(Waking, self.exit_event)
        typed = Typed(self.debugs)
        tick_until = time.monotonic() + TICKS_FOR_S
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            selector.register(waking.read_end, selectors.EVENT_READ)
            while not waking.is_set():
                wait_s = TICK_S if time.monotonic() < tick_until else None
                ready = [key.fd for key, _ in selector.select(wait_s)]
                if self.fileno in ready:
                    tick_until = time.monotonic() + TICKS_FOR_S
                    try:
                        data = os.read(self.fileno, 4096)
                    except OSError:  # EIO: hung up
                        data = b""
                    if not data:
                        time.sleep(TICK_S)  # the terminal has gone; whoever looks after it ends us
                    self._pass_on(typed.feed(data))
                self._pass_on(typed.tick())
                if typed.was_no_text:
                    self._tell_once(NO_TEXT)

    def _pass_on(self, came: Iterable[Message]) -> None:
        """Give it to the program; of a flood only the ways out."""
        for event in came:
            if isinstance(event, events.MouseEvent):
                self._point(event)
                continue
            typed = isinstance(event, (events.Key, events.Paste))
            flood = typed and messages_waiting(self.program) > MOST_WAITING
            if flood and getattr(event, "key", "") not in WAYS_OUT:
                self._tell_once(TOO_MUCH)
            else:
                self.process_message(event)

    def _point(self, event: events.MouseEvent) -> None:
        """A click or the wheel for the program, where somebody asked for a mouse."""
        pointed = getattr(self.program, "pointed", None)
        if not self.has_mouse or pointed is None:
            return
        wheel = {events.MouseScrollUp: -1, events.MouseScrollDown: 1}.get(type(event), 0)
        if wheel or (isinstance(event, events.MouseDown) and event.button == 1):
            at = Offset(int(event.screen_x), int(event.screen_y))
            self.program.call_later(pointed, at, wheel)

    def _tell_once(self, sentence: str) -> None:
        """On the page on top, each sentence once."""
        tell = getattr(self.program, "tell", None)
        if tell is not None and sentence not in self._said:
            self._said.add(sentence)
            self.program.call_later(self.program.set_timer, WARN_AFTER_S, lambda: tell(sentence))
