"""Which kind of meat a species in words is: fish, poultry, game, horse, bear, wild pig, or none."""

from __future__ import annotations

from functools import lru_cache

from curedash.domain.facts.species import MEAT_KINDS, MeatKind

_PIG = ("pork", "pig", "hog", "swine")


@lru_cache(maxsize=256)
def kind_of(species: str, *, wild: bool = False) -> MeatKind | None:
    """Find the kind of meat by its words.

    Parameters
    ----------
    species : what it is, in words
    wild : whether it came from the wild

    Returns
    -------
    the kind, or None for beef, pork, lamb and words nobody knows; what is wild and otherwise
    unknown counts as game, a wild pig as that

    Source
    ------
    the words of `domain/facts/species.py`, each as a whole word or the plural of one

    Example
    -------
    >>> kind_of("duck").id, kind_of("Wild boar").id, kind_of("pork"), kind_of("pork", wild=True).id
    ('poultry', 'wild-pig', None, 'wild-pig')
    """
    words = "".join(c if c.isalpha() else " " for c in species.casefold()).split()
    padded = f" {' '.join(words)} "
    for kind in MEAT_KINDS:
        for word in kind.words:
            if any(f" {form} " in padded for form in (word, f"{word}s", f"{word}es")):
                return kind
    if not wild:
        return None
    wanted = "wild-pig" if any(word in _PIG for word in words) else "game"
    return next(kind for kind in MEAT_KINDS if kind.id == wanted)
