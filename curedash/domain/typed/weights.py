"""A weight as typed, or the weights of several pieces in one field."""

from __future__ import annotations

from curedash.domain.errors import Refused, Unclear
from curedash.domain.facts.units import G_PER_KG, G_PER_LB
from curedash.domain.quantity_text import grams
from curedash.domain.typed.numbers import MINUS, Quantity, quantities, quoted, scan
from curedash.domain.typed.unit_sizes import NO_SPOONS, SPOONS, Ambiguous, grams_per

TYPE_CHECKING = False
if TYPE_CHECKING:
    import re

MAX_WEIGHT_G = 500_000.0  # design value: no household hangs a single lot of half a tonne
_MAX_WEIGHT_LB = 1_100  # the same as a round number of pounds, for the sentence
MAX_PIECES = 200
_SETTLES_FROM, _SETTLES_TO = 0.3, 1.3  # share of the last weight a plain weigh-in lies within
_DIVIDE = frozenset(("divide", "divided", "split", "in", "into", "by"))
_HOW_WEIGHT = "type a weight like 1043 g, 1.043 kg or 2 lb 4.8 oz"


class _Piece:
    """The parts of one weight: its total, and the total if marks are read as thousands."""

    __slots__ = ("bare", "likely_g", "literal_g", "open", "units")

    def __init__(self) -> None:
        self.literal_g = 0.0
        self.likely_g = 0.0
        self.open = False
        self.bare = False
        self.units: list[float] = []

    def add(self, quantity: Quantity, marks_are_decimal: bool) -> None:
        """Add a quantity, keeping both readings where its mark can be a thousand."""
        size = grams_per(quantity.unit or "g")
        literal = quantity.value * size
        likely = literal
        grams = size == 1.0 and not marks_are_decimal
        if grams and quantity.other is not None and not (quantity.unit and quantity.kilo):
            likely = quantity.other
            self.open = True
        if not quantity.unit:
            self.bare = True
            if quantity.split:
                raise Refused("A fraction needs its unit after it, as in 2½ lb.")
        self.units.append(size)
        self.literal_g += literal
        self.likely_g += likely

    def continues_with(self, quantity: Quantity) -> bool:
        """Whether the quantity is the smaller half of this weight, as the oz in 2 lb 4 oz."""
        return bool(quantity.unit) and not self.bare and grams_per(quantity.unit) < self.units[-1]


def _read_pieces(items: list[Quantity | str], marks_are_decimal: bool, many: bool) -> list[_Piece]:
    if any(isinstance(item, str) and item.casefold() in SPOONS for item in items):
        raise Refused(NO_SPOONS)
    pieces: list[_Piece] = []
    joined = False  # a + stands before the next quantity
    apart = False  # there is a , or ; before the next quantity
    for item in items:
        if isinstance(item, str):
            joined, apart = _between(item, bool(pieces), joined, apart, many)
            continue
        if many and not item.unit:
            _refuse_run_together(item)
        follows = bool(pieces) and not joined and pieces[-1].continues_with(item)
        if follows and many and not apart:
            follows = _belongs_together(pieces[-1], item)
        if not pieces or not (joined or (follows and not (many and apart))):
            if pieces and not many:
                raise Refused(f"Two numbers are side by side: {_HOW_WEIGHT}, or put + between.")
            pieces.append(_Piece())
        pieces[-1].add(item, marks_are_decimal)
        joined = apart = False
    if joined:
        raise Refused("Something is missing after the +.")
    if not pieces:
        raise Refused(f"Nothing was typed: {_HOW_WEIGHT}.")
    return pieces


def _between(item: str, follows: bool, joined: bool, apart: bool, many: bool) -> tuple[bool, bool]:
    """Whether there is a +, and whether a , or ;, before the next quantity, this item read."""
    if item == "+" and follows and not joined:
        return True, apart
    if item in ",;&" and follows and not apart and (many or item == ","):
        return joined, True
    if item.casefold() in ("and", "und") and follows:
        return joined, apart
    raise _odd_item(item, follows)


def _refuse_run_together(item: Quantity) -> None:
    if item.decimals > 3:
        raise Refused(f"{quoted(item.raw)} may be two pieces: put a space between them.")
    if item.raw.startswith("0") and item.raw.isdecimal() and item.value > 0:
        raise Refused(f"{quoted(item.raw)} begins with 0: write 1043 without a space in it.")


def _belongs_together(piece: _Piece, item: Quantity) -> bool:
    if piece.units[-1] == G_PER_KG and grams_per(item.unit) == 1.0:
        raise Unclear(
            "One piece in kg and g, or two? Put a comma between two pieces and a + inside one."
        )
    return True


def _odd_item(item: str, before: bool) -> Refused:
    if item in MINUS and not before:
        return Refused("A weight cannot be negative; type what the scale shows.")
    if item in MINUS:
        return Refused(f"A {quoted(item)} after a number has no meaning here: {_HOW_WEIGHT}.")
    return Refused(f"{quoted(item)} does not belong in a weight: {_HOW_WEIGHT}.")


def _choose_reading(pieces: list[_Piece], last_g: float | None) -> list[float]:
    """Choose between decimal mark and thousands, or ask."""
    if not any(piece.open for piece in pieces):
        return [piece.literal_g for piece in pieces]
    if last_g is not None and len(pieces) == 1:
        readings = pieces[0].likely_g, pieces[0].literal_g
        low, high = _SETTLES_FROM * last_g, _SETTLES_TO * last_g
        fits = [total for total in readings if low <= total <= high]
        if len(fits) == 1:
            return fits
    first, second = next((piece.likely_g, piece.literal_g) for piece in pieces if piece.open)
    raise Ambiguous(
        f"Is that {first:g} g or {second:g} g? Type it again without comma or point, or with kg.",
        (first, second),
    )


def _checked(total_g: float, allow_zero: bool = False) -> float:
    if not total_g < MAX_WEIGHT_G:  # also catches NaN
        most = grams(_MAX_WEIGHT_LB * G_PER_LB, f"{MAX_WEIGHT_G / 1000:g} kg")
        raise Refused("That is more than {most}: {how}.", most=most, how=_HOW_WEIGHT)
    if total_g <= 0 and not (allow_zero and total_g == 0):
        raise Refused(f"A weight must be more than 0: {_HOW_WEIGHT}.")
    return total_g


def _mixed_bare(pieces: list[_Piece], how: str) -> None:
    """Refuse a list or sum where only some parts carry a unit other than grams."""
    bare = any(piece.bare for piece in pieces)
    if bare and any(size != 1.0 for piece in pieces for size in piece.units):
        raise Refused(f"Some of these have no unit: write it after each, as in {how}.")


_SUM, _LIST = "2 lb + 3 lb", "2 lb 8 oz, 2 lb 6 oz"


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
    pieces = _read_pieces(items, marks_are_decimal, many=False)
    _mixed_bare(pieces, _SUM)
    return _checked(_choose_reading(pieces, last_g)[0], allow_zero)


def parse_weights_g(text: str) -> list[float]:
    """Read the weights of several pieces from one field, or one weight divided by a count.

    Parameters
    ----------
    text : ``1134 1088 990 1041``, with units and commas if wanted, or ``4536 g / 4``,
        ``4536 g in 4``, ``4536 divide in 4``; ``150 x4`` and ``4 x 150 g`` are four of 150 g

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
    text = times_written_out(text)
    items, parts = _divided(
        quantities(scan(text.replace("\n", ", "), "a list of weights"), spaced_thousands=False)
    )
    if parts is not None:
        pieces = _read_pieces(items, False, many=False)
        _mixed_bare(pieces, _SUM)
        return split_evenly(_checked(_choose_reading(pieces, None)[0]), parts)
    pieces = _read_pieces(items, False, many=True)
    _mixed_bare(pieces, _LIST)
    if len(pieces) > MAX_PIECES:
        raise Refused(f"At most {MAX_PIECES} pieces fit in one batch.")
    return [_checked(total_g) for total_g in _choose_reading(pieces, None)]


_TIMES = r"(\d+(?:[.,]\d+)?)\s*(kg|g|lb|oz)?\s*[x×]\s*(\d+(?:[.,]\d+)?)\s*(kg|g|lb|oz)?(?![\w.,/])"


def times_written_out(text: str) -> str:
    """Write ``150 x4`` as four weights; what is no such product stays as it is.

    Parameters
    ----------
    text : weights as typed; the count is the number without unit, of two bare ones the smaller

    Returns
    -------
    the text with each weight as often as it was meant, at most as many as a batch has pieces

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> times_written_out("150 x4"), times_written_out("2 x 180 g")
    ('150, 150, 150, 150', '180 g, 180 g')
    """
    if "×" not in text and "x" not in text.casefold():
        return text
    import re  # asked for by few; a weigh-in reads its number without it

    return re.sub(_TIMES, _repeated, text, flags=re.IGNORECASE)


def _repeated(found: re.Match[str]) -> str:
    first, unit, second, other = found.groups()
    ahead = other is not None or (unit is None and len(first) < len(second))
    count = first if ahead else second
    weight = f"{second} {other or ''}" if ahead else f"{first} {unit or ''}"
    if not count.isdecimal() or not 1 <= int(count) <= MAX_PIECES or (unit and other):
        return found[0]
    return ", ".join([weight.strip()] * int(count))


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
