"""What needs a person, cause by cause, at a fixed moment."""

from datetime import UTC, datetime, timedelta
from functools import partial

import pytest

from curedash.domain.drying.inspections import GOES_ON
from curedash.domain.needs.lot_needs import (
    BAG,
    DEFAULT_RULES,
    WEIGH_AGAIN,
    Need,
    NeedRules,
    clock_need,
    days_to_weigh_in,
    gathered,
    in_order,
    lot_needs,
    open_words,
)
from curedash.domain.needs.step_needs import dose_open
from curedash.domain.record import replace
from curedash.domain.records import DoseLine, Look, LotState, StoredForecast
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


def test_a_sheet_half_ticked_is_for_today_and_after_a_day_urgent() -> None:
    raw = lot(stage="raw", dose_open=1, dose_ticked=2, first_tick_at=ago(0.9), hang_g=None)
    assert [need[:2] for need in told(raw)] == [("today", "dose-not-ticked")]
    later = replace(raw, first_tick_at=ago(1.1))
    assert [need[:2] for need in told(later)] == [("act", "dose-not-ticked")]
    assert causes(replace(raw, first_tick_at=None)) == []


def test_a_lot_in_the_cure_with_lines_never_ticked_asks_until_they_are() -> None:
    """Today for as long as a sheet may stay open, then now; ticked, or out of the cure: quiet."""
    cured = in_cure(0.9, dose_open=2, dose_ticked=1)
    (need,) = lot_needs(cured, NOW, UTC)
    assert (need.level, need.cause) == ("today", "dose-not-ticked")
    assert need.message == "2 of 3 ingredients never ticked, in cure 1 d"
    assert need.action == "look in the bag; tick what went in, add what is missing"
    (need,) = lot_needs(replace(cured, stage_at=ago(1.1)), NOW, UTC)
    assert need.level == "act"
    assert causes(replace(cured, dose_open=0, dose_ticked=3)) == []
    for later in ("salt-rest", "drying", "equalising"):
        assert "dose-not-ticked" not in causes(replace(cured, stage=later))


def test_which_ingredients_are_not_ticked_is_said_and_whether_the_curing_salt_is_in() -> None:
    raw = lot(stage="raw", dose_open=1, dose_ticked=2, first_tick_at=ago(1.5), hang_g=None)
    names = (("salt", "salt"), ("curing salt no. 2 (pink; 4 % nitrate)", "curing-salt"))
    lines = [
        DoseLine(n, 1, n, name, kind, 1.85, 1.9, None, ago(1.5))
        for n, (name, kind) in enumerate((*names, ("sugar", "sugar"), ("pepper", "extra")))
    ]

    def said(state: LotState, *missing: int, level: str = "act") -> str:
        sheet = [replace(one, ticked_at=None) if one.id in missing else one for one in lines]
        (need,) = lot_needs(state, NOW, UTC, more=[partial(dose_open, sheet)])
        assert (need.level, need.cause) == (level, "dose-not-ticked"), "one need, not two"
        return need.message

    assert (
        said(raw, 2, level="today")
        == "sugar not added or not ticked for 36 h; its curing salt is in"
    )
    assert said(raw, 1) == "curing salt no. 2 not added or not ticked for 36 h"
    assert said(raw, 0, 1, 2) == (
        "curing salt no. 2, salt and 1 more not added or not ticked for 36 h"
    ), "the curing salt first"
    cured = in_cure(5, dose_open=1, dose_ticked=3)
    assert (
        said(cured, 3, level="today") == "pepper never ticked, in cure 5 d; its curing salt is in"
    )


def test_lines_left_open_are_counted_in_words() -> None:
    one = in_cure(0.9, dose_open=1, dose_ticked=2)
    assert open_words(one) == "1 of 3 ingredients of its dose was never ticked"
    two = in_cure(0.9, dose_open=2, dose_ticked=1)
    assert open_words(two) == "2 of 3 ingredients of its dose were never ticked"
    alone = in_cure(0.9, dose_open=1, dose_ticked=0)
    assert open_words(alone) == "the only ingredient of its dose was never ticked"


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


def test_a_piece_that_grew_heavier_is_not_called_levelling() -> None:
    (need,) = lot_needs(weighed((8, 1290), (4, 1240), (0, 1402)), NOW, UTC)
    assert str(need.message) == "112 g heavier than 8 d ago, 564 g short"
    assert need.action == "weigh it again: was it another lot, or another tare?"
    assert need.asks == WEIGH_AGAIN
    # within the scale: still level
    (need,) = lot_needs(weighed((30, 1000), (6, 750), (1, 752)), NOW, UTC)
    assert str(need.message).startswith("stalled: -0.04 %/d")


def test_levelling_asks_after_the_bag_first_and_never_for_by_date_styles() -> None:
    bagged = weighed((30, 1000), (6, 752), (1, 750), in_bag=True)
    (need,) = lot_needs(bagged, NOW, UTC)
    assert need.asks == BAG
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
    lots = [
        weighed((30, 1000), (last, 750), id=n, code=f"A{n}", place_id=p, place=f"P{p}")
        for n, p, last in ((1, 1, 8), (2, 1, 20), (3, 2, 8))
    ]
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
    from curedash.domain.needs import place_needs
    from curedash.domain.needs.lot_needs import LEVELS

    states = [
        in_cure(14),
        in_cure(44),
        weighed((30, 1000), (1, 640)),
        weighed((30, 1000), (6, 752), (1, 750)),
        in_cure(9, salt_box=True),
    ]
    said = " ".join(n.message + n.action for s in states for n in lot_needs(s, NOW, UTC))
    assert word not in said.lower().split()
    assert all(
        word not in text.lower().split() for pair in place_needs.WORDS.values() for text in pair
    )
    assert LEVELS == ("act", "today", "note")


# ── each need in full: level, cause, message, action ──────────────────────────────────────


def look(kind: str, days: float, text: str = "words") -> Look:
    return Look(kind, ago(days), text)


def told(state: LotState, now: datetime = NOW) -> list[tuple[str, str, str, str]]:
    return [(n.level, n.cause, n.message, n.action) for n in lot_needs(state, now, UTC)]


RAW = lot(stage="raw", dose_open=2, dose_ticked=1, first_tick_at=ago(1.5), hang_g=None)
AT_TARGET = weighed((30, 1000), (1, 640))
LEVEL = weighed((30, 1000), (6, 752), (1, 750))
QUIET = weighed((30, 1000), (6, 750), (1, 720))
FULL = {
    "a sheet open for a day and a half": (
        RAW,
        (
            "act",
            "dose-not-ticked",
            "dose sheet open for 36 h, 2 to tick",
            "look in the bag, then tick or add what is missing",
        ),
    ),
    "a dose outside its rule": (
        in_cure(3, dose_verdict="refused", nitrite_mg_per_kg=385.8),
        (
            "act",
            "dose-outside",
            "dose outside the rule: 386 mg/kg nitrite went in",
            "open “gone wrong” on its page and record what you do with it",
        ),
    ),
    "a dose of unknown strength outside its rule": (
        in_cure(3, dose_verdict="refused", nitrite_mg_per_kg=None),
        (
            "act",
            "dose-outside",
            "dose outside the rule",
            "open “gone wrong” on its page and record what you do with it",
        ),
    ),
    "the usual day of a cure": (
        in_cure(14),
        (
            "today",
            "cure-ready",
            "in cure 14 d, cure time is up (fourteen days); can wait",
            "rinse, pat dry, weigh, hang",
        ),
    ),
    "the usual day by a rule without a name": (
        in_cure(15, cure_rule=None),
        (
            "today",
            "cure-ready",
            "in cure 15 d, cure time is up (rule); can wait",
            "rinse, pat dry, weigh, hang",
        ),
    ),
    "a month past the usual day": (
        in_cure(44),
        (
            "today",
            "cure-decide",
            "in cure 44 d, 30 d past the usual day",
            "smell it, look at the purge, decide",
        ),
    ),
    "a salt box past its moment": (
        in_cure(6.25, salt_box=True, cure_usual_days=5.0),
        (
            "act",
            "salt-box-overdue",
            "in the salt box, 1 d overdue",
            "take it out, brush off the salt, rest it cold",
        ),
    ),
    "the end of softening": (
        lot(stage="equalising", stage_until=ago(2)),
        ("today", "equalising-over", "planned end was 2 d ago", "feel rim and firmness, weigh"),
    ),
    "the end of a rest today": (
        lot(stage="salt-rest", stage_until=ago(0.1)),
        ("today", "rest-over", "planned end was today", "hang it and weigh"),
    ),
    "a weigh-in due today": (
        weighed((30, 1000), (7, 750)),
        ("today", "weigh-in-due", "weigh-in due today", "weigh it"),
    ),
    "a weigh-in late": (
        weighed((30, 1000), (10, 750)),
        ("today", "weigh-in-due", "weigh-in 3 d late", "weigh it"),
    ),
    "target reached": (
        AT_TARGET,
        (
            "today",
            "target-reached",
            "36.0 % lost from hang: target reached",
            "feel rim and firmness, smell; pull, equalise or go on",
        ),
    ),
    "target reached and felt since": (
        replace(AT_TARGET, looks=(look("target", 0.5, "rim hard, soft, smell clean"),)),
        (
            "today",
            "target-reached",
            "36.0 % lost from hang: target reached",
            "you found rim hard, soft, smell clean: pull, equalise or go on",
        ),
    ),
    "felt before the last weigh-in": (
        replace(AT_TARGET, looks=(look("target", 3, "rim none, soft, smell clean"),)),
        (
            "today",
            "target-reached",
            "36.0 % lost from hang: target reached",
            "feel rim and firmness, smell; pull, equalise or go on",
        ),
    ),
    "target too soon": (
        weighed((30, 1000), (1, 640), min_age_days=60.0, salted_at=ago(44)),
        (
            "today",
            "target-too-soon",
            "target reached on day 44; its style takes 60 d at least",
            "equalise it, slow the drying, or keep it longer",
        ),
    ),
    "target too soon, counted from hanging": (
        weighed((30, 1000), (1, 640), min_age_days=60.0, salted_at=None),
        (
            "today",
            "target-too-soon",
            "target reached on day 30; its style takes 60 d at least",
            "equalise it, slow the drying, or keep it longer",
        ),
    ),
    "three points past the end": (
        weighed((30, 1000), (1, 560)),
        (
            "today",
            "past-target",
            "44.0 % lost from hang, 3 points over its target",
            "feel it: slice, or equalise if the rim is hard",
        ),
    ),
    "six points past the end of green": (
        weighed((30, 1000), (1, 590), target_base="green", green_g=1100.0),
        (
            "today",
            "past-target",
            "46.4 % lost from green, 6 points over its target",
            "feel it: slice, or equalise if the rim is hard",
        ),
    ),
    "levelling": (
        LEVEL,
        (
            "today",
            "levelling",
            "stalled: 0.04 %/d over 5 d, 100 g short",
            "fatty cut, case hardening, or air too humid?",
        ),
    ),
    "levelling in a bag nobody looked at": (
        replace(LEVEL, in_bag=True),
        (
            "today",
            "levelling",
            "stalled: 0.04 %/d over 5 d, 100 g short",
            "does the bag cling all round?",
        ),
    ),
    "levelling in a bag that lies well": (
        replace(LEVEL, in_bag=True, looks=(look("bag", 2, "good"),)),
        (
            "today",
            "levelling",
            "stalled: 0.04 %/d over 5 d, 100 g short",
            "fatty cut, case hardening, or air too humid?",
        ),
    ),
    "levelling in a bag that lost contact": (
        replace(LEVEL, in_bag=True, looks=(look("bag", 2, "lost"), look("bag", 9, "good"))),
        (
            "today",
            "levelling",
            "stalled: 0.04 %/d over 5 d, 100 g short",
            "the bag no longer clings all round (lost): press it on, or bag it again",
        ),
    ),
    "an alarm nobody decided on": (
        replace(QUIET, looks=(look("alarm", 2, "black, slimy, spots; left"),)),
        (
            "act",
            "decision-asked",
            f"logged on {ago(2)[:10]}: black, slimy, spots; left",
            "look at it again and decide: record what you do with it",
        ),
    ),
    "mould seen two days ago": (
        replace(QUIET, looks=(look("mould", 2, "white, powdery, spots; left"),)),
        (
            "today",
            "mould-recheck",
            "mould 2 d ago: white, powdery, spots; left",
            "look at it again",
        ),
    ),
    "a sibling opened": (
        replace(QUIET, looks=(look("sibling", 0.5, "C2 opened at 29 %: raw middle"),)),
        ("today", "sibling-opened", "C2 opened at 29 %: raw middle", "feel this one too"),
    ),
    "a sibling opened ten days ago, and this one weighed since": (
        replace(QUIET, looks=(look("sibling", 10, "C2 opened at 29 %: soft middle"),)),
        ("today", "sibling-opened", "C2 opened at 29 %: soft middle", "feel this one too"),
    ),
    "too fast": (
        weighed((7, 1000), (3, 920), (0, 839), thickness_mm=70.0),
        (
            "today",
            "too-fast",
            "16.1 % lost in the first week; over 16 % risks case hardening",
            "slow it: more humidity, less moving air, or a bag",
        ),
    ),
}


@pytest.mark.parametrize("name", FULL)
def test_each_need_says_its_number_and_the_usual_next_action(name: str) -> None:
    state, expected = FULL[name]
    assert told(state) == [expected]
    (need,) = lot_needs(state, NOW, UTC)
    assert (need.lot, need.lot_id, need.place, need.place_id) == ("A1", 1, None, None)
    assert need.late_days == (3 if name == "a weigh-in late" else 0)


ANSWERED = {
    "a dose decided on": in_cure(
        3, dose_verdict="refused", looks=(look("decision", 1), look("misdose", 2))
    ),
    "an alarm decided on": replace(QUIET, looks=(look("decision", 1), look("alarm", 2))),
    "a target rested until the next weigh-in": replace(
        AT_TARGET, looks=(look("target", 0.5, f"rim none, {GOES_ON}"),)
    ),
    "a target decided on": replace(AT_TARGET, looks=(look("decision", 0.5),)),
    "levelling felt": replace(LEVEL, looks=(look("target", 0.5),)),
    "mould seen yesterday": replace(QUIET, looks=(look("mould", 1),)),
    "a sibling opened and this one felt": replace(
        QUIET, looks=(look("target", 0.3), look("sibling", 0.5))
    ),
    "too fast decided on": weighed(
        (7, 1000), (3, 920), (0, 839), thickness_mm=70.0, looks=(look("decision", 0),)
    ),
    "a rest that has not ended": lot(stage="salt-rest", stage_until=ago(-0.1)),
    "an end planned for a stage without one": lot(stage="keeping", stage_until=ago(1)),
    "no end planned": lot(stage="equalising", stage_until=None),
    "a sheet of a lot that is out of the cure": lot(
        stage="salt-rest", dose_open=1, first_tick_at=ago(9)
    ),
    "a cure without a day": in_cure(90, cure_usual_days=None),
    "a box without a day": in_cure(90, salt_box=True, cure_usual_days=None),
    "never weighed since it hung today": lot(hang_at=ago(0), stage_at=ago(0)),
    "a finished one": weighed((90, 1000), (40, 640), stage="closed"),
}


@pytest.mark.parametrize("name", ANSWERED)
def test_what_was_answered_or_is_not_due_is_quiet(name: str) -> None:
    assert told(ANSWERED[name]) == []


def test_a_target_felt_but_levelling_in_a_bag_still_asks() -> None:
    felt = replace(LEVEL, in_bag=True, looks=(look("target", 0.5),))
    assert causes(felt) == ["levelling"]
    assert causes(replace(LEVEL, looks=(look("target", 2),))) == ["levelling"]


@pytest.mark.parametrize("alarm", ["smell sour", "smell rotten", "black, slimy, spots; left"])
def test_what_waits_for_a_decision_is_not_called_ready(alarm: str) -> None:
    spoiled = replace(AT_TARGET, looks=(look("alarm", 0.5, alarm),))
    assert causes(spoiled) == ["decision-asked"]
    assert causes(replace(spoiled, looks=(look("decision", 0.2), *spoiled.looks))) == []
    older = replace(spoiled, looks=(look("decision", 3), look("alarm", 4, alarm)))
    assert causes(older) == ["target-reached"]


def test_a_dose_over_the_ceiling_is_not_called_ready_until_decided() -> None:
    """625 mg/kg: the highest ingoing limit of the US programme (FSIS Handbook 7620.3)."""
    over = replace(AT_TARGET, dose_verdict="refused", nitrite_mg_per_kg=6250.0)
    assert causes(over) == ["dose-outside"]
    assert causes(replace(over, looks=(look("decision", 3),))) == ["target-reached"]
    at = replace(over, nitrite_mg_per_kg=625.0)
    assert causes(at) == ["dose-outside", "target-reached"]
    assert causes(replace(over, looks=(look("misdose", 2), look("decision", 3)))) == [
        "dose-outside"
    ]


def test_days_to_the_next_weigh_in() -> None:
    state = weighed((30, 1000), (4, 750))
    assert days_to_weigh_in(state, NOW, UTC) == 3
    assert days_to_weigh_in(replace(state, stage="keeping"), NOW, UTC) is None
    assert days_to_weigh_in(replace(state, weigh_every_days=4), NOW, UTC) == 0
    assert days_to_weigh_in(replace(state, curve=()), NOW, UTC) == 7 - 30
    assert days_to_weigh_in(replace(state, curve=(), hang_at=None), NOW, UTC) is None
    opens = StoredForecast(1, 1, ago(4), "m", 45.0, 42.0, 50.0, 0.0, "forecast")
    # the window opens on day 42, it gets denser ten days before, in two days; every three days
    assert days_to_weigh_in(replace(state, forecast=opens), NOW, UTC) == 3
    assert days_to_weigh_in(replace(state, forecast=replace(opens, lo_day=40.0)), NOW, UTC) == 0
    rules = replace(DEFAULT_RULES, weigh_soon_every_days=6.0)
    assert (
        days_to_weigh_in(replace(state, forecast=replace(opens, lo_day=35.0)), NOW, UTC, rules) == 2
    )
    assert days_to_weigh_in(replace(state, forecast=replace(opens, lo_day=None)), NOW, UTC) == 3


def test_the_thresholds_of_the_household_are_those_that_count() -> None:
    rules = NeedRules(
        ticks_open_hours=48.0,
        cure_decide_days=10.0,
        past_target_points=(1.0, 2.0),
        levelling_pct_per_day=0.01,
        mould_again_days=5.0,
    )

    def found(state: LotState) -> list[str]:
        return [need.cause for need in lot_needs(state, NOW, UTC, rules)]

    assert [need.level for need in lot_needs(RAW, NOW, UTC, rules)] == ["today"]
    assert found(in_cure(24)) == ["cure-decide"]
    assert found(in_cure(23)) == ["cure-ready"]
    (need,) = lot_needs(weighed((30, 1000), (1, 585)), NOW, UTC, rules)
    assert need.message == "41.5 % lost from hang, 1 points over its target"
    assert found(LEVEL) == []
    assert found(replace(QUIET, looks=(look("mould", 4),))) == []
    more = [
        need.cause
        for need in lot_needs(
            QUIET, NOW, UTC, more=[lambda view: view.need("today", "turn-due", "", "")]
        )
    ]
    assert more == ["turn-due"]


def test_turns_of_one_place_are_one_line_and_each_place_its_own() -> None:
    lots = [lot(id=n, code=f"A{n}", place_id=p, place=f"P{p}") for n, p in ((1, 1), (2, 1), (3, 2))]
    needs = [Need("today", "turn-due", "m", "a", lot=state.code, lot_id=state.id) for state in lots]
    nowhere = Need("today", "turn-due", "m", "a", lot="X", lot_id=9)
    weigh = Need("today", "weigh-in-due", "m", "a", lot="A1", lot_id=1, late_days=2)
    other = Need("act", "dose-outside", "m", "a", lot="A1", lot_id=1)
    found = gathered([other, *needs, weigh, nowhere], lots)
    assert found[0] == other
    assert (found[1].message, found[1].action) == ("2 lots to turn: A1, A2", "turn them in one go")
    assert (found[1].place, found[1].place_id, found[1].lot_id) == ("P1", 1, None)
    assert found[2:] == [needs[2], weigh, nowhere]
    both = [weigh, replace(weigh, lot="A2", lot_id=2, late_days=5)]
    (line,) = gathered(both, lots)
    assert line.message == "2 lots to weigh, up to 5 d late: A1, A2"
    assert (line.action, line.late_days) == ("weigh them in one round", 5)


def test_a_wrong_clock_is_said_with_both_times() -> None:
    written = moment("2026-01-01T00:00:00Z")
    need = clock_need(NOW, utc_text(NOW + timedelta(minutes=11)), written)
    assert (need.level, need.cause, need.action) == (
        "act",
        "clock-implausible",
        "set the clock; until then nothing is overdue",
    )
    assert need.message == (
        "the clock shows 2026-11-25T18:00:00Z, the file was written at 2026-11-25T18:11:00Z"
    )
    before = clock_need(datetime(1970, 1, 1, 1, tzinfo=UTC), None, written)
    assert before.message == "the clock shows 1970-01-01, before this program was written"
    assert clock_need(written, None, written) is None
    assert clock_need(NOW, utc_text(NOW + timedelta(minutes=10)), written) is None


# ── what is asked, brines, and hang weights nobody weighed ────────────────────────────────


def test_an_open_question_is_asked_until_the_answer_changes_nothing() -> None:
    one = in_cure(3, asked="thickness\tHow thick is it?")
    meant = ("today", "question-open", "asked: How thick is it?")
    action = "answer it, or say why it is unknown"
    assert told(one) == [(*meant, action)]
    two = replace(one, asked="thickness\tHow thick is it?\nend-use\tDried or fried?")
    assert told(two) == [(*meant[:2], "asked: How thick is it? (1 more)", action)]
    for stage in ("raw", "in-cure", "salt-rest", "ferment"):
        assert "question-open" in causes(replace(one, stage=stage))
    for stage in ("drying", "equalising"):
        assert "question-open" not in causes(replace(one, stage=stage))
    assert causes(replace(one, asked="")) == []


def test_a_short_immersion_too_long_in_its_brine() -> None:
    brine = in_cure(5.5, method="immersion", cure_usual_days=5.0)
    assert told(brine) == [
        (
            "act",
            "pick-up-overdue",
            "in its brine, 12 h overdue",
            "take it out, rinse, weigh: left in, it goes on taking up salt and nitrite",
        )
    ]
    assert causes(replace(brine, stage_at=ago(4.9))) == []
    assert causes(replace(brine, looks=(look("alarm", 1),))) == ["decision-asked"]


def test_a_target_by_an_estimated_hang_weight_is_said_so() -> None:
    guessed = weighed((30, 1000), (1, 640), start_from="days")
    assert told(guessed) == [
        (
            "today",
            "target-reached",
            "about 36 % lost from an estimated hang weight: the target may be reached",
            "feel rim and firmness, smell; pull, equalise or go on",
        )
    ]


def test_a_heavier_piece_and_a_level_one_are_worded_in_the_unit_of_the_household() -> None:
    (need,) = lot_needs(weighed((8, 1290), (4, 1240), (0, 1402)), NOW, UTC)
    assert (need.level, need.cause) == ("today", "levelling")
    assert need.message.worded(lambda quantity: f"{quantity.value:.1f}") == (  # type: ignore[attr-defined]
        "112.0 heavier than 8 d ago, 563.5 short"
    )
    (need,) = lot_needs(weighed((30, 1000), (6, 752), (1, 750.4)), NOW, UTC)
    assert str(need.message).endswith("%/d over 5 d, 100 g short")
    (need,) = lot_needs(LEVEL, NOW, UTC)
    assert need.message.worded(lambda quantity: f"{quantity.value:.1f}").endswith("100.0 short")  # type: ignore[attr-defined]


def test_a_rate_that_fell_away_is_said_in_percent() -> None:
    """90 g in the week from day 3, 15 g in the last one: 1 − 15 / 90 is 83 %."""
    points = ((24, 1000), (21, 940), (14, 850), (7, 830), (0, 815))
    ((level, cause, message, action),) = told(weighed(*points))
    assert (level, cause) == ("today", "rim-suspected")
    assert action == (
        "unless the air was drier in those first days, feel the rim; if it is hard, equalise the"
        " piece"
    )
    assert message == "the rate fell by 83 % since the first days"
    assert causes(weighed(*points, start_from="days")) == []


def test_the_rhythm_gets_denser_ten_days_before_the_window_and_not_eleven() -> None:
    state = weighed((30, 1000), (2, 740), weigh_every_days=7)
    opens = StoredForecast(1, 1, ago(2), "m", 45.0, 40.0, 50.0, 0.0, "forecast")
    soon = int(DEFAULT_RULES.weigh_soon_every_days) - 2
    assert days_to_weigh_in(replace(state, forecast=opens), NOW, UTC) == soon
    later = replace(state, forecast=replace(opens, lo_day=41.0))
    assert days_to_weigh_in(later, NOW, UTC) == 5
    far = replace(state, forecast=replace(opens, lo_day=45.0))
    denser = replace(DEFAULT_RULES, weigh_soon_before_window_days=20)
    on_that_day = NOW + timedelta(days=soon)
    assert lot_needs(far, on_that_day, UTC) == []
    assert [need.cause for need in lot_needs(far, on_that_day, UTC, denser)] == ["weigh-in-due"]


@pytest.mark.parametrize(("hours", "level"), [(0.5, "today"), (30.0, "act")])
def test_meat_with_all_its_salt_in_that_is_still_raw_is_a_need(hours: float, level: str) -> None:
    ticked = ago(hours / 24)
    raw = lot(
        stage="raw", hang_g=None, hang_at=None, dose_open=0, dose_ticked=3, first_tick_at=ticked
    )
    found = {need.cause: need.level for need in lot_needs(raw, NOW, UTC)}
    assert found["cure-not-begun"] == level
    assert "cure-not-begun" not in causes(replace(raw, dose_open=1))
    assert "cure-not-begun" not in causes(replace(raw, dose_ticked=0))
    assert "cure-not-begun" not in causes(replace(raw, stage="in-cure", stage_at=ticked))
