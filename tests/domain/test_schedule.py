"""Days away: the nearest day at home, and windows that fall into them."""

from datetime import date

import pytest

from curedash.domain.errors import Refused
from curedash.domain.needs.days_away import Away, is_away, next_day_at_home, window_while_away


def day(number: int) -> date:
    return date(2026, 12, number)


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
