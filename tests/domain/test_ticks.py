"""A ticked weight against the planned one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.dosing.ticks import likely_fix_g, tick_doubt, wants_words
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


@pytest.mark.parametrize(
    ("planned", "weighed", "question"),
    [
        (2.8, 28, "no. 2 28 g, planned 2.8 g: ten times as much, a slip of the decimal mark?"),
        (2.8, 22.4, "no. 2 22.4 g, planned 2.8 g: ten times as much, a slip of the decimal mark?"),
        (2.8, 35, "no. 2 35 g, planned 2.8 g: ten times as much, a slip of the decimal mark?"),
        (2.8, 0.28, "no. 2 0.28 g, planned 2.8 g: a tenth, a slip of the decimal mark?"),
        (2.8, 0.224, "no. 2 0.224 g, planned 2.8 g: a tenth, a slip of the decimal mark?"),
        (2.8, 0.35, "no. 2 0.35 g, planned 2.8 g: a tenth, a slip of the decimal mark?"),
        (2.8, 5.04, "no. 2 5.04 g, planned 2.8 g: 1.8 times as much?"),
        (2, 8800, "no. 2 8800 g, planned 2 g: 4400 times as much?"),
        (3, 1000, "no. 2 1000 g, planned 3 g: about 330 times as much?"),
        (2.8, 1.4, "no. 2 1.4 g, planned 2.8 g: only 50 % of it?"),
        (2.8, 0, "no. 2 0 g, planned 2.8 g: was it left out?"),
        (2, 3, None),
        (2, 3.01, "no. 2 3.01 g, planned 2 g: 1.5 times as much?"),
        (3, 2, None),
        (3, 1.99, "no. 2 1.99 g, planned 3 g: only 66 % of it?"),
        (0, 5, None),
        (0, 0, None),
        (2.8, 2.8, None),
    ],
)
def test_each_question_about_a_weight_in_full(planned, weighed, question):
    assert tick_doubt("no. 2", planned, weighed) == question


def test_the_least_and_the_most_that_is_a_weight():
    assert tick_doubt("salt", 1e6, 999_999) is None
    with pytest.raises(Refused, match=r"^What went in weighs 0 g or more\.$"):
        tick_doubt("salt", 1e6, 1e6)
    assert tick_doubt("salt", 10, 20, division_g=10) is None
    assert tick_doubt("salt", 10, 20, division_g=9.9) is not None
    assert tick_doubt("salt", 10, 0, division_g=9.9) is not None


@pytest.mark.parametrize(
    ("planned", "weighed", "fix"),
    [
        (2.8, 28, 2.8),
        (2.8, 22.4, 2.24),
        (2.8, 35, 3.5),
        (2.8, 36, None),
        (2.8, 22, None),
        (2.8, 0.28, 2.8),
        (2.8, 0.224, 2.24),
        (2.8, 0.35, 3.5),
        (2.8, 0.2, None),
        (2.8, 0.4, None),
        (2.8, 0, None),
        (0, 28, None),
        (2.8, 3, None),
        (1, 10, 1),
    ],
)
def test_the_likely_fix_is_the_tenth_or_the_tenfold(planned, weighed, fix):
    assert likely_fix_g(planned, weighed) == (None if fix is None else pytest.approx(fix))


@given(GRAMS, st.floats(0.001, 1000))
def test_a_likely_fix_is_never_the_doubtful_weight_and_lies_near_the_plan(planned, factor):
    fix = likely_fix_g(planned, planned * factor)
    assert fix is None or 0.7 < fix / planned < 1.3


@pytest.mark.parametrize(
    ("planned", "weighed", "words"),
    [
        (0.5, 5, True),
        (0.5, 0.7, False),
        (2, 3, False),
        (2, 3.01, True),
        (2, 20, True),
        (2, 0, False),
        (0, 5, False),
        (2, 1, False),
    ],
)
def test_over_one_and_a_half_times_the_plan_wants_words(planned, weighed, words):
    assert wants_words(planned, weighed) is words
