"""What there is to say about a dose: limits, type against plan, salt, scale."""

from __future__ import annotations

from curedash.domain.dose.contents import contents_of
from curedash.domain.dose.plan import (
    HIGH_TOTAL_SALT_PCT,
    LOW_TOTAL_SALT_PCT,
    MAX_TOTAL_SALT_PCT,
    cure_pct_of,
    less_curing_salt,
)
from curedash.domain.dose.request import DoseRequest
from curedash.domain.dose.result import CAUTION, NOTE, REFUSED, Contents, Finding, Fix, Ingredient
from curedash.domain.dose.rounding import COARSE_ERROR_PCT, FEW_DIVISIONS, finer_division_g
from curedash.domain.dose.salts import PURE_NITRITE_PCT
from curedash.domain.dose.words import cut, plain
from curedash.domain.limits import (
    CEILING_NITRITE_MG_PER_KG,
    FLOOR_NITRITE_MG_PER_KG,
    HIGH_NITRITE_MG_PER_KG,
    Limit,
    breaks,
    exceeds,
    limit_for,
    value_against,
)

LONG_DRY_DAYS = 30
STYLE_RATIO = 1.5
BACON_CLASSES_WORD = "bacon"


def limits_of(request: DoseRequest) -> tuple[Limit | None, Limit | None]:
    """Find the nitrite and the nitrate limit of a request's rule set and product class.

    Parameters
    ----------
    request : the request

    Returns
    -------
    nitrite limit and nitrate limit, None where no figure is known or no rule set is picked

    Source
    ------
    `domain/facts/nitrite_limits.py`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, rule_set="us", product_class="comminuted")
    >>> limits_of(asked)[0].mg_per_kg
    156.25
    """
    if request.rule_set is None or request.product_class is None:
        return None, None
    rule_set, product_class = request.rule_set, request.product_class
    return (
        limit_for(rule_set, product_class, "nitrite"),
        limit_for(rule_set, product_class, "nitrate"),
    )


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
    the comparison rule of `curedash.domain.limits.exceeds`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, rule_set="us", product_class="comminuted")
    >>> over_limit(asked, Contents(2.75, 157.8, 0.0, 0.0))
    True
    """
    nitrite, nitrate = contents.nitrite_mg_per_kg, contents.nitrate_mg_per_kg
    if nitrite is None or nitrate is None:
        return False
    if exceeds(nitrite, CEILING_NITRITE_MG_PER_KG):
        return True
    salt = contents.nitrate_salt_mg_per_kg
    return any(breaks(limit, nitrite, nitrate, salt) for limit in limits_of(request))


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
    `domain/facts/nitrite_limits.py`; the ceiling, high and floor figures of `domain/limits.py`

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
    checked: list[Limit] = []
    for agent, amount, limit in zip(
        ("nitrite", "nitrate"), (nitrite, nitrate), limits_of(request), strict=True
    ):
        if amount <= 0 or limit in checked:
            continue
        if limit is None or not limit.comparable:
            findings.append(_not_checked(request, agent, limit))
            continue
        checked.append(limit)
        findings += _against(request, limit, nitrite, nitrate, salt)
    return findings + _too_little(request, rounded) + _both_agents_canada(request, nitrite, nitrate)


def _worse(exact: Contents, rounded: Contents) -> tuple[float, float, float] | None:
    pairs = (
        (exact.nitrite_mg_per_kg, rounded.nitrite_mg_per_kg),
        (exact.nitrate_mg_per_kg, rounded.nitrate_mg_per_kg),
        (exact.nitrate_salt_mg_per_kg, rounded.nitrate_salt_mg_per_kg),
    )
    known = [max(one, other) for one, other in pairs if one is not None and other is not None]
    return (known[0], known[1], known[2]) if len(known) == 3 else None


def _ceiling(request: DoseRequest, nitrite: float) -> list[Finding]:
    if exceeds(nitrite, CEILING_NITRITE_MG_PER_KG):
        text = (
            f"Nitrite {plain(nitrite)} mg/kg is above {CEILING_NITRITE_MG_PER_KG:g} mg/kg, "
            "refused under every rule set."
        )
        fix = less_curing_salt(request, CEILING_NITRITE_MG_PER_KG / nitrite)
        return [Finding(REFUSED, _amount_field(request), text, fix)]
    style = request.style_nitrite_mg_per_kg
    if style and nitrite > STYLE_RATIO * style * (1 + 1e-9):
        text = f"Nitrite {plain(nitrite)} mg/kg is {nitrite / style:.1f} × this style's own dose."
        return [Finding(CAUTION, _amount_field(request), text)]
    if exceeds(nitrite, HIGH_NITRITE_MG_PER_KG):
        text = (
            f"Nitrite {plain(nitrite)} mg/kg is high: a slip of the decimal mark looks like this."
        )
        return [Finding(CAUTION, _amount_field(request), text)]
    return []


def _against(
    request: DoseRequest, limit: Limit, nitrite: float, nitrate: float, salt: float
) -> list[Finding]:
    assert limit.mg_per_kg is not None
    value = value_against(limit, nitrite, nitrate, salt)
    findings = []
    if exceeds(value, limit.mg_per_kg):
        fix = less_curing_salt(request, limit.mg_per_kg / value)
        findings.append(
            Finding(REFUSED, _amount_field(request), _over_words(limit, value, nitrite), fix)
        )
    elif limit.min_mg_per_kg is not None and value < limit.min_mg_per_kg * (1 - 1e-9):
        text = (
            f"{limit.agent.capitalize()} {plain(value)} mg/kg is under the "
            f"{limit.min_mg_per_kg:g} mg/kg this rule set asks for ({limit.source})."
        )
        findings.append(Finding(CAUTION, _amount_field(request), text))
    if limit.unverified:
        text = f"The {limit.agent} limit of {limit.mg_per_kg:g} mg/kg is from memory, unverified."
        findings.append(Finding(NOTE, "product_class", text))
    return findings


def _over_words(limit: Limit, value: float, nitrite: float) -> str:
    stated = f"{limit.agent.capitalize()} {plain(value, 5)} mg/kg"
    if limit.basis == "NO2 ion":
        stated = f"Nitrite {plain(nitrite, 5)} mg/kg, {plain(value, 5)} as NO2 ion,"
    return (
        f"{stated} is above the limit of {limit.mg_per_kg:g} mg/kg {limit.basis} "
        f"({limit.rule_set}, {limit.product_class}: {limit.source})."
    )


def _not_checked(request: DoseRequest, agent: str, limit: Limit | None) -> Finding:
    name = agent.capitalize()
    if request.rule_set is None or request.product_class is None:
        missing = "rule set" if request.rule_set is None else "product class"
        return Finding(
            CAUTION,
            missing.replace(" ", "_"),
            f"{name} not checked against a limit: no {missing} picked.",
        )
    where = f"{request.rule_set}, {request.product_class}"
    if limit is None:
        text = f"{name} not checked against a limit: no figure known ({where})."
    else:
        text = (
            f"{name} not checked against a limit: {limit.mg_per_kg:g} mg/kg ({where}) counts what "
            f"is {limit.kind} in the product, not what goes in."
        )
    return Finding(CAUTION, "product_class", text)


def _too_little(request: DoseRequest, rounded: Contents) -> list[Finding]:
    nitrite = rounded.nitrite_mg_per_kg
    long_dried = request.planned_days is None or request.planned_days > LONG_DRY_DAYS
    cooked = request.eaten in ("cooked-soon", "fried")
    if not nitrite or nitrite >= FLOOR_NITRITE_MG_PER_KG or not long_dried or cooked:
        return []
    text = (
        f"Nitrite {plain(nitrite)} mg/kg is far too little to do anything in a long-dried piece "
        f"(under {FLOOR_NITRITE_MG_PER_KG:g} mg/kg): is the strength right?"
    )
    return [Finding(CAUTION, _amount_field(request), text)]


def _both_agents_canada(request: DoseRequest, nitrite: float, nitrate: float) -> list[Finding]:
    if request.rule_set != "ca" or request.product_class == "cured-meat" or nitrate <= 0:
        return []
    both = limit_for("ca", "cured-meat", "nitrate")
    if both is None or both.mg_per_kg is None:
        return []
    text = (
        f"Another Canadian text counts nitrite and nitrate together: {plain(nitrite + nitrate)} "
        f"of {both.mg_per_kg:g} mg/kg ({both.source})."
    )
    return [Finding(CAUTION, "product_class", text)]


def type_findings(request: DoseRequest) -> list[Finding]:
    """Hold the type of curing salt against what is planned with the piece.

    Parameters
    ----------
    request : the request

    Returns
    -------
    the findings: nitrite only for a long dry, nitrate in what is cooked soon or fried,
    a pure chemical, an assumed salt share, an unknown strength

    Source
    ------
    9 CFR 424.22(b) for bacon; the trade's rule on types, from memory (design values)

    Example
    -------
    >>> type_findings(DoseRequest(green_g=1000))
    []
    """
    salt = request.curing_salt
    amount = cure_pct_of(request) if request.method != "pack" else 1.0
    if salt is None or (amount <= 0 and not request.wants_nitrite_or_nitrate):
        return []
    if not salt.strength_known:
        if request.method == "pack":
            return []
        text = f"The strength of {salt.name} is not known: read it off the label, or leave it out."
        return [Finding(REFUSED, "curing_salt", text, _no_curing_salt(request))]
    return _cannot_bring(request) + _nitrate(request) + _nitrite_only(request) + _label(request)


def _cannot_bring(request: DoseRequest) -> list[Finding]:
    salt = request.curing_salt
    assert salt is not None
    for agent, wanted, share in (
        ("nitrite", request.wanted_nitrite_mg_per_kg, salt.nitrite_pct),
        ("nitrate", request.wanted_nitrate_mg_per_kg, salt.nitrate_pct),
    ):
        if wanted and not share:
            other = "no1" if agent == "nitrite" else "no2"
            text = f"There is no {agent} in {salt.name}: it cannot bring {plain(wanted)} mg/kg."
            return [Finding(REFUSED, "curing_salt", text, (("curing_salt", other),))]
    return []


def _nitrate(request: DoseRequest) -> list[Finding]:
    salt = request.curing_salt
    if salt is None or not salt.nitrate_pct:
        return []
    bacon = BACON_CLASSES_WORD in (request.product_class or "")
    if bacon or request.eaten == "fried":
        text = (
            "No nitrate in belly or bacon that will be fried; use a curing salt with nitrite only."
        )
        return [Finding(REFUSED, "curing_salt", text, _nitrite_only_instead(request))]
    if request.eaten == "cooked-soon":
        text = (
            "Nitrate works slowly: in meat cooked soon, a salt with nitrite only is the usual one."
        )
        return [Finding(CAUTION, "curing_salt", text)]
    if "belly" in request.cut.casefold():
        text = "Nitrate in belly: only if it is dried and eaten as it is, never fried. Which is it?"
        return [Finding(CAUTION, "eaten", text)]
    return []


def _nitrite_only_instead(request: DoseRequest) -> Fix:
    if request.wanted_nitrate_mg_per_kg is not None or request.method == "pack":
        return _no_curing_salt(request)
    return (("curing_salt", "no1"),)


def _nitrite_only(request: DoseRequest) -> list[Finding]:
    salt = request.curing_salt
    if salt is None or not salt.nitrite_pct or salt.nitrate_pct:
        return []
    if request.planned_days is None or request.planned_days <= LONG_DRY_DAYS:
        return []
    text = (
        f"Nitrite only, and {plain(request.planned_days)} days planned: nitrite is used up early; "
        f"over {LONG_DRY_DAYS} days a salt with nitrate as well is the usual one."
    )
    return [Finding(CAUTION, "curing_salt", text)]


def _label(request: DoseRequest) -> list[Finding]:
    salt = request.curing_salt
    assert salt is not None
    findings = []
    if (salt.nitrite_pct or 0) > PURE_NITRITE_PCT:
        text = f"{salt.name}: that is no diluted curing salt but a poison in gram amounts."
        findings.append(Finding(CAUTION, "curing_salt", text))
    if salt.note.startswith("salt share not typed"):
        level = CAUTION if cure_pct_of(request) >= 1 else NOTE
        findings.append(Finding(level, "curing_salt", f"{salt.name}: {salt.note}."))
    if salt.how == "memory":
        text = f"The strength of {salt.name} is from memory, unverified: read the label."
        findings.append(Finding(NOTE, "curing_salt", text))
    return findings


def _no_curing_salt(request: DoseRequest) -> Fix:
    if request.method == "pack":
        return (("curing_salt", None), ("packs", None))
    for field in ("wanted_nitrite_mg_per_kg", "wanted_nitrate_mg_per_kg"):
        if getattr(request, field) is not None:
            return ((field, 0.0),)
    return (("cure_pct", 0.0),)


def salt_findings(request: DoseRequest, exact: Contents) -> list[Finding]:
    """Say when the total salt is hardly meant: refused above 8 %, a caution above 4.5, under 1.5.

    Parameters
    ----------
    request : the request
    exact : contents of the exact grams

    Returns
    -------
    the findings, empty for unknown total salt

    Source
    ------
    design values around the usual 2 to 3.5 %

    Example
    -------
    >>> salt_findings(DoseRequest(green_g=1000, salt_pct=2.75), Contents(2.75, 0, 0, 0))
    []
    """
    total = exact.total_salt_pct
    if total is None or request.method in ("immersion", "injection"):
        return []
    if total > MAX_TOTAL_SALT_PCT + 1e-9:
        own = total - _plain_pct(request, total)
        text = f"{plain(total)} % total salt is far above anything edible (2 to 3.5 % is usual)."
        if own > MAX_TOTAL_SALT_PCT:
            fix = less_curing_salt(request, MAX_TOTAL_SALT_PCT / total * 0.9)
            return [Finding(REFUSED, _amount_field(request), text, fix)]
        extra = own if request.salt_means == "besides" or request.method == "pack" else 0.0
        fix = (("salt_pct", cut(MAX_TOTAL_SALT_PCT - extra)),)
        return [Finding(REFUSED, "salt_pct", text, fix)]
    if total > HIGH_TOTAL_SALT_PCT + 1e-9:
        text = f"{plain(total)} % total salt is a lot (2 to 3.5 % is usual)."
        return [Finding(CAUTION, "salt_pct", text)]
    if total < LOW_TOTAL_SALT_PCT - 1e-9 and request.method != "pack":
        text = f"{plain(total)} % total salt is little for drying (2 to 3.5 % is usual)."
        return [Finding(CAUTION, "salt_pct", text)]
    return []


def _plain_pct(request: DoseRequest, total: float) -> float:
    """Plain salt within the total [%]: what remains when only the salt itself is counted."""
    salt = request.curing_salt
    nacl = (salt.nacl_pct or 0.0) if salt is not None else 0.0
    if request.method == "pack":
        used = request.packs or request.green_g / (request.pack_for_g or request.green_g)
        return total - used * (request.pack_g or 0.0) / request.green_g * nacl
    return total - cure_pct_of(request) * nacl / 100


def box_findings(request: DoseRequest, items: tuple[Ingredient, ...]) -> list[Finding]:
    """Say what a curing salt in a salt box could at most bring; strong ones by the box refused.

    Parameters
    ----------
    request : a request for a salt box
    items : its ingredients

    Returns
    -------
    the findings, empty without a curing salt

    Source
    ------
    arithmetic, as if everything went in

    Example
    -------
    >>> box_findings(DoseRequest(green_g=1000, method="salt-box"), ())
    []
    """
    cure_g = sum(item.exact_g for item in items if item.kind == "curing-salt")
    salt = request.curing_salt
    if not cure_g or salt is None or not salt.strength_known:
        return []
    as_dry = contents_of(
        DoseRequest(green_g=request.green_g, curing_salt=salt), [("curing-salt", cure_g)]
    )
    most = as_dry.nitrite_mg_per_kg or 0.0
    text = f"Not checked against a limit: at most {plain(most)} mg/kg nitrite if all of it went in."
    if exceeds(most, CEILING_NITRITE_MG_PER_KG):
        fix = less_curing_salt(request, CEILING_NITRITE_MG_PER_KG / most)
        return [Finding(REFUSED, _amount_field(request), f"{text} Rub it in by weight first.", fix)]
    return [Finding(CAUTION, _amount_field(request), text)]


def scale_findings(request: DoseRequest, item: Ingredient, error_pct: float) -> list[Finding]:
    """Say how far the curing salt can be off on its scale, and what would weigh it better.

    Parameters
    ----------
    request : the request
    item : the curing salt or pack as rounded
    error_pct : half a division against the exact dose [%]

    Returns
    -------
    the findings, empty from 20 divisions upwards

    Source
    ------
    `domain/dose/rounding.py` (design values)

    Example
    -------
    >>> item = Ingredient("no1", "curing-salt", 2.5, 2.5, 0.1)
    >>> scale_findings(DoseRequest(green_g=1000), item, 2.0)
    []
    """
    finer = finer_division_g(item.exact_g)
    better = "" if finer is None else f"a scale of {finer:g} g or "
    start = f"{plain(item.exact_g)} g on a scale of {item.division_g:g} g"
    if item.weigh_g <= 0:
        fix: Fix = (("scale_division_g", finer),) if finer else _no_curing_salt(request)
        text = f"{start} cannot be weighed at all: use {better}a pre-mix."
        if item.kind == "pack":
            return [Finding(CAUTION, "scale_division_g", text)]
        return [Finding(REFUSED, "scale_division_g", text, fix)]
    if error_pct > COARSE_ERROR_PCT + 1e-9:
        text = f"{start} is ±{plain(error_pct, 2)} %: use {better}a pre-mix."
        return [Finding(CAUTION, "scale_division_g", text)]
    if item.weigh_g / item.division_g < FEW_DIVISIONS - 1e-9:
        text = (
            f"{start} is under {FEW_DIVISIONS} divisions: kitchen scales are often off by two or "
            "more and may not register slow pouring."
        )
        return [Finding(CAUTION, "scale_division_g", text)]
    return []


def _amount_field(request: DoseRequest) -> str:
    for field in ("wanted_nitrite_mg_per_kg", "wanted_nitrate_mg_per_kg"):
        if getattr(request, field) is not None:
            return field
    return "packs" if request.method == "pack" else "cure_pct"
