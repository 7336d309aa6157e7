"""A scale that writes lines to a serial port or a pipe: its weight once it has settled.

Line forms of laboratory and counter scales (common practice, written from memory): an optional
head that tells steady from moving (``ST``, ``US``, ``S S``, ``S D``, ``N``), a number, a unit. An
expression for other forms has a group ``weight`` and may have a group ``unit``.
"""

from __future__ import annotations

import os
import re
import select
import stat
import threading
import time
from collections import deque
from collections.abc import Callable

from curedash.domain.errors import Refused, UsageError
from curedash.domain.facts.units import G_PER_LB, G_PER_OZ
from curedash.domain.record import record
from curedash.domain.typed.numbers import as_float

BAUD = 9600
LONGEST = 200  # a line without end is noise [bytes]
SAME_G = 0.5  # design value: readings this near each other are one weight
SAME_COUNT, SAME_S = 3, 0.8  # design values: so many readings, over at least so long
EMPTY_G = 5.0  # design value: below it nothing lies on the scale
MOST_G = 100_000.0
TRY_AGAIN_S = 1.0
READING = os.O_RDONLY | os.O_NOCTTY | os.O_NONBLOCK
GRAMS = {"g": 1.0, "kg": 1000.0, "lb": G_PER_LB, "lbs": G_PER_LB, "oz": G_PER_OZ, "": 1.0}
STEADY = frozenset(("ST", "S S", "ST,GS", "ST,NT", "GS", "NT"))
MOVING = frozenset(("US", "S D", "US,GS", "US,NT", "D", "OL", "SI", "I"))

USUAL = re.compile(
    r"\s*(?P<head>[A-Za-z][A-Za-z, ]*?)?[\s,:]*(?P<weight>[+-]?\s*\d{1,7}(?:[.,]\d{1,4})?)"
    r"\s*(?P<unit>kg|g|lbs?|oz)?\s*(?P<mark>\?)?\s*",
    re.IGNORECASE,
)


@record
class ScaleReading:
    """One line of a scale [g]; ``steady`` is None where the line does not say."""

    grams: float
    steady: bool | None


def parse_line(line: str, form: re.Pattern[str] = USUAL) -> ScaleReading | None:
    """What a line says, None for noise, a half line or another unit.

    Example
    -------
    >>> parse_line("ST,+00784.0  g")
    ScaleReading(grams=784.0, steady=True)
    >>> parse_line("S D     784.1 g").steady, parse_line("  27.5 oz").steady
    (False, None)
    >>> parse_line("\\ufffd4.0") is None, parse_line("hello") is None
    (True, True)
    """
    found = form.fullmatch(line.strip("\x00\x02\x03"))
    if found is None:
        return None
    parts = found.groupdict()
    unit = (parts.get("unit") or "").casefold()
    if unit not in GRAMS:
        return None
    try:
        number = as_float(parts["weight"].replace(" ", ""))
    except ValueError:
        return None
    grams = number * GRAMS[unit]
    if not -MOST_G <= grams <= MOST_G:
        return None
    head = " ".join((parts.get("head") or "").upper().replace(" ,", ",").split()).rstrip(",")
    steady = True if head in STEADY else False if head in MOVING or parts.get("mark") else None
    return ScaleReading(round(grams, 3), steady)


class SteadyWeight:
    """Tells a weight that has settled, once, until it changes or the scale is emptied."""

    def __init__(self) -> None:
        self._lately: deque[tuple[float, float]] = deque(maxlen=SAME_COUNT)
        self._told: float | None = None

    def take(self, reading: ScaleReading, at: float) -> float | None:
        """The settled weight [g], if this reading settles it.

        Parameters
        ----------
        at : a steady clock [s]
        """
        if reading.grams < EMPTY_G:
            self._lately.clear()
            self._told = None
            return None
        if reading.steady is False:
            self._lately.clear()
            return None
        self._lately.append((at, reading.grams))
        if reading.steady is None and not self._is_same():
            return None
        if self._told is not None and abs(reading.grams - self._told) < SAME_G:
            return None
        self._told = reading.grams
        return reading.grams

    def _is_same(self) -> bool:
        weights = [grams for _, grams in self._lately]
        lasted = self._lately[-1][0] - self._lately[0][0]
        return (
            len(weights) == SAME_COUNT and lasted >= SAME_S and max(weights) - min(weights) < SAME_G
        )


class ScaleFeed:
    """A port or pipe that is read in a thread, and opened again when it was gone.

    Parameters
    ----------
    path : a serial port or a named pipe, ``/dev/ttyUSB0``; with ``,2400`` behind it another speed
    form : an expression for lines of another form, with a group ``weight``
    settled : is called with each settled weight [g]
    tell : is called with a sentence when the scale goes or comes back

    Raises
    ------
    UsageError: an expression or a speed that is none; Refused: the path is not a port or pipe
    """

    def __init__(
        self,
        path: str,
        settled: Callable[[float], object],
        tell: Callable[[str], object],
        form: str | None = None,
    ) -> None:
        self.path, _, speed = path.partition(",")
        self._form, self._baud = _form(form), _speed(speed)
        self._settled, self._tell = settled, tell
        if os.path.exists(self.path) and not _is_port(self.path):
            raise Refused(f"{self.path} is not a serial port or pipe, so no scale is read from it.")
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="scale", daemon=True)

    def start(self) -> None:
        """Begin to read."""
        self._thread.start()

    def stop(self) -> None:
        """End it."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join(2)

    def _run(self) -> None:
        """Open, read until it is gone, say so once, look for it again."""
        there: bool | None = None
        while not self._stop.is_set():
            try:
                port = _open(self.path, self._baud)
            except (OSError, Refused):
                if there is not False:
                    self._gone()
                there = False
                self._stop.wait(TRY_AGAIN_S)
                continue
            try:
                if there is False and os.isatty(port):
                    self._tell(f"The scale at {self.path} is back.")
                there = self._read(port)
            finally:
                os.close(port)
            if not there and not self._stop.is_set():
                self._gone()
            self._stop.wait(TRY_AGAIN_S / 5)

    def _gone(self) -> None:
        self._tell(
            f"No scale at {self.path}: type the weights by hand. The program keeps looking for it."
        )

    def _read(self, port: int) -> bool:
        """Read until it ends; False if a port is gone. A pipe without a writer just waits."""
        settling, rest, is_port = SteadyWeight(), b"", os.isatty(port)
        while not self._stop.is_set():
            try:
                if not select.select([port], [], [], 0.2)[0]:
                    if not is_port and not os.path.samestat(os.fstat(port), os.stat(self.path)):
                        return True  # another pipe has its name now
                    continue
                if self._stop.is_set():
                    return True  # the line is for the next reader
                chunk = os.read(port, 4096)
            except BlockingIOError:
                continue  # another reader took it
            except OSError:
                return False
            if not chunk:
                return not is_port
            *lines, rest = re.split(rb"[\r\n]+", rest + chunk)
            rest = rest if len(rest) <= LONGEST else b""
            for line in lines:
                reading = parse_line(line.decode("ascii", "replace"), self._form)
                grams = None if reading is None else settling.take(reading, time.monotonic())
                if grams is not None:
                    self._settled(grams)
        return True


def _open(path: str, baud: int) -> int:
    """Open without waiting for the other side; a serial line is set to 8 bits, no echo."""
    if not _is_port(path):
        raise Refused(f"{path} is not a serial port or pipe.")
    port = _open_pipe(path) if _is_pipe(path) else os.open(path, READING)
    if os.isatty(port):
        import termios
        import tty

        tty.setraw(port, termios.TCSANOW)  # what is already written is read, not thrown away
        mode = termios.tcgetattr(port)
        mode[4] = mode[5] = getattr(termios, f"B{baud}")
        termios.tcsetattr(port, termios.TCSANOW, mode)
    return port


def _open_pipe(path: str) -> int:
    """Open a pipe for writing too: it never ends between two writers, so none is cut off."""
    try:
        return os.open(path, os.O_RDWR | os.O_NONBLOCK)
    except PermissionError:
        return os.open(path, READING)


def _is_pipe(path: str) -> bool:
    return stat.S_ISFIFO(os.stat(path).st_mode)


def _is_port(path: str) -> bool:
    mode = os.stat(path).st_mode
    return stat.S_ISCHR(mode) or stat.S_ISFIFO(mode)


def _speed(text: str) -> int:
    import termios

    baud = BAUD if not text else int(text) if text.isdecimal() and len(text) < 8 else -1
    if not hasattr(termios, f"B{baud}"):
        raise UsageError(f"“{text[:20]}” is not a speed of a serial port; e.g. /dev/ttyUSB0,9600.")
    return baud


def _form(text: str | None) -> re.Pattern[str]:
    if text is None:
        return USUAL
    try:
        form = re.compile(text)
    except re.error as wrong:
        raise UsageError(f"The pattern for the scale's lines is not valid: {wrong}.") from None
    if "weight" not in form.groupindex:
        raise UsageError("The expression for the scale's lines wants a group (?P<weight>…).")
    return form
