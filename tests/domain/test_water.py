"""Water activity and composition against print: Robinson & Stokes, Kunová, USDA."""

import math

import pytest

from curedash.domain.drying import water
from curedash.domain.errors import Refused
from curedash.domain.facts import composition
from curedash.domain.facts import water as facts

# Robinson & Stokes, Electrolyte Solutions, 2nd ed. 1959, Appendix 8.3: water activity of NaCl at
# 25 °C (from memory of the table; 4 digits).
ROBINSON_STOKES = {
    0.1: 0.9966,
    0.5: 0.9836,
    1.0: 0.9669,
    2.0: 0.9316,
    3.0: 0.8932,
    4.0: 0.8515,
    5.0: 0.8068,
    6.0: 0.7598,
}
# Kunová et al. 2015: moisture, salt, protein [%], measured aw; the brine alone as worked in print.
KUNOVA_2015 = {
    "ham": (63.77, 5.39, 24.87, 0.929, 0.951),
    "neck": (59.26, 4.83, 20.51, 0.921, 0.953),
}


@pytest.mark.parametrize("molality", ROBINSON_STOKES)
def test_robinson_stokes_water_activity_of_brine(molality):
    assert water.brine_aw(molality) == pytest.approx(ROBINSON_STOKES[molality], abs=5.5e-4)


def test_saturated_sodium_chloride_stands_at_75_percent_humidity():
    """Greenspan 1977: saturated NaCl at 25 °C, 75.29 % RH."""
    assert water.brine_aw(6.14) == pytest.approx(0.7529, abs=1.5e-3)


def test_dilute_brine_follows_the_debye_hueckel_limit():
    dilute = 1e-5
    phi = -math.log(water.brine_aw(dilute)) / (2 * facts.WATER_KG_MOL * dilute)
    assert 1 - phi == pytest.approx(facts.DEBYE_A_PHI * math.sqrt(dilute), rel=0.01)


@pytest.mark.parametrize("piece", KUNOVA_2015)
def test_kunova_2015_measured_pieces_lie_within_0_015_of_the_band(piece):
    moisture, salt, protein, measured, brine_alone = KUNOVA_2015[piece]
    brine, low, high = water.meat_aw_band(salt, moisture, protein)
    assert brine == pytest.approx(brine_alone, abs=6e-4)
    assert low - 0.015 <= measured <= high + 0.015
    assert measured < brine


def test_usda_lean_loin_dried_by_35_percent():
    cut = composition.COMPOSITION["pork top loin"]
    est = water.water_estimate(1000, 650, cut.water_pct, cut.protein_pct, 27.5)
    assert est.moisture_pct == pytest.approx((729.3 - 350 - 27.5) / 6.5, abs=1e-9)
    assert 0.915 < est.aw_band[0] < est.aw_band[1] < 0.945
    assert est.aw_brine == pytest.approx(0.96, abs=0.006)
    assert est.moisture_to_protein == pytest.approx((729.3 - 377.5) / 224.1)


def test_usda_average_belly_cannot_lose_35_percent_of_its_water_twice():
    cut = composition.COMPOSITION["pork belly"]
    with pytest.raises(Refused, match="next to no water"):
        water.water_estimate(1000, 655, cut.water_pct, cut.protein_pct, 27.5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: water.brine_aw(-0.1),
        lambda: water.brine_aw(7),
        lambda: water.brine_aw(math.nan),
        lambda: water.water_phase_salt_pct(50, 50),
        lambda: water.meat_aw_band(3, 0, 20),
        lambda: water.water_estimate(1000, math.nan, 72, 20, 27),
        lambda: water.water_estimate(1000, 650, 90, 20, 27),
    ],
)
def test_nonsense_is_refused_with_a_sentence(call):
    with pytest.raises(Refused, match=r"give|check"):
        call()


def test_every_constant_names_its_source():
    named = {row[0] for row in facts.FACTS}
    assert named == {n for n in vars(facts) if n.isupper() and n != "FACTS"}
