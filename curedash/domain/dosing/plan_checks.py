"""A dose against what is planned with it: type of curing salt, total salt, box, scale."""

from __future__ import annotations

from curedash.domain.dosing import plan
from curedash.domain.dosing.classes import END_USE, answered
from curedash.domain.dosing.contents import contents_of
from curedash.domain.dosing.limits import CEILING_NITRITE_MG_PER_KG, exceeds
from curedash.domain.dosing.request import LONG_DRY_DAYS, DoseRequest
from curedash.domain.dosing.result import CAUTION, NOTE, REFUSED, Contents, Finding, Fix, Ingredient
from curedash.domain.dosing.rounding import COARSE_ERROR_PCT, FEW_DIVISIONS, finer_division_g
from curedash.domain.dosing.salts import PURE_NITRITE_PCT
from curedash.domain.dosing.words import cut, plain

BACON_CLASSES_WORD = "bacon"


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
    amount = plan.cure_pct_of(request) if request.method != "pack" else 1.0
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
        text = "Nitrate works slowly: in meat cooked soon, a salt with nitrite only is usual."
        return [Finding(CAUTION, "curing_salt", text)]
    if "belly" in request.cut.casefold():
        text = "Nitrate in belly: only if it is dried and eaten as it is, never fried."
        reason = answered(request, END_USE)
        if request.eaten is not None:
            return [Finding(CAUTION, "eaten", text)]
        if reason:
            said = f"{text} End use {reason}".rstrip(".")
            return [Finding(CAUTION, "eaten", f"{said}.")]
        asks = f"{text} Which is it?"
        return [Finding(CAUTION, "eaten", asks, question=END_USE, must=True)]
    return []


def strength_findings(request: DoseRequest) -> list[Finding]:
    """Ask for the label of a curing salt that is sold in several strengths.

    Parameters
    ----------
    request : the request

    Returns
    -------
    a note with the strength it is counted with and where that is from; nothing for an own jar

    Source
    ------
    the table of curing salts

    Example
    -------
    >>> strength_findings(DoseRequest(green_g=1000))
    []
    """
    salt = request.curing_salt
    amount = plan.cure_pct_of(request) or request.wants_nitrite_or_nitrate
    if salt is None or not amount or not salt.sold_in_strengths:
        return []
    kind = salt.name.partition(" (")[0]
    text = (
        f"{kind} is counted as {salt.nitrite_pct:g} % nitrite, {salt.nitrate_pct:g} % nitrate"
        f" ({salt.source}). Does its label say so?"
    )
    return [Finding(NOTE, "curing_salt", text)]


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
        f"for more than {LONG_DRY_DAYS} days a salt that also has nitrate is usual."
    )
    return [Finding(CAUTION, "curing_salt", text)]


def _label(request: DoseRequest) -> list[Finding]:
    salt = request.curing_salt
    assert salt is not None
    findings = []
    if (salt.nitrite_pct or 0) > PURE_NITRITE_PCT:
        text = f"{salt.name}: that is not a diluted curing salt but a poison in gram amounts."
        findings.append(Finding(CAUTION, "curing_salt", text))
    if salt.note.startswith("salt share not typed"):
        level = CAUTION if plan.cure_pct_of(request) >= 1 else NOTE
        findings.append(Finding(level, "curing_salt", f"{salt.name}: {salt.note}."))
    if salt.how == "memory":
        text = f"The strength of {salt.name} was not checked against a label: read yours."
        findings.append(Finding(NOTE, "curing_salt", text))
    return findings


def _no_curing_salt(request: DoseRequest) -> Fix:
    if request.method == "pack":
        return plan.WITHOUT_THE_PACK
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
    if total > plan.MAX_TOTAL_SALT_PCT + 1e-9:
        own = total - _plain_pct(request, total)
        text = f"{plain(total)} % total salt is far above anything edible (2 to 3.5 % is usual)."
        if own > plan.MAX_TOTAL_SALT_PCT:
            fix = plan.less_curing_salt(request, plan.MAX_TOTAL_SALT_PCT / total * 0.9)
            return [Finding(REFUSED, plan.amount_field(request), text, fix)]
        extra = own if request.salt_means == "besides" or request.method == "pack" else 0.0
        fix = (("salt_pct", cut(plan.MAX_TOTAL_SALT_PCT - extra)),)
        return [Finding(REFUSED, "salt_pct", text, fix)]
    if total > plan.HIGH_TOTAL_SALT_PCT + 1e-9:
        text = f"{plain(total)} % total salt is a lot (2 to 3.5 % is usual)."
        return [Finding(CAUTION, "salt_pct", text)]
    if total < plan.LOW_TOTAL_SALT_PCT - 1e-9 and request.method != "pack":
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
    return total - plan.cure_pct_of(request) * nacl / 100


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
        fix = plan.less_curing_salt(request, CEILING_NITRITE_MG_PER_KG / most)
        return [
            Finding(REFUSED, plan.amount_field(request), f"{text} Rub it in by weight first.", fix)
        ]
    return [Finding(CAUTION, plan.amount_field(request), text)]


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
    `domain/dosing/rounding.py` (design values)

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
            f"{start} is fewer than {FEW_DIVISIONS} of its steps: kitchen scales are often out"
            " by two steps or more, and may miss salt that trickles in."
        )
        return [Finding(CAUTION, "scale_division_g", text)]
    return []
