"""What is in it, for a label and a record: salts with their strength, spices, allergens."""

from curedash.domain.dosing import CuringSalt
from curedash.domain.facts.allergens import ALLERGEN_WORDS
from curedash.domain.wording import listed
from curedash.papers.lot_facts import LotFacts
from curedash.present.numbers import number
from curedash.present.words import plain

UNKNOWN = "strength unknown"


def strength_words(salt: CuringSalt) -> str:
    """``6.25 % nitrite, 4 % nitrate``; a share the label does not give is said."""
    if salt.nitrite_pct is None and salt.nitrate_pct is None:
        return UNKNOWN
    parts = []
    for share, what in ((salt.nitrite_pct, "nitrite"), (salt.nitrate_pct, "nitrate")):
        if share is None:
            parts.append(f"{what} unknown")
        elif share:
            parts.append(f"{share:g} % {what}")
    return ", ".join(parts) or "no nitrite, no nitrate"


def salt_words(facts: LotFacts) -> str | None:
    """The curing salt with its strength, None where none is in it."""
    if not any(line.kind in ("curing-salt", "pack") for line in facts.dose):
        return None
    salt = None if facts.request is None else facts.request.curing_salt
    if salt is None:
        return f"ready-mixed pack, {UNKNOWN}"
    return f"{plain(salt.name)}: {strength_words(salt)}"


def contains(facts: LotFacts) -> list[str]:
    """Species, salts and every other ingredient; words that name an allergen in capitals."""
    parts = [plain(facts.lot.species) or "meat", "salt"]
    salt = None if facts.request is None else facts.request.curing_salt
    if salt_words(facts) is not None:
        known = salt is not None and salt.strength_known
        if not known or (salt is not None and salt.nitrite_pct):
            parts.append("nitrite (E 250)" if known else "nitrite and nitrate: amount unknown")
        if known and salt is not None and salt.nitrate_pct:
            parts.append("nitrate (E 252)" if salt.nitrate_as == "KNO3" else "nitrate (E 251/252)")
    parts += [
        marked(plain(line.name))
        for line in facts.dose
        if line.kind not in ("salt", "curing-salt", "water") and line.planned_g > 0
    ]
    return parts


def marked(name: str) -> str:
    """The name, in capitals where a word in it names an allergen.

    Example
    -------
    >>> marked("mustard seed"), marked("juniper")
    ('MUSTARD SEED', 'juniper')
    """
    small = name.casefold()
    return name.upper() if any(word in small for word in ALLERGEN_WORDS) else name


def agents_words(facts: LotFacts) -> str:
    """Ingoing nitrite and nitrate on green weight, unknown said as such."""
    lot = facts.lot
    if lot.salt_box:
        return "nitrite and nitrate: not known in a salt box"
    parts = []
    agents = (
        ("nitrite", lot.nitrite_mg_per_kg, "NaNO2"),
        ("nitrate", lot.nitrate_mg_per_kg, "NaNO3"),
    )
    for name, value, salt in agents:
        amount = "unknown" if value is None else f"{number(value)} mg/kg as {salt}"
        parts.append(f"{name} {amount}")
    return f"ingoing {listed(parts)}, on green weight"
