"""What a dose is asked about once: nitrite that is missing, little salt; and cautions at dosing."""

from __future__ import annotations

from curedash.domain.dosing.classes import answered
from curedash.domain.dosing.contents import contents_of
from curedash.domain.dosing.meat_kinds import is_other, kind_of
from curedash.domain.dosing.plan import plan_dose
from curedash.domain.dosing.request import LONG_DRY_DAYS, DoseRequest
from curedash.domain.dosing.result import CAUTION, NOTE, Contents, Finding, Fix
from curedash.domain.dosing.usual import usual_amount
from curedash.domain.dosing.words import plain
from curedash.domain.wording import listed

NO_NITRITE = "no-nitrite"
LITTLE_SALT = "little-salt"
FERMENT = "ferment"
LARGE_SHARE = "large-share"
COOKED = ("cooked-soon", "fried")
# Total salt under which a slip is asked about, and what is usual where no style says [%].
SLIP_SALT_PCT = 1.0
USUAL_SALT_PCT = 2.75
# Total salt of ground meat under which there is a caution [%]; common practice.
GROUND_SALT_PCT = 2.0
STARTER_WORDS = ("starter", "culture")

# Sugar, one spice, and all spices together above which a slip is asked about [%] (design values).
SUGAR_PCT, SPICE_PCT, SPICES_PCT = 10.0, 5.0, 10.0


def asked_findings(
    request: DoseRequest, contents: Contents, exact: Contents | None = None
) -> list[Finding]:
    """Ask about what is missing from a dose, and give the cautions of its meat and method.

    Parameters
    ----------
    request : the request
    contents : what the rounded (or weighed) grams amount to
    exact : what the exact grams amount to, where something is planned: a coarse scale is not a slip

    Returns
    -------
    the findings; an answered question is a note with its reason

    Source
    ------
    common practice; the sources of `domain/facts/species.py`

    Example
    -------
    >>> asked = DoseRequest(green_g=1000, salt_pct=3, method="ground", eaten="as-is")
    >>> asked_findings(asked, Contents(3.0, 0.0, 0.0, 0.0))[0].question
    'no-nitrite'
    """
    return [
        *_nitrite_missing(request, contents),
        *_salt_missing(request, exact or contents),
        *_large_shares(request),
        *_of_meat(request),
        *_of_ground(request, exact or contents),
        *_of_brine(request),
    ]


def _nitrite_missing(request: DoseRequest, contents: Contents) -> list[Finding]:
    has_cure = request.wants_nitrite_or_nitrate or request.method == "pack"
    nitrite, nitrate = contents.nitrite_mg_per_kg, contents.nitrate_mg_per_kg
    if has_cure and (nitrite is None or nitrate is None or nitrite + nitrate > 0):
        return []
    ground, days = request.method == "ground", request.planned_days
    if request.eaten in COOKED:
        text = "No nitrite: for meat that is cooked, never for drying or cold smoke."
        return [Finding(NOTE, "cure_pct", text)] if ground else []
    reason = answered(request, NO_NITRITE)
    if reason:
        text = f"No nitrite, left out on purpose: {reason}".rstrip(".")
        return [Finding(NOTE, "cure_pct", f"{text}.", question=NO_NITRITE)]
    if request.style_without_nitrite and not ground:
        text = (
            "No nitrite: this style is made without it. Keep the meat cold until the salt has"
            " reached the core."
        )
        return [Finding(CAUTION, "cure_pct", text)]
    text = "No nitrite in ground meat that is eaten uncooked: why is it left out?"
    if not ground:
        if days is None:
            text = (
                f"No nitrite: over {LONG_DRY_DAYS} days it is seldom left out."
                " How many days are planned?"
            )
            return [Finding(CAUTION, "planned_days", text)]
        if days <= LONG_DRY_DAYS:
            return []
        text = f"No nitrite, and {plain(days)} days planned: why is it left out?"
    usual = usual_amount(request)
    fix = () if usual is None else (usual,)
    return [Finding(CAUTION, "cure_pct", text, fix, NO_NITRITE, must=True)]


def _salt_missing(request: DoseRequest, contents: Contents) -> list[Finding]:
    """A tenth of what is usual is taken for a slip of the decimal mark."""
    total = contents.total_salt_pct
    by_plan = request.method in ("equilibrium", "ground", "equilibrium-brine")
    if total is None or not by_plan or total >= SLIP_SALT_PCT - 1e-9:
        return []
    reason = answered(request, LITTLE_SALT)
    if reason:
        text = f"{plain(total, 2)} % total salt, on purpose: {reason}".rstrip(".")
        return [Finding(NOTE, "salt_pct", f"{text}.", question=LITTLE_SALT)]
    usual = request.style_salt_pct or USUAL_SALT_PCT
    text = f"{plain(total, 2)} % total salt is hardly any. Did you mean {plain(usual)}?"
    fix: Fix = (("salt_pct", usual),)
    return [Finding(CAUTION, "salt_pct", text, fix, LITTLE_SALT, must=True)]


def _large_shares(request: DoseRequest) -> list[Finding]:
    """The first share of sugar or spice that is larger than anybody is likely to mean."""
    shares = [
        ("sugar_pct", "Sugar", request.sugar_pct, SUGAR_PCT),
        *(("extras", name.strip()[:40], pct, SPICE_PCT) for name, pct in request.extras),
        ("extras", "All spices together", sum(pct for _, pct in request.extras), SPICES_PCT),
    ]
    large = [share for share in shares if share[2] > share[3] + 1e-9]
    if not large:
        return []
    field, name, pct, most = large[0]
    reason = answered(request, LARGE_SHARE)
    if reason:
        text = f"{name} {plain(pct)} %, on purpose: {reason}".rstrip(".")
        return [Finding(NOTE, field, f"{text}.", question=LARGE_SHARE)]
    text = (
        f"{name} {plain(pct)} %: over {plain(most)} % of the {request.basis} is rare. Why so much?"
    )
    return [Finding(CAUTION, field, text, question=LARGE_SHARE, must=True)]


def _of_meat(request: DoseRequest) -> list[Finding]:
    if is_other(request.species):
        text = f"No limit is known for this meat ({request.species.strip()}): nothing is checked."
        return [Finding(CAUTION, "species", text)]
    kind = kind_of(request.species, wild=request.wild)
    if kind is None or request.eaten in COOKED:
        return []
    return [Finding(CAUTION, "species", kind.raw)]


def _of_ground(request: DoseRequest, contents: Contents) -> list[Finding]:
    if request.method != "ground" or request.eaten in COOKED:
        return []
    findings = []
    total = contents.total_salt_pct
    if total is not None and SLIP_SALT_PCT <= total < GROUND_SALT_PCT - 1e-9:
        text = (
            f"{plain(total, 3)} % total salt is little for ground meat eaten uncooked: "
            "2.5 to 3 % is usual."
        )
        findings.append(Finding(CAUTION, "salt_pct", text))
    names = [name.casefold() for name, _pct in request.extras]
    if not any(word in name for name in names for word in STARTER_WORDS):
        text = "No starter culture on the list: without one the pH may not fall. Measure it."
        findings.append(Finding(CAUTION, "extras", text))
    if request.fermented is False:
        findings.append(_ferment_left_out(request))
    return findings


def _ferment_left_out(request: DoseRequest) -> Finding:
    reason = answered(request, FERMENT)
    if reason:
        text = f"Dried without a ferment: {reason}".rstrip(".")
        return Finding(NOTE, "method", f"{text}.", question=FERMENT)
    text = "This style of ground meat has no ferment: is it dried without one?"
    return Finding(CAUTION, "method", text, question=FERMENT)


def _of_brine(request: DoseRequest) -> list[Finding]:
    if request.method == "injection":
        text = "Pumped meat rests in the cold for a day or two: the brine has to spread."
        return [Finding(NOTE, "pump_pct", text)]
    if request.method != "immersion":
        return []
    left = left_in(request)
    gain_g = request.green_g * request.reach_pct / 100
    out_g = request.green_g + gain_g
    text = (
        f"Take it out of the brine once it weighs {plain(out_g)} g: a pick-up"
        f" of {plain(request.reach_pct)} %."
    )
    nitrite, salt = left.nitrite_mg_per_kg, left.total_salt_pct
    becomes = [f"{plain(round(nitrite))} mg/kg nitrite"] if nitrite else []
    becomes += [f"{plain(salt, 2)} % salt"] if salt else []
    if becomes:
        text = f"{text} Left in, it reaches {listed(becomes)}."
    return [Finding(CAUTION, "pickup_pct", text)]


def left_in(request: DoseRequest) -> Contents:
    """What a short immersion becomes when the meat is left in all of its brine.

    Parameters
    ----------
    request : a request for a short immersion

    Returns
    -------
    salt, nitrite and nitrate spread over meat and pickle together

    Source
    ------
    FSIS Handbook 7620.3, method Two: green weight and pickle

    Example
    -------
    >>> from curedash.domain.dosing.salts import resolve_curing_salt
    >>> asked = DoseRequest(green_g=1000, method="immersion", salt_pct=10, cure_pct=2,
    ...                     curing_salt=resolve_curing_salt("no1"), water_g=1000, pickup_pct=10)
    >>> round(left_in(asked).nitrite_mg_per_kg), round(left_in(asked).total_salt_pct, 1)
    (658, 5.3)
    """
    plan = plan_dose(request)
    grams = [(item.kind, item.exact_g) for item in plan.ingredients]
    whole_g = request.green_g + sum(g for _kind, g in grams)
    inside = DoseRequest(green_g=whole_g, curing_salt=request.curing_salt)
    return contents_of(inside, grams)
