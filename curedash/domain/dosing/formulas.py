"""The arithmetic of a dose, forwards (grams → mg/kg) and back (wanted mg/kg → grams)."""

from __future__ import annotations

from math import isfinite

from curedash.domain.errors import Refused

# Salt a brine can hold near 0–20 °C [% of salt + water]; handbook value, from memory.
SATURATED_BRINE_PCT = 26.4


def ingoing_mg_per_kg(salt_g: float, fraction: float, basis_g: float) -> float:
    """Nitrite or nitrate that goes in with a curing salt, per kilogram of what takes it up.

    Parameters
    ----------
    salt_g : curing salt [g], 0 or more
    fraction : share of the agent in it [g per g], 0–1
    basis_g : green meat, or meat and water of an equilibrium brine [g], above 0

    Returns
    -------
    ingoing agent [mg/kg]

    Source
    ------
    FSIS Processing Inspectors' Calculations Handbook 7620.3 (dry formula; method Two for brine)

    Example
    -------
    >>> round(ingoing_mg_per_kg(2.5, 0.0625, 1000), 2)
    156.25
    """
    _range("curing salt", salt_g, 0, None)
    _range("share", fraction, 0, 1)
    _above_zero("basis", basis_g)
    return salt_g * fraction * 1e6 / basis_g


def curing_salt_g(wanted_mg_per_kg: float, fraction: float, basis_g: float) -> float:
    """Curing salt that brings a wanted nitrite or nitrate.

    Parameters
    ----------
    wanted_mg_per_kg : wanted agent [mg/kg], 0 or more
    fraction : share of the agent in the curing salt [g per g], above 0, at most 1
    basis_g : green meat, or meat and water of an equilibrium brine [g], above 0

    Returns
    -------
    curing salt [g]

    Source
    ------
    `ingoing_mg_per_kg` solved for the grams

    Example
    -------
    >>> round(curing_salt_g(120, 0.0625, 1500), 2)
    2.88
    """
    _range("wanted mg/kg", wanted_mg_per_kg, 0, None)
    _above_zero("share", fraction)
    _range("share", fraction, 0, 1)
    _above_zero("basis", basis_g)
    return wanted_mg_per_kg * basis_g / 1e6 / fraction


def plain_salt_pct(
    salt_pct: float, salt_means: str, cure_pct: float, nacl_fraction: float
) -> float:
    """Plain salt to add, when the recipe's salt includes or comes besides the curing salt.

    Parameters
    ----------
    salt_pct : salt of the recipe [%], 0–100
    salt_means : "includes" (total NaCl) or "besides" (plain salt alone)
    cure_pct : curing salt [%], 0–100
    nacl_fraction : NaCl in the curing salt [g per g], 0–1

    Returns
    -------
    plain salt [%]; negative where the curing salt alone brings more than the recipe's total

    Source
    ------
    mass balance of NaCl

    Example
    -------
    >>> round(plain_salt_pct(2.75, "includes", 0.25, 0.9375), 4)
    2.5156
    >>> plain_salt_pct(2.75, "besides", 0.25, 0.9375)
    2.75
    """
    _range("salt", salt_pct, 0, 100)
    _range("curing salt", cure_pct, 0, 100)
    _range("salt share", nacl_fraction, 0, 1)
    if salt_means == "besides":
        return salt_pct
    return salt_pct - cure_pct * nacl_fraction


def reached_mg_per_kg(agent_g: float, brine_g: float, reach_pct: float) -> float:
    """Nitrite or nitrate a pumped or shortly immersed piece takes up with its brine.

    Parameters
    ----------
    agent_g : pure nitrite or nitrate in all the brine [g], 0 or more
    brine_g : the whole brine, its salts counted in [g], above 0
    reach_pct : pump or pick-up [% of green weight], 0–100

    Returns
    -------
    ingoing agent [mg per kg green meat]

    Source
    ------
    FSIS Processing Inspectors' Calculations Handbook 7620.3 p.19 (pump), method One (pick-up)

    Example
    -------
    >>> reached_mg_per_kg(2, 1000, 10)
    200.0
    """
    _range("agent", agent_g, 0, None)
    _above_zero("brine", brine_g)
    _range("pump or pick-up", reach_pct, 0, 100)
    return agent_g / brine_g * reach_pct * 1e4


def pack_share_g(pack_g: float, pack_for_g: float, green_g: float) -> float:
    """Grams of a ready-mixed pack for a piece, at the rate the pack is rated for.

    Parameters
    ----------
    pack_g : weight of one pack [g], above 0
    pack_for_g : meat one pack is for [g], above 0
    green_g : green meat [g], above 0

    Returns
    -------
    grams of the pack for this piece

    Source
    ------
    proportion

    Example
    -------
    >>> pack_share_g(145, 2267.96185, 1134) > 72
    True
    """
    _above_zero("pack", pack_g)
    _above_zero("meat the pack is for", pack_for_g)
    _above_zero("green weight", green_g)
    return pack_g * green_g / pack_for_g


def brine_strength_pct(nacl_g: float, water_g: float) -> float:
    """Salt in a brine, as a share of salt and water.

    Parameters
    ----------
    nacl_g : salt [g], 0 or more
    water_g : water [g], above 0

    Returns
    -------
    strength [% of salt + water]

    Source
    ------
    definition of water-phase salt

    Example
    -------
    >>> brine_strength_pct(100, 900)
    10.0
    """
    _range("salt", nacl_g, 0, None)
    _above_zero("water", water_g)
    return 100 * nacl_g / (nacl_g + water_g)


def _range(name: str, value: float, low: float, high: float | None) -> None:
    if not isfinite(value) or value < low or (high is not None and value > high):
        bound = f"{low:g} or more" if high is None else f"{low:g} to {high:g}"
        raise Refused(f"{name} {value:g} makes no sense; give {bound}.")


def _above_zero(name: str, value: float) -> None:
    if not isfinite(value) or value <= 0:
        raise Refused(f"{name} {value:g} makes no sense; give more than 0.")
