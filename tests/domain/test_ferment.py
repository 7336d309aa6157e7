"""A ferment from readings: the printed log form hour by hour, gaps, several sensors, pH."""

import csv
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.curing.degree_hours import LONGEST_H
from curedash.domain.curing.ferment import (
    FermentState,
    ferment_checks,
    ferment_state,
    open_question,
)
from curedash.domain.needs.lot_needs import NeedRules, lot_needs
from curedash.domain.record import replace
from curedash.domain.records import Look
from curedash.present.curing.ferment import ferment_words
from tests.build import lot

with (Path(__file__).parent.parent / "data" / "degree-hours.csv").open() as _file:
    TABLE = list(csv.DictReader(_file))
NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)
H = 3600.0


def hourly(temp_c: float, hours: float, start_h: float = 0) -> list[tuple[float, float]]:
    return [(H * (start_h + n / 2), temp_c) for n in range(round(hours * 2) + 1)]


def causes(state: FermentState, **rules: float) -> list[tuple[str, str]]:
    entered = (NOW - timedelta(hours=state.hours)).strftime("%Y-%m-%dT%H:%M:%SZ")
    found = lot_needs(
        lot(stage="ferment", stage_at=entered), NOW, UTC, NeedRules(**rules), ferment_checks(state)
    )
    return [(need.level, need.cause) for need in found]


@pytest.mark.parametrize("row", TABLE, ids=[f"log form, {r['highest_temp_f']} F" for r in TABLE])
def test_the_printed_hours_are_still_within_and_an_hour_more_is_not(row: dict[str, str]) -> None:
    temp_c = (int(row["highest_temp_f"]) - 32) / 1.8
    hours = int(row["max_hours"])
    within = ferment_state(0, H * hours, [hourly(temp_c, hours)], [])
    assert within.total_c_h * 1.8 == pytest.approx(int(row["degree_hours_f"]))
    assert within.limit_c_h * 1.8 == pytest.approx(int(row["limit_f"]))
    assert ("act", "degree-hours-over") not in causes(within)
    over = ferment_state(0, H * (hours + 1), [hourly(temp_c, hours + 1)], [])
    assert causes(over)[0] == ("act", "degree-hours-over")


def test_a_ph_ends_the_count() -> None:
    readings = [hourly(30, 72)]
    assert ferment_state(0, 72 * H, readings, []).over
    ended = ferment_state(0, 72 * H, readings, [(20 * H, 5.6), (40 * H, 5.3)])
    assert (ended.hours, ended.reached, ended.ph) == (40, True, 5.3)
    assert causes(ended) == [("today", "ferment-over")]
    not_yet = ferment_state(0, 72 * H, readings, [(70 * H, 5.4)])
    assert causes(not_yet) == [("act", "degree-hours-over")]


def test_a_gap_counts_at_the_warmer_of_its_ends_and_over_six_hours_is_unknown() -> None:
    short = ferment_state(0, 6 * H, [[(0.0, 20.0), (6 * H, 24.0)]], [])
    assert short.total_c_h == pytest.approx(6 * (24 - 60 / 1.8 + 32 / 1.8))
    assert short.known
    long = ferment_state(0, 6.1 * H, [[(0.0, 20.0), (6.1 * H, 24.0)]], [])
    assert causes(long) == [("act", "degree-hours-unknown")]


@pytest.mark.parametrize(
    ("series", "gap_h"),
    [
        ([], 7),
        ([[]], 7),
        ([[(0.0, 20.0)]], 7),
        ([[(7 * H, 20.0)]], 7),
        ([[(-1 * H, 20.0), (5.5 * H, 20.0), (7 * H, 20)]], 6.5),
    ],
)
def test_silence_before_and_after_is_a_gap_too(series: list, gap_h: float) -> None:
    state = ferment_state(0, 7 * H, series, [])
    assert state.longest_gap_h == pytest.approx(gap_h)
    assert causes(state) == [("act", "degree-hours-unknown")]
    early = ferment_state(0, 5 * H, [], [])
    assert causes(early) == []


def test_with_a_ph_of_today_a_gap_asks_for_a_decision_and_says_when_it_was() -> None:
    """Another pH would not close the gap, so no second one is asked for at once."""
    readings = [(30 * H, 22.0), (34 * H, 22.0)]
    state = ferment_state(0, 34 * H, [readings], [(33 * H, 5.7)])
    (need,) = lot_needs(lot(stage="ferment"), NOW, UTC, NeedRules(), ferment_checks(state))
    assert need.message == (
        "no reading for 30 h, up to 4 h ago: degree-hours are not known, pH 5.7 is above 5.3"
    )
    assert (need.action, need.asks) == ("decide, or enter the temperature of that time", "decide")
    (old,) = lot_needs(
        lot(stage="ferment"),
        NOW,
        UTC,
        NeedRules(),
        ferment_checks(ferment_state(0, 34 * H, [readings], [])),
    )
    assert (old.action, old.asks) == ("measure the pH, read the place, decide", "")


def test_below_the_base_only_the_ph_is_asked_for() -> None:
    cold = ferment_state(0, 48 * H, [hourly(15, 48)], [])
    assert cold.total_c_h == 0
    assert cold.hours_left is None
    assert causes(cold) == [("today", "ph-due")]
    assert causes(ferment_state(0, 47 * H, [hourly(15, 47)], [])) == []
    assert causes(ferment_state(0, 60 * H, [hourly(15, 60)], [(20 * H, 5.6)])) == []
    assert causes(ferment_state(0, 70 * H, [hourly(15, 70)], [(20 * H, 5.6)])) == [
        ("today", "ph-due")
    ]
    assert causes(cold, ph_wait_hours=72) == []


def test_without_a_ph_longer_than_the_longest_printed_time_it_is_for_now() -> None:
    """80 h is the time printed for 75 F; below 60 F no degree-hours add up, and it goes on."""
    assert LONGEST_H == 80
    for hours, level in ((80, "today"), (81, "act")):
        cold = ferment_state(0, hours * H, [hourly(12, hours)], [])
        assert cold.total_c_h == 0
        assert causes(cold) == [(level, "ph-due")]
    in_the_cold = ferment_state(0, 96 * H, [hourly(12, 96)], [(95 * H, 5.2)])
    reached = [("today", "ferment-over")]
    assert causes(in_the_cold) == reached, "nothing added up, however long it took"
    sour = ferment_state(0, 96 * H, [hourly(12, 96)], [(40 * H, 5.2)])
    assert causes(sour) == reached
    late = ferment_state(0, 130 * H, [hourly(12, 130)], [(49 * H, 5.6)])
    assert causes(late) == [("act", "ph-due")], "81 h after the last one"


@pytest.mark.parametrize(
    ("readings", "at_h", "known", "said"),
    [
        (hourly(30, 72), 60, True, "60 h of ferment, at 867 °C·h; the limit is 667"),
        ([], 95, False, "95 h of ferment; nobody knows whether it was reached in time"),
        ([(2 * H, 22.0)], 95, False, "95 h of ferment; nobody knows whether it"),
    ],
)
def test_a_ph_that_came_late_does_not_end_the_question(readings, at_h, known, said) -> None:
    """It shows that 5.3 is reached, not that it was in time (the log form: before its limit)."""
    state = ferment_state(0, 100 * H, [readings] if readings else [], [(at_h * H, 5.2)])
    assert (state.reached, state.late, state.over) == (True, True, False)
    assert state.known == known
    assert causes(state) == [("act", "ph-late")]
    entered = (NOW - timedelta(hours=100)).strftime("%Y-%m-%dT%H:%M:%SZ")
    sausage = lot(stage="ferment", stage_at=entered)
    (need,) = lot_needs(sausage, NOW, UTC, NeedRules(), ferment_checks(state))
    assert said in need.message
    assert need.action == "decide: keep or discard"
    assert said in open_question(state, sausage, NOW)
    assert said in ferment_words(state)
    decided = replace(sausage, looks=(Look("decision", "2026-11-25T17:00:00Z", "bin it"),))
    assert open_question(state, decided, NOW) is None
    days_ago = replace(sausage, looks=(Look("decision", "2026-11-24T06:00:00Z", "it is fine"),))
    after_the_ph = at_h < 100 - 36
    assert (open_question(state, days_ago, NOW) is None) == after_the_ph, "or before it"
    later = [(at_h * H, 5.2), (99 * H, 5.1)]
    again = ferment_state(0, 100 * H, [readings] if readings else [], later)
    assert (open_question(again, days_ago, NOW) is None) == after_the_ph, "another pH asks nothing"


def test_a_ph_of_the_third_day_without_a_reading_is_not_called_late() -> None:
    """Within the longest time of the form nothing shows that it was too slow."""
    assert not ferment_state(0, 90 * H, [], [(LONGEST_H * H, 5.2)]).late
    assert ferment_state(0, 90 * H, [], [((LONGEST_H + 0.5) * H, 5.2)]).late


def test_of_two_sensors_the_warmer_counts_and_one_may_be_silent() -> None:
    warm, cool = hourly(26, 20), hourly(22, 20)
    state = ferment_state(0, 20 * H, [cool, warm], [])
    assert state.last_c == 26
    silent = ferment_state(0, 20 * H, [warm[:4], cool], [])
    assert silent.known
    assert silent.last_c == 22


def test_hours_left_at_the_last_temperature() -> None:
    state = ferment_state(0, 10 * H, [hourly(24, 10)], [])
    # by hand: (667 − 84.4) / (24 − 15.56) = 69.0 h
    assert state.hours_left == pytest.approx((1200 / 1.8 - 10 * 8.4444) / 8.4444, rel=1e-3)


@given(st.lists(st.floats(-5, 45), min_size=1, max_size=60), st.floats(0, 5))
def test_warmer_never_counts_less(temps: list[float], more: float) -> None:
    cold = [(H * n, t) for n, t in enumerate(temps)]
    warm = [(at, t + more) for at, t in cold]
    end = cold[-1][0]
    a, b = (ferment_state(0, end, [one], []) for one in (cold, warm))
    assert a.total_c_h is not None
    assert b.total_c_h is not None
    assert 0 <= a.total_c_h <= b.total_c_h + 1e-6
    assert a.limit_c_h >= b.limit_c_h
