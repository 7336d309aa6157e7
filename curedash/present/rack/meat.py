"""What the meat of a lot is, in as many cells as there are."""

from __future__ import annotations

from curedash.domain.records import LotState
from curedash.present.words import LOOSE, cells, cut, plain

SAYS_LEAST = (" side", " end", " half", " strip")  # of a piece: the word before it tells which
LEAST_PART = 3  # letters: a shorter part of a word before the sign of a cut says nothing


def meat_words(lot: LotState, width: int) -> str:
    """Animal, cut and piece: whole if they fit, else without what says least.

    The animal and the cut come first, as lots of one batch have their codes to tell them apart.

    Parameters
    ----------
    lot : names of its batch and of itself, its species
    width : cells there are

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> lot = Lot(batch_name="Collar", piece="shoulder side, tied", species="pork")
    >>> meat_words(lot, 40), meat_words(lot, 30)
    ('Pork collar, shoulder side, tied', 'Pork collar, shoulder side')
    >>> meat_words(lot, 22), meat_words(lot, 14), meat_words(lot, 10)
    ('Pork collar, shoulder', 'Pork collar', 'Pork coll…')
    """
    every = whole_name(lot)
    whole = _shorter(every)
    brief = _brief(whole)
    for words in (every, whole, brief, _without_comma(brief)):
        if cells(words) <= width:
            return words
    main = _capital(with_animal(lot, _cut_name(lot)))
    if cells(main) <= width:
        return main
    sideless = main.replace(" left ", " ").replace(" right ", " ")
    for words in (sideless, *_shortest(lot, brief)):
        if cells(words) <= width:
            return words
    return _cut(sideless, width)


def _shortest(lot: LotState, brief: str) -> list[str]:
    """The animal and one thing more, so that lots of one batch differ and no word is cut.

    The cut alone as the trade calls it; else the piece, where the batch is named by its cut; else
    the last word.

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> lot = Lot(batch_name="Silverside", piece="thick end", species="beef")
    >>> _shortest(lot, "Beef silverside, thick")
    ['Beef silverside', 'Beef, thick', 'Beef silverside']
    >>> _shortest(Lot(batch_name="Fennel salami", piece="", species="pork"), "Pork fennel salami")
    ['Pork salami']
    """
    animal, names = _capital(plain(lot.species)), _cut_name(lot)
    batch, _comma, piece = brief.partition(", ")
    cut_alone = [f"{animal} {word.casefold()}" for word in names.split() if _is_cut(word)]
    piece_alone = [f"{animal}, {piece}"] if piece and _is_cut(batch) else []
    return [*cut_alone, *piece_alone, f"{animal} {names.rpartition(' ')[2].casefold()}"]


def piece_words(lot: LotState, width: int) -> str:
    """The same where the piece matters most: it is whole before the animal is named.

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> lot = Lot(batch_name="Silverside", piece="thick end", species="beef")
    >>> piece_words(lot, 26), piece_words(lot, 22)
    ('Beef silverside, thick end', 'Silverside, thick end')
    """
    without = _capital(cut_and_piece(lot))
    whole = whole_name(lot)
    for words in (whole, _shorter(whole), without, _shorter(without)):
        if cells(words) <= width:
            return words
    return meat_words(lot, width)


def whole_name(lot: LotState) -> str:
    """``Beef silverside, thick end``: the animal first unless the names hold it."""
    return _capital(with_animal(lot, cut_and_piece(lot)))


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


def _cut_name(lot: LotState) -> str:
    """The one of both names that says which cut it is: the batch's unless only the piece does.

    Example
    -------
    >>> from types import SimpleNamespace as Lot
    >>> _cut_name(Lot(batch_name="For the feast", piece="loin, centre"))
    'loin'
    >>> _cut_name(Lot(batch_name="Fennel salami", piece="string of six"))
    'Fennel salami'
    """
    names = cut_and_piece(lot)
    batch, _comma, piece = _shorter(names).partition(", ")
    return piece if _is_cut(piece) and not _is_cut(batch) else batch


def _is_cut(names: str) -> bool:
    """Whether a word of the trade for a cut is among them."""
    from curedash.domain.facts.trade_names import CUTS

    said = f" {names.casefold()}"
    return any(f" {word}" in said for cut in CUTS for word in (cut.name, *cut.words))


def _brief(names: str) -> str:
    """``Pork collar, shoulder side`` → ``Pork collar, shoulder``."""
    first, comma, piece = names.partition(", ")
    last = next((word for word in SAYS_LEAST if piece.endswith(word)), "")
    return first + comma + piece.removesuffix(last)


def _without_comma(names: str) -> str:
    """A piece named by one word needs none: ``Beef silverside middle``."""
    first, comma, piece = names.partition(", ")
    return names if not comma or " " in piece else f"{first} {piece}"


def _capital(names: str) -> str:
    return names[:1].upper() + names[1:]


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
