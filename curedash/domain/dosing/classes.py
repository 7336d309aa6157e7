"""The product class that follows from method, cut, end use and species, and what it is held to.

This is the one place that decides what a dose is compared with. A class picked against the table
is a question; until it is answered with a reason, the strictest of the fitting limits counts.
"""

from __future__ import annotations

from functools import lru_cache

from curedash.domain.dosing.limits import Limit, limit_for, nitrite_as_nano2, rule_sets
from curedash.domain.dosing.meat_kinds import is_other, kind_of
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.result import CAUTION, NOTE, Finding
from curedash.domain.facts.nitrite_limits import PRODUCT_CLASS_LABELS
from curedash.domain.facts.product_classes import CLASS_ROWS, NOT_COMPUTED, ClassRow
from curedash.domain.record import record

CLASS = "class"  # the question about a class picked against the table
END_USE = "end-use"  # the question whether belly will be fried
_BELLY = ("belly", "bacon", "pancetta", "streaky")


@record
class Compared:
    """What a dose is held against: the class that follows, the one that counts, the limits."""

    rows: tuple[ClassRow, ...]  # of the table that fit as far as is known
    follows: str | None  # the class that follows from them, the strictest where several fit
    counts: tuple[str, ...]  # classes whose limits count
    nitrite: Limit | None
    nitrate: Limit | None
    why_not: str  # why there is nothing to compare with; empty where there is


def is_belly(cut: str) -> bool | None:
    """Tell whether a cut is belly; None where no cut is said.

    Example
    -------
    >>> is_belly("belly, rolled"), is_belly("loin"), is_belly("")
    (True, False, None)
    """
    words = cut.casefold()
    return None if not words.strip() else any(word in words for word in _BELLY)


def fitting_rows(request: DoseRequest) -> tuple[ClassRow, ...]:
    """Find the rows of the table that fit a request as far as it says.

    Parameters
    ----------
    request : the request; an end use that is not said fits every row, a cut that is not said
        counts as belly too only where it is fried

    Returns
    -------
    the rows in the order of the table; none without a rule set, for fish, or where no row fits

    Source
    ------
    `domain/facts/product_classes.py`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, rule_set="us", method="injection", cut="belly",
    ...                     eaten="fried")
    >>> [row.product_class for row in fitting_rows(asked)]
    ['bacon-injected']
    """
    return _fitting(
        request.rule_set, request.method, request.cut, request.eaten, request.skin, request.species
    )


@lru_cache(maxsize=256)  # a dose asks again for each division it is rounded down by
def _fitting(
    rule_set: str | None, method: str, cut: str, eaten: str | None, skin: bool, species: str
) -> tuple[ClassRow, ...]:
    kind = kind_of(species)
    if is_other(species) or (kind is not None and kind.id == "fish"):
        return ()
    belly = is_belly(cut)
    if belly is None and eaten != "fried":
        belly = False  # nobody said belly, and nobody said fried
    return tuple(
        row
        for row in CLASS_ROWS
        if row.rule_set == rule_set
        and method in row.methods
        and (not row.cut or belly is None or (row.cut == "belly") == belly)
        and (not row.eaten or eaten is None or eaten in row.eaten)
        and (row.skin is None or row.skin == skin)
    )


def compared_with(request: DoseRequest) -> Compared:
    """Decide what a dose is held against.

    Parameters
    ----------
    request : the request

    Returns
    -------
    the fitting rows, the class that follows, and the limit of each agent that counts

    Source
    ------
    `domain/facts/product_classes.py` and `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, rule_set="us", method="ground", product_class="dry-cured")
    >>> found = compared_with(asked)
    >>> found.follows, found.nitrite.mg_per_kg
    ('comminuted', 156.25)
    """
    if request.rule_set is None:
        return Compared((), None, (), None, None, "no rule set picked")
    rows = fitting_rows(request)
    names = tuple(dict.fromkeys(row.product_class for row in rows))
    picked = request.product_class
    follows = _strictest_class(request.rule_set, names)
    if picked is None:
        counts = names
    elif _fits(rows, picked):
        counts = names if _end_use_open(request, rows) else (picked,)
    elif answered(request, CLASS) and not is_other(request.species):
        counts = (picked,)
    else:
        counts = (*names, picked) if rows else ()
    nitrite, nitrate = (
        _strictest(request.rule_set, counts, agent) for agent in ("nitrite", "nitrate")
    )
    return Compared(rows, follows, counts, nitrite, nitrate, "" if counts else _why_not(request))


def answered(request: DoseRequest, question: str) -> str:
    """The reason that answers a question; empty while it is open.

    Example
    -------
    >>> answered(DoseRequest(green_g=1, answers=(("class", "inspected plant"),)), "class")
    'inspected plant'
    """
    return dict(request.answers).get(question, "").strip()


def class_findings(request: DoseRequest) -> list[Finding]:
    """Ask about a class that does not fit, and about belly of which the end use is not said.

    Parameters
    ----------
    request : the request

    Returns
    -------
    the findings; an answered question is a note with its reason

    Source
    ------
    `domain/facts/product_classes.py`, the source of the row in the sentence

    Example
    -------
    >>> from curedash.domain.dosing.salts import resolve_curing_salt
    >>> asked = DoseRequest(green_g=1000, rule_set="us", method="ground", cure_pct=0.25,
    ...                     curing_salt=resolve_curing_salt("no2"), product_class="dry-cured")
    >>> class_findings(asked)[0].question
    'class'
    """
    found = compared_with(request)
    if not found.rows or request.rule_set is None or not _has_agents(request):
        return []
    picked = request.product_class
    findings = []
    if picked is not None and not _fits(found.rows, picked):
        row = next(row for row in found.rows if row.product_class == found.follows)
        findings.append(_of_class(request, row, picked))
    if _end_use_open(request, found.rows):
        findings += _of_end_use(request)
    return findings


def not_computed(request: DoseRequest) -> tuple[str, ...]:
    """Limits of the rule set that no dose can be held against, in words.

    Example
    -------
    >>> not_computed(DoseRequest(green_g=1000, rule_set="ca"))
    ()
    """
    if not _has_agents(request):
        return ()
    return tuple(text for rule_set, text in NOT_COMPUTED if rule_set == request.rule_set)


def _of_class(request: DoseRequest, row: ClassRow, picked: str) -> Finding:
    reason = answered(request, CLASS)
    if reason:
        text = f"Class {picked} in place of {row.product_class}: {reason}"
        return Finding(NOTE, "product_class", _sentence(text), question=CLASS)
    text = (
        f"Class {picked} does not fit: {row.why}, so the class is {row.product_class} "
        f"({row.source}). The stricter limit counts. Why {picked}?"
    )
    fix = (("product_class", row.product_class),)
    return Finding(CAUTION, "product_class", text, fix, question=CLASS, must=True)


def _of_end_use(request: DoseRequest) -> list[Finding]:
    """Whether it is belly that will be fried; with nitrate in it that is asked anyway."""
    stricter = "Until you answer, the stricter limit counts."
    if request.eaten is not None:
        text = f"Fried: is it belly? {stricter}"
        return [Finding(CAUTION, "cut", text, question=END_USE)]
    if request.curing_salt is not None and request.curing_salt.nitrate_pct:
        return []
    reason = answered(request, END_USE)
    if reason:
        text = f"Belly, end use {reason}"
        return [Finding(NOTE, "eaten", f"{_sentence(text)} {stricter}", question=END_USE)]
    text = f"Belly: dried and eaten as it is, or to be fried? {stricter}"
    return [Finding(CAUTION, "eaten", text, question=END_USE, must=True)]


def _sentence(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else f"{text}."


def _has_agents(request: DoseRequest) -> bool:
    if request.method == "pack":
        return request.curing_salt is not None and request.curing_salt.strength_known
    return request.wants_nitrite_or_nitrate


def _fits(rows: tuple[ClassRow, ...], picked: str) -> bool:
    return any(picked == row.product_class or picked in row.also for row in rows)


def _end_use_open(request: DoseRequest, rows: tuple[ClassRow, ...]) -> bool:
    """Whether belly to be fried would be held to another limit, and nobody said one of the two."""
    belly = is_belly(request.cut)
    said = belly is False or (belly and request.eaten is not None)
    if said or (belly is None and request.eaten != "fried"):
        return False
    return len({row.product_class for row in rows}) > 1


def _why_not(request: DoseRequest) -> str:
    rules = dict(rule_sets())[request.rule_set or ""]
    if is_other(request.species):
        return f"the limits here ({rules}) name no such meat ({request.species.strip()})"
    kind = kind_of(request.species)
    if kind is not None and kind.id == "fish":
        return f"the limits here ({rules}) are for meat and poultry, not for fish"
    words = dict(PRODUCT_CLASS_LABELS)
    picked = request.product_class
    if picked is not None:
        return f"class “{words[picked]}” does not fit it and no other class of {rules} does"
    return f"no class of {rules} fits it"


def _strictest_class(rule_set: str, names: tuple[str, ...]) -> str | None:
    limit = _strictest(rule_set, names, "nitrite")
    if limit is not None:
        return limit.product_class
    return names[0] if names else None


@lru_cache(maxsize=256)
def _strictest(rule_set: str, names: tuple[str, ...], agent: str) -> Limit | None:
    """The lowest limit an ingoing dose can be held to; else the first there is."""
    found = [limit for name in names if (limit := limit_for(rule_set, name, agent)) is not None]
    if agent == "nitrate" and len(names) > 1:
        found = [limit for limit in found if limit.mg_per_kg] or found  # a bar is asked about
    held = [limit for limit in found if limit.comparable]
    return min(held, key=_as_nano2, default=found[0] if found else None)


def _as_nano2(limit: Limit) -> float:
    most = limit.mg_per_kg or 0.0
    return nitrite_as_nano2(most, "NO2 ion") if limit.basis == "NO2 ion" else most
