"""Degree-hours: every line of the fermentation log form, and how gaps count."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.degree_hours import (
    BASE_TEMP_C,
    degree_hours,
    limit_c_h,
    ph_reached,
)
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
