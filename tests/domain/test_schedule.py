"""Weighing rhythm, turns and days away; dateutil's recurrences are the reference."""

from datetime import date, datetime, timedelta

import pytest
from dateutil.rrule import DAILY, rrule
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import Refused
from curedash.domain.schedule import (
    Away,
    days_between,
    is_away,
    next_day_at_home,
    next_weigh_day,
    weigh_days_late,
    weigh_every_days,
    window_while_away,
)

dates = st.dates(date(2020, 1, 1), date(2035, 12, 31))
TODAY = date(2026, 11, 25)


def day(number: int) -> date:
    return date(2026, 12, number)


def test_every_three_days_only_when_the_window_opens_within_ten() -> None:
    assert weigh_every_days() == 7
    assert weigh_every_days(7, TODAY + timedelta(days=11), TODAY) == 7
    assert weigh_every_days(7, TODAY + timedelta(days=10), TODAY) == 3
    assert weigh_every_days(7, TODAY - timedelta(days=4), TODAY) == 3
    assert weigh_every_days(2, TODAY, TODAY) == 2
    assert weigh_every_days(30, None, TODAY) == 30
    with pytest.raises(Refused):
        weigh_every_days(0)


def test_a_weigh_in_is_due_on_its_day_and_late_after() -> None:
    assert next_weigh_day(date(2026, 11, 18), 7) == TODAY
    assert weigh_days_late(date(2026, 11, 19), 7, TODAY) is None
    assert weigh_days_late(date(2026, 11, 18), 7, TODAY) == 0
    assert weigh_days_late(date(2026, 11, 15), 7, TODAY) == 3


@given(dates, st.integers(1, 40), dates, st.integers(0, 120))
def test_a_rhythm_agrees_with_dateutil(start: date, every: int, first: date, span: int) -> None:
    last = min(first + timedelta(days=span), date(2036, 12, 31))
    midnight = datetime(start.year, start.month, start.day)
    rule = rrule(DAILY, interval=every, dtstart=midnight)
    expected = [
        found.date()
        for found in rule.between(
            datetime(first.year, first.month, first.day),
            datetime(last.year, last.month, last.day),
            inc=True,
        )
        if found.date() != start
    ]
    assert list(days_between(start, every, first, last)) == expected


def test_a_day_away_moves_to_the_nearest_at_home() -> None:
    blocks = [Away(day(6), day(9)), Away(day(1), day(5))]
    assert is_away(day(5), blocks)
    assert not is_away(day(10), blocks)
    assert next_day_at_home(day(3), blocks) == day(10)
    assert next_day_at_home(day(3), blocks, step=-1) == date(2026, 11, 30)
    assert next_day_at_home(day(20), blocks) == day(20)
    with pytest.raises(Refused):
        next_day_at_home(day(3), blocks, step=7)


@pytest.mark.parametrize(
    ("window", "passes"),
    [
        (None, "no"),
        ((day(11), day(20)), "no"),
        ((day(10), day(20)), "may"),
        ((day(3), day(9)), "will"),
        ((date(2026, 11, 20), day(2)), "will"),
    ],
)
def test_whether_a_target_falls_into_the_days_away(window, passes: str) -> None:
    away = Away(day(1), day(10))
    assert window_while_away(away, window) == passes


def test_days_away_that_end_before_they_begin_are_refused() -> None:
    with pytest.raises(Refused):
        window_while_away(Away(day(5), day(1)), None)
