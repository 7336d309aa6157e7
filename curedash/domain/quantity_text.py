"""Sentences that keep the quantities in them, so that each front words them in a person's units.

A sentence reads in grams, °C and mm wherever it is used as text: in JSON, the log and the file.
What shows it to a person words the quantities anew (`present/display_units.retold`). Grams of a
dose are put in as plain text: they are weighed out on a scale of grams.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable


class Quantity:
    """A number with what it measures and how it reads in grams, °C or mm."""

    __slots__ = ("kind", "text", "value")

    def __init__(self, kind: str, value: float, text: str) -> None:
        self.kind = kind  # g | C | K (a difference) | mm
        self.value = value
        self.text = text


def grams(value_g: float, text: str | None = None) -> Quantity:
    """A weight of meat or of what hangs with it [g]."""
    return Quantity("g", value_g, f"{value_g:.10g} g" if text is None else text)


def celsius(temp_c: float, text: str | None = None) -> Quantity:
    """A temperature [°C]; a text without the unit is worded without it."""
    return Quantity("C", temp_c, f"{temp_c:g} °C" if text is None else text)


def kelvins(difference: float, text: str) -> Quantity:
    """A difference of two temperatures [K]."""
    return Quantity("K", difference, text)


def millimetres(length_mm: float, text: str | None = None) -> Quantity:
    """A thickness, diameter or length [mm]; a text without the unit is worded without it."""
    return Quantity("mm", length_mm, f"{length_mm:g} mm" if text is None else text)


class QuantityText(str):
    """A sentence in grams, °C and mm that knows its quantities; made by :func:`phrase`."""

    template: str
    parts: dict[str, str | Quantity]

    def __str__(self) -> str:
        return self

    def worded(self, word: Callable[[Quantity], str]) -> str:
        """The sentence with each quantity as ``word`` puts it."""
        return self.template.format_map({n: _worded(p, word) for n, p in self.parts.items()})


def phrase(template: str, **parts: str | Quantity) -> QuantityText:
    """A sentence from a template and its parts: words, quantities, other sentences.

    Example
    -------
    >>> said = phrase("{code}: {net} net", code="C2", net=grams(1043))
    >>> said
    'C2: 1043 g net'
    >>> said.worded(lambda quantity: f"{quantity.value / 1000} kg")
    'C2: 1.043 kg net'
    """
    texts = {n: p.text if isinstance(p, Quantity) else p for n, p in parts.items()}
    said = QuantityText(template.format_map(texts))
    said.template, said.parts = template, parts
    return said


def found_in(stored: str, *quantities: Quantity) -> QuantityText:
    """A stored sentence whose quantities are known beside it, as :func:`phrase` would have made it.

    Example
    -------
    >>> found_in("Fridge warm, 11.0 °C so far", celsius(11, "11.0 °C")).worded(lambda _: "52 °F")
    'Fridge warm, 52 °F so far'
    """
    template, parts = stored.replace("{", "{{").replace("}", "}}"), {}
    for number, quantity in enumerate(quantities):
        if quantity.text in template:
            template = template.replace(quantity.text, f"{{q{number}}}", 1)
            parts[f"q{number}"] = quantity
    return phrase(template, **parts)


def _worded(part: str | Quantity, word: Callable[[Quantity], str]) -> str:
    if isinstance(part, QuantityText):
        return part.worded(word)
    return word(part) if isinstance(part, Quantity) else part
