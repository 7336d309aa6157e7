"""Which cut a person means: by its name, by another word of the trade, or nearly so."""

from __future__ import annotations

from curedash.domain.facts.trade_names import CUTS, CutWords
from curedash.domain.typed.names import fitting, nearest

_CALLED = {
    cut.name: (
        cut.name,
        *cut.words,
        *(f"{meat} {word}" for meat in cut.species for word in (cut.name, *cut.words)),
    )
    for cut in CUTS
}


def cut_of(text: str) -> CutWords | None:
    """Find the cut that words name.

    Parameters
    ----------
    text : the cut as somebody calls it, with or without its meat: ``pork neck``, ``silverside``

    Returns
    -------
    the cut; None where the words name none, or more than one

    Source
    ------
    `domain/facts/trade_names.py`, common practice

    Example
    -------
    >>> cut_of("pork neck").name, cut_of("Girello").name, cut_of("tail")
    ('collar', 'eye of round', None)
    """
    found = fitting(text, _CALLED)
    return next(cut for cut in CUTS if cut.name == found[0]) if len(found) == 1 else None


def near_cuts(text: str) -> list[str]:
    """Name the cuts whose names are nearly typed, best first; none where nothing is alike.

    Example
    -------
    >>> near_cuts("silversyde")
    ['silverside']
    """
    return nearest(text, _CALLED)


def same_cut(one: str, other: str) -> bool:
    """Tell whether two names are of one cut, however they are typed.

    Example
    -------
    >>> same_cut("neck", "collar (neck end of the shoulder)"), same_cut("neck", "loin")
    (True, False)
    """
    first, second = (text.partition("(")[0].partition(",")[0].strip() for text in (one, other))
    if first.casefold() == second.casefold():
        return True
    found = cut_of(first)
    return found is not None and found == cut_of(second)
