"""What is typed on the Places screen: a reading, a band, a new place, a failure.

A bare number is in the degrees shown to this person.
"""

from datetime import datetime, tzinfo

from curedash.domain import typed_bands
from curedash.domain.errors import Refused
from curedash.domain.records import Reading
from curedash.domain.typed_dates import parse_when
from curedash.domain.units import parse_rh_pct, parse_temp_c
from curedash.present.view import by_temperature, outage_example, temp_letter
from curedash.services.places import reading

Band = tuple[float, float] | None
_TO = (" to ", " until ", " – ", " - ")


def typed_reading(text: str, now: datetime) -> Reading:
    """``3.5 78``, ``38F 78%`` or one of the two.

    Raises
    ------
    Refused: anything else
    """
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
    return typed_bands.typed_band(text, default_unit=temp_letter())


def typed_place(text: str) -> tuple[str, Band, Band]:
    """A name and, behind it, its band if there is one.

    Raises
    ------
    Refused: one end of a band in the name
    """
    return typed_bands.typed_place(text, default_unit=temp_letter())


def typed_outage(text: str, now: datetime, zone: tzinfo) -> tuple[datetime, datetime, float]:
    """``yesterday 22:00 to 07:30 11C``.

    Raises
    ------
    Refused: not that
    """
    for sign in _TO:
        first, found, rest = text.partition(sign)
        second, _, highest = rest.strip().rpartition(" ")
        if found and second:
            since, until = parse_when(first, now, zone), parse_when(second, now, zone)
            return since, until, parse_temp_c(highest, default_unit=temp_letter())
    raise Refused(f"From, to and the highest temperature: {outage_example()}.")
