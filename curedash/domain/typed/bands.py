"""A place's name and the band it keeps, or a band alone, as typed: ``Chamber 50-55F 70-75%``."""

import re

from curedash.domain.errors import Refused
from curedash.domain.typed.numbers import MAX_TEXT, as_float, plain_text, quoted
from curedash.domain.typed.units import parse_rh_range_pct, parse_temp_range_c

Band = tuple[float, float] | None

_NUMBER = r"(?:(?<![^\s.,;–—-])[-−])?\d+(?:[.,]\d+)?"
_UNIT = r"\s*(?:°\s*[cf]?|℃|℉|deg\s*[cf]|[cf]|%\s*(?:r\.?\s?h\.?)?)(?![a-z])"
_BETWEEN = r"\s*(?:\.\.+|[-−–—]|\bto\b|\bbis\b)\s*"
_BAND = re.compile(
    rf"(?<![\w.,])(?P<low>{_NUMBER})(?P<first>{_UNIT})?(?:{_BETWEEN})(?P<high>{_NUMBER})"
    rf"(?P<second>{_UNIT})?(?![\w%°])(?!\s*[-–—]\s*\d)",
    re.IGNORECASE,
)
_LEADING = re.compile(_NUMBER)
_ONE = re.compile(rf"(?<![\w.,]){_NUMBER}{_UNIT}", re.IGNORECASE)
#: words at one number that make it an end of a band, not the set point of a place
_AN_END = re.compile(
    r"(?:[<>≤≥–—-]|\.\.|\b(?:max|min|to|bis|from|under|over|above|below|least|most|until))\s*$",
    re.IGNORECASE,
)
_ENDS_AFTER = re.compile(r"\s*(?:[–—-]|\.\.|(?:to|bis|max|min|or)\b)", re.IGNORECASE)
# A set point is read as the band around it: half its width (design values).
SET_POINT_C, SET_POINT_F, SET_POINT_RH = 2.0, 4.0, 5.0
_AROUND = " ,;:-–—·()"


def typed_place(text: str, *, default_unit: str = "C") -> tuple[str, Band, Band]:
    """Read a place's name and, behind or before it, the bands it keeps.

    Parameters
    ----------
    text : a name, a temperature band, a humidity band; each may be missing
    default_unit : degrees of a band without a unit, ``C`` or ``F``

    Returns
    -------
    name (empty where only bands were typed), temperature [°C], humidity [%]; None where there is
    none; a single temperature or share is a set point, a band around it of ±2 °C (±4 °F) or ±5 %;
    with a word that makes it one end of a band it raises ``Refused``

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> typed_place("Chamber 50-55F 70–75 %")
    ('Chamber', (10.0, 12.777777777777779), (70.0, 75.0))
    >>> typed_place("Fridge 2 2..5C"), typed_place("Fridge 2")
    (('Fridge 2', (2.0, 5.0), None), ('Fridge 2', None, None))
    >>> typed_place("Chamber 13C 75%")
    ('Chamber', (11.0, 15.0), (70.0, 80.0))
    """
    return _apart(_set_points(text, default_unit), default_unit)


def _set_points(text: str, default_unit: str) -> str:
    """The text with each set point written out as the band around it."""
    plain = plain_text(text[: MAX_TEXT + 1])
    bands = [found.span() for found in _BAND.finditer(plain)]
    out, end = "", 0
    for found in _ONE.finditer(plain):
        at, behind = found.span()
        if any(low < behind and at < high for low, high in bands):
            continue
        share = "%" in found[0]
        if _AN_END.search(plain[:at]) or _ENDS_AFTER.match(plain[behind:]):
            how = "70..80%" if share else _example(default_unit)
            typed = quoted(found[0].strip())
            raise Refused(f"{typed} is one end of a range; type both after the name, as in {how}.")
        number = _LEADING.match(found[0])
        assert number is not None  # _ONE begins with it
        middle, unit = as_float(number[0]), found[0][number.end() :].strip()
        fahrenheit = unit.casefold().endswith(("f", "℉"))
        half = SET_POINT_RH if share else SET_POINT_F if fahrenheit else SET_POINT_C
        low, high = middle - half, middle + half
        if share:
            low, high = max(low, 0.0), min(high, 100.0)
        out += f"{plain[end:at]}{low:g}..{high:g}{unit}"
        end = behind
    return out + plain[end:]


def typed_band(text: str, *, default_unit: str = "C") -> tuple[Band, Band]:
    """Read the bands of a place: temperature, humidity, or both.

    Parameters
    ----------
    text : ``2..5C 70..80%``, ``36–41 F``, ``2 to 5``; the second of two bare bands is a humidity
    default_unit : degrees of a band without a unit, ``C`` or ``F``

    Returns
    -------
    temperature [°C] and humidity [%], None where it was not typed; anything else in the text
    raises ``Refused``

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> typed_band("2..5C 70..80%"), typed_band("70 - 80 %")
    (((2.0, 5.0), (70.0, 80.0)), (None, (70.0, 80.0)))
    """
    rest, temp_c, rh_pct = _apart(text, default_unit)
    how = f"a band has two ends, as in {_example(default_unit)} 70..80%."
    if rest:
        raise Refused(f"{quoted(rest)} is not a band: {how}")
    if temp_c is None and rh_pct is None:
        raise Refused(f"Nothing was typed: {how}")
    return temp_c, rh_pct


def _example(default_unit: str) -> str:
    return "36..41F" if default_unit.casefold() == "f" else "2..5C"


def _apart(text: str, default_unit: str) -> tuple[str, Band, Band]:
    """What is not a band, and the bands."""
    if len(text) > MAX_TEXT:
        raise Refused("That is too long for a place and its band.")
    temp_c: Band = None
    rh_pct: Band = None
    rest, end = "", 0
    plain = plain_text(text)
    for found in _BAND.finditer(plain):
        rest += plain[end : found.start()] + " "
        end = found.end()
        units = f"{found['first'] or ''}{found['second'] or ''}".casefold()
        if "%" in units or (not units and temp_c is not None):
            _once(rh_pct, found[0])
            rh_pct = parse_rh_range_pct(_with_dots(found))
        else:
            _once(temp_c, found[0])
            temp_c = parse_temp_range_c(_with_dots(found), default_unit=default_unit)
    rest += plain[end:]
    words = rest.split()
    while words and words[-1].strip(_AROUND).casefold() in ("", "and", "und"):
        words.pop()
    return " ".join(words).strip(_AROUND), temp_c, rh_pct


def _once(before: Band, again: str) -> None:
    if before is not None:
        raise Refused(f"{quoted(again)} is a second band of the same kind; type one.")


def _with_dots(found: re.Match[str]) -> str:
    """The two ends as the readers of ranges take them."""
    ends = [
        f"{found[number]}{''.join((found[unit] or '').split())}"
        for number, unit in (("low", "first"), ("high", "second"))
    ]
    return "..".join(ends)
