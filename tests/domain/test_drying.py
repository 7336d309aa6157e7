"""Signals of the drying curve on known curves and the design values of the thresholds."""

import math
from datetime import UTC

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.drying import drying_rate
from curedash.domain.drying.lot_figures import figures
from curedash.domain.errors import Refused
from curedash.domain.record import replace
from tests.build import NOW, weighed

SLOW = [(7.0 * i, 40 * (1 - math.exp(-7.0 * i / 60))) for i in range(8)]


@given(st.lists(st.floats(0, 40), min_size=3, max_size=12))
def test_scipy_theil_sen_slope_of_the_last_fortnight(losses):
    from scipy.stats import theilslopes

    points = [(float(i), loss) for i, loss in enumerate(losses)]
    days, values = zip(*points, strict=True)
    expected = theilslopes(values, days)[0]
    assert drying_rate.rate_pct_per_day(points) == pytest.approx(expected, abs=1e-9)


@given(st.lists(st.tuples(st.floats(0.25, 9), st.floats(0, 40)), min_size=2, max_size=12))
def test_scipy_theil_sen_slope_is_the_rate_that_is_shown(weigh_ins):
    """Of what ``figures`` hands to the Rack and to JSON, on either base and after a cut."""
    from scipy.stats import theilslopes

    days, losses, ago = [], [], 0.0
    for apart, loss in weigh_ins:
        days.append(ago)
        losses.append(loss)
        ago += apart
    near = [i for i, day in enumerate(days) if day <= 15]
    near = near if len(near) > 1 else [0, 1]
    slope = theilslopes([losses[i] for i in near], [-days[i] for i in near])[0]
    shown = weighed(
        *[(d, 1000 - 10 * x) for d, x in zip(days, losses, strict=True)][::-1],
        hang_g=1000.0,
        green_g=1250.0,
    )
    rates = [figures(shown, NOW, UTC, base).rate_pct_per_day for base in ("hang", "green")]
    assert rates == pytest.approx([slope, 0.8 * slope], abs=2e-3)  # times are kept to the second
    cut = replace(shown, base_factor=0.5)
    assert figures(cut, NOW, UTC).rate_pct_per_day == pytest.approx(rates[0], abs=1e-9)


def test_two_weights_of_one_evening_are_no_rate():
    again = [(0, 0.0), (10, 10.0), (29.9, 20.0), (30, 20.5)]
    assert drying_rate.rate_pct_per_day(again) == pytest.approx((20.5 - 10.0) / 20)
    lot = weighed((30, 1000), (20, 900), (0.1, 800), (0, 795))
    assert figures(lot, NOW, UTC).rate_pct_per_day == pytest.approx(10.5 / 20, abs=1e-4)
    assert drying_rate.rate_pct_per_day(again[2:]) is None


def test_a_slip_of_the_scale_hardly_moves_the_rate():
    slipped = [(d, x + (3.0 if i == 6 else 0.0)) for i, (d, x) in enumerate(SLOW)]
    clean, dirty = drying_rate.rate_pct_per_day(SLOW), drying_rate.rate_pct_per_day(slipped)
    assert clean is not None
    assert dirty == pytest.approx(clean, abs=0.1)


def test_one_weigh_in_has_no_rate():
    assert drying_rate.rate_pct_per_day([]) is None
    assert drying_rate.rate_pct_per_day([(0, 0)]) is None
    assert drying_rate.rate_pct_per_day([(3, 4), (3, 5)]) is None


@pytest.mark.parametrize(("mm", "most"), [(30, 20), (45, 20), (50, 56 / 3), (60, 16), (110, 16)])
def test_most_in_first_week_by_diameter(mm, most):
    assert drying_rate.most_in_first_week_pct(mm) == pytest.approx(most)


def test_too_fast_waits_for_the_week_unless_already_past():
    assert drying_rate.too_fast([(0, 0), (4, 10)], 70) is None
    early = drying_rate.too_fast([(0, 0), (4, 17)], 70)
    assert early is not None
    assert early.too_fast
    calm = drying_rate.too_fast(SLOW, 70)
    assert calm is not None
    assert not calm.too_fast


def test_rate_collapse_is_seen_below_25_percent_only():
    crust = [(0, 0), (3, 6), (10, 15), (17, 17), (24, 18)]
    assert drying_rate.rate_collapse(crust) == pytest.approx(1 - (1 / 7) / (9 / 7))
    assert drying_rate.rate_collapse([(d, x + 10) for d, x in crust]) is None
    assert drying_rate.rate_collapse(SLOW) is None


def test_over_target_soon():
    assert drying_rate.days_to_loss([(0, 0), (7, 14)], 20) == pytest.approx(3)
    assert drying_rate.days_to_loss([(0, 0), (7, 14)], 10) == 0
    assert drying_rate.days_to_loss([(0, 10), (7, 10)], 20) is None


@given(
    st.floats(0, 100),
    st.lists(st.tuples(st.floats(0, 40), st.floats(0, 1)), max_size=9),
    st.floats(1, 14),
)
def test_weigh_again_is_ahead_and_within_the_rhythm(now, raw, every):
    narrows = sorted((now + ahead, tells) for ahead, tells in raw)
    day = drying_rate.weigh_again_by(now, narrows, every_days=every)
    assert now < day <= now + every


@pytest.mark.parametrize("points", [[(0, math.nan)], [(5, 1), (3, 2)], [(math.inf, 1)]])
def test_nonsense_is_refused_with_a_sentence(points):
    with pytest.raises(Refused, match=r"give|sort"):
        drying_rate.rate_pct_per_day(points)
