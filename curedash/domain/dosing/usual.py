"""What is proposed in place of a slip: the usual dose, or the decimal mark corrected."""

from __future__ import annotations

from curedash.domain.dosing.limits import FLOOR_NITRITE_MG_PER_KG
from curedash.domain.dosing.request import DoseRequest
from curedash.domain.dosing.words import cut

# What 0.25 % of a 6.25 % curing salt brings, to be within every ingoing US limit for chopped meat;
# the usual dose where no style says its own [mg/kg]; common practice.
USUAL_NITRITE_MG_PER_KG = 156.25
_SLIPS = (10, 100)


def usual_amount(request: DoseRequest) -> tuple[str, float] | None:
    """Find the field and value of the usual amount of a request's curing salt.

    Parameters
    ----------
    request : the request

    Returns
    -------
    the field and its value; None for a pack, a salt box, and a salt without known nitrite

    Source
    ------
    the style's own nitrite, else `USUAL_NITRITE_MG_PER_KG`

    Example
    -------
    >>> from curedash.domain.dosing.salts import resolve_curing_salt
    >>> usual_amount(DoseRequest(green_g=1000, curing_salt=resolve_curing_salt("no2"), cure_pct=2))
    ('cure_pct', 0.25)
    """
    salt = request.curing_salt
    usual = request.style_nitrite_mg_per_kg or USUAL_NITRITE_MG_PER_KG
    if request.wanted_nitrite_mg_per_kg is not None:
        return "wanted_nitrite_mg_per_kg", cut(usual)
    if request.method == "pack" or request.wanted_nitrate_mg_per_kg is not None:
        return None
    if salt is None or not salt.strength_known or not salt.nitrite_fraction:
        return None
    of_meat_pct = usual / 1e4 / salt.nitrite_fraction
    if request.of_brine:
        if not request.reach_pct:
            return None
        of_meat_pct *= 100 / request.reach_pct
    return "cure_pct", cut(of_meat_pct)


def instead_of(request: DoseRequest, field: str, now: float, most: float) -> float:
    """Give the value to propose in place of one that is too high; never the most there may be.

    Parameters
    ----------
    request : the request
    field : its field that is too high
    now : its value, above `most`
    most : the value that would just be accepted

    Returns
    -------
    the usual value, else ``now`` with its decimal mark corrected, where they are accepted; else
    half of the most, cut to four digits

    Source
    ------
    the project's own rule (design value)

    Example
    -------
    >>> from curedash.domain.dosing.salts import resolve_curing_salt
    >>> asked = DoseRequest(green_g=1000, curing_salt=resolve_curing_salt("no2"), cure_pct=2.5)
    >>> instead_of(asked, "cure_pct", 2.5, 1.0)
    0.25
    """
    usual = usual_amount(request)
    if usual is not None and usual[0] == field and usual[1] <= most:
        return usual[1]
    lowest = 0.0
    if usual is not None and usual[0] == field:
        lowest = usual[1] * FLOOR_NITRITE_MG_PER_KG / USUAL_NITRITE_MG_PER_KG
    for slip in _SLIPS:
        if lowest <= now / slip <= most:
            return cut(now / slip)
    if usual is not None and usual[0] == field and usual[1] * 0.5 <= most:
        return two_places(most)
    return cut(most / 2)


def two_places(value: float) -> float:
    """Cut to 0.01, as a curing salt is usually written; smaller values to two digits.

    Example
    -------
    >>> two_places(0.19197), two_places(0.0041)
    (0.19, 0.0041)
    """
    return int(value * 100 + 1e-9) / 100 if value >= 0.02 else cut(value, 2)
