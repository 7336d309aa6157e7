"""What a household's own windows of before do to the next one: which way, and how far at most."""

import math
import random
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.drying.forecast import Basis, LotScore, OwnRecord, forecast, learned, score_lot
from curedash.domain.drying.forecast.own_record import MOST_SHIFT, USUAL_HALF_WIDTHS, WIDTHS

ROWS = [(7.0 * i, g / 1000) for i, g in enumerate((1000, 935, 888, 852, 823))]
Z90 = NormalDist().inv_cdf(0.9)

days = st.floats(0, 400, allow_nan=False)
told = st.lists(st.tuples(days, days, days, days).map(lambda d: (d[0], *sorted(d[1:]))), max_size=8)
scores = st.lists(st.builds(LotScore, st.floats(-1, 1), st.floats(0, 3)), max_size=40)


def test_the_usual_distance_is_that_of_a_normal_in_half_widths_of_eight_in_ten():
    """E|z| of the unit normal is √(2/π); its 90 % point by the standard library."""
    assert pytest.approx(math.sqrt(2 / math.pi) / Z90, abs=5e-5) == USUAL_HALF_WIDTHS


def test_without_a_finished_lot_nothing_is_changed():
    assert learned([]) == OwnRecord(0, 0.0, 1.0)
    assert forecast(Basis(ROWS, 30, base_g=1000, own=learned([]))) == forecast(
        Basis(ROWS, 30, base_g=1000)
    )


odd = st.floats() | days
odd_told = st.lists(st.tuples(odd, odd, odd, odd), max_size=8)


@given(st.lists(st.tuples(told, days) | st.tuples(odd_told, odd), max_size=20))
def test_nothing_that_was_told_makes_it_explode(lots):
    found = [score for windows, at in lots if (score := score_lot(windows, at)) is not None]
    own = learned(found)
    assert abs(own.shift) <= MOST_SHIFT
    assert WIDTHS[0] <= own.width <= WIDTHS[1]
    seen = forecast(Basis(ROWS, 30, base_g=1000, own=own))
    lo, hi = seen.window_day
    assert ROWS[-1][0] < lo <= seen.median_day <= hi


@given(scores, st.floats(-1, 1))
def test_a_lot_that_missed_by_more_widens_and_one_that_was_late_moves_it_later(before, miss):
    usual = learned([*before, LotScore(0.0, USUAL_HALF_WIDTHS)])
    wilder = learned([*before, LotScore(miss, 3.0)])
    calmer = learned([*before, LotScore(0.0, 0.0)])
    assert calmer.width <= usual.width <= wilder.width
    assert (wilder.shift - usual.shift) * miss >= 0


@given(scores.filter(bool))
def test_few_lots_say_less_than_many_that_say_the_same(found):
    once, thrice = learned(found), learned(found * 3)
    assert abs(once.shift) <= abs(thrice.shift) + 1e-12
    assert abs(once.width - 1) <= abs(thrice.width - 1) + 1e-12


@pytest.mark.parametrize(
    ("score", "wider"), [(LotScore(0.0, 1.5), True), (LotScore(0.0, 0.1), False)]
)
def test_a_record_of_wild_windows_widens_the_next_and_of_calm_ones_narrows_it(score, wider):
    plain = forecast(Basis(ROWS, 30, base_g=1000))
    own = forecast(Basis(ROWS, 30, base_g=1000, own=learned([score] * 6)))
    assert own.median_day == plain.median_day
    gap = [seen.window_day[1] - seen.window_day[0] for seen in (plain, own)]
    assert (gap[1] > gap[0]) is wider


def test_a_record_of_late_lots_moves_the_next_window_later():
    plain = forecast(Basis(ROWS, 30, base_g=1000))
    own = forecast(
        Basis(ROWS, 30, base_g=1000, own=learned([LotScore(0.3, USUAL_HALF_WIDTHS)] * 6))
    )
    assert own.median_day > plain.median_day
    assert own.window_day[0] > plain.window_day[0]


@pytest.mark.parametrize("spread", [0.6, 1.0, 1.4])
def test_windows_that_were_corrected_themselves_come_nearer_to_eight_in_ten(spread):
    """A made-up household whose days left scatter so many times as widely as the model says.

    The windows scored are those told, already corrected; 12 lots back, as the program looks.
    """
    rng, half, found = random.Random(5), 0.4, []
    plain = corrected = 0
    for _ in range(600):
        own = learned(found[-12:])
        assert WIDTHS[0] <= own.width <= WIDTHS[1]
        left = 30 * math.exp(rng.gauss(0, spread * half / Z90))
        middle, wide = 30 * math.exp(own.shift), half * own.width
        lo, hi = middle * math.exp(-wide), middle * math.exp(wide)
        plain += 30 * math.exp(-half) <= left <= 30 * math.exp(half)
        corrected += lo <= left <= hi
        found.append(score_lot([(0.0, lo, middle, hi)], left))
    miss = abs(plain / 600 - 0.8), abs(corrected / 600 - 0.8)
    assert miss[1] < max(miss[0], 0.04)
