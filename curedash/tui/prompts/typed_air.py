"""What is typed on the Places screen: a reading, a band, a new place, a failure.

A bare number is in the degrees shown to this person.
"""

from datetime import datetime, timedelta, tzinfo

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.records import Reading
from curedash.domain.typed import bands
from curedash.domain.typed.dates import parse_when
from curedash.domain.typed.numbers import plain_text
from curedash.domain.typed.units import parse_rh_pct, parse_temp_c
from curedash.domain.typed.weight_and_day import weight_and_day
from curedash.present.display_units import band_example, by_temperature, outage_example, temp_letter
from curedash.services.places.places import NewPlace, reading

Band = tuple[float, float] | None
Pieces = tuple[datetime, datetime | None, float | None]


def typed_reading(text: str, now: datetime, zone: tzinfo) -> Reading:
    """``3.5 78``, ``38F 78%`` or one of the two; behind it a day and time if it was not now.

    Raises
    ------
    Refused: anything else; Unclear: a day with two readings
    """

    def is_reading(values: str) -> bool:
        try:
            _reading_at(values, now)
        except CuredashError:
            return False
        return True

    values, at = weight_and_day(text, is_reading, now, zone)
    return _reading_at(values, at or now)


def _reading_at(text: str, now: datetime) -> Reading:
    words = text.split()
    if not 1 <= len(words) <= 2:
        raise Refused(f"Temperature and humidity, e.g. {by_temperature('3.5 78', '38 78')}.")
    if len(words) == 1 and words[0].endswith("%"):
        return reading(now, None, parse_rh_pct(words[0]))
    temp_c = parse_temp_c(words[0], default_unit=temp_letter())
    return reading(now, temp_c, parse_rh_pct(words[1]) if len(words) == 2 else None)


def typed_band(text: str) -> tuple[Band, Band]:
    """``2..5C 70..80%``, ``36-41F`` or one of the two.

    Raises
    ------
    Refused: no band in it
    """
    return bands.typed_band(text, default_unit=temp_letter())


def typed_place(text: str) -> tuple[str, Band, Band]:
    """A name and, behind it, its band if there is one.

    Raises
    ------
    Refused: one end of a band in the name
    """
    return bands.typed_place(text, default_unit=temp_letter())


def typed_places(text: str) -> tuple[NewPlace, ...]:
    """One place, or several parted by a semicolon, or by a comma where each has its band.

    Raises
    ------
    Refused: a place without a name, one end of a band
    """
    found = [typed_place(part) for part in _parts(text)]
    if not all(name for name, _temp, _rh in found):
        raise Refused(f"Type its name first, e.g. Fridge 2 {band_example()}.")
    return tuple(NewPlace(*one) for one in found)


def _parts(text: str) -> list[str]:
    """A comma parts places that are alike; else it belongs to a name."""
    named = [part for part in text.split(";") if part.strip()] or [text]
    if len(named) > 1:
        return named
    parts = [part for part in text.split(", ") if part.strip()]
    banded = [typed_place(part)[1:] != (None, None) for part in parts]
    return parts if all(banded) or not any(banded) else [text]


def outage_pieces(text: str, now: datetime, zone: tzinfo) -> Pieces:
    """``3 Nov 22:00–07:00 14``, ``yesterday 22:00 to 07:30 11C`` or the beginning of it.

    Returns
    -------
    from, to and the highest temperature [°C]; what was not typed is None

    Raises
    ------
    Refused: nothing of it can be read
    """
    rest, highest_c = _highest(plain_text(text).strip())
    first, second = _two_times(rest)
    if not first:
        raise Refused(f"From, to and the highest temperature: {outage_example()}.")
    since = _time_before(first, now, zone) or parse_when(first, now, zone)
    if not second:
        return since, None, highest_c
    return since, outage_end(second, since, now, zone), highest_c


def outage_end(text: str, since: datetime, now: datetime, zone: tzinfo) -> datetime:
    """When it was over: a time alone is the first such time after it began.

    Raises
    ------
    Refused: not a time, or one before it began
    """
    if text.casefold() == "now":
        return now
    clock = _clock(text)
    if clock is None:
        until = parse_when(text, now, zone)
    else:
        local = since.astimezone(zone)
        until = local.replace(hour=clock[0], minute=clock[1], second=0, microsecond=0)
        if until <= local:
            until += timedelta(days=1)
    if until <= since:
        raise Refused("The failure has to end after it began.")
    return until


def highest_of(text: str) -> float:
    """The highest temperature [°C], in the degrees shown where none are typed."""
    return parse_temp_c(text, default_unit=temp_letter())


def _highest(text: str) -> tuple[str, float | None]:
    """What stands before the temperature, and that; a time or a day is none."""
    head, _, last = text.rpartition(" ")
    if last.casefold().lstrip("°") in ("c", "f"):
        head, _, number = head.rpartition(" ")
        last = number + last
    bare = last.casefold().rstrip("cf°")
    is_number = bare.lstrip("-").replace(",", ".", 1).replace(".", "", 1).isdecimal()
    if not head or not is_number or ":" in last or head.split()[-1].casefold() in ("to", "until"):
        return text, None
    return head, highest_of(last)


def _two_times(text: str) -> tuple[str, str]:
    """Begin and end; a dash right behind a time parts them too, and so do two times alone."""
    for sign in (" to ", " until ", "–", "—", " - "):
        first, found, second = text.partition(sign)
        if found:
            return first.strip(), second.strip()
    for at, char in enumerate(text):
        if char == "-" and at > 2 and text[at - 1].isdecimal() and ":" in text[max(0, at - 3) : at]:
            return text[:at].strip(), text[at + 1 :].strip()
    first, found, second = text.strip().rpartition(" ")
    if found and _clock(second) and _clock(first.split()[-1]):
        return first, second
    return text.strip().removesuffix(" to").removesuffix(" until"), ""


def _clock(text: str) -> tuple[int, int] | None:
    """``07:30`` and nothing else."""
    hour, found, minute = text.strip().partition(":")
    if not (found and hour.isdecimal() and minute.isdecimal() and len(minute) == 2):
        return None
    return (int(hour), int(minute)) if int(hour) < 24 and int(minute) < 60 else None


def _time_before(text: str, now: datetime, zone: tzinfo) -> datetime | None:
    """A time alone is the last such time."""
    clock = _clock(text)
    if clock is None:
        return None
    local = now.astimezone(zone)
    at = local.replace(hour=clock[0], minute=clock[1], second=0, microsecond=0)
    return at if at <= local else at - timedelta(days=1)
