"""What goes into one pack from several lots, typed: ``C2 120 D1 80``."""

from collections.abc import Callable

from curedash.domain.errors import Refused
from curedash.domain.household.codes import LETTERS
from curedash.domain.typed.weights import parse_weight_g, times_written_out


def names_lots(text: str) -> bool:
    """Whether a text names a lot, and so means one mixed pack.

    Example
    -------
    >>> names_lots("120 D1 80"), names_lots("180 180 6.4 oz"), names_lots("150 x4")
    (True, False, False)
    """
    words = _words(text)
    if words and _is_code(words[-1]):  # no weight behind it: four packs and no lot X4
        words = _words(times_written_out(text))
    return any(_is_code(word) for word in words)


def typed_shares(text: str, own: str | None = None) -> tuple[tuple[str, float], ...]:
    """Read which lot gives how much to one pack.

    Parameters
    ----------
    text : a code and a weight for each lot; what stands before the first code is from ``own``
    own : the code of the lot that is being packed, None where every lot is named

    Returns
    -------
    code and weight [g] of each, at least two lots

    Raises
    ------
    Refused: a lot without a weight, one lot alone or twice, a weight that cannot be read

    Example
    -------
    >>> typed_shares("120 D1 80 g", "C2"), typed_shares("c2 120 + d1 80")
    ((('C2', 120.0), ('D1', 80.0)), (('C2', 120.0), ('D1', 80.0)))
    """
    found: list[tuple[str, list[str]]] = [] if own is None else [(own, [])]
    for word in _words(text):
        if _is_code(word):
            found.append(("".join(_parts(word)), []))
        elif not found:
            raise Refused("Begin with a lot, then its weight: C2 120 D1 80.")
        else:
            found[-1][1].append(word)
    if own is not None and not found[0][1]:
        found.pop(0)  # it was named like the others, or gives nothing
    empty = next((code for code, words in found if not words), None)
    if empty is not None:
        raise Refused(f"How much of {empty}? A lot, then its weight: C2 120 D1 80.")
    shares = tuple((code, parse_weight_g(" ".join(words))) for code, words in found)
    if len({code for code, _ in shares}) < max(2, len(shares)):
        raise Refused("A mixed pack needs at least two lots, each named once: C2 120 D1 80.")
    return shares


def shares_with_units(text: str, own: str | None, meant: Callable[[str], str]) -> str:
    """The same text, each weight rewritten, as where a bare number may be ounces.

    Example
    -------
    >>> shares_with_units("4 D1 3", "C2", lambda weight: f"{weight} oz")
    'C2 4 oz D1 3 oz'
    """
    found: list[str] = [] if own is None or _is_code(_words(text)[0]) else [own]
    weight: list[str] = []
    for word in [*_words(text), ""]:
        if word and not _is_code(word):
            weight.append(word)
            continue
        found += [meant(" ".join(weight))] if weight else []
        weight = []
        found += [word] if word else []
    return " ".join(found)


def _words(text: str) -> list[str]:
    return text.replace("+", " ").replace(";", " ").split()


def _parts(word: str) -> tuple[str, str, str]:
    """Letters of a batch, a number, letters of a part."""
    upper = word.upper()
    rest = upper.lstrip(LETTERS)
    number = rest.rstrip(LETTERS)
    return upper[: len(upper) - len(rest)], number, rest[len(number) :].lower()


def _is_code(word: str) -> bool:
    """``C2`` or ``AA12b``, in small letters too."""
    batch, number, _ = _parts(word)
    return bool(batch) and number.isascii() and number.isdecimal()
