"""What the meat of a lot is, in as many cells as there are."""

from __future__ import annotations

from curedash.domain.records import LotState
from curedash.present.words import LOOSE, cells, cut, plain

LEAST_PART = 3  # letters: a shorter part of a word before the sign of a cut says nothing


def meat_words(lot: LotState, width: int, *, alike: bool = False) -> str:
    """Animal, cut and piece: whole if they fit, else as many of them as there is room for.

    Parameters
    ----------
    lot : names of its batch and of itself, its species
    width : cells there are
    alike : other lots have the name of its batch too: its own name is kept before that

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> lot = Lot(batch_name="Collar", piece="shoulder side, tied", species="pork")
    >>> meat_words(lot, 20, alike=True)
    'Pork shoulder side'
    >>> meat_words(lot, 40), meat_words(lot, 30)
    ('Pork collar, shoulder side, tied', 'Pork collar, shoulder side')
    >>> meat_words(lot, 20), meat_words(lot, 14)
    ('Pork collar, should…', 'Pork collar…')
    """
    names = whole_name(lot)
    for words in (names, _shorter(names)):
        if cells(words) <= width:
            return words
    if alike and lot.piece:
        own = with_animal(lot, plain(lot.piece).partition(",")[0])
        return own if cells(own) <= width else _cut(own, width)
    return _cut(_shorter(names), width)


def piece_words(lot: LotState, width: int) -> str:
    """The same where the piece matters most: it is whole before the animal is named.

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> lot = Lot(batch_name="Silverside", piece="thick end", species="beef")
    >>> piece_words(lot, 26), piece_words(lot, 22)
    ('Beef silverside, thick end', 'Silverside, thick end')
    """
    names = cut_and_piece(lot)
    without = names[:1].upper() + names[1:]
    whole = whole_name(lot)
    for words in (whole, _shorter(whole), without, _shorter(without)):
        if cells(words) <= width:
            return words
    return meat_words(lot, width)


def whole_name(lot: LotState) -> str:
    """``Beef silverside, thick end``: the animal first unless the names hold it."""
    names = with_animal(lot, cut_and_piece(lot))
    return names[:1].upper() + names[1:]


def cut_and_piece(lot: LotState) -> str:
    """``Silverside, thick end``; one name alone where the other says nothing more.

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> cut_and_piece(Lot(batch_name="Flank strips", piece="strip"))
    'Flank strips'
    """
    whole, piece = plain(lot.batch_name), plain(lot.piece)
    if not piece or not whole or whole.casefold() in piece.casefold():
        return piece or whole
    if f" {whole}".casefold().find(f" {piece}".casefold()) >= 0:
        return whole
    return f"{whole}, {piece}"


def with_animal(lot: LotState, names: str) -> str:
    """The animal before the names, where they do not hold it."""
    species = plain(lot.species)
    if not species or not names or species.casefold() in names.casefold():
        return names
    return f"{species[:1].upper()}{species[1:]} {names[:1].lower()}{names[1:]}"


def _shorter(names: str) -> str:
    """Without what is behind a second comma: ``neck side, tied`` → ``neck side``."""
    first, comma, rest = names.partition(", ")
    return first + comma + rest.partition(",")[0]


def _cut(names: str, width: int) -> str:
    """Cut; of the last word nothing is left rather than a letter or two."""
    words = cut(names, width)
    kept = words.removesuffix("…")
    if kept == words or names[len(kept) : len(kept) + 1] in LOOSE:
        return words
    before, blank, part = kept.rpartition(" ")
    return words if not blank or cells(part) >= LEAST_PART else before.rstrip(LOOSE) + "…"
