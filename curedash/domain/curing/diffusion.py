"""Salt moving inward: days in the cure, the core's share on a day, uptake in a salt box.

The dimensionless solutions lie in `crank`; here they meet millimetres, days and degrees.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from curedash.domain.curing.salt_diffusion_series import (
    centre_salt_box,
    centre_weighed,
    check_boundary,
    fo_at_core_share,
    mean_salt_box,
)
from curedash.domain.errors import Refused
from curedash.domain.facts import salt_in_meat as facts
from curedash.domain.quantity_text import celsius, millimetres
from curedash.domain.record import record
from curedash.domain.times import SECONDS_PER_DAY


@record
class CureDays:
    """Days until the core holds 90 and 95 % of its final salt, each with the band over D."""

    days_90: float
    days_95: float
    band_90: tuple[float, float]
    band_95: tuple[float, float]


@record
class Share:
    """A share of the final salt [%] for the central D and both ends of its band."""

    central: float
    lo: float
    hi: float


def salt_diffusivity_m2_s(temp_c: float, *, frozen: bool = False) -> tuple[float, float, float]:
    """Diffusivity of salt in lean muscle, with its band.

    Parameters
    ----------
    temp_c : temperature of the meat [°C], −2…25; raises Refused outside
    frozen : the meat was frozen and thawed before it was salted

    Returns
    -------
    central, low and high D [m²/s]

    Source
    ------
    values, activation energy and the factor for frozen meat: domain/facts/salt_in_meat

    Example
    -------
    >>> salt_diffusivity_m2_s(5.0)
    (2.2e-10, 1.5e-10, 3e-10)
    """
    factor = arrhenius(temp_c) * (facts.FROZEN_FACTOR if frozen else 1.0)
    return (
        facts.SALT_D_M2_S * factor,
        facts.SALT_D_LOW_M2_S * factor,
        facts.SALT_D_HIGH_M2_S * factor,
    )


def arrhenius(temp_c: float) -> float:
    """How much faster diffusion is than at 5 °C.

    Parameters
    ----------
    temp_c : temperature of the meat [°C], −2…25; raises Refused outside

    Returns
    -------
    D(temp_c) / D(5 °C) [1]

    Source
    ------
    Ea 25 kJ/mol, domain/facts/salt_in_meat

    Example
    -------
    >>> arrhenius(5.0)
    1.0
    """
    if not -2.0 <= temp_c <= 25.0:
        raise Refused(
            "{here} is not a curing temperature: give one from {least} to {most}.",
            here=celsius(temp_c),
            least=celsius(-2, "-2"),
            most=celsius(25),
        )
    kelvin_5, kelvin = 273.15 + facts.SALT_D_AT_TEMP_C, 273.15 + temp_c
    exponent = facts.ACTIVATION_ENERGY_J_MOL / facts.GAS_CONSTANT_J_MOL_K
    return math.exp(exponent * (1.0 / kelvin_5 - 1.0 / kelvin))


def path_m(thickness_mm: float, *, skin: bool = False) -> float:
    """Length L that the salt has to travel: half the thickness, or all of it behind a skin.

    Parameters
    ----------
    thickness_mm : thickness or diameter at the thickest spot [mm], 1–400; raises Refused outside
    skin : skin or a fat cap closes one side

    Returns
    -------
    L [m]

    Source
    ------
    geometry: a closed face is a plane of symmetry

    Example
    -------
    >>> path_m(50.8)
    0.0254
    """
    if not 1.0 <= thickness_mm <= 400.0:
        raise Refused(
            "A thickness of {thick} makes no sense: give {least} to {most}.",
            thick=millimetres(thickness_mm),
            least=millimetres(1, "1"),
            most=millimetres(400),
        )
    return thickness_mm / (1000.0 if skin else 2000.0)


def cure_days(
    thickness_mm: float,
    shape: str,
    temp_c: float,
    *,
    frozen: bool = False,
    skin: bool = False,
    boundary: str = "weighed",
) -> CureDays:
    """Days in the cure until the core holds 90 and 95 % of its final salt.

    Parameters
    ----------
    thickness_mm : thickness or diameter at the thickest spot [mm], 1–400
    shape : slab (width at least 2–3 × thickness), round (tied) or sphere
    temp_c : temperature of the meat [°C], −2…25
    frozen : the meat was frozen and thawed
    skin : skin or a fat cap closes one side
    boundary : weighed (dose laid on, sealed in) or salt-box (surface stays full)

    Returns
    -------
    days for the central D, and (fast, slow) ends of the band [d]; raises Refused outside a range

    Source
    ------
    `centre_weighed`, `centre_salt_box`; D and its band from domain/facts/salt_in_meat

    Example
    -------
    >>> days = cure_days(50.8, "slab", 5.0)
    >>> round(days.days_90, 1), round(days.band_90[0], 1), round(days.band_90[1], 1)
    (10.3, 7.6, 15.1)
    """
    d_mid, d_low, d_high = salt_diffusivity_m2_s(temp_c, frozen=frozen)
    square = path_m(thickness_mm, skin=skin) ** 2 / SECONDS_PER_DAY
    reach_90 = fo_at_core_share(0.90, shape, boundary) * square
    reach_95 = fo_at_core_share(0.95, shape, boundary) * square
    return CureDays(
        days_90=reach_90 / d_mid,
        days_95=reach_95 / d_mid,
        band_90=(reach_90 / d_high, reach_90 / d_low),
        band_95=(reach_95 / d_high, reach_95 / d_low),
    )


def salt_rest_days(
    thickness_mm: float, shape: str, temp_c: float, *, frozen: bool = False, skin: bool = False
) -> CureDays:
    """Days of salt rest after a salt box until the salt taken up has reached the core.

    Parameters
    ----------
    thickness_mm, shape, temp_c, frozen, skin : as for `cure_days`

    Returns
    -------
    days to 90 and 95 % of the mean, with bands [d]; raises Refused outside a range

    Source
    ------
    the weighed-dose solution: once the box is off, the salt in the outer band is a dose that
    nothing leaves; a little on the long side, since some of it lies deeper already

    Example
    -------
    >>> round(salt_rest_days(50.8, "slab", 5.0).days_95, 1)
    12.7
    """
    return cure_days(thickness_mm, shape, temp_c, frozen=frozen, skin=skin)


def core_share(
    days: float,
    thickness_mm: float,
    shape: str,
    temp_c: float,
    *,
    frozen: bool = False,
    skin: bool = False,
    boundary: str = "weighed",
) -> Share:
    """Share of its final salt that the core holds after some days.

    Parameters
    ----------
    days : days in the cure [d], 0 or more; raises Refused below 0
    thickness_mm, shape, temp_c, frozen, skin, boundary : as for `cure_days`

    Returns
    -------
    share and its band over D [% of final], 0–100

    Source
    ------
    `centre_weighed`, `centre_salt_box`

    Example
    -------
    >>> share = core_share(9, 89, "slab", 5.0)
    >>> round(share.central), round(share.lo), round(share.hi)
    (21, 7, 39)
    """
    check_boundary(boundary)
    curve = centre_weighed if boundary == "weighed" else centre_salt_box
    return _share(curve, days, thickness_mm, shape, temp_c, frozen, skin)


def mean_uptake(
    days: float,
    thickness_mm: float,
    shape: str,
    temp_c: float,
    *,
    frozen: bool = False,
    skin: bool = False,
) -> Share:
    """Salt taken up in a salt box, of all that the piece could take there.

    Parameters
    ----------
    days : days in the box [d], 0 or more; raises Refused below 0
    thickness_mm, shape, temp_c, frozen, skin : as for `cure_days`

    Returns
    -------
    mean over the piece and its band over D [% of saturation], 0–100

    Source
    ------
    `mean_salt_box`

    Example
    -------
    >>> round(mean_uptake(10.0, 76.2, "round", 4.0).central)
    66
    """
    return _share(mean_salt_box, days, thickness_mm, shape, temp_c, frozen, skin)


def _share(
    curve: Callable[[str, float], float],
    days: float,
    thickness_mm: float,
    shape: str,
    temp_c: float,
    frozen: bool,
    skin: bool,
) -> Share:
    if not days >= 0.0 or math.isinf(days):
        raise Refused(f"{days:g} days in the cure makes no sense: give 0 or more.")
    square = path_m(thickness_mm, skin=skin) ** 2
    d_mid, d_low, d_high = salt_diffusivity_m2_s(temp_c, frozen=frozen)
    seconds = days * SECONDS_PER_DAY
    mid, low, high = (100.0 * curve(shape, d * seconds / square) for d in (d_mid, d_low, d_high))
    return Share(central=mid, lo=low, hi=high)
