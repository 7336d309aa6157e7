"""Counts, lists and choices in a sentence: the one place that makes a plural or joins names."""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable


def count(amount: int, one: str, many: str | None = None) -> str:
    """A number with its noun.

    Example
    -------
    >>> count(1, "lot"), count(4, "lot"), count(2, "batch", "batches")
    ('1 lot', '4 lots', '2 batches')
    """
    return f"{amount} {one if amount == 1 else many or one + 's'}"


def by_number(amount: float, one: str, many: str) -> str:
    """The sentence for one thing or for several, each whole.

    Example
    -------
    >>> by_number(1, "A1 is in cure.", "A1 and A2 are in cure.")
    'A1 is in cure.'
    """
    return one if amount == 1 else many


def listed(names: Iterable[str], last: str = "and") -> str:
    """Names in a sentence, the last one behind ``and`` or ``or``.

    Example
    -------
    >>> listed(["A1"]), listed(["A1", "A2"]), listed(["A1", "A2", "A3"], "or")
    ('A1', 'A1 and A2', 'A1, A2 or A3')
    """
    *before, final = list(names) or [""]
    return f"{', '.join(before)} {last} {final}" if before else final


def no_such(kind: str, typed: str, known: Iterable[str]) -> str:
    """That nothing is called so, and what there is instead.

    Example
    -------
    >>> no_such("scale", "fin", ["fine", "kitchen"])
    'There is no scale “fin”; choose fine or kitchen.'
    >>> no_such("scale", "fin", [])
    'There is no scale “fin”; none has been added yet.'
    """
    names = listed(known, "or")
    if names:
        return f"There is no {kind} “{typed}”; choose {names}."
    return f"There is no {kind} “{typed}”; none has been added yet."


def facts(*parts: str) -> str:
    """Facts side by side on one line, each whole by itself, without those that are empty.

    Example
    -------
    >>> facts("pH 5.1 recorded", "", "the count has ended"), facts("salted", "")
    ('pH 5.1 recorded; the count has ended', 'salted')
    """
    return "; ".join(part for part in parts if part)


def sentences(*parts: str) -> str:
    """Whole sentences one after another, without those that are empty.

    Example
    -------
    >>> sentences("4 pieces added.", "", "Next: weigh them.")
    '4 pieces added. Next: weigh them.'
    """
    return " ".join(part for part in parts if part)
