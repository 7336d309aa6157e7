"""Curing salts: what a label says, found by id or read from a strength such as ``5.88/0``."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import isfinite

from curedash.domain.dosing.limits import nitrate_as_nano3
from curedash.domain.errors import Refused
from curedash.domain.facts.curing_salts import CURING_SALTS
from curedash.domain.facts.trade_names import SALT_BY_NUMBER, SALT_NUMBER_WORDS
from curedash.domain.typed.numbers import as_float

# A label strength above this is a pure chemical, not a curing salt to weigh on a kitchen scale.
PURE_NITRITE_PCT = 20.0


@dataclass(frozen=True, slots=True)
class CuringSalt:
    """A salt with nitrite, nitrate or both; ``None`` for a share the label does not give."""

    id: str
    name: str
    nitrite_pct: float | None
    nitrate_pct: float | None
    nacl_pct: float | None
    nitrate_as: str = "label"
    source: str = "its own label"
    how: str = "read"
    note: str = ""

    @property
    def strength_known(self) -> bool:
        """Whether both the nitrite and the nitrate share are known."""
        return self.nitrite_pct is not None and self.nitrate_pct is not None

    @property
    def sold_in_strengths(self) -> bool:
        """Whether it is of the generic shelf, where its kind has another strength too."""
        kind = self.name.partition(" (")[0] + " ("
        alike = [row.id for row in CURING_SALTS if row.name.startswith(kind)]
        return self.id in alike and len(alike) > 1

    @property
    def nitrite_fraction(self) -> float:
        """Nitrite as NaNO2 in one gram [g]; an unknown strength is refused."""
        return self._known(self.nitrite_pct) / 100

    @property
    def nitrate_salt_fraction(self) -> float:
        """Nitrate as the salt that is in the mix, in one gram [g]."""
        return self._known(self.nitrate_pct) / 100

    @property
    def nitrate_fraction(self) -> float:
        """Nitrate as NaNO3 in one gram [g]; saltpetre is converted, a label's figure is taken."""
        basis = "KNO3" if self.nitrate_as == "KNO3" else "NaNO3"
        return nitrate_as_nano3(self.nitrate_salt_fraction, basis)

    def _known(self, share_pct: float | None) -> float:
        if share_pct is None:
            raise Refused(f"The strength of {self.name} is not known: read it off the label.")
        return share_pct


@cache
def curing_salts() -> tuple[CuringSalt, ...]:
    """Give the generic curing salts of the shelf.

    Returns
    -------
    the salts, in the order of the table

    Source
    ------
    `domain/facts/curing_salts.py`, each row with its own source

    Example
    -------
    >>> [salt.id for salt in curing_salts()][:3]
    ['no1', 'no2', 'no2-low']
    """
    return tuple(CuringSalt(**row._asdict()) for row in CURING_SALTS)


PLAIN = "plain"
_WITHOUT = ("none", "no", "without")  # what a person types who takes no curing salt


def resolve_curing_salt(text: str, shelf: Iterable[CuringSalt] = ()) -> CuringSalt:
    """Find a curing salt by id, or read a label strength ``nitrite/nitrate`` or with ``/salt``.

    Parameters
    ----------
    text : an id of the shelf, its number (`no 2`, `#2`, `2`), ``none`` for plain salt, an own
        jar's id or name, or percentages such as `5.88/0`, `6.25/4/89.75`, `0.5/0.5/?` (salt share
        not stated); the comma is a decimal mark too
    shelf : the household's own jars, looked up first

    Returns
    -------
    the curing salt; text that is neither is refused

    Source
    ------
    `domain/facts/curing_salts.py`, or the label

    Example
    -------
    >>> resolve_curing_salt("no2").nitrate_pct
    4
    >>> resolve_curing_salt("5.88/0").nacl_pct
    94.12
    """
    wanted = text.strip()
    for salt in (*shelf, *curing_salts()):
        if wanted.casefold() in (salt.id.casefold(), salt.name.casefold()):
            return salt
    if "/" in wanted:
        return _from_label(wanted)
    if wanted.casefold() in _WITHOUT:
        return next(salt for salt in curing_salts() if salt.id == PLAIN)
    numbered = _by_number(wanted, shelf)
    if numbered is not None:
        return numbered
    ids = ", ".join(row.id for row in CURING_SALTS)
    shown = wanted[:40]
    raise Refused(
        f"{shown!r} is not a known curing salt ({ids}). Or give the label strength, nitrite "
        "%/nitrate %, such as 5.88/0."
    )


def not_a_spice(text: str) -> None:
    """Refuse a curing salt where a spice is typed: it would go in uncounted.

    Parameters
    ----------
    text : the name of a spice, with its percent behind it or without: ``no2``, ``cure #1 0.25``

    Returns
    -------
    nothing; a `Refused` names the field that a curing salt belongs to

    Source
    ------
    `domain/facts/curing_salts.py` and `trade_names.py`

    Example
    -------
    >>> not_a_spice("black pepper 2")
    >>> not_a_spice("no. 2 0.25")
    Traceback (most recent call last):
    curedash.domain.errors.Refused: “no. 2” is a curing salt: type it in the field curing salt.
    """
    words = text.split()
    for end in range(len(words), 0, -1):
        name = " ".join(words[:end]).strip(" ,;:=")
        bare = name.casefold()
        cures = [salt for salt in curing_salts() if salt.id != PLAIN]
        known = any(bare in (salt.id, salt.name.casefold()) for salt in cures)
        numbered = any(word in bare for word in SALT_NUMBER_WORDS) and _numbered(bare)
        if known or numbered:
            shown = name[:40]
            raise Refused(f"“{shown}” is a curing salt: type it in the field curing salt.")


def _numbered(text: str) -> str | None:
    """The id of a salt called by its number: ``no. 2``, ``#2``, ``pink salt 2``, ``2``."""
    left = _without_number_words(text)
    return SALT_BY_NUMBER.get(left[0].strip(".")) if len(left) == 1 else None


def _without_number_words(text: str) -> list[str]:
    bare = text.casefold().replace("#", " # ").replace(".", ". ").split()
    return [word for word in bare if word.strip(".") not in SALT_NUMBER_WORDS]


def _by_number(text: str, shelf: Iterable[CuringSalt]) -> CuringSalt | None:
    """``no. 2``, ``#2``, ``pink salt 2``, ``2``; and what one of all salts alone is called.

    ``pink`` without its number is refused: both are dyed pink, and one holds nitrate.
    """
    from curedash.domain.typed.names import fitting

    left, numbered = _without_number_words(text), _numbered(text)
    known = {salt.id: salt for salt in (*curing_salts(), *shelf)}
    if numbered is not None:
        return known[numbered]
    if not left and "pink" in text.casefold():
        raise Refused(
            "Which pink salt, 1 or 2? The label says: no1 holds nitrite only, no2 nitrate as well."
        )
    found = fitting(text, {key: (key, salt.name) for key, salt in known.items()}) if left else []
    return known[found[0]] if len(found) == 1 else None


def label_salt(
    nitrite_pct: float,
    nitrate_pct: float,
    nacl_pct: float | None,
    *,
    salt_id: str = "",
    name: str = "",
    note: str = "",
) -> CuringSalt:
    """Make a curing salt from what a label says, refusing shares that cannot be.

    Parameters
    ----------
    nitrite_pct : nitrite as NaNO2 [%], 0–100
    nitrate_pct : nitrate [%], 0–100
    nacl_pct : salt [%], 0–100, or None where the label does not say
    salt_id, name : how the household calls it; empty gives the strength itself
    note : anything to be shown beside it

    Returns
    -------
    the curing salt

    Source
    ------
    the label

    Example
    -------
    >>> label_salt(6.25, 0, 93.75).name
    'curing salt 6.25/0'
    """
    shares = [nitrite_pct, nitrate_pct, *([] if nacl_pct is None else [nacl_pct])]
    if any(not isfinite(share) or not 0 <= share <= 100 for share in shares):
        raise Refused("The shares on a label lie between 0 and 100 %; write them as 5.88/0.")
    if sum(shares) > 100 + 1e-9:
        raise Refused("The shares on a label add up to more than 100 %; write them as 5.88/0.")
    strength = f"{nitrite_pct:g}/{nitrate_pct:g}"
    shown = name or f"curing salt {strength}"
    return CuringSalt(salt_id or strength, shown, nitrite_pct, nitrate_pct, nacl_pct, note=note)


def _from_label(text: str) -> CuringSalt:
    parts = [part.strip().removesuffix("%").strip() for part in text.split("/")]
    if len(parts) not in (2, 3):
        raise Refused("Write a label strength as nitrite %/nitrate %, such as 5.88/0.")
    try:
        nitrite, nitrate = map(as_float, parts[:2])
        if len(parts) == 3:
            nacl = None if parts[2] == "?" else as_float(parts[2])
            return label_salt(nitrite, nitrate, nacl, salt_id=text)
    except ValueError:
        raise Refused(
            f"{text[:40]!r} is not a label strength; write nitrite %/nitrate %, such as 5.88/0."
        ) from None
    rest = round(100 - nitrite - nitrate, 6)
    note = f"salt share not typed: the rest, {rest:g} %, is counted as salt"
    return label_salt(nitrite, nitrate, max(rest, 0.0), note=note)
