"""Water, salt and water activity of a drying piece: averages over the piece, as estimates.

None of it is a measurement, and none of it is a verdict: the centre is wetter than the average.
"""

from __future__ import annotations

import math

from curedash.domain.errors import Refused
from curedash.domain.facts import water as facts
from curedash.domain.quantity_text import grams
from curedash.domain.record import record


@record
class WaterEstimate:
    """Average water and salt of a piece today, with what they mean for its water activity.

    ``aw_brine`` counts the salt alone; ``aw_band`` (low, high) also what else is dissolved in
    meat. ``moisture_to_protein`` is a ratio of masses.
    """

    moisture_pct: float
    salt_pct: float
    protein_pct: float
    water_phase_salt_pct: float
    aw_brine: float
    aw_band: tuple[float, float]
    moisture_to_protein: float


def water_phase_salt_pct(salt_pct: float, moisture_pct: float) -> float:
    """Salt in the water of the meat, as the fermented-meat and fish trades state it.

    Parameters
    ----------
    salt_pct : NaCl in the product [% of mass], 0–30
    moisture_pct : water in the product [% of mass], 1–95

    Returns
    -------
    salt / (salt + water) [%]; raises Refused outside a range

    Source
    ------
    the definition

    Example
    -------
    >>> round(water_phase_salt_pct(4, 50), 3)
    7.407
    """
    _check("Salt", salt_pct, 0.0, 30.0)
    _check("Moisture", moisture_pct, 1.0, 95.0)
    return 100.0 * salt_pct / (salt_pct + moisture_pct)


def brine_aw(molality_mol_kg: float) -> float:
    """Water activity of a NaCl brine at 25 °C.

    Parameters
    ----------
    molality_mol_kg : NaCl in a kilogram of water [mol/kg], 0–6.14 (saturated)

    Returns
    -------
    water activity [1]; raises Refused outside the range

    Source
    ------
    Pitzer's equation, constants in domain/facts/water; within 0.0005 of Robinson & Stokes,
    *Electrolyte Solutions*, to 6 mol/kg; used at cellar temperature too

    Example
    -------
    >>> round(brine_aw(1.0), 4), round(brine_aw(6.0), 4)
    (0.9668, 0.7594)
    """
    m = molality_mol_kg
    _check("Molality", m, 0.0, facts.MOST_MOLAL, "mol/kg")
    root = math.sqrt(m)
    debye = -facts.DEBYE_A_PHI * root / (1.0 + facts.PITZER_B * root)
    pairs = facts.PITZER_BETA0 + facts.PITZER_BETA1 * math.exp(-facts.PITZER_ALPHA * root)
    osmotic = 1.0 + debye + m * pairs + m * m * facts.PITZER_C_PHI
    return math.exp(-2.0 * facts.WATER_KG_MOL * m * osmotic)


def meat_aw_band(
    salt_pct: float, moisture_pct: float, protein_pct: float
) -> tuple[float, float, float]:
    """Water activity of cured meat from its composition: brine alone, and the band of meat.

    Parameters
    ----------
    salt_pct : NaCl [% of mass], 0–30; at most what saturates the water
    moisture_pct : water [% of mass], 1–95
    protein_pct : protein [% of mass], 0–60

    Returns
    -------
    aw of the brine alone, low and high end of the band [1]; raises Refused outside a range

    Source
    ------
    `brine_aw`; the band lowers it by exp(−0.01802·1.6·P/W) to exp(−0.01802·3.4·P/W), P protein,
    W water, domain/facts/water

    Example
    -------
    >>> [round(aw, 3) for aw in meat_aw_band(5.39, 63.77, 24.87)]
    [0.951, 0.929, 0.941]
    """
    _check("Salt", salt_pct, 0.0, 30.0)
    _check("Moisture", moisture_pct, 1.0, 95.0)
    _check("Protein", protein_pct, 0.0, 60.0)
    brine = brine_aw(1000.0 * salt_pct / facts.NACL_G_MOL / moisture_pct)
    share = facts.WATER_KG_MOL * protein_pct / moisture_pct
    low = brine * math.exp(-share * facts.SOLUTES_HIGH_MOL_KG)
    high = brine * math.exp(-share * facts.SOLUTES_LOW_MOL_KG)
    return brine, low, high


def water_estimate(
    green_g: float, net_g: float, moisture_pct: float, protein_pct: float, salt_g: float
) -> WaterEstimate:
    """Estimate the average water of a piece from its green weight, its salt and its weight now.

    Parameters
    ----------
    green_g : green weight [g], above 0
    net_g : weight now [g]; more than its dry matter and salt, at most 1.3 × green
    moisture_pct : water in the green meat [% of mass], 10–85
    protein_pct : protein in the green meat [% of mass], 3–40
    salt_g : NaCl that went in [g], 0 or more

    Returns
    -------
    the estimate; raises Refused outside a range, or where no water would be left

    Source
    ------
    mass balance: what left is water, salt and dry matter stay; `meat_aw_band`

    Example
    -------
    >>> loin = water_estimate(1000, 650, 72.93, 22.41, 27.5)
    >>> round(loin.moisture_pct, 1), round(loin.aw_brine, 2), [round(a, 2) for a in loin.aw_band]
    (54.1, 0.96, [0.92, 0.94])
    """
    _check("Green weight", green_g, 1.0, 200_000.0, "g")
    _check("Weight", net_g, 1.0, 1.3 * green_g, "g")
    _check("Moisture", moisture_pct, 10.0, 85.0)
    _check("Protein", protein_pct, 3.0, 40.0)
    _check("Salt", salt_g, 0.0, 0.3 * green_g, "g")
    dry_g = green_g * (1.0 - moisture_pct / 100.0)
    water_g = net_g - dry_g - salt_g
    protein_g = green_g * protein_pct / 100.0
    if water_g < 0.01 * net_g or 1000.0 * salt_g / facts.NACL_G_MOL / water_g > facts.MOST_MOLAL:
        raise Refused(
            "{net} leaves next to no water: check the weights, or this cut's moisture.",
            net=grams(net_g, f"{net_g:.0f} g"),
        )
    moisture, salt = 100.0 * water_g / net_g, 100.0 * salt_g / net_g
    protein = 100.0 * protein_g / net_g
    brine, low, high = meat_aw_band(salt, moisture, min(protein, 60.0))
    return WaterEstimate(
        moisture_pct=moisture,
        salt_pct=salt,
        protein_pct=protein,
        water_phase_salt_pct=water_phase_salt_pct(salt, moisture),
        aw_brine=brine,
        aw_band=(low, high),
        moisture_to_protein=water_g / protein_g,
    )


def _check(what: str, value: float, low: float, high: float, unit: str = "%") -> None:
    if not low <= value <= high:
        raise Refused(
            f"{what} of {value:g} {unit} is out of range: give {low:g} to {high:g} {unit}."
        )
