"""Numbers inside the sentences of a dose: four digits that count, never an exponent."""

from __future__ import annotations

from math import floor, isfinite, log10


def plain(value: float, digits: int = 4) -> str:
    """Write a number with a few significant digits and no exponent.

    Parameters
    ----------
    value : any finite number
    digits : significant digits, 1 or more

    Returns
    -------
    the text, trailing zeros dropped

    Source
    ------
    the project's own wording

    Example
    -------
    >>> plain(156.25), plain(0.25), plain(1718.75, 6)
    ('156.2', '0.25', '1718.75')
    """
    if not isfinite(value) or value == 0:
        return "0" if value == 0 else str(value)
    decimals = max(0, digits - 1 - floor(log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def cut(value: float, digits: int = 4) -> float:
    """Cut a positive number down to a few significant digits, so that a maximum stays one.

    Parameters
    ----------
    value : 0 or more
    digits : significant digits, 1 or more

    Returns
    -------
    the largest number of that many digits not above the value

    Source
    ------
    arithmetic

    Example
    -------
    >>> cut(0.256789), cut(0.0)
    (0.2567, 0.0)
    """
    if value <= 0:
        return 0.0
    decimals = digits - 1 - floor(log10(value))
    scale: float = 10.0**decimals
    return round(floor(value * scale + 1e-9) / scale, max(0, decimals))
