"""The mis-dose bench: what is in, what is missing or too much, and what people then do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite

from curedash.domain.dose.compute import weighed_dose
from curedash.domain.dose.contents import basis_g, contents_of
from curedash.domain.dose.formulas import SATURATED_BRINE_PCT
from curedash.domain.dose.result import CAUTION, REFUSED, Contents, Dose
from curedash.domain.dose.salts import CuringSalt
from curedash.domain.dose.words import plain
from curedash.domain.errors import Refused
from curedash.domain.said import grams, say

# Closer to the plan than this, nothing is called short or over [% of the planned grams].
NEAR_PCT = 2.0


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One ingredient: planned beside given, and the grams missing or too much."""

    name: str
    kind: str
    planned_g: float
    given_g: float

    @property
    def top_up_g(self) -> float:
        """Grams to add to reach the plan, 0 when there is enough."""
        return max(0.0, self.planned_g - self.given_g)

    @property
    def over_g(self) -> float:
        """Grams above the plan, 0 when there is not too much."""
        return max(0.0, self.given_g - self.planned_g)


@dataclass(frozen=True, slots=True)
class MisDose:
    """What went in against what was planned; it gives numbers and choices, no verdict."""

    lines: tuple[BenchLine, ...]
    planned: Contents
    inside: Contents
    inside_low: Contents | None
    said: tuple[str, ...]
    meat_to_plan_g: float | None
    choices: tuple[str, ...]


def misdose(
    dose: Dose,
    given: Mapping[str, float],
    *,
    really: CuringSalt | None = None,
    lost_liquid_g: float = 0.0,
) -> MisDose:
    """Compare what went in with the planned dose and list the choices people have.

    Parameters
    ----------
    dose : the planned dose
    given : grams that went in, by ingredient name or kind [g]; what is not named went in as planned
    really : the curing salt that was really used, where it was not the planned one
    lost_liquid_g : liquid that leaked out of the bag [g], 0 or more

    Returns
    -------
    mg/kg and salt that are in (a range after a leak), grams to top up or over, and choices

    Source
    ------
    the dose formulas; a leak takes at least its even share of the salt and at most a saturated
    brine's (26.4 %), an estimate

    Example
    -------
    >>> from curedash.domain.dose import DoseRequest, compute_dose, resolve_curing_salt
    >>> planned = compute_dose(DoseRequest(
    ...     green_g=1000, salt_pct=2.75, curing_salt=resolve_curing_salt("no1"), cure_pct=0.25,
    ...     scale_division_g=0.1, rule_set="us", product_class="dry-cured"))
    >>> bench = misdose(planned, {"curing-salt": 1.0})
    >>> round(bench.inside.nitrite_mg_per_kg, 1), round(bench.lines[1].top_up_g, 2)
    (62.5, 1.5)
    """
    if not isfinite(lost_liquid_g) or lost_liquid_g < 0:
        raise Refused(f"{lost_liquid_g:g} g of lost liquid makes no sense; give 0 g or more.")
    request = dose.request if really is None else replace(dose.request, curing_salt=really)
    went_in = weighed_dose(replace(dose, request=request), given)
    lines = tuple(
        BenchLine(before.name, before.kind, before.weigh_g, after.weigh_g)
        for before, after in zip(dose.ingredients, went_in.ingredients, strict=True)
    )
    high, low = went_in.contents, None
    if lost_liquid_g:
        high, low = _after_leak(went_in, lost_liquid_g)
    said = tuple(f.text for f in went_in.findings if f.level in (REFUSED, CAUTION))
    to_plan_g = _meat_to_plan_g(dose, went_in)
    return MisDose(
        lines,
        dose.contents,
        high,
        low,
        said,
        to_plan_g,
        _choices(lines, dose.contents, went_in.contents, to_plan_g, lost_liquid_g),
    )


def _after_leak(dose: Dose, lost_g: float) -> tuple[Contents, Contents]:
    """Contents if the liquid took its even share, and if it was a saturated brine."""
    weights = [(item.kind, item.weigh_g) for item in dose.ingredients]
    dissolved_g = sum(g for kind, g in weights if kind in ("salt", "curing-salt", "pack"))
    whole_g = dose.request.green_g + sum(g for _kind, g in weights)
    even = min(1.0, lost_g / whole_g)
    most = min(1.0, lost_g * SATURATED_BRINE_PCT / 100 / dissolved_g) if dissolved_g else 0.0
    least_left, most_left = sorted((1 - even, 1 - most))
    return (
        contents_of(dose.request, [(kind, g * most_left) for kind, g in weights]),
        contents_of(dose.request, [(kind, g * least_left) for kind, g in weights]),
    )


def _meat_to_plan_g(dose: Dose, went_in: Dose) -> float | None:
    """Green meat that would bring the nitrite down to the plan, when there is too much."""
    planned, inside = dose.nitrite_mg_per_kg, went_in.nitrite_mg_per_kg
    if not planned or not inside or inside <= planned * (1 + NEAR_PCT / 100):
        return None
    if dose.request.method in ("immersion", "injection"):
        return None
    return basis_g(dose.request) * (inside / planned - 1)


def _choices(
    lines: tuple[BenchLine, ...],
    planned: Contents,
    inside: Contents,
    meat_g: float | None,
    lost_liquid_g: float,
) -> tuple[str, ...]:
    choices = []
    for line in lines:
        if line.top_up_g > line.planned_g * NEAR_PCT / 100:
            choices.append(f"Add {plain(line.top_up_g)} g {line.name} now and turn it well.")
    if meat_g is not None:
        choices.append(
            say(
                "Put {meat} more green meat to it, with the other salts for that weight.",
                meat=grams(meat_g, f"{plain(meat_g)} g"),
            )
        )
    if meat_g is not None or _saltier(planned, inside):
        choices.append(
            "In the first hours: rinse it and pat it dry; how much went in is then unknown."
        )
        choices.append("Throw it away.")
    if lost_liquid_g:
        choices.append("New bag; leave it, or top up at most what leaked, never beyond the plan.")
    choices.append("Leave it as it is; what went in stays on the record.")
    return tuple(choices)


def _saltier(planned: Contents, inside: Contents) -> bool:
    if planned.total_salt_pct is None or inside.total_salt_pct is None:
        return False
    return inside.total_salt_pct > planned.total_salt_pct * (1 + NEAR_PCT / 100)
