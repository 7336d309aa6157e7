"""A ticked weight against the planned one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.dose.ticks import tick_doubt
from curedash.domain.errors import Refused

GRAMS = st.floats(0.01, 1e4)


@given(GRAMS, st.floats(0.7, 1.45))
def test_near_the_plan_nothing_is_asked(planned, factor):
    assert tick_doubt("salt", planned, planned * factor) is None


@given(GRAMS, st.one_of(st.floats(1.6, 50), st.floats(0.001, 0.6)))
def test_far_off_is_asked_in_one_line(planned, factor):
    question = tick_doubt("salt", planned, planned * factor)
    assert question is not None
    assert question.endswith("?")
    assert "\n" not in question


@given(GRAMS)
def test_a_slip_of_the_decimal_mark_is_named(planned):
    assert "decimal mark" in tick_doubt("salt", planned, planned * 10)
    assert "decimal mark" in tick_doubt("salt", planned, planned / 10)


def test_within_a_division_nothing_is_asked():
    assert tick_doubt("salt", 0.4, 1.0, division_g=1.0) is None
    assert tick_doubt("salt", 0.4, 1.0) is not None


@pytest.mark.parametrize("weight", [-1, float("nan"), float("inf"), 1e7])
def test_no_weight_is_refused(weight):
    with pytest.raises(Refused):
        tick_doubt("salt", 1.0, weight)
