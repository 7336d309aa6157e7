"""What the meat of a lot is, in as many cells as there are."""

from __future__ import annotations

from curedash.domain.records import LotState
from curedash.present.words import cells, cut, plain


def meat_words(lot: LotState, width: int, *, animal: bool = False) -> str:
    """Cut and piece: whole if they fit, else the beginning of the piece.

    Parameters
    ----------
    lot : names of its batch and of itself, its species
    width : cells there are
    animal : name the animal too, where neither name does and there is room

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> lot = Lot(batch_name="Collar", piece="shoulder side, tied", species="pork")
    >>> meat_words(lot, 30), meat_words(lot, 21)
    ('Collar, shoulder side, tied', 'Collar, shoulder side')
    >>> meat_words(lot, 40, animal=True)
    'Pork collar, shoulder side, tied'
    """
    names = cut_and_piece(lot)
    names = names[:1].upper() + names[1:]
    wanted = with_animal(lot, names) if animal else names
    for words in (wanted, _shorter(wanted), names, _shorter(names)):
        if cells(words) <= width:
            return words
    return cut(_shorter(names), width)


def cut_and_piece(lot: LotState) -> str:
    """``Silverside, thick end``; one name alone where the other says nothing more."""
    whole, piece = plain(lot.batch_name), plain(lot.piece)
    if not piece or not whole or whole.casefold() in piece.casefold():
        return piece or whole
    return f"{whole}, {piece}"


def with_animal(lot: LotState, names: str) -> str:
    """The animal before the names, where they do not hold it."""
    species = plain(lot.species)
    if not species or not names or species.casefold() in names.casefold():
        return names
    return f"{species[:1].upper()}{species[1:]} {names[:1].lower()}{names[1:]}"


def _shorter(names: str) -> str:
    """Without what stands behind a second comma: ``neck side, tied`` → ``neck side``."""
    first, comma, rest = names.partition(", ")
    return first + comma + rest.partition(",")[0]
