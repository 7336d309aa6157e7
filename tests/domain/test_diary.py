"""The days to come, what days away change in them, and planning back; counted by hand."""

from datetime import UTC, date, datetime, timedelta

import pytest

from curedash.domain.errors import Refused
from curedash.domain.needs.days_away import Away
from curedash.domain.needs.diary import Stretch, diary_items, parse_away, passes_target
from curedash.domain.needs.plan_back import next_days, plan_back
from curedash.domain.records import Look, LotState, Pack, StoredForecast
from curedash.domain.typed.dates import parse_day
from tests.build import NOW, lot, weighed

TODAY = NOW.date()  # Wed 25 Nov 2026


def days_of(found: LotState, kind: str, *away: Away, days: int = 14) -> list[str]:
    stretch = Stretch(TODAY, TODAY + timedelta(days=days - 1), away)
    items = diary_items([found], [], NOW, UTC, stretch)
    return [item.first.isoformat()[5:] for item in items if item.kind == kind]


def in_cure(**values: object) -> LotState:
    known = {
        "stage": "in-cure",
        "stage_at": "2026-11-21T12:00:00Z",
        "hang_at": None,
        "hang_g": None,
        "cure_earliest_days": 9.2,
        "cure_usual_days": 11.0,
    }
    return lot(**(known | values))


def test_out_of_cure_is_counted_in_whole_days_never_rounded_down() -> None:
    # 21 Nov + 9.2 d, so the tenth day; + 11 d
    assert days_of(in_cure(), "cure-earliest") == ["12-01"]
    assert days_of(in_cure(), "cure-out") == ["12-02"]


def test_a_bag_is_turned_every_other_day_until_the_last() -> None:
    assert days_of(in_cure(), "turn") == ["11-25", "11-27", "11-29", "12-01"]


def test_a_turn_that_was_written_down_counts_on_from_then() -> None:
    def turns(turned_at: str) -> list[str]:
        stretch = Stretch(TODAY, date(2026, 12, 8))
        items = diary_items([in_cure()], [], NOW, UTC, stretch, turned={1: turned_at})
        return [item.first.isoformat()[5:] for item in items if item.kind == "turn"]

    assert turns("2026-11-24T12:00:00Z") == ["11-26", "11-28", "11-30"]
    assert turns("2026-11-21T18:00:00Z") == ["11-25", "11-27", "11-29", "12-01"]  # late: today


def test_turns_while_away_become_one_on_the_first_day_home() -> None:
    away = Away(date(2026, 11, 26), date(2026, 11, 29))
    assert days_of(in_cure(), "turn", away) == ["11-25", "11-30", "12-01"]


def test_what_can_wait_moves_to_the_first_day_home() -> None:
    away = Away(date(2026, 12, 1), date(2026, 12, 5))
    assert days_of(in_cure(), "cure-out", away) == ["12-06"]


def test_a_salt_box_comes_out_on_the_last_day_before_leaving() -> None:
    box = in_cure(salt_box=True, method="salt-box", cure_usual_days=8.5)
    assert days_of(box, "salt-box-out") == ["11-30"]
    away = Away(date(2026, 11, 29), date(2026, 12, 5))
    assert days_of(box, "salt-box-out", away) == ["11-28"]


def test_a_salt_box_past_its_moment_stands_on_today() -> None:
    box = in_cure(salt_box=True, method="salt-box", cure_usual_days=2.0)
    assert days_of(box, "salt-box-out") == ["11-25"]


def test_weigh_days_follow_the_rhythm_and_get_denser_near_the_window() -> None:
    hanging = weighed((30, 1000), (3, 800))
    assert days_of(hanging, "weigh", days=21) == ["11-29", "12-06", "12-13"]
    # hung 26 Oct, window from day 45 = 10 Dec: every three days from ten days before
    near = weighed((30, 1000), (3, 800), forecast=forecast(45, 60))
    assert days_of(near, "weigh", days=21) == ["11-29", "12-06", "12-09", "12-12", "12-15"]


def test_a_weigh_in_while_away_is_made_before_and_after() -> None:
    away = Away(date(2026, 11, 28), date(2026, 12, 5))
    hanging = weighed((30, 1000), (3, 800))
    assert days_of(hanging, "weigh", away, days=21) == ["11-27", "12-06", "12-13"]


def test_a_window_that_is_open_begins_today() -> None:
    near = weighed((30, 1000), (3, 800), forecast=forecast(25, 35))
    items = diary_items([near], [], NOW, UTC, Stretch(TODAY, date(2026, 12, 8)))
    pull = next(item for item in items if item.kind == "pull")
    assert (pull.first, pull.last) == (TODAY, date(2026, 11, 30))


def test_softening_that_is_over_waits_on_today() -> None:
    soft = lot(stage="equalising", stage_until="2026-11-20T12:00:00Z")
    assert days_of(soft, "equalising-over") == ["11-25"]


def test_a_fermenting_lot_wants_a_look_every_day_at_home_or_not() -> None:
    away = Away(date(2026, 11, 26), date(2026, 12, 5))
    assert len(days_of(lot(stage="ferment"), "ferment-look", away)) == 14


def test_a_ferment_whose_ph_is_reached_is_not_asked_for_one_again() -> None:
    stretch = Stretch(TODAY, TODAY + timedelta(days=13))
    items = diary_items([lot(stage="ferment")], [], NOW, UTC, stretch, soured={1})
    assert [(item.kind, item.first) for item in items] == [("ferment-over", TODAY)]


def test_keys_name_each_thing_once_within_its_lot() -> None:
    stretch = Stretch(TODAY, TODAY + timedelta(days=60))
    lots = [in_cure(), weighed((30, 1000), (3, 800), forecast=forecast(45, 60))]
    for found in lots:
        keys = [item.key for item in diary_items([found], [], NOW, UTC, stretch)]
        assert len(keys) == len(set(keys))


def test_a_pack_says_until_when_it_keeps() -> None:
    pack = Pack(3, 1, "2026-11-01T12:00:00Z", 200.0, "2026-12-01", None, None, None)
    items = diary_items([], [(lot(), pack)], NOW, UTC, Stretch(TODAY, date(2026, 12, 8)))
    assert [(i.kind, i.first) for i in items] == [("keep-until", date(2026, 12, 1))]


def test_a_day_counts_in_the_zone_of_the_file() -> None:
    from zoneinfo import ZoneInfo

    late = in_cure(stage_at="2026-11-21T23:30:00Z", cure_earliest_days=None)
    stretch = Stretch(TODAY, date(2026, 12, 8))
    vienna = diary_items([late], [], NOW, ZoneInfo("Europe/Vienna"), stretch)
    assert next(i.first for i in vienna if i.kind == "cure-out") == date(2026, 12, 3)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("12–19 Dec", "2026-12-12", "2026-12-19"),
        ("12-19 Dec", "2026-12-12", "2026-12-19"),
        ("22 Feb-4 Mar", "2027-02-22", "2027-03-04"),
        ("24 dec.-2 jan.", "2026-12-24", "2027-01-02"),
        ("fri-sun", "2026-11-27", "2026-11-29"),
        ("9.12.-12.12.", "2026-12-09", "2026-12-12"),
        ("28 Dec to 4 Jan", "2026-12-28", "2027-01-04"),
        ("24 Dec", "2026-12-24", "2026-12-24"),
        ("2026-12-01..2026-12-09", "2026-12-01", "2026-12-09"),
        ("fri – sun", "2026-11-27", "2026-11-29"),
    ],
)
def test_days_away_are_read_as_people_write_them(text: str, first: str, last: str) -> None:
    found = parse_away(text, lambda word: parse_day(word, NOW, UTC))
    assert (found.first.isoformat(), found.last.isoformat()) == (first, last)


@pytest.mark.parametrize("text", ["", "soon", "19 Dec to 12 Dec", "0-5 Dec", "..", "a..b"])
def test_days_away_that_make_no_sense_are_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_away(text, lambda word: parse_day(word, NOW, UTC))


def test_passing_the_target_is_said_only_when_four_of_five_do() -> None:
    assert passes_target((34.9, 36, 38), 35) == "may"
    assert passes_target((35.0, 36, 38), 35) == "will"
    assert passes_target((30, 33, 34.9), 35) == "no"
    assert passes_target(None, 35) is None


def test_planning_back_counts_every_part() -> None:
    # 24 Dec − (14 + 10 + 60) d = 1 Oct; slow 90 d: 1 Sep; quick 40 d: 21 Oct
    plan = plan_back(
        date(2026, 12, 24),
        date(2026, 9, 15),
        cure_days=13.2,
        drying_days=(40, 60, 90),
        rest_days=10,
    )
    assert (plan.salt_by_slow, plan.salt_by_usual, plan.salt_by_quick) == (
        date(2026, 9, 1),
        date(2026, 10, 1),
        date(2026, 10, 21),
    )
    assert plan.standing == "tight"


@pytest.mark.parametrize(
    ("today", "standing"),
    [
        (date(2026, 9, 1), "enough"),
        (date(2026, 9, 2), "tight"),
        (date(2026, 10, 1), "tight"),
        (date(2026, 10, 2), "unlikely"),
        (date(2026, 10, 22), "too-late"),
    ],
)
def test_planning_back_says_how_it_stands(today: date, standing: str) -> None:
    plan = plan_back(
        date(2026, 12, 24), today, cure_days=14, drying_days=(40, 60, 90), rest_days=10
    )
    assert plan.standing == standing
    for ready, days in zip(plan.ready_if_today, (64, 84, 114), strict=True):
        assert (ready - today).days == days


def forecast(lo: float, hi: float) -> StoredForecast:
    """A stored window in days since hanging."""
    from curedash.domain.record import field_names

    values = dict.fromkeys(field_names(StoredForecast))
    values |= {
        "lot_id": 1,
        "as_of": "2026-11-25T00:00:00Z",
        "model": "x",
        "method": "weigh-ins",
        "median_day": (lo + hi) / 2,
        "lo_day": float(lo),
        "hi_day": float(hi),
    }
    return StoredForecast(**values)  # type: ignore[arg-type]


def test_the_days_asked_for_must_not_run_backwards() -> None:
    with pytest.raises(Refused):
        diary_items(
            [],
            [],
            datetime(2026, 11, 25, tzinfo=UTC),
            UTC,
            Stretch(date(2026, 11, 25), date(2026, 11, 24)),
        )


def test_a_second_look_at_mould_is_in_the_diary() -> None:
    """Two days after it was written down; a worse finding asks for a decision instead."""
    mould = Look("mould", (NOW - timedelta(days=1)).isoformat(), "white, powdery, spots; left")
    seen = weighed((30, 1000), (1, 750), looks=(mould,))
    assert days_of(seen, "look-again") == ["11-26"]
    worse = Look("alarm", NOW.isoformat(), "black, slimy, spots; left")
    assert days_of(weighed((30, 1000), (1, 750), looks=(worse, mould)), "look-again") == []


def test_days_away_that_have_begun_are_read_too() -> None:
    """On 30 December 28 Dec is the one before 3 Jan; an end that is mistyped stays refused."""
    late = datetime(2026, 12, 30, 9, tzinfo=UTC)

    def read(text: str) -> Away:
        return parse_away(text, lambda word: parse_day(word, late, UTC))

    assert read("28 Dec to 3 Jan") == Away(date(2026, 12, 28), date(2027, 1, 3))
    assert read("2 Jan to 9 Jan") == Away(date(2027, 1, 2), date(2027, 1, 9))
    for backwards in ("15 Jan to 3 Jan", "28 Dec 2027 to 3 Jan 2027"):
        with pytest.raises(Refused):
            read(backwards)


@pytest.mark.parametrize("lots", [1, 2, 5, 30])
def test_few_finished_lots_leave_the_days_of_the_next_one_open(lots: int) -> None:
    """The bounds are those of scipy's lognormal for one more draw; one lot is no certainty."""
    from scipy.stats import lognorm

    low, median, high = next_days(lots, 42, 42, 42)
    spread = 0.25 * (1 + 1 / lots) ** 0.5
    expected = lognorm.ppf((0.1, 0.9), spread, scale=42)
    assert (low, high) == pytest.approx(tuple(expected), rel=1e-4)
    assert median == 42
    assert next_days(lots, 10, 42, 200) == (10, 42, 200), "what was seen stays within"
    plan = plan_back(
        date(2027, 4, 11), date(2027, 2, 15), cure_days=7, drying_days=(low, median, high)
    )
    assert plan.salt_by_slow < plan.salt_by_usual < plan.salt_by_quick
