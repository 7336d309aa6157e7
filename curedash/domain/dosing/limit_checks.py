"""A dose against the limits of its rule set and class, and what could not be checked."""

from __future__ import annotations

from curedash.domain.dosing import limits
from curedash.domain.dosing.classes import compared_with, not_computed
from curedash.domain.dosing.plan import amount_field, less_curing_salt
from curedash.domain.dosing.request import LONG_DRY_DAYS, DoseRequest
from curedash.domain.dosing.result import (
    CAUTION,
    NOTE,
    REFUSED,
    UNCHECKED,
    Compared,
    Contents,
    Finding,
)
from curedash.domain.dosing.words import plain
from curedash.domain.wording import listed

# Above this multiple of the style's own dose a caution is due, whatever the limit allows.
STYLE_RATIO = 1.5


def limits_of(request: DoseRequest) -> tuple[limits.Limit | None, limits.Limit | None]:
    """Find the nitrite and the nitrate limit that count for a request.

    Parameters
    ----------
    request : the request

    Returns
    -------
    nitrite limit and nitrate limit, the strictest that fit; None where no figure is known or no
    rule set is picked

    Source
    ------
    `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, rule_set="us", product_class="comminuted")
    >>> limits_of(asked)[0].mg_per_kg
    156.25
    """
    found = compared_with(request)
    return found.nitrite, found.nitrate


def over_limit(request: DoseRequest, contents: Contents) -> bool:
    """Tell whether contents are above a comparable limit or the ceiling of every rule set.

    Parameters
    ----------
    request : the request, for its rule set and class
    contents : what the grams amount to

    Returns
    -------
    True when something is broken; unknown contents break nothing

    Source
    ------
    the comparison rule of `curedash.domain.dosing.limits.exceeds`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, rule_set="us", product_class="comminuted")
    >>> over_limit(asked, Contents(2.75, 157.8, 0.0, 0.0))
    True
    """
    nitrite, nitrate = contents.nitrite_mg_per_kg, contents.nitrate_mg_per_kg
    if nitrite is None or nitrate is None:
        return False
    if limits.exceeds(nitrite, limits.CEILING_NITRITE_MG_PER_KG):
        return True
    salt = contents.nitrate_salt_mg_per_kg
    return any(limits.breaks(limit, nitrite, nitrate, salt) for limit in limits_of(request))


def limit_findings(request: DoseRequest, exact: Contents, rounded: Contents) -> list[Finding]:
    """Hold the plan and its rounded grams against the limits, and say what was not checked.

    Parameters
    ----------
    request : the request
    exact : contents of the exact grams
    rounded : contents of the grams as weighed

    Returns
    -------
    the findings, empty where nothing is asked for or known

    Source
    ------
    `domain/facts/nitrite_limits.py`; the ceiling, high and floor figures of
    `domain/dosing/limits.py`

    Example
    -------
    >>> limit_findings(DoseRequest(green_g=1000), Contents(3, 0, 0, 0), Contents(3, 0, 0, 0))
    []
    """
    worse = _worse(exact, rounded)
    if worse is None:
        return []
    nitrite, nitrate, salt = worse
    findings = _ceiling(request, nitrite)
    checked: list[limits.Limit] = []
    for agent, limit in _agents_in(request, nitrite, nitrate):
        if limit in checked:
            continue
        if limit is None or not limit.comparable:
            findings.append(_not_checked(request, agent, limit))
            continue
        checked.append(limit)
        findings += _against(request, limit, nitrite, nitrate, salt)
    return findings + _too_little(request, rounded) + _both_agents_canada(request, nitrite, nitrate)


def limits_compared(
    request: DoseRequest, exact: Contents, rounded: Contents
) -> tuple[Compared, tuple[str, ...]]:
    """Hold a dose against its limits, and say what was held against none and why.

    Parameters
    ----------
    request : the request
    exact : contents of the exact grams
    rounded : contents of the grams as weighed

    Returns
    -------
    each limit with the mg/kg held against it, kept or not; a phrase for each thing nothing was
    compared with

    Source
    ------
    the limits of :func:`limits_of`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, cure_pct=0.25, rule_set="us", cut="loin")
    >>> compared, _ = limits_compared(asked, *[Contents(3, 156.25, 0, 0)] * 2)
    >>> [(limit.mg_per_kg, limit.basis, value) for limit, value in compared]
    [(625, 'NaNO2', 156.25)]
    """
    if request.method == "salt-box" and request.wants_nitrite_or_nitrate:
        return (), ("a salt box gives no mg/kg",)
    worse = _worse(exact, rounded)
    if worse is None:
        return (), ("the strength is unknown: no mg/kg",)
    nitrite, nitrate, salt = worse
    if nitrite <= 0 and nitrate <= 0:
        return (), ("no nitrite and no nitrate in it",)
    compared: dict[limits.Limit, float] = {}
    left_out: dict[str, None] = {}
    for agent, limit in _agents_in(request, nitrite, nitrate):
        if limit is None or not limit.comparable or limit.mg_per_kg is None:
            left_out[_not_checked(request, agent, limit).text.rstrip(".")] = None
            continue
        compared[limit] = limits.value_against(limit, nitrite, nitrate, salt)
    left_out |= dict.fromkeys(f"{what}: not computed here" for what in not_computed(request))
    return tuple(compared.items()), tuple(left_out)


def _agents_in(
    request: DoseRequest, nitrite: float, nitrate: float
) -> list[tuple[str, limits.Limit | None]]:
    """Each agent of which there is some, with the limit that counts for it."""
    amounts = zip(("nitrite", "nitrate"), (nitrite, nitrate), limits_of(request), strict=True)
    return [(agent, limit) for agent, amount, limit in amounts if amount > 0]


def _worse(exact: Contents, rounded: Contents) -> tuple[float, float, float] | None:
    pairs = (
        (exact.nitrite_mg_per_kg, rounded.nitrite_mg_per_kg),
        (exact.nitrate_mg_per_kg, rounded.nitrate_mg_per_kg),
        (exact.nitrate_salt_mg_per_kg, rounded.nitrate_salt_mg_per_kg),
    )
    known = [max(one, other) for one, other in pairs if one is not None and other is not None]
    return (known[0], known[1], known[2]) if len(known) == 3 else None


def _ceiling(request: DoseRequest, nitrite: float) -> list[Finding]:
    if limits.exceeds(nitrite, limits.CEILING_NITRITE_MG_PER_KG):
        text = (
            f"Nitrite {plain(nitrite)} mg/kg is above {limits.CEILING_NITRITE_MG_PER_KG:g} mg/kg, "
            "refused under every rule set."
        )
        fix = less_curing_salt(request, limits.CEILING_NITRITE_MG_PER_KG / nitrite)
        return [Finding(REFUSED, amount_field(request), text, fix)]
    style = request.style_nitrite_mg_per_kg
    if style and nitrite > STYLE_RATIO * style * (1 + 1e-9):
        text = f"Nitrite {plain(nitrite)} mg/kg is {nitrite / style:.1f} × this style's own dose."
        return [Finding(CAUTION, amount_field(request), text)]
    if limits.exceeds(nitrite, limits.HIGH_NITRITE_MG_PER_KG):
        text = (
            f"Nitrite {plain(nitrite)} mg/kg is high: a slip of the decimal mark looks like this."
        )
        return [Finding(CAUTION, amount_field(request), text)]
    return []


def _against(
    request: DoseRequest, limit: limits.Limit, nitrite: float, nitrate: float, salt: float
) -> list[Finding]:
    assert limit.mg_per_kg is not None
    value = limits.value_against(limit, nitrite, nitrate, salt)
    findings = []
    if limits.exceeds(value, limit.mg_per_kg):
        fix = less_curing_salt(request, limit.mg_per_kg / value)
        findings.append(
            Finding(REFUSED, amount_field(request), _over_words(limit, value, nitrite), fix)
        )
    elif limit.min_mg_per_kg is not None and value < limit.min_mg_per_kg * (1 - 1e-9):
        text = (
            f"{limit.agent.capitalize()} {plain(value)} mg/kg is under the "
            f"{limit.min_mg_per_kg:g} mg/kg this rule set asks for ({limit.source})."
        )
        findings.append(Finding(CAUTION, amount_field(request), text))
    if limit.unverified:
        text = f"The {limit.agent} limit of {limit.mg_per_kg:g} mg/kg: {limits.NOT_CHECKED}."
        findings.append(Finding(NOTE, "product_class", text))
    return findings


def _over_words(limit: limits.Limit, value: float, nitrite: float) -> str:
    stated = f"{limit.agent.capitalize()} {plain(value, 5)} mg/kg"
    if limit.basis == "NO2 ion":
        stated = f"Nitrite {plain(nitrite, 5)} mg/kg, {plain(value, 5)} as NO2 ion,"
    return (
        f"{stated} is above the limit of {limit.mg_per_kg:g} mg/kg {limit.basis} "
        f"({limit.rule_set}, {limit.product_class}: {limit.source})."
    )


_COUNTED = {"residual": "left in the product", "finished": "in the finished product"}


def _not_checked(request: DoseRequest, agent: str, limit: limits.Limit | None) -> Finding:
    """Why an amount was held against no limit, the reason first."""
    found = compared_with(request)
    if not found.counts:
        field = "rule_set" if request.rule_set is None else "product_class"
        why = f"{found.why_not[:1].upper()}{found.why_not[1:]}"
        return Finding(UNCHECKED, field, f"{why}: {agent} not checked against a limit.")
    where = f"{request.rule_set}, {listed(found.counts, 'or')}"
    if limit is None:
        text = f"No figure is known for {agent} ({where}): not checked against a limit."
    else:
        counted = _COUNTED.get(limit.kind, f"{limit.kind} in the product")
        text = (
            f"Limit {limit.mg_per_kg:g} mg/kg is for {agent} {counted}, not for what goes in: "
            f"not checked ({where})."
        )
    return Finding(UNCHECKED, "product_class", text)


def _too_little(request: DoseRequest, rounded: Contents) -> list[Finding]:
    nitrite = rounded.nitrite_mg_per_kg
    long_dried = request.planned_days is None or request.planned_days > LONG_DRY_DAYS
    cooked = request.eaten in ("cooked-soon", "fried")
    if not nitrite or nitrite >= limits.FLOOR_NITRITE_MG_PER_KG or not long_dried or cooked:
        return []
    text = (
        f"Nitrite {plain(nitrite)} mg/kg is far too little to count on "
        f"(under {limits.FLOOR_NITRITE_MG_PER_KG:g} mg/kg): is the strength right?"
    )
    return [Finding(CAUTION, amount_field(request), text)]


def _both_agents_canada(request: DoseRequest, nitrite: float, nitrate: float) -> list[Finding]:
    counts = compared_with(request).counts
    if request.rule_set != "ca" or "cured-meat" in counts or nitrate <= 0:
        return []
    both = limits.limit_for("ca", "cured-meat", "nitrate")
    if both is None or both.mg_per_kg is None:
        return []
    text = (
        f"Another Canadian text counts nitrite and nitrate together: {plain(nitrite + nitrate)} "
        f"of {both.mg_per_kg:g} mg/kg ({both.source})."
    )
    return [Finding(CAUTION, "product_class", text)]
