"""Numbers as they are written: a real minus sign, and the decimals a kitchen scale shows."""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

MINUS = "−"


def number(value: float, decimals: int = 0) -> str:
    """A number with a real minus sign and no minus before zero.

    Example
    -------
    >>> number(-15.2), number(-0.2), number(0.514, 2)
    ('−15', '0', '0.51')
    """
    text = f"{value:.{decimals}f}"
    if text.startswith("-"):
        text = MINUS + text[1:] if text.strip("-0.") else text[1:]
    return text


def weight(grams: float) -> str:
    """Grams without the unit, with the decimals a kitchen scale would show.

    Example
    -------
    >>> weight(1043.0), weight(1043.2), weight(36.84), weight(2.475)
    ('1043', '1043.2', '36.8', '2.48')
    """
    size = abs(grams)
    if size < 10:
        return number(grams, 2 if round(size * 10, 6) % 1 else (1 if size % 1 else 0))
    return number(grams, 1 if round(size, 1) % 1 else 0)


def signed(grams: float) -> str:
    """A change in grams that always shows its sign.

    Example
    -------
    >>> signed(-15), signed(3.5), signed(0)
    ('−15', '+3.5', '±0')
    """
    text = weight(grams)
    if text in ("0", "0.0", "0.00"):
        return "±0"
    return text if text.startswith(MINUS) else "+" + text


def on_way(way: Sequence[tuple[float, float]], at: float) -> float:
    """The second number of some pairs where the first is this: straight from pair to pair."""
    before = way[0]
    for after in way[1:]:
        if after[0] >= at:
            length = after[0] - before[0]
            if length <= 0:
                return after[1]
            return before[1] + (after[1] - before[1]) * (at - before[0]) / length
        before = after
    return before[1]


# ── in documents ──────────────────────────────────────────────────────────────────────────


def parts(of: object, *names: str) -> dict[str, Any]:
    """These fields of a record under their own names, for a document."""
    return {name: getattr(of, name) for name in names}


def rounded_parts(of: object, *names: str, decimals: int = 3) -> dict[str, Any]:
    """The same for numbers, rounded for a document."""
    return {name: rounded(getattr(of, name), decimals) for name in names}


def rounded(value: float | None, decimals: int = 3) -> float | None:
    """A float without the dust of binary arithmetic; None stays."""
    return None if value is None else round(value, decimals)


def pair(values: Sequence[float] | None) -> list[float | None] | None:
    """A range as a list, lower first."""
    return None if values is None else [rounded(value) for value in values]
