"""What a person types for a weight, a length, a temperature, a share: read, asked about or refused.

Every parser returns a float in the unit its name carries, or raises one of the
program's own errors with one sentence; no text whatever makes it raise anything else.
"""

from curedash.domain.errors import Refused
from curedash.domain.facts.units import MM_PER_CM, MM_PER_IN
from curedash.domain.quantity_text import celsius, millimetres
from curedash.domain.typed import numbers
from curedash.domain.typed.unit_sizes import CELSIUS, FAHRENHEIT, Ambiguous, f_to_c, mm_per

MAX_LENGTH_MM = 2_000.0  # design value: thicker than any animal
MIN_TEMP_C, MAX_TEMP_C = -90.0, 150.0  # design values: outside is not a place to hang meat
_PERCENT = ("%", "percent", "pct", "％")
_HUMIDITY = (*_PERCENT, "% rh", "%rh", "rh", "% r h", "% r.h", "%r")


# ── lengths, temperatures, shares ─────────────────────────────────────────────────────────


def _one_number(text: str, what: str, how: str) -> tuple[float, str]:
    """Value and unit of a text that is one number, signed or not."""
    tokens = numbers.scan(text, what)
    sign = 1.0
    if tokens and tokens[0][0] == "op" and tokens[0][1] in numbers.MINUS + "+":
        sign = 1.0 if tokens[0][1] == "+" else -1.0
        tokens = tokens[1:]
    items = [
        item
        for item in numbers.quantities(tokens, spaced_thousands=False)
        if not (isinstance(item, str) and item == ".")
    ]
    if len(items) != 1 or isinstance(items[0], str):
        raise Refused(
            f"{numbers.quoted(text)} is not {what}: {how}." if text.strip() else _empty(how)
        )
    return sign * items[0].value, items[0].unit


def _empty(how: str) -> str:
    return f"Nothing was typed: {how}."


_HOW_LENGTH = "type a length like 80 mm, 8 cm or 3¼ in"


def parse_length_mm(text: str, *, default_unit: str = "mm") -> float:
    """Read a thickness or diameter as typed.

    Parameters
    ----------
    text : what was typed
    default_unit : unit of a bare number; in mm a bare number under 10 is asked about

    Returns
    -------
    length [mm], above 0 and up to 2000; outside raises ``Refused``

    Source
    ------
    `MM_PER_IN` in domain/facts/units.py

    Example
    -------
    >>> parse_length_mm("3¼ in"), parse_length_mm("8 cm")
    (82.55, 80.0)
    """
    value, unit = _one_number(text, "a length", _HOW_LENGTH)
    length_mm = value * mm_per(unit or default_unit)
    if not 0 < length_mm <= MAX_LENGTH_MM:
        raise Refused(
            "{typed} is not a thickness between 0 and {most}: {how}.",
            typed=numbers.quoted(text),
            most=millimetres(MAX_LENGTH_MM),
            how=_HOW_LENGTH,
        )
    if not unit and default_unit == "mm" and length_mm < _THINNEST_BARE_MM:
        readings = (length_mm * MM_PER_CM, length_mm * MM_PER_IN, length_mm)
        raise Ambiguous(
            f"Is that {value:g} cm, {value:g} in or {value:g} mm? Type the unit after it.", readings
        )
    return length_mm


_THINNEST_BARE_MM = 10.0  # design value: thinner than any stick that is hung
_HOW_TEMP = "type a temperature like 3.5C or 38F"


def parse_temp_c(text: str, *, default_unit: str = "C") -> float:
    """Read a temperature as typed.

    Parameters
    ----------
    text : what was typed
    default_unit : unit of a bare number, ``C`` or ``F``

    Returns
    -------
    temperature [°C], −90 to 150; outside raises ``Refused``

    Source
    ------
    `F_FREEZING`, `C_PER_F` in domain/facts/units.py

    Example
    -------
    >>> parse_temp_c("3,5 °C"), parse_temp_c("41F")
    (3.5, 5.0)
    """
    value, unit = _one_number(text, "a temperature", _HOW_TEMP)
    return _temp_in_range(value, unit or default_unit, text)


def _temp_in_range(value: float, unit: str, text: str) -> float:
    word = unit.casefold()
    if word in FAHRENHEIT:
        value = f_to_c(value)
    elif word == "k":
        value -= _KELVIN_AT_0_C
    elif word not in CELSIUS:
        raise Refused(f"{numbers.quoted(unit)} is not a unit of temperature: {_HOW_TEMP}.")
    if not MIN_TEMP_C <= value <= MAX_TEMP_C:
        raise Refused(
            "{typed} is outside {least} to {most}: {how}.",
            typed=numbers.quoted(text),
            least=celsius(MIN_TEMP_C, f"{MIN_TEMP_C:g}"),
            most=celsius(MAX_TEMP_C),
            how=_HOW_TEMP,
        )
    return value


_KELVIN_AT_0_C = 273.15  # exact by definition (SI brochure, 9th edition, 2.3.1)
_HOW_RH = "type a relative humidity like 78%"


def parse_rh_pct(text: str) -> float:
    """Read a relative humidity as typed.

    Parameters
    ----------
    text : what was typed, with or without %

    Returns
    -------
    relative humidity [%], 0–100; outside raises ``Refused``

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> parse_rh_pct("78 %")
    78.0
    """
    value, unit = _one_number(text, "a humidity", _HOW_RH)
    return _share_in_range(value, unit, 0.0, 100.0, _HUMIDITY, _HOW_RH)


def _share_in_range(
    value: float, unit: str, lo: float, hi: float, units: tuple[str, ...], how: str
) -> float:
    if unit and unit.casefold() not in units:
        raise Refused(f"{numbers.quoted(unit)} is not percent: {how}.")
    if not lo <= value <= hi:
        raise Refused(f"{numbers.tidy(value)} % is outside {lo:g} to {hi:g} %: {how}.")
    return value


def parse_pct(text: str, *, hi_pct: float = 100.0) -> float:
    """Read a share as typed.

    Parameters
    ----------
    text : what was typed, with or without %, or in g/kg; the mark is always a decimal mark
    hi_pct : the most that is accepted [%]; outside 0 to that raises ``Refused``

    Returns
    -------
    share [%]

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> parse_pct("2,75 %")
    2.75
    """
    bare = text.strip().removesuffix("kg").rstrip().removesuffix("/").rstrip()
    per_kg = bare != text.strip() and bare.endswith("g")
    value, unit = _one_number(bare[:-1] if per_kg else text, "a percentage", "type it like 2.75 %")
    if per_kg and not unit:
        value /= 10.0
    return _share_in_range(value, unit, 0.0, hi_pct, _PERCENT, "type it like 2.75 %")


# ── ranges ────────────────────────────────────────────────────────────────────────────────


def _range_ends(text: str, how: str) -> tuple[str, str]:
    plain = numbers.plain_text(text[: numbers.MAX_TEXT + 1]).strip()
    for between in ("..", " to ", " bis ", " - ", "–", "—"):
        head, found, tail = plain.partition(between)
        if found and head.strip() and tail.strip():
            return head, tail
    cut = plain.find("-", 1)
    if cut < 1:
        raise Refused(f"{numbers.quoted(text)} is not a range: {how}." if plain else _empty(how))
    return plain[:cut], plain[cut + 1 :]


def _ascending(first: float, second: float, how: str) -> tuple[float, float]:
    if first == second:
        raise Refused(f"Both ends of the range are the same: {how}.")
    return min(first, second), max(first, second)


def parse_temp_range_c(text: str, *, default_unit: str = "C") -> tuple[float, float]:
    """Read a temperature band as typed; a unit at one end holds for both.

    Parameters
    ----------
    text : what was typed, ``2..5C``
    default_unit : unit if none is typed, ``C`` or ``F``

    Returns
    -------
    lower and upper end [°C], each −90 to 150; outside raises ``Refused``

    Source
    ------
    `F_FREEZING`, `C_PER_F` in domain/facts/units.py

    Example
    -------
    >>> parse_temp_range_c("2..5C"), parse_temp_range_c("-1..4")
    ((2.0, 5.0), (-1.0, 4.0))
    """
    how = f"type a band like {'36..41F' if default_unit.casefold() == 'f' else '2..5C'}"
    head, tail = _range_ends(text, how)
    first, first_unit = _one_number(head, "a temperature", how)
    second, second_unit = _one_number(tail, "a temperature", how)
    shared = second_unit or first_unit or default_unit
    return _ascending(
        _temp_in_range(first, first_unit or shared, text),
        _temp_in_range(second, second_unit or shared, text),
        how,
    )


def parse_rh_range_pct(text: str) -> tuple[float, float]:
    """Read a humidity band as typed.

    Parameters
    ----------
    text : what was typed, ``70..80%``

    Returns
    -------
    lower and upper end [%], each 0–100; outside raises ``Refused``

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> parse_rh_range_pct("70..80%")
    (70.0, 80.0)
    """
    return _share_range(text, "a humidity", _HUMIDITY, "type a band like 70..80%")


def parse_pct_range(text: str) -> tuple[float, float]:
    """Read a range of shares as typed, such as the loss a style is pulled at.

    Parameters
    ----------
    text : what was typed, ``30..40%``; outside 0 to 100 % raises ``Refused``

    Returns
    -------
    lower and upper end [%]

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> parse_pct_range("30-40 %")
    (30.0, 40.0)
    """
    return _share_range(text, "a percentage", _PERCENT, "type a range like 30..40%")


def _share_range(text: str, what: str, units: tuple[str, ...], how: str) -> tuple[float, float]:
    low, high = (
        _share_in_range(*_one_number(end, what, how), 0.0, 100.0, units, how)
        for end in _range_ends(text, how)
    )
    return _ascending(low, high, how)
