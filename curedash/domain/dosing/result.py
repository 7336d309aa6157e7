"""A dose as a value: what to weigh, what it amounts to, and what there is to say about it."""

from __future__ import annotations

from dataclasses import dataclass

from curedash.domain.dosing.limits import Limit, exceeds, rule_sets
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.words import plain
from curedash.domain.wording import listed

NOTE, CAUTION, UNCHECKED, REFUSED = "note", "caution", "not-checked", "refused"
WITHIN = "within-limits"
LEVELS = (REFUSED, CAUTION, UNCHECKED, NOTE)  # gravest first
VERDICTS = (WITHIN, CAUTION, REFUSED, UNCHECKED)
Fix = tuple[tuple[str, object], ...]


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One line of the sheet: the exact grams and what the scale can show of them."""

    name: str
    kind: str
    exact_g: float
    weigh_g: float
    division_g: float = 0.0
    portions: int = 1


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to say: how grave, beside which field, and the fields that would put it right.

    ``question`` names what it asks; a caution that asks is open until a reason is given, and one
    that ``must`` be answered is asked before anything is saved.
    """

    level: str
    field: str
    text: str
    fix: Fix = ()
    question: str = ""
    must: bool = False


@dataclass(frozen=True, slots=True)
class Contents:
    """What given grams amount to; ``None`` where it is not known."""

    total_salt_pct: float | None
    nitrite_mg_per_kg: float | None
    nitrate_mg_per_kg: float | None
    nitrate_salt_mg_per_kg: float | None


#: limits, each with the mg/kg held against it: the worse of the exact and the rounded grams
Compared = tuple[tuple[Limit, float], ...]


def kept_of(compared: Compared) -> Compared:
    """Those of the limits that are kept."""
    return tuple(
        (limit, value)
        for limit, value in compared
        if limit.mg_per_kg is not None and not exceeds(value, limit.mg_per_kg)
    )


def within_words(within: Compared) -> tuple[str, ...]:
    """A phrase for each limit a dose is within."""
    names = dict(rule_sets())
    return tuple(
        f"within the limit of {limit.mg_per_kg:g} mg/kg {limit.basis} "
        f"({names[limit.rule_set]}, {limit.product_class}): "
        f"{limit.agent.replace('+', ' and ')} {plain(value)} mg/kg"
        for limit, value in within
    )


@dataclass(frozen=True, slots=True)
class Dose:
    """A computed dose; refused ones are values too and name what would be accepted."""

    request: DoseRequest
    ingredients: tuple[Ingredient, ...]
    contents: Contents
    half_division_error_pct: float | None
    findings: tuple[Finding, ...]
    limit: Limit | None
    nitrate_limit: Limit | None
    accepted: Fix = ()
    pack_ratio: float | None = None
    pack_left_g: float | None = None
    as_weighed: bool = False
    held_against: Compared = ()
    not_compared: tuple[str, ...] = ()

    @property
    def within(self) -> Compared:
        """The limits it is within, each with what was compared with it."""
        return kept_of(self.held_against)

    @property
    def compared(self) -> tuple[str, ...]:
        """A phrase for each limit the dose is within."""
        return within_words(self.within)

    @property
    def verdict(self) -> str:
        """One of `VERDICTS`, by the gravest finding; within limits only what was compared."""
        levels = {finding.level for finding in self.findings}
        for level in (REFUSED, CAUTION, UNCHECKED):
            if level in levels:
                return level
        return WITHIN if self.within else UNCHECKED

    @property
    def verdict_words(self) -> str:
        """The verdict as a sentence about what was compared with what."""
        verdict = self.verdict
        if verdict in (REFUSED, CAUTION):
            return f"{verdict}: {self.messages[0]}"
        if verdict == UNCHECKED:
            return "; ".join((*self.compared, self.unchecked_words))
        return "; ".join(self.compared)

    @property
    def unchecked_words(self) -> str:
        """What was held against no limit, and why; it says nothing of what was compared."""
        return f"not checked: {self._why_unchecked()}"

    def _why_unchecked(self) -> str:
        found = [str(f.text).rstrip(".") for f in self.findings if f.level == UNCHECKED]
        texts = found or list(self.not_compared) or ["nothing was compared"]
        by_reason: dict[str, list[str]] = {}
        for text in texts:
            short = text.removesuffix(" not checked against a limit").rstrip(":")
            why, _, what = short.rpartition(": ")
            by_reason.setdefault(why or what, []).extend([what] if why else [])
        return "; ".join(f"{why}: {listed(of)}" if of else why for why, of in by_reason.items())

    @property
    def open_questions(self) -> tuple[Finding, ...]:
        """What is asked and not answered yet."""
        return tuple(f for f in self.findings if f.question and f.level != NOTE)

    @property
    def must_answer(self) -> Finding | None:
        """The first open question that is asked before anything is saved."""
        return next((finding for finding in self.open_questions if finding.must), None)

    @property
    def messages(self) -> tuple[str, ...]:
        """The sentences of the findings, gravest first."""
        ranked = sorted(self.findings, key=lambda finding: LEVELS.index(finding.level))
        return tuple(finding.text for finding in ranked)

    @property
    def total_salt_pct(self) -> float | None:
        """Total NaCl [%], the curing salt's counted in; None where a share is not known."""
        return self.contents.total_salt_pct

    @property
    def nitrite_mg_per_kg(self) -> float | None:
        """Ingoing nitrite as NaNO2 [mg/kg] from the rounded (or weighed) grams."""
        return self.contents.nitrite_mg_per_kg

    @property
    def nitrate_mg_per_kg(self) -> float | None:
        """Ingoing nitrate as NaNO3 [mg/kg] from the rounded (or weighed) grams."""
        return self.contents.nitrate_mg_per_kg

    @property
    def refusal(self) -> str | None:
        """The gravest refusal as one sentence with the way out, or None."""
        for finding in self.findings:
            if finding.level == REFUSED:
                return f"{finding.text} {accepted_words(self.accepted)}".strip()
        return None

    def ingredient(self, kind: str) -> Ingredient | None:
        """Find the first ingredient of a kind such as ``curing-salt`` or ``salt``."""
        return next((item for item in self.ingredients if item.kind == kind), None)


_FIELD_WORDS = {
    "salt_pct": ("salt", "%"),
    "cure_pct": ("curing salt", "%"),
    "wanted_nitrite_mg_per_kg": ("nitrite", "mg/kg"),
    "wanted_nitrate_mg_per_kg": ("nitrate", "mg/kg"),
    "sugar_pct": ("sugar", "%"),
    "water_g": ("water", "g"),
    "pump_pct": ("pump", "%"),
    "pickup_pct": ("pick-up", "%"),
    "packs": ("packs", ""),
    "scale_division_g": ("a scale of", "g"),
    "curing_salt": ("curing salt", ""),
    "salt_means": ("salt", "the curing salt"),
}


def accepted_words(accepted: Fix) -> str:
    """Say in one sentence what would be accepted.

    Parameters
    ----------
    accepted : pairs of field and value; `extras` is said as leaving the spices out

    Returns
    -------
    the sentence, empty where there is nothing to say

    Source
    ------
    the project's own wording

    Example
    -------
    >>> accepted_words((("cure_pct", 0.25),))
    'Accepted: curing salt 0.25 %.'
    """
    if not accepted:
        return ""
    parts = []
    for field, value in accepted:
        if field == "extras":
            parts.append("no more spices")
            continue
        name, unit = _FIELD_WORDS.get(field, (field, ""))
        if value is None:
            parts.append(f"no {name}")
            continue
        shown = f"{value:.10g}" if isinstance(value, (int, float)) else str(value)
        parts.append(f"{name} {shown} {unit}".strip())
    return f"Accepted: {', '.join(parts)}."
