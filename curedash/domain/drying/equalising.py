"""Softening the rim: how long a sealed bag takes to even out the water of a dried piece.

Source: Crank, *The Mathematics of Diffusion*, 1975: the slowest eigenvalue of a sealed body.
"""

from __future__ import annotations

import math

from curedash.domain.curing.diffusion import arrhenius, path_m
from curedash.domain.errors import Refused
from curedash.domain.facts import salt_in_meat as facts
from curedash.domain.record import record
from curedash.domain.times import SECONDS_PER_DAY

# q1² with J1(q1) = 0 for a round; π² for a slab.
_DECAY = {"round": 3.8317059702**2, "slab": math.pi**2}


@record
class EqualisingDays:
    """Whole days to suggest, and the band from the computed days up to those of a dry rim [d]."""

    days: int
    band: tuple[float, float]


def equalising_tau_days(
    diameter_mm: float,
    shape: str = "round",
    temp_c: float = 5.0,
    diffusivity_m2_s: float = facts.WATER_D_M2_S,
) -> float:
    """Days in which the difference between rim and core falls to 1/e in a sealed bag.

    Parameters
    ----------
    diameter_mm : today's diameter or thickness [mm], 1–400
    shape : round or slab; raises Refused for another
    temp_c : temperature of the meat [°C], −2…25
    diffusivity_m2_s : of water in the meat at 5 °C [m²/s]

    Returns
    -------
    τ = R²/(14.68·D) for a round, L²/(π²·D) for a slab [d]; raises Refused outside a range

    Source
    ------
    Crank 1975, chapter 5 (J1(q) = 0, q² = 14.68) and chapter 4 (π²)

    Example
    -------
    >>> round(equalising_tau_days(60.0), 2)
    7.09
    """
    if shape not in _DECAY:
        raise Refused(f"Nothing equalises as a {shape!r}: choose round or slab.")
    square = path_m(diameter_mm) ** 2
    return square / (_DECAY[shape] * diffusivity_m2_s * arrhenius(temp_c)) / SECONDS_PER_DAY


def equalising_days(
    diameter_mm: float, shape: str = "round", temp_c: float = 5.0
) -> EqualisingDays:
    """Days in a sealed bag until 90 % of the difference between rim and core is gone.

    Parameters
    ----------
    diameter_mm : today's diameter or thickness [mm], 1–400
    shape : round or slab
    temp_c : temperature of the meat [°C], −2…25

    Returns
    -------
    days rounded up, computed days, and the band from wet meat to a dry rim [d]: a lower bound,
    since a dry rim diffuses slower; raises Refused outside a range

    Source
    ------
    `equalising_tau_days` × ln 10; D(water) and that of a dry rim from domain/facts/salt_in_meat

    Example
    -------
    >>> [equalising_days(d).days for d in (45, 60, 75, 90)]
    [10, 17, 26, 37]
    """
    fast, slow = (
        math.log(10.0) * equalising_tau_days(diameter_mm, shape, temp_c, d)
        for d in (facts.WATER_D_M2_S, facts.WATER_D_DRY_RIM_M2_S)
    )
    return EqualisingDays(days=math.ceil(fast), band=(fast, slow))
