"""When the clock is not believed, and when it is."""

import pytest

from curedash.domain.clock import clock_doubt

MINUTE, DAY = 60.0, 86_400.0
NOW = 1_795_000_000.0


def kind(**known: float) -> str | None:
    doubt = clock_doubt(NOW, **known)
    return None if doubt is None else doubt.kind


def test_a_clock_behind_the_newest_entry_by_more_than_ten_minutes_is_doubted() -> None:
    assert kind(newest_recorded_at=NOW + 10 * MINUTE) is None
    assert kind(newest_recorded_at=NOW + 10 * MINUTE + 1) == "behind-log"


def test_a_clock_before_the_program_was_made_is_doubted() -> None:
    assert kind(built_at=NOW) is None
    assert kind(built_at=NOW + 1) == "before-build"


def test_a_clock_that_is_moved_while_running_is_doubted_both_ways() -> None:
    assert kind(wall_elapsed_s=DAY, steady_elapsed_s=DAY - 10 * MINUTE) is None
    assert kind(wall_elapsed_s=DAY, steady_elapsed_s=DAY - 11 * MINUTE) == "drifting"
    assert kind(wall_elapsed_s=-DAY, steady_elapsed_s=MINUTE) == "drifting"


@pytest.mark.parametrize("weeks", [1, 5, 52])
def test_a_long_pause_is_not_a_wrong_clock(weeks: int) -> None:
    assert kind(newest_recorded_at=NOW - weeks * 7 * DAY, built_at=NOW - 900 * DAY) is None


def test_nothing_known_is_believed() -> None:
    assert kind() is None


def test_the_sentence_says_what_to_do() -> None:
    doubt = clock_doubt(NOW, built_at=NOW + DAY)
    assert doubt is not None
    assert "set it" in doubt.sentence
