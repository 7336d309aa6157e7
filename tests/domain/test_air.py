"""Means, limits, alarms and humid air; psychrolib (ASHRAE Fundamentals 2017) is the reference."""

import math

import psychrolib
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.places.air import (
    AirLimits,
    Band,
    air_alarms,
    hours_above,
    in_grace,
    max_gap_s,
    risk_key,
    roll_up,
    silence,
    strictest_limits,
    window_stats,
)
from curedash.domain.places.bad_readings import bad_reason
from curedash.domain.places.vapour import (
    dew_point_c,
    salt_test_offset_pct,
    salt_test_rh_pct,
    saturation_hpa,
    vapour_deficit_hpa,
)
from tests.airy import stuck_reason

psychrolib.SetUnitSystem(psychrolib.SI)
HOUR = 3600
SENSOR = max_gap_s("sensor")
temperatures = st.floats(0, 50)
humidities = st.floats(1, 100)


# ── humid air ─────────────────────────────────────────────────────────────────────────────


@given(temperatures)
def test_saturation_agrees_with_psychrolib(temp_c: float) -> None:
    """Alduchov and Eskridge state 0.4 % as the largest error."""
    expected_hpa = psychrolib.GetSatVapPres(temp_c) / 100
    assert saturation_hpa(temp_c) == pytest.approx(expected_hpa, rel=0.004)


@given(st.floats(2, 40), st.floats(20, 100))
def test_the_dew_point_agrees_with_psychrolib(temp_c: float, rh_pct: float) -> None:
    expected_c = psychrolib.GetTDewPointFromRelHum(temp_c, rh_pct / 100)
    assume(expected_c > 0.1)  # below freezing the reference changes to ice
    assert dew_point_c(temp_c, rh_pct) == pytest.approx(expected_c, abs=0.06)


@given(temperatures, st.floats(0, 100))
def test_the_deficit_agrees_with_psychrolib(temp_c: float, rh_pct: float) -> None:
    saturation_pa = psychrolib.GetSatVapPres(temp_c)
    expected_hpa = (saturation_pa - psychrolib.GetVapPresFromRelHum(temp_c, rh_pct / 100)) / 100
    assert vapour_deficit_hpa(temp_c, rh_pct) == pytest.approx(
        expected_hpa, abs=0.004 * saturation_pa / 100
    )


@pytest.mark.parametrize(
    ("temp_c", "pascal"), [(0, 611.2), (5, 872.5), (10, 1228.0), (15, 1705.6), (20, 2338.8)]
)
def test_saturation_agrees_with_the_ashrae_table(temp_c: float, pascal: float) -> None:
    """ASHRAE Handbook Fundamentals, chapter Psychrometrics, table 3 (memory)."""
    assert saturation_hpa(temp_c) * 100 == pytest.approx(pascal, rel=0.004)


@given(st.floats(-40, 50), humidities)
def test_a_dew_point_is_where_the_vapour_saturates(temp_c: float, rh_pct: float) -> None:
    dew_c = dew_point_c(temp_c, rh_pct)
    assume(dew_c >= -40)
    assert dew_c <= temp_c + 1e-9
    assert saturation_hpa(min(dew_c, 50)) == pytest.approx(saturation_hpa(temp_c) * rh_pct / 100)


def test_the_salt_test_follows_the_table_of_greenspan() -> None:
    """J. Res. Natl. Bur. Stand. 81A (1977) 89: 75.3 % at 25 °C."""
    assert round(salt_test_rh_pct(25), 1) == 75.3
    assert salt_test_offset_pct(70, 25) == pytest.approx(5.29)
    assert salt_test_rh_pct(22.5) == pytest.approx((75.47 + 75.29) / 2)


@pytest.mark.parametrize(
    "call",
    [
        lambda: saturation_hpa(60),
        lambda: saturation_hpa(math.nan),
        lambda: dew_point_c(10, 0),
        lambda: dew_point_c(10, 5e-324),
        lambda: dew_point_c(10, 101),
        lambda: vapour_deficit_hpa(10, -1),
        lambda: salt_test_rh_pct(50),
        lambda: salt_test_offset_pct(120, 25),
    ],
)
def test_humid_air_out_of_range_is_refused(call) -> None:
    with pytest.raises(Refused):
        call()


# ── means ─────────────────────────────────────────────────────────────────────────────────


def test_a_mean_weighs_by_time_and_not_by_count() -> None:
    """Ten readings in the first minute do not outweigh the hours after."""
    burst = [(second * 6.0, 10.0) for second in range(10)]
    stats = window_stats([*burst, (60, 4.0), (6 * HOUR, 4.0)], 6 * HOUR, 6, 6 * HOUR)
    assert stats is not None
    assert stats.mean == pytest.approx(4.0, abs=0.02)
    assert (stats.low, stats.high, stats.count) == (4.0, 10.0, 12)


def test_a_gap_counts_for_nothing() -> None:
    points = [(0, 4.0), (HOUR, 4.0), (9 * HOUR, 20.0), (10 * HOUR, 20.0)]
    stats = window_stats(points, 10 * HOUR, 10, SENSOR)
    assert stats is not None
    assert stats.covered_s == 2 * HOUR
    assert stats.mean == 12.0
    assert not stats.enough


def test_the_last_reading_speaks_on_for_the_longest_gap_only() -> None:
    stats = window_stats([(0, 4.0), (HOUR, 6.0)], 24 * HOUR, 24, SENSOR)
    assert stats is not None
    assert stats.covered_s == 4 * HOUR
    assert stats.mean == pytest.approx((5 * 1 + 6 * 3) / 4)


def test_the_start_of_the_window_is_read_between_two_readings() -> None:
    stats = window_stats([(0, 0.0), (2 * HOUR, 8.0)], 2 * HOUR, 1, SENSOR)
    assert stats is not None
    assert stats.mean == 6.0
    assert (stats.low, stats.high) == (4.0, 8.0)  # a mean lies between its ends


def test_nothing_read_has_no_mean() -> None:
    assert window_stats([], 0, 24, SENSOR) is None
    assert window_stats([(0, 4.0)], 100 * HOUR, 24, SENSOR) is None
    assert window_stats([(50, 4.0)], 0, 24, SENSOR) is None


readings = st.lists(
    st.tuples(st.integers(0, 30 * HOUR), st.floats(-20, 60)), max_size=40, unique_by=lambda p: p[0]
).map(sorted)


@given(readings, st.floats(0.5, 30), st.floats(60, 6 * HOUR))
def test_a_mean_lies_between_the_readings_and_covers_no_more_than_the_window(
    points, hours: float, gap_s: float
) -> None:
    stats = window_stats(points, 30 * HOUR, hours, gap_s)
    if stats is None:
        return
    values = [value for _, value in points]
    assert min(values) - 1e-6 <= stats.mean <= max(values) + 1e-6
    assert 0 < stats.covered_s <= stats.span_s * (1 + 1e-9)


@given(readings, st.floats(-20, 60))
def test_hours_above_never_exceed_the_window(points, limit: float) -> None:
    hours, highest = hours_above(points, limit, 0, 30 * HOUR, SENSOR)
    assert 0 <= hours <= 30 + 1e-9
    assert hours == 0 or (highest is not None and highest > limit)


def test_hours_above_cross_the_limit_between_readings() -> None:
    points = [(0, 4.0), (HOUR, 8.0), (2 * HOUR, 4.0), (9 * HOUR, 9.0)]
    assert hours_above(points, 7.0, 0, 10 * HOUR, SENSOR) == (pytest.approx(0.5), 9.0)


def test_a_day_is_boiled_down() -> None:
    points = [(0, 4.0, 70.0), (12 * HOUR, 6.0, None), (23 * HOUR, 6.0, 80.0)]
    roll = roll_up(points, 0, 24 * HOUR, 48 * HOUR)
    assert roll.count == 3
    assert roll.temp is not None
    assert (roll.temp.low, roll.temp.high, roll.temp.mean) == (4.0, 6.0, 5.5)
    assert roll.rh is not None
    assert roll.rh.mean == pytest.approx((75 * 23 + 80) / 24)


# ── limits and alarms ─────────────────────────────────────────────────────────────────────


def test_the_strictest_stage_decides() -> None:
    assert strictest_limits(["drying"]) == AirLimits(16, 20, -1)
    assert strictest_limits(["drying", "keeping"]) == AirLimits(5, 7, -1)
    assert strictest_limits(["drying", "in-cure"]) == AirLimits(5, 7, 2)
    assert strictest_limits(["ferment", "closed"]) == AirLimits()
    assert strictest_limits([]) == AirLimits()
    own = {"drying": (14.0, None, None)}
    assert strictest_limits(["drying", "in-cure"], own) == AirLimits(14, None, None)


def judge(temps, humidities=(), *, stages=("in-cure",), end=24 * HOUR, **more):
    points, damp = list(temps), list(humidities)
    return air_alarms(
        window_stats(points, end, 24, SENSOR),
        window_stats(points, end, 6, SENSOR),
        window_stats(damp, end, 24, SENSOR),
        limits=strictest_limits(stages),
        **more,
    )


def steady(value: float, hours: int = 24, every: int = 600):
    return [(at, value) for at in range(0, hours * HOUR + 1, every)]


def test_one_spike_rings_nothing() -> None:
    spike = [(at, 25.0 if at == 23 * HOUR else 4.0) for at, _ in steady(4)]
    assert judge(spike) == ()


def test_compressor_cycles_of_a_month_ring_nothing() -> None:
    """Hourly 41–85 % and 9.7–14.5 °C around 67 % and 10.8 °C in a chamber kept at 60–75 %."""
    day = range(0, 24 * HOUR + 1, 300)
    temps = [(at, 10.8 + (3.7 if at % HOUR < 300 else -1.1 * ((at % HOUR) / HOUR))) for at in day]
    damp = [(at, 67 + 26 * math.sin(2 * math.pi * at / HOUR) * 0.7) for at in day]
    band = Band(rh_lo_pct=60, rh_hi_pct=75)
    assert judge(temps, damp, stages=("drying",), band=band) == ()


def test_six_warm_hours_are_one_act() -> None:
    warm = [(at, 4.0 if at < 18 * HOUR else 9.0) for at, _ in steady(4)]
    (alarm,) = judge(warm)
    assert (alarm.cause, alarm.level, alarm.limit) == ("too-warm", "act", 7.0)
    assert alarm.value == pytest.approx(9.0, abs=0.2)


def test_a_warm_day_is_today_and_a_cold_one_too() -> None:
    assert [(a.cause, a.level) for a in judge(steady(5.5))] == [("warm", "today")]
    assert [(a.cause, a.level) for a in judge(steady(1.5))] == [("cold", "today")]
    assert judge(steady(1.5), stages=("drying",)) == ()
    assert [a.cause for a in judge(steady(15), stages=("drying",), band=Band(temp_hi_c=14))] == [
        "warm"
    ]


def test_an_open_alarm_clears_only_well_inside() -> None:
    assert judge(steady(4.8)) == ()
    assert [a.cause for a in judge(steady(4.8), open_causes=frozenset({"warm"}))] == ["warm"]
    assert judge(steady(4.4), open_causes=frozenset({"warm"})) == ()
    damp, band = steady(74), Band(rh_hi_pct=75)
    assert judge(steady(4), damp, band=band) == ()
    assert judge(steady(4), damp, band=band, open_causes=frozenset({"too-humid"})) != ()


def test_humidity_out_of_band_rings_except_when_it_does_not_matter() -> None:
    band = Band(rh_lo_pct=70, rh_hi_pct=80)
    wet = judge(steady(4), steady(88), band=band)
    assert [(a.cause, a.level) for a in wet] == [("too-humid", "today")]
    assert [a.cause for a in judge(steady(4), steady(60), band=band)] == ["too-dry"]
    assert judge(steady(4), steady(88), band=band, humidity_matters=False) == ()


def test_fresh_meat_has_its_grace() -> None:
    assert in_grace(1000, 1000 + 71 * HOUR)
    assert not in_grace(1000, 1000 + 72 * HOUR)
    assert not in_grace(1000, 0)
    assert not in_grace(None, 1000)


def test_too_little_covered_decides_nothing() -> None:
    assert judge([(23 * HOUR, 30.0), (24 * HOUR, 30.0)]) == ()


def test_three_hours_of_silence_act_and_a_place_never_heard_of_is_not_silent() -> None:
    assert silence(0, 3 * HOUR, "sensor") is None
    alarm = silence(0, 3 * HOUR + 1, "sensor")
    assert alarm is not None
    assert (alarm.cause, alarm.level) == ("silent", "act")
    by_hand = silence(0, 49 * HOUR, "hand-log")
    assert by_hand is not None
    assert by_hand.level == "today"
    assert silence(0, 47 * HOUR, "hand-log") is None
    assert silence(0, 1000 * HOUR, "not-watched") is None
    assert silence(None, 1000 * HOUR, "sensor") is None


def test_a_failure_lists_the_most_at_risk_first() -> None:
    lots = [
        ("drying", False, 30.0),
        ("drying", False, 5.0),
        ("salt-rest", False, None),
        ("in-cure", True, None),
        ("keeping", False, 38.0),
    ]
    assert sorted(lots, key=lambda lot: risk_key(*lot)) == [lots[n] for n in (4, 3, 2, 1, 0)]


# ── bad readings ──────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("temp_c", "rh_pct", "reason"),
    [
        (85.0, 70.0, "power-on"),
        (-127.0, None, "not-connected"),
        (math.nan, 70.0, "not-a-number"),
        (4.0, math.inf, "not-a-number"),
        (4.0, 0.0, "zero-humidity"),
        (4.0, 0.78, "zero-humidity"),
        (4.0, 1.0, None),
        (4.0, 101.0, "out-of-range"),
        (120.0, None, "out-of-range"),
        (None, None, "empty"),
        (4.0, 100.0, None),
        (84.9, None, "out-of-range"),
        (-1.5, 65.0, None),
        (None, 65.0, None),
    ],
)
def test_a_reading_that_cannot_be_weather(temp_c, rh_pct, reason) -> None:
    assert bad_reason(temp_c, rh_pct) == reason


def test_a_sensor_that_stands_still_is_stuck() -> None:
    flat = [(n * 1800, 4.0, 71.0) for n in range(30)]
    assert stuck_reason(flat) == "flat"
    assert stuck_reason(flat[:20]) is None
    assert stuck_reason([*flat, (30 * 1800, 4.1, 71.0)]) is None
    assert stuck_reason([(at, temp_c, None) for at, temp_c, _ in flat]) is None
    assert stuck_reason([(n * HOUR, 4.0 + n, 100.0) for n in range(7)]) == "humidity-at-end"
    assert stuck_reason([(n * HOUR, 4.0 + n, 100.0) for n in range(5)]) is None
    assert stuck_reason([]) is None


@given(st.floats(), st.floats())
def test_any_numbers_are_judged_and_what_passes_has_a_dew_point(temp_c, rh_pct) -> None:
    if bad_reason(temp_c, rh_pct) is not None:
        return
    try:
        assert dew_point_c(temp_c, rh_pct) <= temp_c + 1e-6
    except CuredashError:
        assert not -40 <= temp_c <= 50
