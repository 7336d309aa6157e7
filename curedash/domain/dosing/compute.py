"""A dose from a request: plan, round to the scale, hold against the limits, name the way out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import isfinite
from typing import Any

from curedash.domain.dosing import limit_checks, plan_checks, rounding
from curedash.domain.dosing.asked import asked_findings
from curedash.domain.dosing.classes import class_findings
from curedash.domain.dosing.contents import contents_of
from curedash.domain.dosing.plan import WITHOUT_THE_PACK, Plan, Planned, plan_dose
from curedash.domain.dosing.request import DoseRequest, check_request
from curedash.domain.dosing.result import (
    CAUTION,
    NOTE,
    REFUSED,
    Contents,
    Dose,
    Finding,
    Fix,
    Ingredient,
)
from curedash.domain.dosing.salts import resolve_curing_salt
from curedash.domain.errors import Refused

CURE_KINDS = ("curing-salt", "pack")
_MOST_FIXES = 12


def compute_dose(request: DoseRequest) -> Dose:
    """Compute what to weigh out for a piece, and whether it may be.

    Parameters
    ----------
    request : what is asked for

    Returns
    -------
    the dose; one that is refused, or asks something first, is a value too and names in `accepted`
    what would be accepted.
    Input that makes no sense (not a number, negative, something missing) raises `Refused`

    Source
    ------
    FSIS Handbook 7620.3 for the formulas; `domain/facts` for salts and limits

    Example
    -------
    >>> from curedash.domain.dosing import resolve_curing_salt
    >>> dose = compute_dose(DoseRequest(
    ...     green_g=1134, salt_pct=2.75, curing_salt=resolve_curing_salt("no2"), cure_pct=0.25,
    ...     scale_division_g=0.1, rule_set="us", product_class="dry-cured"))
    >>> [item.weigh_g for item in dose.ingredients], round(dose.nitrite_mg_per_kg, 1), dose.verdict
    ([28.6, 2.8], 154.3, 'within-limits')
    """
    check_request(request)
    dose = _assess(request)
    if dose.verdict == REFUSED:
        return replace(dose, accepted=_way_out(request, dose))
    asked = dose.must_answer
    return dose if asked is None else replace(dose, accepted=asked.fix)


def apply_accepted(request: DoseRequest, accepted: Fix) -> DoseRequest:
    """Put the accepted values of a refused dose into its request.

    Parameters
    ----------
    request : the refused request
    accepted : pairs of field and value, as in `Dose.accepted`

    Returns
    -------
    the request that is accepted

    Source
    ------
    none needed

    Example
    -------
    >>> apply_accepted(DoseRequest(green_g=1000, cure_pct=2.5), (("cure_pct", 0.25),)).cure_pct
    0.25
    """
    values: dict[str, object] = dict(accepted)
    if isinstance(values.get("curing_salt"), str):
        values["curing_salt"] = resolve_curing_salt(str(values["curing_salt"]))
    if "scale_division_g" in values:
        values["scales"] = ()
    if "cure_pct" in values:
        values |= {"wanted_nitrite_mg_per_kg": None, "wanted_nitrate_mg_per_kg": None}
    return replace(request, **values)  # type: ignore[arg-type]


def weighed_dose(dose: Dose, weighed: Mapping[str, float]) -> Dose:
    """Compute a dose again from what was really weighed; that is what counts from then on.

    Parameters
    ----------
    dose : the planned dose
    weighed : grams by ingredient name or kind [g], 0 or more; what is not named stays as planned

    Returns
    -------
    the dose with those grams as `weigh_g`, its contents and findings from them

    Source
    ------
    the same formulas as `compute_dose`

    Example
    -------
    >>> planned = compute_dose(DoseRequest(green_g=1000, salt_pct=2.75))
    >>> weighed_dose(planned, {"salt": 30}).total_salt_pct
    3.0
    """
    items = tuple(
        replace(item, weigh_g=_weight(item.name, grams))
        if (grams := _given(weighed, item)) is not None
        else item
        for item in dose.ingredients
    )
    unknown = set(weighed) - {word for item in items for word in (item.name, item.kind)}
    if unknown:
        names = ", ".join(item.name for item in items)
        raise Refused(f"{sorted(unknown)[0]!r} is not on this sheet; it has {names}.")
    contents = contents_of(dose.request, [(item.kind, item.weigh_g) for item in items])
    findings = [
        *plan_checks.type_findings(dose.request),
        *limit_checks.limit_findings(dose.request, contents, contents),
        *plan_checks.salt_findings(dose.request, contents),
        *class_findings(dose.request),
        *asked_findings(dose.request, contents),
        *_kept(dose),
    ]
    return replace(
        dose,
        ingredients=items,
        contents=contents,
        findings=tuple(findings),
        accepted=(),
        as_weighed=True,
        **_held_against(dose.request, contents, contents),
    )


def _held_against(request: DoseRequest, exact: Contents, contents: Contents) -> dict[str, Any]:
    """The limits that count, what was compared with them, and what was not."""
    limit, nitrate_limit = limit_checks.limits_of(request)
    compared, left_out = limit_checks.limits_compared(request, exact, contents)
    limits = {"limit": limit, "nitrate_limit": nitrate_limit}
    return {**limits, "held_against": compared, "not_compared": left_out}


def _kept(dose: Dose) -> list[Finding]:
    """What stays true whatever was weighed: a box gives no mg/kg, a pack no strength."""
    if dose.request.method not in ("salt-box", "pack"):
        return []
    fields = ("method", "curing_salt", "cure_pct")
    own = set(plan_checks.type_findings(dose.request))
    return [
        finding
        for finding in dose.findings
        if finding.level != REFUSED and finding.field in fields and finding not in own
    ]


def _assess(request: DoseRequest) -> Dose:
    plan = plan_dose(request)
    exact = contents_of(request, [(item.kind, item.exact_g) for item in plan.ingredients])
    items = _rounded(request, plan, exact)
    contents = contents_of(request, [(item.kind, item.weigh_g) for item in items])
    cure = next((item for item in items if item.kind in CURE_KINDS and item.exact_g > 0), None)
    error_pct = None
    findings = [*plan_checks.type_findings(request), *plan.findings]
    findings += limit_checks.limit_findings(request, exact, contents)
    findings += plan_checks.salt_findings(request, exact)
    findings += class_findings(request)
    findings += asked_findings(request, contents, exact)
    if request.method == "salt-box":
        findings += plan_checks.box_findings(request, items)
    if cure is not None:
        error_pct = rounding.half_division_error_pct(cure.exact_g, cure.division_g, cure.portions)
        findings += plan_checks.scale_findings(request, cure, error_pct)
    findings += _other_scale_findings(items)
    findings += plan_checks.strength_findings(request)
    return Dose(
        request,
        items,
        contents,
        error_pct,
        tuple(findings),
        pack_ratio=plan.pack_ratio,
        pack_left_g=plan.pack_left_g,
        **_held_against(request, exact, contents),
    )


def _rounded(request: DoseRequest, plan: Plan, exact: Contents) -> tuple[Ingredient, ...]:
    items = [_nearest(request, item) for item in plan.ingredients]
    if limit_checks.over_limit(request, exact):
        return tuple(items)  # the plan itself is refused; its grams are shown as they are
    for index, item in enumerate(items):
        if item.kind in CURE_KINDS:
            items[index] = _within_limit(request, items, item)
    return tuple(items)


def _within_limit(request: DoseRequest, items: list[Ingredient], cure: Ingredient) -> Ingredient:
    """Round down where rounding up would pass a limit."""
    others = [(item.kind, item.weigh_g) for item in items if item is not cure]
    lower = cure
    while lower.weigh_g > 0 and limit_checks.over_limit(
        request, contents_of(request, [*others, (lower.kind, lower.weigh_g)])
    ):
        mark = rounding.down_to_division(
            max(0.0, lower.weigh_g - lower.division_g), lower.division_g
        )
        lower = replace(lower, weigh_g=mark)
    return lower


def _nearest(request: DoseRequest, item: Planned) -> Ingredient:
    scale = rounding.best_scale(request.shelf_of_scales, item.exact_g)
    weigh_g = rounding.to_division(item.exact_g, scale.division_g)
    portions = rounding.portions_on(scale, item.exact_g)
    return Ingredient(item.name, item.kind, item.exact_g, weigh_g, scale.division_g, portions)


def _other_scale_findings(items: tuple[Ingredient, ...]) -> list[Finding]:
    findings = []
    for item in items:
        if item.portions > 1:
            text = f"{item.name}: weigh in {item.portions} portions on that scale."
            findings.append(Finding(NOTE, "scale_division_g", text))
        if item.exact_g > 0 and item.weigh_g <= 0 and item.kind not in CURE_KINDS:
            level = CAUTION if item.kind == "salt" else NOTE
            text = f"{item.name}: too little for that scale; the scale would show nothing."
            findings.append(Finding(level, "scale_division_g", text))
    return findings


def _way_out(request: DoseRequest, dose: Dose) -> Fix:
    """Apply one fix after the other until nothing is refused; what it took is the answer."""
    fixes: dict[str, object] = {}
    for _ in range(_MOST_FIXES):
        refused = next((f for f in dose.findings if f.level == REFUSED), None)
        if refused is None:
            return tuple(fixes.items())
        if not refused.fix:
            break
        fixes |= dict(refused.fix)
        dose = _assess(apply_accepted(request, tuple(fixes.items())))
    return _plain_way_out(request)


def _plain_way_out(request: DoseRequest) -> Fix:
    """Leave everything out but the usual salt: the last resort, accepted by every method."""
    fixes: dict[str, object] = {"salt_pct": 2.75, "sugar_pct": 0.0, "extras": ()}
    if request.method == "pack":
        fixes |= dict(WITHOUT_THE_PACK)
    else:
        fixes["cure_pct"] = 0.0
    if request.method in ("immersion", "injection"):
        fixes |= {"percent_of": "brine", "water_g": None}
    return tuple(fixes.items())


def _given(weighed: Mapping[str, float], item: Ingredient) -> float | None:
    return weighed.get(item.name, weighed.get(item.kind))


def _weight(name: str, grams: float) -> float:
    if not isfinite(grams) or grams < 0:
        raise Refused(f"{name} {grams:g} g makes no sense; give what the scale showed.")
    return grams
