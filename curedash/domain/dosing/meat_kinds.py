"""Which kind of meat a species in words is: fish, poultry, game, horse, bear, wild pig, or none."""

from __future__ import annotations

from difflib import get_close_matches
from functools import lru_cache

from curedash.domain.dosing.cuts import cut_of
from curedash.domain.errors import Refused
from curedash.domain.facts.species import MEAT_KINDS, OTHER_MEAT, USUAL_MEAT, MeatKind
from curedash.domain.facts.trade_names import SPECIES_WORDS
from curedash.domain.wording import listed

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
    words = _words(species)
    padded = f" {' '.join(words)} "
    for kind in MEAT_KINDS:
        for word in kind.words:
            if any(f" {form} " in padded for form in (word, f"{word}s", f"{word}es")):
                return kind
    if not wild:
        return None
    wanted = "wild-pig" if any(word in _PIG for word in words) else "game"
    return next(kind for kind in MEAT_KINDS if kind.id == wanted)


def is_other(species: str) -> bool:
    """Tell whether the meat is named as one that no list here has.

    Example
    -------
    >>> is_other("other: alpaca"), is_other("mother of pearl"), is_other("beef")
    (True, False, False)
    """
    return _words(species)[:1] == [OTHER_MEAT]


def check_species(species: str) -> None:
    """Refuse a species that no list here has, with the names that are near.

    Parameters
    ----------
    species : what it is, in words; empty and "other: …" with a word behind it pass

    Returns
    -------
    nothing; a `Refused` names what is near and the way out

    Source
    ------
    the words of `domain/facts/species.py`

    Example
    -------
    >>> check_species("wild boar"), check_species("other: alpaca")
    (None, None)
    """
    words = _words(species)
    if not words or _is_known(words):
        return
    if words[0] == OTHER_MEAT:
        if len(words) > 1:
            return
        raise Refused("Say which meat it is, e.g. other: alpaca. No limit is checked then.")
    cut = cut_of(" ".join(words))
    if cut is not None:
        meats = listed(cut.species, "or")
        raise Refused(
            f"“{' '.join(species.split())[:40]}” is a cut: name the meat here, e.g. {meats}."
        )
    near = get_close_matches(" ".join(words), _NAMES, n=3, cutoff=0.5)
    meant = f"Is it {listed(near, 'or')}?" if near else f"Choose {listed(_FIRST, 'or')}."
    raise Refused(
        f"“{' '.join(species.split())[:40]}” is not a meat known here. {meant} "
        f"Otherwise type other: {words[0][:40]}; no limit is checked then."
    )


def _is_known(words: list[str]) -> bool:
    padded = f" {' '.join(words)} "
    return any(f" {form} " in padded for name in _NAMES for form in (name, f"{name}s", f"{name}es"))


def _words(species: str) -> list[str]:
    return "".join(c if c.isalpha() else " " for c in species.casefold()).split()


_NAMES = (
    *USUAL_MEAT,
    *(word for words in SPECIES_WORDS.values() for word in words),
    *(word for kind in MEAT_KINDS for word in kind.words),
    "wild",
)
_FIRST = ("beef", "pork", "lamb", "goat", "venison", "duck", "fish")
