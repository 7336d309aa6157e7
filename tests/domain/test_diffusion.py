"""Salt inward against Crank's printed values, a finite-volume solver and scipy."""

import math

import numpy as np
import pytest
from scipy import special

from curedash.domain.curing import diffusion, salt_diffusion_series
from curedash.domain.drying.equalising import equalising_days, equalising_tau_days
from curedash.domain.errors import Refused
from curedash.domain.facts import bessel, salt_in_meat
from curedash.domain.times import SECONDS_PER_DAY

EXPONENT = {"slab": 0, "round": 1, "sphere": 2}

# Crank 1975, the sealed dose: Fo at which the centre holds 90 and 95 % of its final value.
CRANK_WEIGHED = {"slab": (0.3035, 0.3738), "round": (0.2187, 0.2660), "sphere": (0.1695, 0.2039)}
# Crank 1975, constant surface: centre at Fo 0.1, 0.2, 0.4, 1.0 and Fo at 90 %.
CRANK_SALT_BOX = {
    "slab": ((0.0507, 0.2277, 0.5255, 0.8920), 1.0311),
    "round": ((0.1516, 0.4985, 0.8415, 0.9951), 0.4796),
    "sphere": ((0.2929, 0.7229, 0.9614, 0.9999), 0.3035),
}


def finite_volume(shape: str, boundary: str, fo: float, cells: int = 400) -> tuple[float, float]:
    """Centre and mean of an independent finite-volume solution on equal shells."""
    from scipy.integrate import solve_ivp

    power = EXPONENT[shape]
    edge = np.linspace(0.0, 1.0, cells + 1)
    volume = np.diff(edge ** (power + 1)) / (power + 1)
    area, width = edge**power, 1.0 / cells
    surface_full = boundary == "salt-box"
    start = np.zeros(cells)
    if not surface_full:
        start[-1] = volume.sum() / volume[-1]

    def change(_: float, u: np.ndarray) -> np.ndarray:
        flux = np.zeros(cells + 1)
        flux[1:-1] = area[1:-1] * np.diff(u) / width
        if surface_full:
            flux[-1] = area[-1] * (1.0 - u[-1]) / (width / 2)
        return np.diff(flux) / volume

    bands = np.eye(cells) + np.eye(cells, k=1) + np.eye(cells, k=-1)
    solved = solve_ivp(
        change, (0.0, fo), start, method="BDF", rtol=1e-7, atol=1e-10, jac_sparsity=bands
    )
    u = solved.y[:, -1]
    return float(u[0]), float((u * volume).sum() / volume.sum())


@pytest.mark.parametrize("shape", salt_diffusion_series.SHAPES)
def test_crank_1975_sealed_dose_reaches_90_and_95_percent(shape):
    for share, printed in zip((0.90, 0.95), CRANK_WEIGHED[shape], strict=True):
        assert salt_diffusion_series.fo_at_core_share(share, shape) == pytest.approx(
            printed, abs=5.1e-5
        )


@pytest.mark.parametrize("shape", salt_diffusion_series.SHAPES)
def test_crank_1975_constant_surface_centres(shape):
    centres, fo_90 = CRANK_SALT_BOX[shape]
    for fo, printed in zip((0.1, 0.2, 0.4, 1.0), centres, strict=True):
        assert salt_diffusion_series.centre_salt_box(shape, fo) == pytest.approx(
            printed, abs=5.1e-5
        )
    assert salt_diffusion_series.fo_at_core_share(0.90, shape, "salt-box") == pytest.approx(
        fo_90, abs=5.1e-5
    )


@pytest.mark.parametrize("shape", salt_diffusion_series.SHAPES)
@pytest.mark.parametrize("fo", [0.05, 0.15, 0.4])
def test_an_independent_finite_volume_solver_agrees(shape, fo):
    centre, _ = finite_volume(shape, "weighed", fo)
    assert salt_diffusion_series.centre_weighed(shape, fo) == pytest.approx(centre, abs=4e-3)
    centre, mean = finite_volume(shape, "salt-box", fo)
    assert salt_diffusion_series.centre_salt_box(shape, fo) == pytest.approx(centre, abs=1e-3)
    assert salt_diffusion_series.mean_salt_box(shape, fo) == pytest.approx(mean, abs=1e-3)


def test_scipy_zeros_of_bessel_functions():
    assert pytest.approx(special.jn_zeros(1, 30), abs=1e-9) == bessel.J1_ZEROS
    assert pytest.approx(special.jn_zeros(0, 30), abs=1e-9) == bessel.J0_ZEROS
    assert pytest.approx(special.j0(special.jn_zeros(1, 30)), abs=1e-11) == bessel.J0_AT_J1_ZEROS
    assert pytest.approx(special.j1(special.jn_zeros(0, 30)), abs=1e-11) == bessel.J1_AT_J0_ZEROS
    assert special.spherical_jn(1, bessel.TAN_ZEROS) == pytest.approx(0.0, abs=1e-10)


@pytest.mark.parametrize("shape", salt_diffusion_series.SHAPES)
@pytest.mark.parametrize("fo", [1e-5, 1e-3, 0.0039, 0.0041, 0.02])
def test_mean_uptake_at_short_times_matches_two_thousand_terms(shape, fo):
    n = np.arange(1, 2001)
    roots = {"slab": (n - 0.5) * math.pi, "round": special.jn_zeros(0, 2000), "sphere": n * math.pi}
    roots, factor = roots[shape], {"slab": 2, "round": 4, "sphere": 6}[shape]
    missing = factor * np.sum((1 - np.exp(-(roots**2) * fo)) / roots**2)
    tail = 1 - factor * np.sum(1 / roots**2)
    assert salt_diffusion_series.mean_salt_box(shape, fo) == pytest.approx(missing + tail, abs=3e-6)


def test_cure_times_of_the_worked_days():
    def days(mm, shape):
        return diffusion.cure_days(mm, shape, 5.0)

    thin = days(50.8, "slab")
    assert [round(x, 1) for x in (thin.days_90, *thin.band_90)] == [10.3, 7.6, 15.1]
    assert round(days(76.2, "slab").days_90, 1) == 23.2
    assert round(days(76.2, "round").days_90, 1) == 16.7


def enough_up_to_mm(shape, which, temp_c=5.0):
    """Largest thickness for which 7 days per inch is at least the computed days."""
    days = diffusion.cure_days(100.0, shape, temp_c)
    at_100 = {"mid": days.days_90, "fast": days.band_90[0], "slow": days.band_90[1]}
    at_100["mid_95"] = days.days_95
    return 100.0 * (7.0 / 25.4 * 100.0) / at_100[which]


def test_seven_days_per_inch_is_enough_up_to_a_thickness():
    slab = [enough_up_to_mm("slab", w) for w in ("mid", "slow", "fast", "mid_95")]
    assert slab == pytest.approx([69, 47, 94, 56], abs=0.6)
    tied = [enough_up_to_mm("round", w) for w in ("mid", "slow", "fast", "mid_95")]
    assert tied == pytest.approx([95, 65, 131, 79], abs=1.1)


def test_core_share_of_the_nine_day_slab():
    share = diffusion.core_share(9, 89, "slab", 5.0)
    assert (round(share.central), round(share.lo), round(share.hi)) == (21, 7, 39)


def test_cold_slows_frozen_speeds_and_skin_doubles_the_path():
    plain = diffusion.cure_days(60, "round", 5.0).days_90
    assert diffusion.cure_days(60, "round", 5.0, frozen=True).days_90 == pytest.approx(plain / 1.3)
    assert diffusion.cure_days(60, "round", 5.0, skin=True).days_90 == pytest.approx(plain * 4)
    colder = diffusion.cure_days(60, "round", 2.0).days_90
    arrhenius = math.exp(25000 / 8.314462618 * (1 / 275.15 - 1 / 278.15))
    assert colder == pytest.approx(plain * arrhenius)


def test_shares_grow_with_time_and_stay_within_0_and_100():
    for shape in salt_diffusion_series.SHAPES:
        for boundary in salt_diffusion_series.BOUNDARIES:
            values = [
                diffusion.core_share(d, 80, shape, 4.0, boundary=boundary).central
                for d in (0, 0.5, 2, 5, 9, 20, 60, 400)
            ]
            assert values == sorted(values)
            assert values[0] == 0.0
            assert values[-1] == pytest.approx(100.0, abs=0.5)


def test_equalising_days_of_four_diameters():
    assert [equalising_days(d).days for d in (45, 60, 75, 90)] == [10, 17, 26, 37]
    low, high = equalising_days(60).band
    assert low == pytest.approx(16.3, abs=0.1)
    assert high > low


def test_equalising_decay_matches_the_finite_volume_solver():
    tau = equalising_tau_days(60.0) * SECONDS_PER_DAY
    fo_per_tau = salt_in_meat.WATER_D_M2_S * tau / 0.03**2
    early, _ = finite_volume("round", "weighed", 0.25, cells=200)
    later, _ = finite_volume("round", "weighed", 0.25 + fo_per_tau, cells=200)
    assert (1 - later) / (1 - early) == pytest.approx(math.exp(-1), rel=0.02)


@pytest.mark.parametrize(
    "call",
    [
        lambda: diffusion.cure_days(0, "slab", 4),
        lambda: diffusion.cure_days(math.nan, "slab", 4),
        lambda: diffusion.cure_days(50, "cube", 4),
        lambda: diffusion.cure_days(50, "slab", 40),
        lambda: diffusion.cure_days(50, "slab", math.nan),
        lambda: diffusion.cure_days(50, "slab", 4, boundary="brine"),
        lambda: diffusion.core_share(-1, 50, "slab", 4),
        lambda: diffusion.mean_uptake(math.nan, 50, "slab", 4),
        lambda: salt_diffusion_series.fo_at_core_share(1.0, "slab"),
        lambda: equalising_days(60, "sphere"),
    ],
)
def test_nonsense_is_refused_with_a_sentence(call):
    with pytest.raises(Refused, match=r"\w.*[.:] ?"):
        call()


def test_every_constant_names_its_source():
    named = {row[0] for row in salt_in_meat.FACTS}
    assert named == {n for n in vars(salt_in_meat) if n.isupper() and n != "FACTS"}
    assert all(
        source and how in {"read", "quoted", "derived", "memory"}
        for _, _, source, how in salt_in_meat.FACTS
    )
