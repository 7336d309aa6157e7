"""Numbers without a unit, typed where weights are shown in pounds: grams or ounces, or asked about.

A scale in such a kitchen shows ounces, pounds and ounces, or grams, and only one of the readings
fits what was on it before. Where nothing tells them apart the unit is asked for.
"""

from curedash.domain.facts.units import G_PER_OZ
from curedash.domain.typed_numbers import Quantity, quantities, scan
from curedash.domain.unit_sizes import Ambiguous

OZ_PER_LB = 16
HEAVIEST_PIECE_G = 25_000.0  # design value: more ounces than a household hangs in one piece
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
    """Put the unit into a list of weights that was typed without one.

    Parameters
    ----------
    text : several numbers, or one number divided by a count
    total_g : what they should come to [g], where that is known

    Returns
    -------
    the text with its unit, or as it was where it has one already; numbers that may be ounces or
    grams raise ``Ambiguous``

    Source
    ------
    `G_PER_OZ` in domain/facts/units.py

    Example
    -------
    >>> many_in_pounds("14 10", 700.0), many_in_pounds("1134 1088"), many_in_pounds("4536 / 4")
    ('14 oz, 10 oz', '1134 g, 1088 g', '4536 g / 4')
    """
    tokens = scan(text, "a list of weights")
    if any(kind in ("word", "frac") for kind, _, _ in tokens):
        return text
    head, slash, parts = text.partition("/")
    items = quantities(scan(head, "a list of weights"), spaced_thousands=False)
    numbers = [item for item in items if isinstance(item, Quantity)]
    between = [item for item in items if isinstance(item, str)]
    odd = any(one.other is not None or one.split for one in numbers)
    if not numbers or odd or any(sign not in ",;" for sign in between):
        return text
    if total_g is None:
        unit = _meant(max(one.value for one in numbers), None, numbers[0].raw)
    else:
        unit = _meant(sum(one.value for one in numbers), total_g, numbers[0].raw)
    return ", ".join(f"{one.raw} {unit}" for one in numbers) + (f" / {parts.strip()}" * bool(slash))


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
        fits = [u for u, g in grams.items() if _FITS_FROM * last_g <= g <= _FITS_TO * last_g]
        if len(fits) == 1:
            return fits[0]
    if grams["oz"] > HEAVIEST_PIECE_G or value == 0:
        return "g"
    first, second = ("oz", "g") if value < LIKELY_OZ_UNDER else ("g", "oz")
    raise Ambiguous(
        f"{shown} {first} or {shown} {second}? Type the unit behind it.",
        (grams[first], grams[second]),
    )
