"""Stages: the line, the moves, the weights they ask for, the days they count."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.curing import stages
from curedash.domain.curing.stages import (
    can_move,
    drying_days,
    moves,
    next_stage,
    notes_needed,
    parse_stage,
    spans,
    stage_day,
    stated,
    weights_asked,
    word,
)
from curedash.domain.errors import Refused

VIENNA = ZoneInfo("Europe/Vienna")
ids = st.sampled_from(stages.STAGES)


def utc(month: int, day: int, hour: int = 12) -> datetime:
    return datetime(2026, month, day, hour, tzinfo=UTC)


@pytest.mark.parametrize(
    ("rest", "ferments", "line"),
    [
        (False, False, "raw in-cure drying equalising keeping closed"),
        (True, False, "raw in-cure salt-rest drying equalising keeping closed"),
        (False, True, "raw in-cure ferment drying equalising keeping closed"),
        (True, True, "raw in-cure salt-rest ferment drying equalising keeping closed"),
    ],
)
def test_the_line_of_stages_leaves_out_what_the_style_has_not(rest, ferments, line) -> None:
    walked, stage = ["raw"], "raw"
    while (stage := next_stage(stage, rest, ferments)) is not None:
        walked.append(stage)
    assert " ".join(walked) == line


def test_the_usual_way_on_from_the_ends() -> None:
    assert next_stage("on-hold", False, False) == "drying"
    assert next_stage("closed", False, False) is None
    assert next_stage("discarded", False, False) is None


@pytest.mark.parametrize(
    ("stage", "to"),
    [
        ("raw", "drying"),
        ("in-cure", "closed"),
        ("equalising", "drying"),
        ("on-hold", "drying"),
        ("drying", "on-hold"),
        ("keeping", "drying"),
        ("raw", "discarded"),
        ("drying", "keeping"),
        ("on-hold", "keeping"),
        ("closed", "discarded"),
    ],
)
def test_moves_that_happen_in_a_household(stage: str, to: str) -> None:
    assert can_move(stage, to) is None
    assert to in moves(stage)


@pytest.mark.parametrize(
    ("stage", "to"),
    [
        ("in-cure", "raw"),
        ("drying", "in-cure"),
        ("closed", "drying"),
        ("discarded", "drying"),
        ("raw", "on-hold"),
        ("drying", "drying"),
        ("on-hold", "raw"),
        ("keeping", "raw"),
    ],
)
def test_moves_that_are_corrections_say_so(stage: str, to: str) -> None:
    reason = can_move(stage, to)
    assert reason is not None
    assert reason.endswith(".")


@given(ids, ids)
def test_the_usual_next_stage_is_always_allowed(stage: str, to: str) -> None:
    following = next_stage(stage, True, True)
    assert following is None or can_move(stage, following) is None
    assert (can_move(stage, to) is None) == (to in moves(stage))


@pytest.mark.parametrize(
    ("stage", "to", "hung", "asked"),
    [
        ("raw", "in-cure", False, ()),
        ("in-cure", "salt-rest", False, ("cured",)),
        ("salt-rest", "drying", False, ("hang", "tare")),
        ("in-cure", "drying", False, ("hang", "tare")),
        ("in-cure", "ferment", False, ("hang", "tare")),
        ("ferment", "drying", True, ()),
        ("drying", "equalising", True, ("stage",)),
        ("equalising", "drying", True, ("stage",)),
        ("equalising", "keeping", True, ()),
        ("drying", "closed", True, ("final",)),
        ("keeping", "closed", True, ("final",)),
        ("drying", "discarded", True, ()),
    ],
)
def test_a_move_asks_for_its_weights(stage: str, to: str, hung: bool, asked: tuple) -> None:
    assert weights_asked(stage, to, hung) == asked


def test_a_move_that_needs_a_note_says_why() -> None:
    assert notes_needed("in-cure") == ()
    assert notes_needed("drying", skips_ferment=True) == (
        "This style ferments first, and this lot has not fermented: say why in a note.",
    )
    assert notes_needed("ferment", skips_ferment=True) == ()
    assert notes_needed("on-hold", skips_ferment=True) == ()
    (cold,) = notes_needed("ferment", place_temp_c=3.0)
    assert cold.startswith("A ferment hardly starts below 10 °C, and this place is at 3.0 °C")
    (cold,) = notes_needed("ferment", place_band_c=(2.0, 5.0))
    assert "the band of this place is 2 °C to 5 °C and it has no reading" in cold
    assert notes_needed("ferment", place_temp_c=22.0) == ()
    assert "1 line of the dose sheet is not ticked" in notes_needed("in-cure", dose_open=1)[0]
    assert "3 d before" in notes_needed("drying", cure_days_left=2.2)[0]
    assert notes_needed("drying", place_temp_c=13) == ()
    assert notes_needed("equalising", place_temp_c=5) == ()
    assert "5 °C or colder" in notes_needed("equalising", place_temp_c=5.6)[0]
    (salting,) = notes_needed("in-cure", place_temp_c=12)
    assert salting.startswith(
        "A piece in cure belongs at 5 °C or colder, and this place is at 12.0 °C"
    )


def test_a_band_is_not_said_to_be_a_reading() -> None:
    (by_band,) = notes_needed("equalising", place_band_c=(10, 12.8))
    assert "the band of this place is 10 °C to 12.8 °C and it has no reading" in by_band
    assert notes_needed("equalising", place_band_c=(2, 6)) == ()
    # what was read speaks, whatever the band
    assert notes_needed("equalising", place_temp_c=4.0, place_band_c=(10, 14)) == ()


def test_days_are_counted_by_the_calendar_of_the_zone() -> None:
    late = datetime(2026, 11, 1, 23, 30, tzinfo=UTC)  # already 2 Nov in Vienna
    assert stage_day(late, utc(11, 3), VIENNA) == 1
    assert stage_day(late, utc(11, 3), UTC) == 2


@pytest.mark.parametrize("day", [(3, 28), (10, 24)])
def test_a_change_of_summer_time_neither_adds_nor_loses_a_day(day: tuple[int, int]) -> None:
    start = datetime(2026, *day, 23, 50, tzinfo=VIENNA)
    entries = [("drying", start)]
    assert drying_days(entries, start + timedelta(days=2), VIENNA) == 2


def test_hold_rest_and_softening_days_are_not_drying_days() -> None:
    entries = [
        ("in-cure", utc(10, 1)),
        ("salt-rest", utc(10, 15)),
        ("drying", utc(10, 20)),
        ("on-hold", utc(11, 1)),
        ("drying", utc(11, 6)),
        ("equalising", utc(11, 16)),
    ]
    assert drying_days(entries, utc(11, 25), UTC) == 12 + 10


def test_an_entry_still_to_come_is_left_out() -> None:
    assert [span.stage for span in spans([("drying", utc(12, 1))], utc(11, 25))] == []


@given(st.lists(st.tuples(ids, st.datetimes(datetime(2020, 1, 1), datetime(2030, 1, 1)))))
def test_stays_follow_each_other_without_gap(entries) -> None:
    aware = [(stage, at.replace(tzinfo=UTC)) for stage, at in entries]
    now = datetime(2028, 1, 1, tzinfo=UTC)
    stays = spans(aware, now)
    assert all(a.end == b.start for a, b in pairwise(stays))
    assert not stays or stays[-1].end == now
    assert (
        0 <= drying_days(aware, now, UTC) <= stage_day(datetime(2020, 1, 1, tzinfo=UTC), now, UTC)
    )


@pytest.mark.parametrize(
    ("text", "stage"),
    [
        ("drying", "drying"),
        ("In Cure", "in-cure"),
        ("salt_rest", "salt-rest"),
        ("hold", "on-hold"),
        ("eq", "equalising"),
        (" keep ", "keeping"),
        ("cure", "in-cure"),
        ("dry", "drying"),
    ],
)
def test_a_stage_as_typed(text: str, stage: str) -> None:
    assert parse_stage(text) == stage
    assert parse_stage(word(stage)) == stage


@pytest.mark.parametrize("text", ["", "d", "safe", "done", "expired", "🥩", "x" * 300])
def test_what_is_no_stage_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="choose raw"):
        parse_stage(text)


# where each stage may go: along the line, and the back-steps of a household (common practice)
ALLOWED = {
    "raw": "in-cure salt-rest ferment drying equalising keeping closed discarded",
    "in-cure": "salt-rest ferment drying equalising keeping closed discarded",
    "salt-rest": "in-cure ferment drying equalising keeping closed on-hold discarded",
    "ferment": "salt-rest drying equalising keeping closed discarded",
    "drying": "salt-rest ferment equalising keeping closed on-hold discarded",
    "equalising": "drying keeping closed on-hold discarded",
    "keeping": "drying equalising closed on-hold discarded",
    "closed": "discarded",
    "on-hold": "salt-rest ferment drying equalising keeping closed discarded",
    "discarded": "",
}


@pytest.mark.parametrize("stage", stages.STAGES)
def test_the_whole_table_of_moves(stage: str) -> None:
    assert moves(stage) == tuple(to for to in stages.STAGES if to in ALLOWED[stage].split())


def test_what_stands_against_a_move_is_said_in_one_sentence() -> None:
    assert can_move("drying", "drying") == "It is already drying."
    assert can_move("closed", "drying") == "It is closed: undo that before you go on with it."
    assert can_move("discarded", "closed") == "It is discarded: undo that before you go on with it."
    assert can_move("raw", "on-hold") == "It cannot go on hold while raw."
    assert can_move("drying", "in-cure") == (
        "From drying it cannot go back to in cure: correct or undo the earlier entry instead."
    )
    for call in (
        lambda: word("ripe"),
        lambda: next_stage("ripe", False, False),
        lambda: moves("ripe"),
        lambda: weights_asked("ripe", "drying", True),
        lambda: weights_asked("raw", "ripe", True),
        lambda: notes_needed("ripe"),
    ):
        with pytest.raises(Refused, match=r"No such stage; choose raw, in-cure, .* or discarded\."):
            call()


def test_what_a_note_answers_is_said_with_its_way_out() -> None:
    assert notes_needed("in-cure", dose_open=1) == (
        "1 line of the dose sheet is not ticked: tick them or say why in a note.",
    )
    assert notes_needed("in-cure", dose_open=3) == (
        "3 lines of the dose sheet are not ticked: tick them or say why in a note.",
    )
    assert notes_needed("drying", dose_open=3) == ()
    for left_d, days in ((0.2, 1), (1.0, 1), (1.1, 2), (12.0, 12)):
        assert notes_needed("drying", cure_days_left=left_d) == (
            f"{days} d before the earliest day out of the cure: say why in a note.",
        )
    for to in ("raw", "in-cure", "discarded"):
        assert notes_needed(to, cure_days_left=3) == ()
    assert notes_needed("drying", cure_days_left=0) == ()


@pytest.mark.parametrize("to", ["equalising", "on-hold", "keeping"])
def test_a_sealed_bag_belongs_at_five_degrees_or_colder(to: str) -> None:
    """Design value of this program; non-proteolytic C. botulinum grows from 3 °C."""
    (reason,) = notes_needed(to, place_temp_c=5.6)
    assert reason == (
        "A sealed bag belongs at 5 °C or colder, and this place is at 5.6 °C:"
        " move it or say why in a note."
    )
    assert stated(reason) == "A sealed bag belongs at 5 °C or colder, and this place is at 5.6 °C"
    assert stated(reason).parts["warm"].parts["here"].value == pytest.approx(5.6)  # type: ignore[attr-defined]


def test_of_a_band_its_middle_speaks() -> None:
    assert notes_needed("keeping", place_band_c=(4, 6)) == ()
    (reason,) = notes_needed("salt-rest", place_band_c=(4, 6.2))
    assert reason == (
        "A piece in salt rest belongs at 5 °C or colder,"
        " and the band of this place is 4 °C to 6.2 °C and it has no reading:"
        " move it or say why in a note."
    )
    ends = stated(reason).parts["warm"].parts  # type: ignore[attr-defined]
    assert (ends["low"].value, ends["high"].value) == (4, 6.2)
    assert stated("A plain sentence.") == "A plain sentence"


def test_a_stay_that_begins_now_is_a_stay_and_days_are_those_of_the_zone() -> None:
    now = utc(11, 25)
    assert [(s.stage, s.start, s.end) for s in spans([("drying", now)], now)] == [
        ("drying", now, now)
    ]
    late = datetime(2026, 11, 1, 23, 30, tzinfo=UTC)
    far = ZoneInfo("Pacific/Auckland")
    assert drying_days([("drying", late)], utc(11, 3), far) == 2
    assert drying_days([("drying", late)], utc(11, 3, 10), VIENNA) == 1
    with pytest.raises(Refused):
        spans([("ripe", utc(11, 1))], now)


@pytest.mark.parametrize(
    ("text", "stage"), [("rest", "salt-rest"), ("REST", "salt-rest"), ("Dry", "drying")]
)
def test_a_stage_by_one_word_of_its_name(text: str, stage: str) -> None:
    assert parse_stage(text) == stage


def test_a_ferment_starts_from_ten_degrees_and_a_cold_place_is_worded_in_any_unit():
    assert notes_needed("ferment", place_temp_c=10.0) == ()
    (cold,) = notes_needed("ferment", place_temp_c=9.9)
    assert "9.9 °F" in cold.worded(lambda quantity: f"{quantity.value:g} °F")  # type: ignore[attr-defined]
    (band,) = notes_needed("ferment", place_band_c=(2.0, 5.0))
    worded = band.worded(lambda quantity: f"{quantity.value:g} °F")  # type: ignore[attr-defined]
    assert "the band of this place is 2 °F to 5 °F and it has no reading" in worded
    (exact,) = notes_needed("ferment", place_band_c=(2.1234567, 5.0))
    assert "2.12346 °C to 5 °C" in exact
