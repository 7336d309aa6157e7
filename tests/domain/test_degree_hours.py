"""Degree-hours: every line of the fermentation log form, and how gaps count."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.curing.degree_hours import BASE_TEMP_C, degree_hours, limit_c_h, ph_reached
from curedash.domain.errors import Refused
from curedash.domain.facts.degree_hours import DEGREE_HOUR_TABLE

with (Path(__file__).parent.parent / "data" / "degree-hours.csv").open() as _file:
    TABLE = list(csv.DictReader(_file))
IDS = [f"fermentation log form 2012-11-23, {row['highest_temp_f']} F" for row in TABLE]


def celsius(fahrenheit):
    return (float(fahrenheit) - 32) / 1.8


def constant(temp_c, hours, every=0.5):
    return [(step * every, temp_c) for step in range(round(hours / every) + 1)]


def test_literals_are_the_table():
    assert len(DEGREE_HOUR_TABLE) == len(TABLE)
    for literal, row in zip(DEGREE_HOUR_TABLE, TABLE, strict=True):
        for field in ("highest_temp_f", "max_hours", "degree_hours_f", "limit_f"):
            assert getattr(literal, field) == int(row[field])
        assert literal.how == row["how"]


@pytest.mark.parametrize("row", TABLE, ids=IDS)
def test_printed_degree_hours_and_limit(row):
    sums = degree_hours(constant(celsius(row["highest_temp_f"]), int(row["max_hours"])))
    assert sums.total_c_h * 1.8 == pytest.approx(int(row["degree_hours_f"]))
    assert sums.limit_c_h * 1.8 == pytest.approx(int(row["limit_f"]))
    assert not sums.over


@pytest.mark.parametrize("row", TABLE, ids=IDS)
def test_printed_hours_are_the_whole_hours_within_the_limit(row):
    one_more = degree_hours(constant(celsius(row["highest_temp_f"]), int(row["max_hours"]) + 1))
    assert one_more.over


def test_limits_in_celsius_as_the_design_prints_them():
    assert [round(limit_c_h(c)) for c in (20, 33, 39)] == [667, 556, 500]


def test_below_the_base_nothing_adds_up():
    sums = degree_hours(constant(15, 100))
    assert (sums.total_c_h, sums.known) == (0, True)
    assert not sums.over


def test_a_gap_counts_at_the_warmer_of_its_ends():
    sums = degree_hours([(0, 20.0), (5, 26.0), (10, 18.0)])
    assert sums.total_c_h == pytest.approx((26 - BASE_TEMP_C) * 10)
    assert sums.highest_hourly_c == 26
    assert sums.known


def test_a_gap_over_six_hours_is_unknown():
    assert not degree_hours([(0, 20.0), (6.1, 20.0)]).known
    assert degree_hours([(0, 20.0), (6.0, 20.0)]).known


def test_a_short_spike_does_not_set_the_limit_but_an_hour_does():
    spike = constant(24, 10, 0.1)
    spike[30] = (3.0, 45.0)
    assert degree_hours(spike).limit_c_h == pytest.approx(1200 / 1.8)
    hour = [(at, 39.0 if 3 <= at <= 4.05 else 24.0) for at, _ in constant(24, 10, 0.1)]
    assert degree_hours(hour).limit_c_h == pytest.approx(900 / 1.8)


@given(st.lists(st.floats(0, 45), min_size=2, max_size=60), st.floats(0, 5))
def test_warmer_readings_never_give_less(temps, warmer):
    low = degree_hours([(hour / 2, temp) for hour, temp in enumerate(temps)])
    high = degree_hours([(hour / 2, temp + warmer) for hour, temp in enumerate(temps)])
    assert high.total_c_h >= low.total_c_h - 1e-9
    assert high.limit_c_h <= low.limit_c_h


@given(st.lists(st.floats(0, 45), min_size=3, max_size=40), st.data())
def test_the_sum_adds_up_over_parts(temps, data):
    readings = [(hour / 2, temp) for hour, temp in enumerate(temps)]
    at = data.draw(st.integers(1, len(readings) - 1))
    parts = degree_hours(readings[: at + 1]).total_c_h + degree_hours(readings[at:]).total_c_h
    assert degree_hours(readings).total_c_h == pytest.approx(parts)


def test_ph():
    assert ph_reached(5.3)
    assert not ph_reached(5.31)
    with pytest.raises(Refused):
        ph_reached(53)


@pytest.mark.parametrize(
    "readings", [[], [(1, 20.0), (0, 20.0)], [(0, float("nan"))], [(0, 500.0)]]
)
def test_nonsense_is_refused(readings):
    with pytest.raises(Refused):
        degree_hours(readings)


def test_a_sensor_that_shows_the_printed_90_f_in_tenths_gets_its_row():
    """90 °F is 32.22 °C, 32.2 on a sensor: the row of 90 °F counts (fermentation log form)."""
    assert round(limit_c_h(32.1)) == 667
    assert round(limit_c_h(32.2)) == 556
    assert round(degree_hours(constant(32.2, 10)).limit_c_h) == 556
    assert round(limit_c_h(celsius(90))) == 556
    assert round(limit_c_h(celsius(100))) == 556
    assert round(limit_c_h(celsius(100) + 0.1)) == 500
    for nothing in (float("nan"), float("inf")):
        with pytest.raises(
            Refused, match=r"A highest temperature is a number of °C, for example 24\."
        ):
            limit_c_h(nothing)


def test_a_line_between_two_readings_counts_only_what_lies_above_the_base():
    """By hand: from 4 K under to 6 K above the base in an hour, the triangle 6 · 6 / (2 · 10)."""
    rising = degree_hours([(0, BASE_TEMP_C - 4), (1, BASE_TEMP_C + 6)])
    assert rising.total_c_h == pytest.approx(1.8)
    falling = degree_hours([(0, BASE_TEMP_C + 6), (1, BASE_TEMP_C - 4)])
    assert falling.total_c_h == pytest.approx(1.8)
    assert degree_hours([(0, BASE_TEMP_C), (1, BASE_TEMP_C + 6)]).total_c_h == pytest.approx(3)
    assert degree_hours([(0, BASE_TEMP_C - 4), (1, BASE_TEMP_C)]).total_c_h == 0
    assert degree_hours([(0, BASE_TEMP_C + 2), (0.5, BASE_TEMP_C + 4)]).total_c_h == pytest.approx(
        1.5
    )


def test_an_hour_apart_is_a_line_and_more_is_the_warmer_end():
    assert degree_hours([(0, 20.0), (1, 30.0)]).total_c_h == pytest.approx(25 - BASE_TEMP_C)
    apart = degree_hours([(0, 20.0), (1.01, 30.0)])
    assert apart.total_c_h == pytest.approx((30 - BASE_TEMP_C) * 1.01)
    assert apart.longest_gap_h == pytest.approx(1.01)
    assert degree_hours([(0, 20.0), (1, 20.0), (3, 20.0), (3.5, 20.0)]).longest_gap_h == 2


def test_the_highest_hour_is_a_mean_over_what_was_read_in_it():
    """By hand: hour 0 at 24, hour 1 half at 24 and half at 34: 29; hour 2 at 34 for half of it."""
    sums = degree_hours(
        [(0, 24.0), (1, 24.0), (1.5, 24.0), (1.5, 34.0), (2, 34.0), (2.0, 30.0), (2.5, 30.0)]
    )
    assert sums.highest_hourly_c == pytest.approx(30)
    assert sums.hours == 2.5
    across = degree_hours([(0.5, 20.0), (1.5, 20.0), (1.5, 30.0), (2.5, 30.0)])
    assert across.highest_hourly_c == pytest.approx(30)
    assert across.hours == 2


def test_one_reading_alone_is_its_own_highest_hour():
    alone = degree_hours([(3, 36.0)])
    assert (alone.total_c_h, alone.hours, alone.longest_gap_h) == (0, 0, 0)
    assert alone.highest_hourly_c == 36
    assert alone.known
    assert degree_hours([(3, 36.0), (3, 38.0)]).hours == 0


def test_over_begins_above_the_limit_and_not_at_it():
    warm_c, hours = BASE_TEMP_C + 10, 1200 / 1.8 / 10
    at = degree_hours([(0, warm_c), *((float(h), warm_c) for h in range(1, 67)), (hours, warm_c)])
    assert at.total_c_h == pytest.approx(at.limit_c_h)
    assert not at.over
    assert degree_hours(constant(warm_c, 68)).over


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ([], "Degree-hours need at least one reading; log a temperature."),
        ([(1, 20.0), (0, 20.0)], "Readings must be in the order of their times; sort them first."),
        ([(0, 20.0), (2, 121.0)], "121 °C at hour 2 is not a reading; leave it out."),
        ([(0, -61.0)], "-61 °C at hour 0 is not a reading; leave it out."),
        ([(float("inf"), 20.0)], "20 °C at hour inf is not a reading; leave it out."),
    ],
)
def test_what_is_no_reading_is_refused_in_one_sentence(readings, said):
    with pytest.raises(Refused) as refused:
        degree_hours(readings)
    assert str(refused.value) == said


def test_the_ends_of_what_is_a_reading_are_readings():
    assert degree_hours([(0, -60.0), (0, 120.0)]).total_c_h == 0
    assert [ph_reached(ph) for ph in (3, 5.3, 5.31, 8)] == [True, True, False, False]
    for ph in (2.99, 8.01, float("nan")):
        with pytest.raises(
            Refused, match=r"^pH \S+ is not a reading of a sausage; give for example 5\.3"
        ):
            ph_reached(ph)


def test_within_a_degree_of_the_base_the_line_is_counted_as_exactly():
    """By hand: 0.5 over the mean of 0.5 and 2.5 K; the triangle 0.8 · 0.8 / (2 · 1.6)."""
    both = degree_hours([(0, BASE_TEMP_C + 0.5), (1, BASE_TEMP_C + 2.5)])
    assert both.total_c_h == pytest.approx(1.5)
    across = degree_hours([(0, BASE_TEMP_C - 0.8), (1, BASE_TEMP_C + 0.8)])
    assert across.total_c_h == pytest.approx(0.2)


def test_a_gap_colder_than_the_base_adds_nothing():
    assert degree_hours([(0, 10.0), (5, 12.0)]).total_c_h == 0


def test_each_hour_has_its_own_mean():
    """By hand: hour 1 is half at 20 and half at 40, 30 on the mean; hour 2 is at 40."""
    sums = degree_hours([(0, 20.0), (1, 20.0), (1.5, 20.0), (1.5, 40.0), (2.5, 40.0)])
    assert sums.highest_hourly_c == pytest.approx(40)
    short = degree_hours(
        [(0, 20.0), (1, 20.0), (1.5, 20.0), (1.5, 40.0), (2, 40.0), (2, 20.0), (3, 20.0)]
    )
    assert short.highest_hourly_c == pytest.approx(30)
    early = degree_hours([(0, 40.0), (0.5, 40.0), (0.5, 20.0), (1.5, 20.0)])
    assert early.highest_hourly_c == pytest.approx(30)
