"""What a person types for a weight, a length, a temperature, a share: read, asked about or refused.

Every parser returns a float in the unit its name carries, or raises one of the
program's own errors with one sentence; no text whatever makes it raise anything else.
"""

from __future__ import annotations

from curedash.domain.errors import Doubtful, Refused
from curedash.domain.facts.units import (
    C_PER_F,
    F_FREEZING,
    G_PER_KG,
    G_PER_LB,
    G_PER_OZ,
    MM_PER_CM,
    MM_PER_IN,
)
from curedash.domain.typed_numbers import (
    MAX_TEXT,
    MINUS,
    Quantity,
    plain_text,
    quantities,
    quoted,
    scan,
)

MAX_WEIGHT_G = 500_000.0  # design value: no household hangs a single lot of half a tonne
MAX_LENGTH_MM = 2_000.0  # design value: thicker than any animal
MIN_TEMP_C, MAX_TEMP_C = -90.0, 150.0  # design values: outside is no place to hang meat
MAX_PIECES = 200

_WEIGHTS_G = (
    dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), 1.0)
    | dict.fromkeys(("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), G_PER_KG)
    | dict.fromkeys(("lb", "lbs", "pound", "pounds", "#"), G_PER_LB)
    | dict.fromkeys(("oz", "ozs", "ounce", "ounces"), G_PER_OZ)
)
_LENGTHS_MM = (
    dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), 1.0)
    | dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre", "centimetres"), MM_PER_CM)
    | dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), MM_PER_IN)
)
_CELSIUS = ("c", "°c", "℃", "degc", "celsius", "deg c", "° c", "°")
_FAHRENHEIT = ("f", "°f", "℉", "degf", "fahrenheit", "deg f", "° f")
_PERCENT = ("%", "percent", "pct", "％")
_HUMIDITY = (*_PERCENT, "% rh", "%rh", "rh", "% r h", "% r.h", "%r")
_SPOONS = frozenset(
    (
        "tsp",
        "tsps",
        "tbsp",
        "tbsps",
        "tbs",
        "teaspoon",
        "teaspoons",
        "tablespoon",
        "tablespoons",
        "spoon",
        "spoons",
        "spoonful",
        "spoonfuls",
        "cup",
        "cups",
        "pinch",
        "pinches",
        "dash",
        "handful",
        "scoop",
        "scoops",
    )
)


class Ambiguous(Doubtful):
    """A number that can be read in two ways; ``readings`` holds both, the likely one first."""

    def __init__(self, sentence: str, readings: tuple[float, ...]) -> None:
        super().__init__(sentence)
        self.readings = readings


# ── units ─────────────────────────────────────────────────────────────────────────────────

_rare: dict[tuple[str, str], float] = {}


def _rare_unit(unit: str, into: str) -> float:
    """Size of a unit beyond the kitchen table, from pint, which is loaded only here."""
    key = (unit, into)
    if key not in _rare:
        import pint

        registry = pint.application_registry
        try:
            _rare[key] = float(registry.Quantity(1.0, unit).to(into).magnitude)
        except Exception as error:  # pint raises many kinds for odd text; none may get out
            raise Refused(f"{quoted(unit)} is not a unit known here.") from error
    return _rare[key]


def _grams_per(unit: str) -> float:
    word = unit.casefold()
    known = _WEIGHTS_G.get(word)
    if known is not None:
        return known
    if not _SPOONS.isdisjoint(word.split()):
        raise Refused(
            "Spoons and cups measure room, not weight, and grains pack differently: "
            "weigh it and type grams."
        )
    if word in ("gr", "grs"):
        raise Refused("“gr” can mean gram or grain: write g.")
    try:
        return _rare_unit(unit, "gram")
    except Refused:
        raise Refused(
            f"{quoted(unit)} is not a unit of weight; use g, kg, lb or oz, as in 1043 g."
        ) from None


def _mm_per(unit: str) -> float:
    known = _LENGTHS_MM.get(unit.casefold())
    if known is not None:
        return known
    try:
        return _rare_unit(unit, "millimeter")
    except Refused:
        raise Refused(
            f"{quoted(unit)} is not a unit of length; use mm, cm or in, as in 80 mm."
        ) from None


def f_to_c(temp_f: float) -> float:
    """Turn degrees Fahrenheit into degrees Celsius.

    Parameters
    ----------
    temp_f : temperature [°F], any finite value

    Returns
    -------
    temperature [°C]

    Source
    ------
    NIST Special Publication 811 (2008), Appendix B.8

    Example
    -------
    >>> f_to_c(41)
    5.0
    """
    return (temp_f - F_FREEZING) * C_PER_F


# ── weights ───────────────────────────────────────────────────────────────────────────────


class _Piece:
    """The parts of one weight: its total, and the total if marks are read as thousands."""

    __slots__ = ("bare", "likely_g", "literal_g", "open", "units")

    def __init__(self) -> None:
        self.literal_g = 0.0
        self.likely_g = 0.0
        self.open = False
        self.bare = False
        self.units: list[float] = []

    def add(self, quantity: Quantity, bare_unit: str, marks_are_decimal: bool) -> None:
        """Add a quantity, keeping both readings where its mark can be a thousand."""
        size = _grams_per(quantity.unit or bare_unit)
        literal = quantity.value * size
        likely = literal
        grams = size == 1.0 and not marks_are_decimal
        if grams and quantity.other is not None and not (quantity.unit and quantity.kilo):
            likely = quantity.other
            self.open = True
        if not quantity.unit:
            self.bare = True
            if quantity.split:
                raise Refused("A fraction needs its unit behind it, as in 2½ lb.")
        self.units.append(size)
        self.literal_g += literal
        self.likely_g += likely

    def continues_with(self, quantity: Quantity) -> bool:
        """Whether the quantity is the smaller half of this weight, as the oz in 2 lb 4 oz."""
        return bool(quantity.unit) and not self.bare and _grams_per(quantity.unit) < self.units[-1]


_HOW_WEIGHT = "type a weight like 1043 g, 1.043 kg or 2 lb 4.8 oz"


def _read_pieces(
    items: list[Quantity | str], bare_unit: str, marks_are_decimal: bool, many: bool
) -> list[_Piece]:
    pieces: list[_Piece] = []
    joined = False  # a + stands before the next quantity
    apart = False  # a , or ; stands before the next quantity
    for item in items:
        if isinstance(item, str):
            if item == "+" and pieces and not joined:
                joined = True
            elif item in ",;&" and pieces and not apart and (many or item == ","):
                apart = True
            elif item.casefold() in ("and", "und") and pieces:
                continue
            else:
                raise _odd_item(item)
            continue
        if many and not item.unit and item.decimals > 3:
            raise Refused(f"{quoted(item.raw)} may be two pieces: put a space between them.")
        follows = bool(pieces) and not joined and pieces[-1].continues_with(item)
        if follows and many and not apart:
            follows = _belongs_together(pieces[-1], item)
        if not pieces or not (joined or (follows and not (many and apart))):
            if pieces and not many:
                raise Refused(f"Two numbers stand side by side: {_HOW_WEIGHT}, or put + between.")
            pieces.append(_Piece())
        pieces[-1].add(item, bare_unit, marks_are_decimal)
        joined = apart = False
    if joined:
        raise Refused("Something is missing after the +.")
    if not pieces:
        raise Refused(f"Nothing to read here: {_HOW_WEIGHT}.")
    return pieces


def _belongs_together(piece: _Piece, item: Quantity) -> bool:
    if piece.units[-1] == G_PER_KG and _grams_per(item.unit) == 1.0:
        raise Doubtful(
            "One piece in kg and g, or two? Put a comma between two pieces and a + inside one."
        )
    return True


def _odd_item(item: str) -> Refused:
    if item in MINUS:
        return Refused("A weight cannot be negative; type what the scale shows.")
    if item.casefold() in _SPOONS:
        return Refused(
            "Spoons and cups measure room, not weight, and grains pack differently: "
            "weigh it and type grams."
        )
    return Refused(f"{quoted(item)} does not belong in a weight: {_HOW_WEIGHT}.")


def _settle(pieces: list[_Piece], last_g: float | None) -> list[float]:
    """Choose between decimal mark and thousands, or ask."""
    if not any(piece.open for piece in pieces):
        return [piece.literal_g for piece in pieces]
    literal = [piece.literal_g for piece in pieces]
    likely = [piece.likely_g for piece in pieces]
    if last_g is not None and len(pieces) == 1:
        fits = [
            total
            for total in (likely[0], literal[0])
            if _SETTLES_FROM * last_g <= total <= _SETTLES_TO * last_g
        ]
        if len(fits) == 1:
            return fits
    first, second = sum(likely), sum(literal)
    raise Ambiguous(
        f"Is that {first:g} g or {second:g} g? Type it again without a mark, or with kg.",
        (first, second),
    )


_SETTLES_FROM, _SETTLES_TO = 0.3, 1.3  # share of the last weight a plain weigh-in lies within


def _checked(total_g: float, allow_zero: bool = False) -> float:
    if not total_g < MAX_WEIGHT_G:  # also catches NaN
        raise Refused(f"That is more than {MAX_WEIGHT_G / 1000:g} kg: {_HOW_WEIGHT}.")
    if total_g <= 0 and not (allow_zero and total_g == 0):
        raise Refused(f"A weight must be more than 0 g: {_HOW_WEIGHT}.")
    return total_g


def _mixed_bare(pieces: list[_Piece]) -> None:
    """Refuse a list or sum where only some parts carry a unit other than grams."""
    bare = any(piece.bare for piece in pieces)
    if bare and any(size != 1.0 for piece in pieces for size in piece.units):
        raise Refused("Some of these have no unit: write it behind each, as in 2 lb + 3 lb.")


def parse_weight_g(
    text: str,
    *,
    last_g: float | None = None,
    allow_zero: bool = False,
    marks_are_decimal: bool = False,
) -> float:
    """Read one weight as typed; parts joined with + are added up.

    Parameters
    ----------
    text : what was typed; a bare number is grams
    last_g : the weight before this one as the same scale would show it [g], settles ``1,043``
    allow_zero : accept 0 g, as for a tare
    marks_are_decimal : read ``2.475 g`` as two and a half grams without asking, as for a dose

    Returns
    -------
    weight [g], above 0 (or 0 if allowed) and below 500 000; outside raises ``Refused``,
    a number with two readings raises ``Ambiguous``

    Source
    ------
    `G_PER_LB`, `G_PER_OZ` in domain/facts/units.py

    Example
    -------
    >>> parse_weight_g("2310+2250"), parse_weight_g("1,043 kg")
    (4560.0, 1043.0)
    """
    items = quantities(scan(text, "a weight"), spaced_thousands=True)
    pieces = _read_pieces(items, "g", marks_are_decimal, many=False)
    _mixed_bare(pieces)
    return _checked(_settle(pieces, last_g)[0], allow_zero)


def parse_weights_g(text: str) -> list[float]:
    """Read the weights of several pieces from one field, or one weight divided by a count.

    Parameters
    ----------
    text : ``1134 1088 990 1041``, with units and commas if wanted, or ``4536 g / 4``,
        ``4536 g in 4``, ``4536 divide in 4``

    Returns
    -------
    one weight a piece [g], in the order typed, 1 to 200 of them; outside raises ``Refused``

    Source
    ------
    `G_PER_LB`, `G_PER_OZ` in domain/facts/units.py

    Example
    -------
    >>> parse_weights_g("1134 1088 990"), parse_weights_g("4536 g / 4")
    ([1134.0, 1088.0, 990.0], [1134.0, 1134.0, 1134.0, 1134.0])
    """
    items, parts = _divided(quantities(scan(text, "a list of weights"), spaced_thousands=False))
    if parts is not None:
        pieces = _read_pieces(items, "g", False, many=False)
        _mixed_bare(pieces)
        return split_evenly(_checked(_settle(pieces, None)[0]), parts)
    pieces = _read_pieces(items, "g", False, many=True)
    _mixed_bare(pieces)
    if len(pieces) > MAX_PIECES:
        raise Refused(f"At most {MAX_PIECES} pieces fit in one batch.")
    return [_checked(total_g) for total_g in _settle(pieces, None)]


def _divided(items: list[Quantity | str]) -> tuple[list[Quantity | str], int | None]:
    """Take ``/ 4``, ``in 4`` or ``divide in 4`` off the end."""
    if len(items) < 2 or not isinstance(items[-1], Quantity):
        return items, None
    count, before = items[-1], items[-2]
    if isinstance(before, str):
        if before != "/":
            return items, None
        rest = items[:-2]
    else:
        words = before.unit.casefold().split()
        cut = next((n for n, word in enumerate(words) if word in _DIVIDE), None)
        if cut is None or not set(words[cut:]) <= _DIVIDE:
            return items, None
        before.unit = " ".join(before.unit.split()[:cut])
        rest = items[:-1]
    if count.unit not in ("", "pieces", "parts") or count.value != int(count.value):
        raise Refused("The number of pieces must be whole, as in 4536 g / 4.")
    return rest, int(count.value)


_DIVIDE = frozenset(("divide", "divided", "split", "in", "into", "by"))


def split_evenly(total_g: float, parts: int) -> list[float]:
    """Divide one weight into equal pieces.

    Parameters
    ----------
    total_g : weight of the whole [g], above 0
    parts : number of pieces, 1–200; outside raises ``Refused``

    Returns
    -------
    the weights [g], unrounded

    Source
    ------
    arithmetic

    Example
    -------
    >>> split_evenly(1000, 3)[0] * 3
    1000.0
    """
    if not 1 <= parts <= MAX_PIECES:
        raise Refused(f"Divide into 1 to {MAX_PIECES} pieces, as in 4536 g / 4.")
    return [_checked(total_g) / parts] * parts


# ── lengths, temperatures, shares ─────────────────────────────────────────────────────────


def _one_number(text: str, what: str, how: str) -> tuple[float, str]:
    """Value and unit of a text that is one number, signed or not."""
    tokens = scan(text, what)
    sign = 1.0
    if tokens and tokens[0][0] == "op" and tokens[0][1] in MINUS + "+":
        sign = 1.0 if tokens[0][1] == "+" else -1.0
        tokens = tokens[1:]
    items = [
        item
        for item in quantities(tokens, spaced_thousands=False)
        if not (isinstance(item, str) and item == ".")
    ]
    if len(items) != 1 or isinstance(items[0], str):
        raise Refused(f"{quoted(text)} is not {what}: {how}." if text.strip() else _empty(how))
    return sign * items[0].value, items[0].unit


def _empty(how: str) -> str:
    return f"Nothing to read here: {how}."


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
    length_mm = value * _mm_per(unit or default_unit)
    if not 0 < length_mm <= MAX_LENGTH_MM:
        raise Refused(
            f"{quoted(text)} is no thickness between 0 and {MAX_LENGTH_MM:g} mm: {_HOW_LENGTH}."
        )
    if not unit and default_unit == "mm" and length_mm < _THINNEST_BARE_MM:
        readings = (length_mm * MM_PER_CM, length_mm * MM_PER_IN, length_mm)
        raise Ambiguous(
            f"Is that {value:g} cm, {value:g} in or {value:g} mm? Type the unit behind it.",
            readings,
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
    if word in _FAHRENHEIT:
        value = f_to_c(value)
    elif word == "k":
        value -= _KELVIN_AT_0_C
    elif word not in _CELSIUS:
        raise Refused(f"{quoted(unit)} is not a unit of temperature: {_HOW_TEMP}.")
    if not MIN_TEMP_C <= value <= MAX_TEMP_C:
        raise Refused(
            f"{quoted(text)} is outside {MIN_TEMP_C:g} to {MAX_TEMP_C:g} °C: {_HOW_TEMP}."
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
        raise Refused(f"{quoted(unit)} is not percent: {how}.")
    if not lo <= value <= hi:
        raise Refused(f"{value:g} % is outside {lo:g} to {hi:g} %: {how}.")
    return value


def parse_pct(text: str, *, lo_pct: float = 0.0, hi_pct: float = 100.0) -> float:
    """Read a share as typed.

    Parameters
    ----------
    text : what was typed, with or without %; the mark is always a decimal mark
    lo_pct, hi_pct : what is accepted [%]; outside raises ``Refused``

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
    value, unit = _one_number(text, "a percentage", "type it like 2.75 %")
    return _share_in_range(value, unit, lo_pct, hi_pct, _PERCENT, "type it like 2.75 %")


# ── ranges ────────────────────────────────────────────────────────────────────────────────


def _range_ends(text: str, how: str) -> tuple[str, str]:
    plain = plain_text(text[: MAX_TEXT + 1]).strip()
    for between in ("..", " to ", " bis ", " - ", "–", "—"):
        head, found, tail = plain.partition(between)
        if found and head.strip() and tail.strip():
            return head, tail
    cut = plain.find("-", 1)
    if cut < 1:
        raise Refused(f"{quoted(text)} is not a range: {how}." if plain else _empty(how))
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
    how = "type a band like 2..5C"
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
    how = "type a band like 70..80%"
    head, tail = _range_ends(text, how)
    ends = [
        _share_in_range(*_one_number(end, "a humidity", how), 0.0, 100.0, _HUMIDITY, how)
        for end in (head, tail)
    ]
    return _ascending(ends[0], ends[1], how)


def parse_pct_range(
    text: str, *, lo_pct: float = 0.0, hi_pct: float = 100.0
) -> tuple[float, float]:
    """Read a range of shares as typed, such as the loss a style is pulled at.

    Parameters
    ----------
    text : what was typed, ``30..40%``
    lo_pct, hi_pct : what is accepted [%]; outside raises ``Refused``

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
    how = "type a range like 30..40%"
    head, tail = _range_ends(text, how)
    ends = [
        _share_in_range(*_one_number(end, "a percentage", how), lo_pct, hi_pct, _PERCENT, how)
        for end in (head, tail)
    ]
    return _ascending(ends[0], ends[1], how)
