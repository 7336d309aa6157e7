"""A name as people say it: by any part of a word, by another word of the trade, or nearly so."""

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

_LEAST_ALIKE = 0.6  # design value: less alike than this is no slip of the same word
_MOST_NEAR = 3  # design value: names offered after a slip
_KEPT = 2000  # names taken apart before: a form asks for all of them at every key


def fitting(text: str, names: Mapping[str, Sequence[str]]) -> list[str]:
    """Find what a name as typed can mean.

    Parameters
    ----------
    text : what was typed: a whole name, or the beginning of each of its words, in any order
    names : each thing with all that it is called

    Returns
    -------
    what is called just so; else the one that begins so; else all whose words fit; none for an
    empty text

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> library = {"thin": ["thin salami"], "thick": ["thick salami"], "loin": ["loin", "lonza"]}
    >>> fitting("salami thi", library), fitting("salami thin", library), fitting("LON", library)
    (['thin', 'thick'], ['thin'], ['loin'])
    """
    typed = _words(text)
    if not typed:
        return []
    exact = [key for key, called in names.items() if any(_words(one) == typed for one in called)]
    if exact:
        return exact
    whole = " ".join(typed)
    begun = [
        key
        for key, called in names.items()
        if any(" ".join(_words(one)).startswith(whole) for one in called)
    ]
    if len(begun) == 1:
        return begun
    return [key for key, called in names.items() if any(_begins(typed, one) for one in called)]


def nearest(text: str, names: Mapping[str, Sequence[str]]) -> list[str]:
    """Name what is spelled most like a text, best first, three at most.

    Parameters
    ----------
    text, names : as in `fitting`

    Returns
    -------
    things whose names are nearly typed; none where nothing is alike

    Source
    ------
    share of letters in common, in order; the least that counts is a design value

    Example
    -------
    >>> nearest("bresola", {"bresaola": ["air-dried beef", "bresaola"], "coppa": ["coppa"]})
    ['bresaola']
    """
    from difflib import SequenceMatcher

    wanted = " ".join(_words(text))

    def alike(called: Iterable[str]) -> float:
        return max(SequenceMatcher(None, wanted, " ".join(_words(one))).ratio() for one in called)

    scored = sorted(((alike(called), key) for key, called in names.items()), reverse=True)
    return [key for score, key in scored[:_MOST_NEAR] if score >= _LEAST_ALIKE]


@lru_cache(_KEPT)
def _words(text: str) -> tuple[str, ...]:
    """Its words in small letters, without accents and hyphens."""
    parts = text.casefold() if text.isascii() else _bare(text.casefold())
    return tuple(parts.replace("-", " ").replace("_", " ").split())


def _bare(text: str) -> str:
    """The letters without their accents: jamón is typed jamon too."""
    from unicodedata import combining, normalize

    return "".join(one for one in normalize("NFKD", text) if not combining(one))


def _begins(typed: Sequence[str], called: str) -> bool:
    """Whether each typed word begins a word of the name, each its own."""
    left = list(_words(called))
    for word in typed:
        forms = (word, word[:-1]) if len(word) > 3 and word.endswith("s") else (word,)
        found = next((one for form in forms for one in left if one.startswith(form)), None)
        if found is None:
            return False
        left.remove(found)
    return True
