"""A ready-mixed pack as people say it: ``2 packs for 5 lb``, ``one pack, 5 lb of meat each``."""

from curedash.domain.errors import Refused
from curedash.domain.quantity_text import QuantityText, grams, phrase
from curedash.domain.record import record
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.wording import by_number

MOST_PACKS = 100  # design value: more is a slip
_HOW = "Type it like 2 packs for 5 lb"  # first: the end of a long sentence may be out of sight
#: by definition: what the words count
_COUNTS = {"half": 0.5, "a": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0}
_PACK = ("pack", "packs", "packet", "packets")
_AROUND = frozenset((*_PACK, "for", "of", "meat", "per", "each", "to", "rated", "salt"))


@record
class PacksUsed:
    """So many ready-mixed packs, each made for so much meat."""

    packs: float
    pack_for_g: float

    @property
    def rated_g(self) -> float:
        """The meat that all of them are made for [g]."""
        return self.packs * self.pack_for_g


def typed_packs(text: str) -> PacksUsed:
    """Read how many ready-mixed packs went in, and how much meat one is made for.

    Parameters
    ----------
    text : a count and a weight, in either order, with the words people put around them

    Returns
    -------
    packs and the meat of one [g]; a text without both, or a count over 100, raises ``Refused``

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> typed_packs("2 packs for 5 lb").rated_g
    4535.9237
    >>> typed_packs("5 lb of meat per pack, two packs").packs
    2.0
    """
    counts, weights = [], []
    words = [w for w in text.casefold().replace(",", " ").split() if w not in _AROUND]
    while words:
        word = words.pop(0)
        if word in _COUNTS:
            counts.append(_COUNTS[word])
        elif words and words[0].isalpha() and words[0] not in _COUNTS:
            weights.append(_meat_g(f"{word} {words.pop(0)}"))
        elif word[-1:].isalpha():
            weights.append(_meat_g(word))
        else:
            counts.append(_number(word))
    if len(weights) != 1 or len(counts) > 1:
        raise Refused(f"{_HOW}: “{text.strip()[:40]}” is not clear.")
    packs = counts[0] if counts else 1.0
    if not 0 < packs <= MOST_PACKS:
        raise Refused(f"{_HOW}: {packs:g} packs make no sense.")
    return PacksUsed(packs, weights[0])


def packs_words(used: PacksUsed, meat_g: float | None) -> QuantityText:
    """Say what so many packs are made for, and what is not known of their strength.

    Parameters
    ----------
    used : the packs
    meat_g : all the meat they went on [g]; None: nobody weighed it

    Returns
    -------
    a few sentences; never a strength, which only the label tells

    Source
    ------
    arithmetic: packs times the meat of one

    Example
    -------
    >>> print(packs_words(PacksUsed(2, 2270.0), 3400.0))
    2 packs are made for 4540 g of meat, and 3400 g was salted: 1.34 × what they are made for. \
Strength unknown: give the nitrite and nitrate % on the label, and the weight of a pack.
    """
    unknown = (
        "Strength unknown: give the nitrite and nitrate % on the label, and the weight of a pack."
    )
    if meat_g is None:
        return phrase(
            by_number(
                used.packs,
                "1 pack is made for {rated} of meat; how much was salted is not known. {unknown}",
                "{packs} packs are made for {rated} of meat; how much was salted is not known."
                " {unknown}",
            ),
            packs=f"{used.packs:g}",
            rated=grams(round(used.rated_g)),
            unknown=unknown,
        )
    return phrase(
        by_number(
            used.packs,
            "1 pack is made for {rated} of meat, and {meat} was salted: {share} × what it is"
            " made for. {unknown}",
            "{packs} packs are made for {rated} of meat, and {meat} was salted: {share} × what"
            " they are made for. {unknown}",
        ),
        packs=f"{used.packs:g}",
        rated=grams(round(used.rated_g)),
        meat=grams(round(meat_g)),
        share=f"{used.rated_g / meat_g:.2f}",
        unknown=unknown,
    )


def _meat_g(text: str) -> float:
    try:
        return parse_weight_g(text, marks_are_decimal=True)
    except Refused:
        raise Refused(f"{_HOW}: “{text[:20]}” is not a weight of meat.") from None


def _number(word: str) -> float:
    try:
        return float(word.replace(",", "."))
    except ValueError:
        raise Refused(f"{_HOW}: “{word[:20]}” is not a number of packs.") from None
