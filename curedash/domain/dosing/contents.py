"""What given grams amount to: salt, nitrite and nitrate, whatever the method."""

from __future__ import annotations

from collections.abc import Iterable

from curedash.domain.dosing.formulas import ingoing_mg_per_kg, reached_mg_per_kg
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.result import Contents

# Of what is weighed, what dissolves into the pickle of an equilibrium brine.
_DISSOLVED = ("salt", "curing-salt", "sugar")
UNKNOWN = Contents(None, None, None, None)


def contents_of(request: DoseRequest, grams: Iterable[tuple[str, float]]) -> Contents:
    """Compute total salt and ingoing nitrite and nitrate from grams by kind of ingredient.

    Parameters
    ----------
    request : the request, for its method, its weights and its curing salt
    grams : pairs of kind (salt, curing-salt, pack, sugar, extra, water) and weight [g]

    Returns
    -------
    the contents; None for what cannot be known (a salt box, an unknown strength or salt share)

    Source
    ------
    FSIS Handbook 7620.3: dry formula, pump formula, methods One and Two

    Example
    -------
    >>> dose = DoseRequest(green_g=1000, salt_pct=2.75)
    >>> contents_of(dose, [("salt", 27.5)]).total_salt_pct
    2.75
    """
    if request.method == "salt-box":
        return UNKNOWN
    weights = list(grams)
    whole_g = _whole_g(request, weights)
    salt_g = sum(g for kind, g in weights if kind == "salt")
    cure_g = sum(g for kind, g in weights if kind in ("curing-salt", "pack"))
    total_g = sum(g for _kind, g in weights)
    return Contents(
        _salt_pct(request, salt_g, cure_g, total_g, whole_g),
        _agent(request, cure_g, total_g, whole_g, "nitrite_fraction"),
        _agent(request, cure_g, total_g, whole_g, "nitrate_fraction"),
        _agent(request, cure_g, total_g, whole_g, "nitrate_salt_fraction"),
    )


def basis_g(request: DoseRequest) -> float:
    """Give what the percentages are of: the green meat, or meat and water of an equilibrium brine.

    Parameters
    ----------
    request : the request

    Returns
    -------
    the basis [g]

    Source
    ------
    common practice

    Example
    -------
    >>> basis_g(DoseRequest(green_g=1000, method="equilibrium-brine", water_g=500))
    1500
    """
    if request.method == "equilibrium-brine":
        return request.green_g + (request.water_g or 0.0)
    return request.green_g


def _partial(request: DoseRequest) -> bool:
    return request.method in ("immersion", "injection")


def _whole_g(request: DoseRequest, weights: list[tuple[str, float]]) -> float:
    """What takes the dose up: the meat, in an equilibrium brine the pickle with it (method Two)."""
    if request.method != "equilibrium-brine":
        return request.green_g
    water_g = sum(g for kind, g in weights if kind == "water") or request.water_g or 0.0
    return request.green_g + water_g + sum(g for kind, g in weights if kind in _DISSOLVED)


def _salt_pct(
    request: DoseRequest, salt_g: float, cure_g: float, total_g: float, whole_g: float
) -> float | None:
    own_g = 0.0
    if cure_g:
        if request.curing_salt is None or request.curing_salt.nacl_pct is None:
            return None
        own_g = cure_g * request.curing_salt.nacl_pct / 100
    nacl_g = salt_g + own_g
    if _partial(request):
        return nacl_g / total_g * request.reach_pct if total_g else 0.0
    return 100 * nacl_g / whole_g


def _agent(
    request: DoseRequest, cure_g: float, total_g: float, whole_g: float, share: str
) -> float | None:
    if not cure_g:
        return 0.0
    if request.curing_salt is None or not request.curing_salt.strength_known:
        return None
    fraction: float = getattr(request.curing_salt, share)
    if _partial(request):
        return reached_mg_per_kg(cure_g * fraction, total_g, request.reach_pct)
    return ingoing_mg_per_kg(cure_g, fraction, whole_g)
