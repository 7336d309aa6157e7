"""What sensors send, read into numbers: lines, JSON objects, bare numbers; °C or °F as stated."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Any

from curedash.domain.errors import Refused
from curedash.domain.typed.numbers import as_float, quoted
from curedash.domain.typed.unit_sizes import f_to_c

MAX_TEXT = 4096
AHEAD_S = 600.0  # design value: further ahead a sensor's clock is wrong
OLDEST = datetime(2000, 1, 1, tzinfo=UTC).timestamp()  # older: the sensor has no clock
TEMPERATURES = ("temp_c", "temperature_c", "temperature", "temp", "t", "temp_f", "temperature_f")
HUMIDITIES = ("rh_pct", "rh", "humidity", "relative_humidity", "hum", "h")
TIMES = ("at", "time", "timestamp", "datetime", "date", "ts")
_MILLISECONDS = 1e11  # an epoch number above this counts milliseconds


@dataclass(frozen=True, slots=True)
class Fields:
    """How the values are called and in which unit a bare temperature is."""

    temp: tuple[str, ...] = TEMPERATURES
    rh: tuple[str, ...] = HUMIDITIES
    time: tuple[str, ...] = TIMES
    unit: str = "C"
    bare_is: str = "temp"  # what a single bare number is: temp or rh


@dataclass(slots=True)
class Clock:
    """Reads times without a zone as local ones, in the order in which they come.

    In the hour that an autumn night has twice, a time that falls back behind the one before is
    taken for the second of the two. ``newest`` gives the newest time that is stored [epoch s]: a
    program started anew within that hour goes on where the one before ended.
    """

    zone: tzinfo
    newest: Callable[[], float] = field(default=lambda: 0.0)
    _last: float | None = field(default=None)

    def epoch(self, local: datetime) -> float:
        """Epoch seconds of a time [s]; a naive one is in the zone."""
        if local.tzinfo is not None:
            return local.timestamp()
        first = local.replace(tzinfo=self.zone).timestamp()
        second = local.replace(tzinfo=self.zone, fold=1).timestamp()
        if first < second and self._last is None:
            self._last = self.newest()
        at = second if first < (self._last or 0.0) <= second else first
        self._last = at
        return at


@dataclass(frozen=True, slots=True)
class Parsed:
    """Temperature and humidity, and their time if they came with one [epoch s]."""

    at: float | None
    temp_c: float | None
    rh_pct: float | None


def parse_payload(text: str, fields: Fields, clock: Clock) -> Parsed:
    """Read one line or message.

    Parameters
    ----------
    text : ``2026-11-20T07:30,3.5,78`` · ``3.5 78`` · ``3,5 78`` · ``38.3F 78%`` · a JSON object
    fields : names of the values in JSON, unit of a bare temperature
    clock : reads times without a zone

    Raises
    ------
    Refused: nothing to read in it; one sentence
    """
    text = text.strip().lstrip("\ufeff")
    if not text or len(text) > MAX_TEXT:
        raise Refused("The line is empty." if not text else "The line is too long for a reading.")
    if text[0] in '{["':
        return _from_json(text, fields, clock)
    for parts in _ways_to_split(text):
        found = _from_parts(parts, fields, clock)
        if found is not None:
            return found
    raise Refused(f"{quoted(text)} is not a reading; an example is 2026-11-20T07:30,3.5,78.")


# ── JSON ──────────────────────────────────────────────────────────────────────────────────


def _from_json(text: str, fields: Fields, clock: Clock) -> Parsed:
    try:
        body = json.loads(text)
    except (ValueError, RecursionError):
        raise Refused(f"{quoted(text)} is not a whole JSON object.") from None
    if isinstance(body, str):
        return parse_payload(body, fields, clock) if body[:1] not in '{["' else _no_values(text)
    if not isinstance(body, dict):
        return _no_values(text)
    name, temp = _look_up(body, fields.temp)
    _, rh = _look_up(body, fields.rh)
    _, at = _look_up(body, fields.time)
    temp_c, rh_pct = _temp_c(temp, _unit_of(name, fields.unit)), _share(rh)
    if temp_c is None and rh_pct is None:
        return _no_values(text)
    return Parsed(_time(at, clock), temp_c, rh_pct)


def _no_values(text: str) -> Parsed:
    raise Refused(f"{quoted(text)} holds neither temperature nor humidity by the names given.")


def _look_up(body: Mapping[str, Any], names: tuple[str, ...]) -> tuple[str, Any]:
    """The first of these names that is there; a dot goes one level down."""
    for name in names:
        value: Any = body
        for step in [name] if name in body else name.split("."):
            value = _member(value, step)
        if value is not None:
            return name, value
    return "", None


def _member(value: Any, step: str) -> Any:
    if not isinstance(value, dict):
        return None
    if step in value:
        return value[step]
    return next((v for k, v in value.items() if k.lower() == step.lower()), None)


def _unit_of(name: str, unit: str) -> str:
    last = name.lower()
    if last.endswith(("_f", "fahrenheit")):
        return "F"
    return "C" if last.endswith(("_c", "celsius")) else unit


def _temp_c(value: Any, unit: str) -> float | None:
    number, stated = _quantity(value, {"C": "C", "F": "F"})
    if number is None:
        return None
    return f_to_c(number) if (stated or unit) == "F" else number


def _share(value: Any) -> float | None:
    return _quantity(value, {"%": "%"})[0]


def _time(value: Any, clock: Clock) -> float | None:
    """Epoch seconds; None for a sensor that has no clock (its time is long ago)."""
    if value is None or isinstance(value, bool):
        return None
    if isinstance(value, (int, float)):
        at = float(value) / 1000 if value > _MILLISECONDS else float(value)
    else:
        found = _iso(str(value), clock)
        if found is None:
            raise Refused(f"{quoted(str(value))} is not a time; an example is 2026-11-20T07:30.")
        at = found
    return at if OLDEST <= at < 1e11 else None


# ── numbers and times in words ────────────────────────────────────────────────────────────


def _quantity(value: Any, units: dict[str, str]) -> tuple[float | None, str]:
    """A number, and its unit if one is written behind it."""
    if value is None or isinstance(value, bool):
        return None, ""
    if isinstance(value, (int, float)):
        return _float(str(value)), ""
    text = str(value).strip().replace("°", "").replace("％", "%").removesuffix("RH").rstrip()
    stated = units.get(text[-1:].upper(), "")
    return _float(text[:-1].rstrip() if stated else text), stated


def _float(text: str) -> float | None:
    """A number with point or comma; None if it is none."""
    if "_" in text:
        return None
    try:
        return as_float(text)
    except ValueError:
        return None


def _iso(text: str, clock: Clock) -> float | None:
    """Epoch seconds of an ISO time or of a bare epoch number."""
    text = text.strip()
    if len(text) >= 10 and text.isascii() and text.isdigit():
        return int(text) / (1000 if len(text) > 11 else 1)
    if len(text) < 10 or text[4:5] != "-":
        return None
    try:
        return clock.epoch(datetime.fromisoformat(text))
    except (ValueError, OverflowError):
        return None


# ── lines ─────────────────────────────────────────────────────────────────────────────────


def _ways_to_split(text: str) -> list[list[str]]:
    """The line in parts, by the sign most likely to stand between them first."""
    ways = [[part.strip() for part in text.split(sign)] for sign in ";\t," if sign in text]
    if "," in text and len(ways[-1]) == 2 and _all_digits(ways[-1]):
        ways.pop()  # 3,5 is one number or two
    words = text.split()
    if len(words) > 1 and words[0][4:5] == "-" and ":" in words[1]:
        words[:2] = [f"{words[0]}T{words[1]}"]
    if not (len(words) == 1 and "," in text):
        ways.append(words)
    return ways


def _all_digits(parts: list[str]) -> bool:
    return all(part.lstrip("+-").isdigit() for part in parts)


def _from_parts(parts: list[str], fields: Fields, clock: Clock) -> Parsed | None:
    """Time, temperature and humidity in this order; the first and the last may be missing."""
    at = _iso(parts[0], clock) if len(parts) > 1 else None
    if at is not None or (len(parts) == 3 and not parts[0]):
        parts = parts[1:]
    if not 1 <= len(parts) <= 2 or not any(parts):
        return None
    if len(parts) == 1 and _is_share(parts[0], fields):
        rh_pct = _share(parts[0])
        return None if rh_pct is None else Parsed(at, None, rh_pct)
    temp_c = _temp_c(parts[0], fields.unit)
    rh_pct = _share(parts[1]) if len(parts) == 2 else None
    if (parts[0] and temp_c is None) or (len(parts) == 2 and parts[1] and rh_pct is None):
        return None
    return Parsed(at if at is None or at >= OLDEST else None, temp_c, rh_pct)


def _is_share(text: str, fields: Fields) -> bool:
    stated = text.rstrip().removesuffix("RH").rstrip()[-1:]
    return stated in ("%", "％") or (fields.bare_is == "rh" and stated not in "CcFf")


def stamped(parsed: Parsed, now: datetime) -> tuple[int, bool]:
    """The second of a reading, and whether it came with it.

    Raises
    ------
    Refused: its time lies ahead of this machine's clock
    """
    if parsed.at is None:
        return int(now.timestamp()), False
    if parsed.at > now.timestamp() + AHEAD_S:
        ahead = timedelta(seconds=int(parsed.at - now.timestamp()))
        raise Refused(f"Its time is {ahead} ahead of this clock; correct one of the two.")
    return int(parsed.at), True
