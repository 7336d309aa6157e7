"""Numbers without a unit, typed where weights are shown in pounds: grams or ounces, or asked about.

A scale in such a kitchen shows ounces, pounds and ounces, or grams, and only one of the readings
fits what was on it before. Where nothing tells them apart the unit is asked for.
"""

from curedash.domain.errors import Refused
from curedash.domain.facts.units import G_PER_OZ
from curedash.domain.typed.numbers import Quantity, quantities, scan
from curedash.domain.typed.unit_sizes import Ambiguous

OZ_PER_LB = 16
HEAVIEST_PIECE_G = 25_000.0  # design value: more ounces than a household hangs in one piece
LEAST_PIECE_OZ = 4.0  # design value: nobody cures a lighter piece by itself
LIKELY_OZ_UNDER = 100.0  # design value: which of two readings is asked about first
_FITS_FROM, _FITS_TO = 0.3, 1.3  # share of the last weight a plain weigh-in lies within


def one_in_pounds(text: str, last_g: float | None = None) -> str:
    """Put the units into one weight that was typed without them.

    Parameters
    ----------
    text : what was typed; two numbers are pounds and ounces, a single one is what fits
    last_g : the weight before this one as the same scale would show it [g]

    Returns
    -------
    the text with units, or as it was where it has one already or cannot be such a weight;
    a number that may be ounces or grams raises ``Ambiguous``

    Source
    ------
    `G_PER_OZ` in domain/facts/units.py

    Example
    -------
    >>> one_in_pounds("2 4.6"), one_in_pounds("37.5", 1049.0), one_in_pounds("1043", 1049.0)
    ('2 lb 4.6 oz', '37.5 oz', '1043 g')
    """
    parts = _parts(text)
    if parts is None:
        return text
    if any(len(part) == 2 for part in parts):
        return " + ".join(
            f"{part[0].raw} lb {part[1].raw} oz" if len(part) == 2 else f"{part[0].raw} oz"
            for part in parts
        )
    unit = _meant(sum(part[0].value for part in parts), last_g, _shown(parts))
    return " + ".join(f"{part[0].raw} {unit}" for part in parts)


def many_in_pounds(text: str, total_g: float | None = None) -> str:
    """Put the units into a list of weights that was typed without them.

    Parameters
    ----------
    text : several weights with commas between them, or numbers alone, or a weight divided by a
        count; between commas two numbers are pounds and ounces
    total_g : what they should come to [g], where that is known

    Returns
    -------
    the text with its units, or as it was where it has one already; what may be ounces or grams,
    or pounds and ounces or two pieces, raises ``Ambiguous``

    Source
    ------
    `G_PER_OZ` in domain/facts/units.py

    Example
    -------
    >>> many_in_pounds("2 8.5, 2 6"), many_in_pounds("2 8.5"), many_in_pounds("10 9 / 4")
    ('2 lb 8.5 oz, 2 lb 6 oz', '2 lb 8.5 oz', '10 lb 9 oz / 4')
    >>> many_in_pounds("14 10", 700.0), many_in_pounds("1134 1088"), many_in_pounds("4536 / 4")
    ('14 oz, 10 oz', '1134 g, 1088 g', '4536 g / 4')
    """
    text = " ".join(_comma_apart(word) for word in text.replace("\n", ", ").split())
    if any(kind in ("word", "frac") for kind, _, _ in scan(text, "a list of weights")):
        return text
    head, slash, parts = text.partition("/")
    groups = _groups(head)
    if groups is None or (slash and _is_fraction(text)):
        return text
    end = f" / {parts.strip()}" if slash else ""
    numbers = [number for group in groups for number in group]
    if len(groups) == 1 and not slash:
        return _run(numbers, total_g)
    if any(len(group) > 1 for group in groups):
        return _pairs(groups) + end
    return _alike(numbers, total_g, end)


def _comma_apart(word: str) -> str:
    """``8.5,2`` are two numbers; a comma without a point before it stays a decimal mark."""
    head, comma, tail = word.partition(",")
    decimals = head.rpartition(".")[2]
    return f"{head}, {tail}" if comma and "." in head and len(decimals) < 3 else word


def _is_fraction(text: str) -> bool:
    """Whether ``3 1/2`` is typed without spaces around its stroke."""
    items = quantities(scan(text, "a list of weights"), spaced_thousands=False)
    return " /" not in text and any(isinstance(one, Quantity) and one.split for one in items)


def _groups(text: str) -> list[list[Quantity]] | None:
    """The numbers between commas; None where something else stands among them."""
    groups: list[list[Quantity]] = [[]]
    for item in quantities(scan(text, "a list of weights"), spaced_thousands=False):
        if isinstance(item, str):
            if item not in ",;":
                return None
            groups.append([])
        elif item.other is not None or item.split:
            return None
        else:
            groups[-1].append(item)
    full = [group for group in groups if group]
    return full or None


def _pairs(groups: list[list[Quantity]]) -> str:
    """Pounds and ounces between commas; every piece both, so that none is read amiss."""
    for group in groups:
        shown = " ".join(number.raw for number in group)
        if len(group) == 1:
            raise Ambiguous(
                f"{shown} lb or {shown} oz? Type both of each piece, as in {shown} 0 or 0 {shown}.",
                (group[0].value * OZ_PER_LB * G_PER_OZ, group[0].value * G_PER_OZ),
            )
        if not _is_weight(group):
            raise Refused(
                f"“{shown}” is not pounds and ounces: put a comma between two pieces,"
                " as in 2 8.5, 2 6."
            )
    return ", ".join(f"{lb.raw} lb {oz.raw} oz" for lb, oz in groups)


def _run(numbers: list[Quantity], total_g: float | None) -> str:
    """Numbers without a comma: one weight each, or pounds and ounces by twos."""
    paired = [numbers[n : n + 2] for n in range(0, len(numbers), 2)]
    if len(numbers) % 2 or not all(_is_weight(pair) for pair in paired):
        return _alike(numbers, total_g)
    pairs = _pairs(paired)
    in_oz = ", ".join(f"{one.raw} oz" for one in numbers)
    pairs_g = [(lb.value * OZ_PER_LB + oz.value) * G_PER_OZ for lb, oz in paired]
    oz_g = [one.value * G_PER_OZ for one in numbers]
    if total_g is not None:
        readings = ((pairs, sum(pairs_g)), (in_oz, sum(oz_g)))
        fits = [said for said, g in readings if _fits(g, total_g)]
        return fits[0] if len(fits) == 1 else _alike(numbers, total_g)
    if max(pairs_g) > HEAVIEST_PIECE_G:
        return _alike(numbers, None)
    if min(one.value for one in numbers) < LEAST_PIECE_OZ:
        return pairs
    raise Ambiguous(
        f"{pairs}, or {in_oz}? Type the units, or commas between the pieces.",
        (pairs_g[0], oz_g[0]),
        pairs,
    )


def _alike(numbers: list[Quantity], total_g: float | None, end: str = "") -> str:
    """Numbers that are all in one unit: grams or ounces, whichever fits, or asked about."""

    def with_unit(unit: str) -> str:
        return ", ".join(f"{one.raw} {unit}" for one in numbers) + end

    values = [one.value for one in numbers]
    if total_g is None and 0 < max(values) < OZ_PER_LB:
        shown = numbers[0].raw
        if len(numbers) > 1 and len(numbers) % 2:
            raise Refused("Which belong together? Put a comma between two pieces: 2 8.5, 2 6.")
        readings = (values[0] * OZ_PER_LB * G_PER_OZ, values[0] * G_PER_OZ)
        raise Ambiguous(
            f"{shown} lb or {shown} oz? Type the unit after it.", readings, with_unit("lb")
        )
    try:
        return with_unit(
            _meant(max(values) if total_g is None else sum(values), total_g, numbers[0].raw)
        )
    except Ambiguous as asked:
        asked.typed = with_unit(asked.typed.rpartition(" ")[2])
        raise


def _fits(grams: float, last_g: float) -> bool:
    """Whether a plain weigh-in would show so much after the last one."""
    return _FITS_FROM * last_g <= grams <= _FITS_TO * last_g


def _parts(text: str) -> list[list[Quantity]] | None:
    """One or two numbers a part, parts joined by +; None for anything else."""
    tokens = scan(text, "a weight")
    if not tokens or any(kind in ("word", "frac") for kind, _, _ in tokens):
        return None
    parts: list[list[Quantity]] = [[]]
    for item in quantities(tokens, spaced_thousands=False):
        if item == "+":
            parts.append([])
        elif isinstance(item, str) or item.other is not None or item.split:
            return None
        else:
            parts[-1].append(item)
    return parts if all(_is_weight(part) for part in parts) else None


def _is_weight(part: list[Quantity]) -> bool:
    if len(part) != 2:
        return len(part) == 1
    pounds, ounces = part
    thousands = len(ounces.raw) == 3 and ounces.raw.isdecimal()  # 1 043 is one number
    return pounds.raw.isdecimal() and ounces.value < OZ_PER_LB and not thousands


def _shown(parts: list[list[Quantity]]) -> str:
    return "+".join(part[0].raw for part in parts)


def _meant(value: float, last_g: float | None, shown: str) -> str:
    """``g`` or ``oz``, where only one of them can be."""
    grams = {"g": value, "oz": value * G_PER_OZ}
    if last_g is not None:
        fits = [unit for unit, g in grams.items() if _fits(g, last_g)]
        if len(fits) == 1:
            return fits[0]
    if grams["oz"] > HEAVIEST_PIECE_G or value == 0:
        return "g"
    first, second = ("oz", "g") if value < LIKELY_OZ_UNDER else ("g", "oz")
    raise Ambiguous(
        f"{shown} {first} or {shown} {second}? Type the unit after it.",
        (grams[first], grams[second]),
        "" if "+" in shown else f"{shown} {first}",
    )
