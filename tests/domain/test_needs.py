"""What needs a person, cause by cause, at a fixed moment."""

from datetime import UTC, datetime, timedelta

import pytest

from curedash.domain.needs import Need, clock_need, gathered, in_order, lot_needs, open_words
from curedash.domain.record import replace
from curedash.domain.records import LotState, StoredForecast
from curedash.domain.times import moment, utc_text
from tests.build import NOW, lot, weighed


def causes(state: LotState, now: datetime = NOW) -> list[str]:
    return [need.cause for need in lot_needs(state, now, UTC)]


def ago(days: float) -> str:
    return utc_text(NOW - timedelta(days=days))


def in_cure(days: float, **values: object) -> LotState:
    return lot(stage="in-cure", stage_at=ago(days), hang_g=None, hang_at=None, **values)


def test_a_quiet_lot_needs_nothing() -> None:
    assert causes(weighed((30, 1000), (6, 750), (1, 720))) == []


def test_weighed_dose_is_ready_once_its_usual_day_has_come_and_can_wait() -> None:
    assert causes(in_cure(13)) == []
    (need,) = lot_needs(in_cure(14), NOW, UTC)
    assert (need.level, need.cause) == ("today", "cure-ready")
    assert "can wait" in need.message
    assert causes(in_cure(43)) == ["cure-ready"]


def test_thirty_days_past_the_usual_day_asks_for_a_decision() -> None:
    assert causes(in_cure(44)) == ["cure-decide"]


def test_salt_box_is_overdue_from_its_moment_on() -> None:
    box = in_cure(4.9, salt_box=True, cure_usual_days=5.0)
    assert causes(box) == []
    (need,) = lot_needs(box, NOW + timedelta(hours=3), UTC)
    assert (need.level, need.cause) == ("act", "salt-box-overdue")


def test_a_sheet_half_ticked_for_a_day_is_urgent() -> None:
    raw = lot(stage="raw", dose_open=1, dose_ticked=2, first_tick_at=ago(0.9), hang_g=None)
    assert causes(raw) == []
    assert causes(replace(raw, first_tick_at=ago(1.1))) == ["dose-not-ticked"]
    assert causes(replace(raw, first_tick_at=None)) == []


def test_a_lot_in_the_cure_with_lines_never_ticked_asks_until_they_are() -> None:
    """Today for as long as a sheet may stay open, then now; ticked, or out of the cure: quiet."""
    cured = in_cure(0.9, dose_open=2, dose_ticked=1)
    (need,) = lot_needs(cured, NOW, UTC)
    assert (need.level, need.cause) == ("today", "dose-not-ticked")
    assert need.message == "2 of 3 ingredients never ticked, in cure 1 d"
    assert need.action == "look in the bag; tick what went in, weigh in what is missing"
    (need,) = lot_needs(replace(cured, stage_at=ago(1.1)), NOW, UTC)
    assert need.level == "act"
    assert causes(replace(cured, dose_open=0, dose_ticked=3)) == []
    for later in ("salt-rest", "drying", "equalising"):
        assert "dose-not-ticked" not in causes(replace(cured, stage=later))


def test_lines_left_open_are_counted_in_words() -> None:
    one = in_cure(0.9, dose_open=1, dose_ticked=2)
    assert open_words(one) == "1 of 3 ingredients of its dose was never ticked"
    two = in_cure(0.9, dose_open=2, dose_ticked=1)
    assert open_words(two) == "2 of 3 ingredients of its dose were never ticked"
    alone = in_cure(0.9, dose_open=1, dose_ticked=0)
    assert open_words(alone) == "the one ingredient of its dose was never ticked"


def test_a_dose_weighed_outside_its_limit_is_urgent() -> None:
    assert causes(in_cure(3, dose_verdict="refused")) == ["dose-outside"]


@pytest.mark.parametrize(("days", "due"), [(6, []), (7, ["weigh-in-due"]), (10, ["weigh-in-due"])])
def test_weigh_in_follows_the_styles_rhythm(days: float, due: list[str]) -> None:
    assert causes(weighed((30, 1000), (days, 750))) == due


def test_weigh_in_rhythm_gets_denser_when_the_window_opens_soon() -> None:
    state = weighed((30, 1000), (4, 700))
    near = StoredForecast(1, 1, ago(4), "m", 40.0, 38.0, 44.0, 0.0, "forecast")
    assert causes(replace(state, forecast=near)) == ["weigh-in-due"]
    assert causes(replace(state, forecast=replace(near, lo_day=60.0))) == []


def test_lateness_counts_from_when_the_rhythm_got_denser() -> None:
    """Weighed six days ago, window opening in nine: denser since yesterday, so one day late."""
    state = weighed((30, 1000), (6, 700))
    opens = StoredForecast(1, 1, ago(6), "m", 45.0, 39.0, 50.0, 0.0, "forecast")
    (need,) = lot_needs(replace(state, forecast=opens), NOW, UTC)
    assert need.message == "weigh-in 1 d late"


def test_the_day_counts_in_the_household_zone() -> None:
    from zoneinfo import ZoneInfo

    state = weighed((30, 1000), (6.6, 750))
    # 6.6 d ago is 19 Nov 03:36 UTC: still the 18th in Denver, so seven calendar days.
    denver = [need.cause for need in lot_needs(state, NOW, ZoneInfo("America/Denver"))]
    assert (causes(state), denver) == ([], ["weigh-in-due"])


def test_target_reached_at_the_first_value_of_the_range() -> None:
    assert causes(weighed((30, 1000), (1, 651))) == []
    assert causes(weighed((30, 1000), (1, 650))) == ["target-reached"]
    assert causes(weighed((30, 1000), (1, 601))) == ["target-reached"]


def test_past_target_counts_from_the_last_value_of_the_range() -> None:
    assert causes(weighed((30, 1000), (1, 571))) == ["target-reached"]
    (three,) = lot_needs(weighed((30, 1000), (1, 570)), NOW, UTC)
    (six,) = lot_needs(weighed((30, 1000), (1, 540)), NOW, UTC)
    assert (three.cause, six.cause) == ("past-target", "past-target")
    assert "3 points" in three.message
    assert "6 points" in six.message


def test_target_on_green_weight_stays_on_green_weight() -> None:
    state = weighed((30, 1000), (1, 716), target_base="green", green_g=1100.0)
    assert causes(state) == []
    assert causes(replace(state, target_lo_pct=34.5)) == ["target-reached"]


def test_target_before_the_styles_age_is_said_as_such() -> None:
    state = weighed((30, 1000), (1, 640), min_age_days=60.0, salted_at=ago(44))
    assert causes(state) == ["target-too-soon"]


def test_levelling_wants_two_weigh_ins_five_days_apart() -> None:
    assert causes(weighed((30, 1000), (6, 752), (1, 750))) == ["levelling"]
    assert causes(weighed((30, 1000), (4, 752), (1, 750))) == []
    assert causes(weighed((30, 1000), (6, 760), (1, 750))) == []


def test_levelling_asks_after_the_bag_first_and_never_for_by_date_styles() -> None:
    bagged = weighed((30, 1000), (6, 752), (1, 750), in_bag=True)
    (need,) = lot_needs(bagged, NOW, UTC)
    assert "bag" in need.action
    assert causes(replace(bagged, by_date=True)) == []


def test_too_much_in_the_first_week_is_said_while_it_can_be_slowed() -> None:
    """Design values: 16 % from 60 mm, 20 % up to 45 mm."""
    fast = weighed((7, 1000), (3, 920), (0, 839), thickness_mm=70.0)
    assert causes(fast) == ["too-fast"]
    assert causes(weighed((7, 1000), (3, 920), (0, 841), thickness_mm=70.0)) == []
    assert causes(replace(fast, thickness_mm=45.0)) == []
    assert causes(replace(fast, thickness_mm=None)) == []
    late = weighed((30, 1000), (23, 830), (16, 780), (9, 740), (2, 705), thickness_mm=70.0)
    assert causes(late) == []


def test_a_rate_that_falls_away_early_asks_after_the_rim() -> None:
    points = ((24, 1000), (21, 940), (14, 850), (7, 830), (0, 815))
    assert causes(weighed(*points)) == ["rim-suspected"]
    assert causes(weighed((24, 1000), (21, 940), (14, 850), (7, 800), (0, 750))) == []


def test_planned_ends_of_rest_and_equalising() -> None:
    state = lot(stage="equalising", stage_until=ago(0))
    assert causes(state) == ["equalising-over"]
    assert causes(replace(state, stage="salt-rest")) == ["rest-over"]
    assert causes(replace(state, stage_until=ago(-1))) == []


def test_hold_and_keeping_need_nothing() -> None:
    for stage in ("on-hold", "keeping"):
        assert causes(weighed((90, 1000), (40, 640), stage=stage)) == []


def test_worst_comes_first() -> None:
    needs = [Need("today", "b", "", ""), Need("act", "a", "", ""), Need("note", "c", "", "")]
    assert [need.cause for need in in_order(needs)] == ["a", "b", "c"]


def test_weigh_ins_of_one_place_are_one_line() -> None:
    lots = [weighed((30, 1000), (last, 750), id=n, code=f"A{n}", place_id=p, place=f"P{p}")
            for n, p, last in ((1, 1, 8), (2, 1, 20), (3, 2, 8))]  # fmt: skip
    found = [need for state in lots for need in lot_needs(state, NOW, UTC)]
    together, alone = gathered(found, lots)
    assert (together.lot, together.place) == (None, "P1")
    assert together.message == "2 lots to weigh, up to 13 d late: A1, A2", "the latest counts"
    assert (alone.lot, alone.place) == ("A3", None)


def test_a_clock_behind_the_file_is_implausible_and_ten_minutes_are_forgiven() -> None:
    written = moment("2026-01-01T00:00:00Z")
    assert clock_need(NOW, utc_text(NOW + timedelta(minutes=9)), written) is None
    need = clock_need(NOW, utc_text(NOW + timedelta(minutes=11)), written)
    assert need is not None
    assert need.cause == "clock-implausible"
    assert clock_need(datetime(1970, 1, 1, 1, tzinfo=UTC), None, written) is not None


def test_five_weeks_away_is_not_a_wrong_clock() -> None:
    assert clock_need(NOW, ago(35), moment("2026-01-01T00:00:00Z")) is None


@pytest.mark.parametrize("word", ["safe", "done", "expired"])
def test_no_need_pronounces_meat(word: str) -> None:
    from curedash.domain import needs, place_needs

    states = [in_cure(14), in_cure(44), weighed((30, 1000), (1, 640)),
              weighed((30, 1000), (6, 752), (1, 750)), in_cure(9, salt_box=True)]  # fmt: skip
    said = " ".join(n.message + n.action for s in states for n in lot_needs(s, NOW, UTC))
    assert word not in said.lower().split()
    assert all(word not in text.lower().split()
               for pair in place_needs.WORDS.values() for text in pair)  # fmt: skip
    assert needs.LEVELS == ("act", "today", "note")
