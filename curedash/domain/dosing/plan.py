"""From a request to exact grams: one small function a method, all giving the same plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from curedash.domain.dosing.formulas import (
    SATURATED_BRINE_PCT,
    brine_strength_pct,
    curing_salt_g,
    pack_share_g,
    plain_salt_pct,
)
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.result import CAUTION, NOTE, REFUSED, Finding, Fix
from curedash.domain.dosing.usual import instead_of
from curedash.domain.dosing.words import cut, plain

# More salt than this in the meat is taken for a slip [%]; the second one is said (design values).
MAX_TOTAL_SALT_PCT = 8.0
HIGH_TOTAL_SALT_PCT = 4.5
LOW_TOTAL_SALT_PCT = 1.5
# What is left to do where a pack may not be used at all.
WITHOUT_THE_PACK: Fix = (("method", "equilibrium"), ("salt_pct", 2.75))
# Brine made for an immersion when nobody says how much: half the meat's weight of water.
IMMERSION_WATER_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class Planned:
    """One ingredient before rounding."""

    name: str
    kind: str
    exact_g: float


@dataclass(frozen=True, slots=True)
class Plan:
    """Exact grams, what was said on the way, and whether the box makes the amounts unknowable."""

    ingredients: tuple[Planned, ...]
    findings: tuple[Finding, ...] = ()
    pack_ratio: float | None = None
    pack_left_g: float | None = None


def plan_dose(request: DoseRequest) -> Plan:
    """Turn a checked request into exact grams by its method.

    Parameters
    ----------
    request : a request that passed `check_request`

    Returns
    -------
    the plan, never with a negative amount

    Source
    ------
    the methods of FSIS Handbook 7620.3 and mass balance

    Example
    -------
    >>> plan = plan_dose(DoseRequest(green_g=1000, salt_pct=2.75))
    >>> plan.ingredients[0].exact_g
    27.5
    """
    if request.method == "pack":
        return _plan_pack(request)
    if request.method == "salt-box":
        return _plan_salt_box(request)
    if request.method in ("immersion", "injection"):
        return _plan_partial(request)
    return _plan_whole(request)


def cure_pct_of(request: DoseRequest) -> float:
    """Give the curing salt in percent, solved back from a wanted mg/kg where one was given.

    Parameters
    ----------
    request : a request that passed `check_request`

    Returns
    -------
    curing salt [% of what the method's percentages are of]; 0 where the salt cannot bring it

    Source
    ------
    `curing_salt_g` of the formulas, for 100 g

    Example
    -------
    >>> cure_pct_of(DoseRequest(green_g=1000, salt_pct=2.75, cure_pct=0.25))
    0.25
    """
    if request.cure_pct is not None:
        return request.cure_pct
    salt, fraction, wanted = request.curing_salt, 0.0, 0.0
    if salt is not None and salt.strength_known:
        if request.wanted_nitrite_mg_per_kg:
            fraction, wanted = salt.nitrite_fraction, request.wanted_nitrite_mg_per_kg
        elif request.wanted_nitrate_mg_per_kg:
            fraction, wanted = salt.nitrate_fraction, request.wanted_nitrate_mg_per_kg
    if not fraction:
        return 0.0
    if request.method == "equilibrium-brine":
        return _of_pickle_pct(request, wanted, fraction)
    of_meat_pct = curing_salt_g(wanted, fraction, 100.0)
    return of_meat_pct * 100 / request.reach_pct if request.of_brine else of_meat_pct


def _of_pickle_pct(request: DoseRequest, wanted: float, fraction: float) -> float:
    """Percent of meat and water that brings a wanted mg/kg of meat and pickle together."""
    nacl = 0.0
    if request.salt_means == "includes" and request.curing_salt is not None:
        nacl = (request.curing_salt.nacl_pct or 0.0) / 100
    rest_pct = 100 + (request.salt_pct or 0.0) + request.sugar_pct
    left = fraction * 1e6 - wanted * (1 - nacl)
    return wanted * rest_pct / left if left > 0 else 100.0


def _plan_whole(request: DoseRequest) -> Plan:
    """Everything ends up in the meat (or in meat and water together)."""
    water_g = (request.water_g or 0.0) if request.method == "equilibrium-brine" else 0.0
    basis_g = request.green_g + water_g
    shares, findings = _shares(request)
    items = _planned(shares, basis_g)
    if water_g:
        items = (Planned("water", "water", water_g), *items)
        findings += _slow_to_dissolve(_nacl_pct(request, shares), 100 * water_g / basis_g)
    return Plan(items, (*findings, *_group_note(request)))


def _plan_partial(request: DoseRequest) -> Plan:
    """Only pick-up or pump of the brine gets into the meat."""
    shares, findings = _shares(request)
    if not request.of_brine:  # percent of the meat → percent of the brine that carries it
        shares = [(n, k, pct * 100 / request.reach_pct) for n, k, pct in shares]
    water_pct = 100 - sum(pct for _name, _kind, pct in shares)
    if water_pct <= 0:
        findings = [*findings, _no_water_left(request)]
        water_pct, shares = 100.0, []
    reach_g = request.green_g * request.reach_pct / 100
    brine_g, said = _brine_weight(request, water_pct, reach_g)
    findings += [*said, *_saturation(request, _nacl_pct(request, shares), water_pct)]
    items = _planned([("water", "water", water_pct), *shares], brine_g)
    return Plan(items, (*findings, *_group_note(request)))


def _brine_weight(
    request: DoseRequest, water_pct: float, reach_g: float
) -> tuple[float, list[Finding]]:
    if request.water_g:
        brine_g = request.water_g * 100 / water_pct
        if request.method == "injection" and brine_g < reach_g * (1 - 1e-9):
            enough_g = float(ceil(reach_g * water_pct / 100))
            text = f"That makes {plain(brine_g)} g brine, but {plain(reach_g)} g are to be pumped."
            return brine_g, [Finding(REFUSED, "water_g", text, (("water_g", enough_g),))]
        return brine_g, []
    if request.method == "injection":
        said = f"Brine for exactly {plain(reach_g)} g pumped, none spare."
        return reach_g, [Finding(NOTE, "water_g", said)]
    water_g = request.green_g * IMMERSION_WATER_SHARE
    said = (
        f"No water given: {plain(water_g)} g assumed. More brine makes no difference if the meat"
        " comes out at its pick-up weight; left in, it takes up more."
    )
    return water_g * 100 / water_pct, [Finding(NOTE, "water_g", said)]


def _plan_salt_box(request: DoseRequest) -> Plan:
    """Excess salt: the curing salt is rubbed in by weight, the box salt only covers."""
    text = "In a salt box mg/kg and salt % stay unknown: the salt is in excess, the days decide."
    shares, cure_pct = list[Share](), cure_pct_of(request)
    if cure_pct and request.curing_salt:
        shares.append((request.curing_salt.name, "curing-salt", cure_pct))
    if request.salt_pct:
        shares.append(("salt", "salt", request.salt_pct))
    items = _planned([*shares, *_seasoning(request)], request.green_g)
    return Plan(items, (Finding(NOTE, "method", text), *_group_note(request)))


Share = tuple[str, str, float]  # name, kind, percent


def _planned(shares: Sequence[Share], of_g: float) -> tuple[Planned, ...]:
    """What these percentages of a weight are in grams."""
    return tuple(Planned(name, kind, of_g * pct / 100) for name, kind, pct in shares)


def _seasoning(request: DoseRequest) -> list[Share]:
    """Sugar and spices."""
    spices = ((name, "extra", pct) for name, pct in request.extras)
    return [share for share in (("sugar", "sugar", request.sugar_pct), *spices) if share[2]]


def _plan_pack(request: DoseRequest) -> Plan:
    """A ready-mixed pack, by the meat it is rated for or by the packs really used."""
    pack_g, pack_for_g = request.pack_g or 0.0, request.pack_for_g or 0.0
    rated_g = pack_share_g(pack_g, pack_for_g, request.green_g)
    used_g = rated_g if request.packs is None else pack_g * request.packs
    opened = ceil(used_g / pack_g - 1e-9)
    items = [Planned("ready-mixed pack", "pack", used_g)]
    salt_pct, findings = _salt_beside_pack(request, used_g)
    beside = [("salt", "salt", salt_pct)] if salt_pct else []
    items += _planned([*beside, *_seasoning(request)], request.green_g)
    left_g = max(0.0, opened * pack_g - used_g)
    said = _pack_words(request, used_g / rated_g, left_g)
    return Plan(tuple(items), (*findings, *said, *_group_note(request)), used_g / rated_g, left_g)


def _salt_beside_pack(request: DoseRequest, used_g: float) -> tuple[float, list[Finding]]:
    if not request.salt_pct:
        return 0.0, []
    pack = request.curing_salt
    if pack is None or pack.nacl_pct is None:
        text = "The pack's salt share is not known: the salt is counted on top of the pack."
        return request.salt_pct, [Finding(NOTE, "salt_pct", text)]
    pack_pct = 100 * used_g / request.green_g
    plain_pct = plain_salt_pct(
        request.salt_pct, request.salt_means, min(pack_pct, 100.0), pack.nacl_pct / 100
    )
    if plain_pct < 0:
        text = "The pack alone brings more salt than that."
        return 0.0, [Finding(REFUSED, "salt_pct", text, (("salt_means", "besides"),))]
    return plain_pct, []


def _pack_words(request: DoseRequest, ratio: float, left_g: float) -> list[Finding]:
    text = f"{ratio:.1f} × what the pack is made for"
    known = request.curing_salt is not None and request.curing_salt.strength_known
    rated = (("packs", cut(_rated_packs(request))),)
    if known:
        findings = [Finding(NOTE, "packs", f"{text}.")]
    elif ratio > 1.5 + 1e-9:
        text = f"{text}, and its strength is unknown: over 1.5 × is refused."
        findings = [Finding(REFUSED, "packs", text, rated)]
    else:
        level = CAUTION if ratio > 1.1 + 1e-9 or ratio < 0.9 - 1e-9 else NOTE
        findings = [Finding(level, "packs", f"{text}.")]
    if not known:
        text = "Strength unknown: mg/kg cannot be computed."
        findings.append(Finding(CAUTION, "curing_salt", text))
    if left_g > 0.05:
        text = "Mix an opened pack through first: fine salts settle."
        findings.append(Finding(NOTE, "packs", text))
    return findings


def _shares(request: DoseRequest) -> tuple[list[Share], list[Finding]]:
    """Percentages of plain salt, curing salt, sugar and spices, none negative."""
    cure_pct, salt = cure_pct_of(request), request.curing_salt
    salt_pct, findings = _plain_salt(request, cure_pct)
    shares = [("salt", "salt", salt_pct)]
    if salt is not None and cure_pct:
        shares.append((salt.name, "curing-salt", cure_pct))
    return shares + _seasoning(request), findings


def _plain_salt(request: DoseRequest, cure_pct: float) -> tuple[float, list[Finding]]:
    salt, salt_pct = request.curing_salt, request.salt_pct or 0.0
    if salt is None or not cure_pct:
        return salt_pct, []
    if salt.nacl_pct is None:
        if request.salt_means == "besides":
            return salt_pct, []
        text = f"How much salt is in {salt.name} is not stated: the salt cannot include it."
        return salt_pct, [Finding(REFUSED, "salt_means", text, (("salt_means", "besides"),))]
    own_pct = cure_pct * salt.nacl_pct / 100
    plain_pct = plain_salt_pct(
        salt_pct, request.salt_means, min(cure_pct, 100.0), salt.nacl_pct / 100
    )
    if plain_pct >= -1e-12:
        return max(plain_pct, 0.0), []
    text = (
        f"The curing salt alone brings {plain(own_pct)} % salt, more than the {plain(salt_pct)} % "
        "asked for; that is the least salt possible."
    )
    most_pct = SATURATED_BRINE_PCT if request.of_brine else MAX_TOTAL_SALT_PCT
    if own_pct > most_pct:
        fix = less_curing_salt(request, salt_pct / own_pct)
        return 0.0, [Finding(REFUSED, "cure_pct", text, fix)]
    smallest = ceil(own_pct * 1000 - 1e-9) / 1000
    return 0.0, [Finding(REFUSED, "salt_pct", text, (("salt_pct", smallest),))]


def less_curing_salt(request: DoseRequest, factor: float) -> Fix:
    """Name the field and a usual value that would bring a curing salt down by at least a factor.

    Parameters
    ----------
    request : the request as it stands
    factor : share of the present amount that may stay, 0–1

    Returns
    -------
    the field to change and its value: the usual dose or the slip corrected, never the most
    there may be

    Source
    ------
    `curedash.domain.dosing.usual`

    Example
    -------
    >>> less_curing_salt(DoseRequest(green_g=1000, cure_pct=2.5), 0.1)
    (('cure_pct', 0.25),)
    """
    field = amount_field(request)
    if field == "packs":
        now = request.packs or _rated_packs(request)
        rated = _rated_packs(request)
        if rated < now and rated <= now * factor:
            return ((field, cut(rated)),)
        return ((field, cut(now * factor)),)
    now = getattr(request, field) or 0.0
    return ((field, instead_of(request, field, now, now * factor)),)


def amount_field(request: DoseRequest) -> str:
    """Name the field that decides how much curing salt there is.

    Parameters
    ----------
    request : the request

    Returns
    -------
    the field's name

    Source
    ------
    none needed

    Example
    -------
    >>> amount_field(DoseRequest(green_g=1000, wanted_nitrite_mg_per_kg=120))
    'wanted_nitrite_mg_per_kg'
    """
    for field in ("wanted_nitrite_mg_per_kg", "wanted_nitrate_mg_per_kg"):
        if getattr(request, field) is not None:
            return field
    return "packs" if request.method == "pack" else "cure_pct"


def _rated_packs(request: DoseRequest) -> float:
    return request.green_g / (request.pack_for_g or request.green_g)


def _nacl_pct(request: DoseRequest, shares: list[Share]) -> float:
    salt = request.curing_salt
    own = salt.nacl_pct / 100 if salt is not None and salt.nacl_pct is not None else 0.0
    factors = {"salt": 1.0, "curing-salt": own}
    return sum(factors.get(kind, 0.0) * pct for _name, kind, pct in shares)


def _saturation(request: DoseRequest, nacl_pct: float, water_pct: float) -> list[Finding]:
    strength_pct = brine_strength_pct(nacl_pct, water_pct)
    if strength_pct <= SATURATED_BRINE_PCT:
        return []
    text = (
        f"{plain(strength_pct)} % salt does not dissolve; "
        f"a brine holds about {SATURATED_BRINE_PCT} %."
    )
    if request.method == "injection" and request.percent_of == "meat":
        pump = ceil((request.pump_pct or 1.0) * strength_pct / 20)
        if pump <= 60:
            return [Finding(REFUSED, "pump_pct", text, (("pump_pct", float(pump)),))]
    fix = (("salt_pct", cut((request.salt_pct or 0.0) * 0.9 * SATURATED_BRINE_PCT / strength_pct)),)
    return [Finding(REFUSED, "salt_pct", text, fix)]


def _slow_to_dissolve(nacl_pct: float, water_pct: float) -> list[Finding]:
    """In an equilibrium brine the meat takes the salt up, so this is not a refusal."""
    if brine_strength_pct(nacl_pct, water_pct) <= SATURATED_BRINE_PCT:
        return []
    text = (
        "So little water does not dissolve all that salt at first; turn and stir it, or add water."
    )
    return [Finding(CAUTION, "water_g", text)]


def _no_water_left(request: DoseRequest) -> Finding:
    text = "These percentages leave no water in the brine."
    field = "pump_pct" if request.method == "injection" else "pickup_pct"
    return Finding(REFUSED, "salt_pct" if request.of_brine else field, text)


def _group_note(request: DoseRequest) -> tuple[Finding, ...]:
    if request.pieces < 2:
        return ()
    text = f"One dose for {request.pieces} pieces together; spread it evenly."
    return (Finding(NOTE, "pieces", text),)
