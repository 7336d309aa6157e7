"""Pull windows as kept in a real file: stored, added to, made anew when the lot changed."""

import json
import math
import sqlite3
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from curedash.domain.dosing import DoseRequest, resolve_curing_salt
from curedash.domain.drying.lot_figures import expected_net_g, weigh_again_on
from curedash.domain.household.book import Before, Spread
from curedash.domain.household.styles import style
from curedash.domain.record import replace
from curedash.domain.records import LotState, Reading
from curedash.domain.times import utc_text
from curedash.papers.blocks import as_text
from curedash.papers.record import record_of
from curedash.present import words
from curedash.present.drying.lot import detail_lines, facts, page_facts
from curedash.present.drying.past_windows import (
    held_words,
    past_lines,
    past_window_dated,
    past_window_words,
)
from curedash.present.household.book import before_line
from curedash.present.words import cells, text_of
from curedash.services.curing.change_stage import Move, change_stage
from curedash.services.dosing.add_batch import BatchSpec, PieceSpec, add_batch
from curedash.services.drying import forecasts
from curedash.services.drying.finish import Finishing, finish
from curedash.services.drying.past_windows import Score, past_windows_of, score_of, scores
from curedash.services.find import require_lot
from curedash.services.household.undo import undo_last
from curedash.services.lot_view import read_lot
from curedash.services.places import places
from curedash.services.places.roll_up import roll_up_days
from curedash.services.rack import read_row
from curedash.services.weighing.correct import void_weigh_in
from curedash.services.weighing.divide import Cut, Divided, Part, divide
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import derived, rack, weigh_ins
from curedash.store import lots as store_lots
from curedash.store.work import By, quiet

HUNG = datetime(2026, 10, 1, 12, tzinfo=UTC)


def who(moment: datetime) -> By:
    return By(utc_text(moment), "mara", "screen", "session-1")


def on(day: float) -> datetime:
    return HUNG + timedelta(days=day)


def page_g(day: float) -> float:
    """A made-up piece of 1000 g: Page's curve with limit 0.5, τ 45 d, n 0.85 (invented)."""
    return 1000 * (1 - 0.5 * (1 - math.exp(-((day / 45) ** 0.85))))


def drop(conn: sqlite3.Connection, code: str, day: float, gross_g: float) -> LotState:
    lot = require_lot(conn, code)
    seen = preview(lot, f"{gross_g:.0f} g", on(day), UTC)
    kept = weigh(conn, who(on(day)), lot.id, seen, keep_doubtful=True)
    forecasts.refresh(conn, kept.lot, on(day))
    return require_lot(conn, code)


@pytest.fixture
def hung(conn: sqlite3.Connection) -> LotState:
    dose = DoseRequest(
        green_g=1.0,
        salt_pct=2.75,
        curing_salt=resolve_curing_salt("no2"),
        cure_pct=0.25,
        scale_division_g=0.1,
        rule_set="us",
        product_class="dry-cured",
    )
    spec = BatchSpec(
        "Eye",
        "beef",
        style("bresaola"),
        (PieceSpec(1040.0, "", 72.0),),
        dose,
        place="Cellar",
        salted_at=on(-30),
    )
    lot = add_batch(conn, who(on(-30)), spec).lots[0]
    move = Move("drying", HUNG, weight_g=1000.0, tare_g=0.0)
    moved = change_stage(conn, who(HUNG), lot.id, move).lot
    forecasts.refresh(conn, moved, HUNG)
    return require_lot(conn, "A1")


def test_before_three_weigh_ins_it_is_a_rule_of_thumb_and_called_that(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    lot = drop(conn, "A1", 7, page_g(7))
    assert lot.forecast is not None
    assert lot.forecast.method.startswith("rule of thumb")


def test_from_three_weigh_ins_on_it_is_a_window_around_the_truth(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    for day in (7, 14, 21):
        drop(conn, "A1", day, page_g(day))
    row = read_row(conn, hung.id, on(21))
    assert row is not None
    assert row.figures.window is not None
    truth = next(day for day in range(22, 300) if page_g(day) <= 650)
    first, last = row.figures.window
    assert first < last
    assert first - timedelta(days=14) <= on(truth).date() <= last + timedelta(days=14)


def test_a_window_computed_from_a_string_as_one_piece_is_not_used_again(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    """Earlier versions stored windows of strings so; those of single pieces are good still."""
    for day in (7, 14, 21):
        alone = drop(conn, "A1", day, page_g(day))
    assert alone.forecast is not None
    stored = alone.forecast.model.partition(forecasts.OF)[0]
    assert stored == forecasts.model_of(alone)
    conn.execute("UPDATE lot SET count = 4")
    assert forecasts.model_of(require_lot(conn, "A1")) != stored


def test_weigh_ins_one_by_one_say_the_same_as_all_of_them_at_once(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    for day in (7, 14, 21, 28):
        added = drop(conn, "A1", day, page_g(day))
    conn.execute("DELETE FROM forecast")
    forecasts.refresh(conn, require_lot(conn, "A1"), on(28))
    anew = require_lot(conn, "A1")
    assert added.forecast is not None
    assert anew.forecast is not None
    assert added.forecast == anew.forecast
    for _ in range(3):  # a look, a note, another day: nothing that the window rests on
        forecasts.refresh(conn, require_lot(conn, "A1"), on(29))
    later = require_lot(conn, "A1").forecast
    assert later is not None
    assert (later.lo_day, later.hi_day) == (anew.forecast.lo_day, anew.forecast.hi_day)


def test_the_air_of_the_day_of_the_weigh_in_moves_no_window(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    cellar = places.require_place(conn, "Cellar")
    conn.execute("UPDATE stage_entry SET place_id = ? WHERE lot_id = ?", (cellar.id, hung.id))
    for day in range(1, 29):
        at = int(on(day).timestamp())
        places.log_air(conn, cellar, [Reading(at + 3600 * hour, 12.0, 76.0) for hour in (0, 6)])
    for day in (7, 14, 21, 28):
        before = drop(conn, "A1", day, page_g(day)).forecast
    places.log_air(conn, cellar, [Reading(int(on(28).timestamp()) + 28_800, 25.0, 40.0)])
    forecasts.refresh(conn, require_lot(conn, "A1"), on(28))
    after = require_lot(conn, "A1").forecast
    assert before is not None
    assert after is not None
    assert (before.lo_day, before.hi_day) == (after.lo_day, after.hi_day)
    assert "air" in after.method


def with_air(conn: sqlite3.Connection, hung: LotState) -> LotState:
    """Four weigh-ins in a place whose air was read twice a day."""
    cellar = places.require_place(conn, "Cellar")
    conn.execute("UPDATE stage_entry SET place_id = ? WHERE lot_id = ?", (cellar.id, hung.id))
    for day in range(1, 29):
        at = int(on(day).timestamp())
        places.log_air(conn, cellar, [Reading(at + 3600 * hour, 12.0, 76.0) for hour in (0, 6)])
    for day in (7, 14, 21, 28):
        lot = drop(conn, "A1", day, page_g(day))
    return lot


def late_readings(conn: sqlite3.Connection) -> None:
    """Warm dry days before the last weigh-in, whose readings arrive only now."""
    cellar = places.require_place(conn, "Cellar")
    found = [Reading(int(on(day).timestamp()) + 7200, 22.0, 45.0) for day in range(10, 27)]
    places.log_air(conn, cellar, found)


def test_readings_that_arrive_late_move_no_window_of_the_same_day(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    told = with_air(conn, hung).forecast
    assert told is not None
    late_readings(conn)
    seen = forecasts.look_ahead(conn, require_lot(conn, "A1"), on(28.3))
    assert seen.window_day == pytest.approx((told.lo_day, told.hi_day), abs=1e-9)
    assert seen.median_day == pytest.approx(told.median_day, abs=1e-9)
    assert seen.loss_on(40) == pytest.approx(seen.loss_on(40))
    forecasts.refresh(conn, require_lot(conn, "A1"), on(28.3))
    again = require_lot(conn, "A1").forecast
    assert again is not None
    assert (again.lo_day, again.hi_day) == (told.lo_day, told.hi_day)


def test_readings_that_arrived_late_count_from_the_next_day_and_weigh_in_on(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    told = with_air(conn, hung).forecast
    assert told is not None
    late_readings(conn)
    seen = forecasts.look_ahead(conn, require_lot(conn, "A1"), on(29))
    assert seen.window_day == pytest.approx((told.lo_day, told.hi_day), abs=1e-9), "as stored"
    assert forecasts.is_stale(require_lot(conn, "A1"), on(29))
    forecasts.refresh(conn, require_lot(conn, "A1"), on(29))
    moved = require_lot(conn, "A1").forecast
    assert moved is not None
    assert (moved.lo_day, moved.hi_day) != (told.lo_day, told.hi_day)
    seen = forecasts.look_ahead(conn, require_lot(conn, "A1"), on(29))
    assert seen.window_day == pytest.approx((moved.lo_day, moved.hi_day), abs=1e-9)


def test_a_weigh_in_of_the_same_day_takes_readings_that_arrived_late(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    with_air(conn, hung)
    late_readings(conn)
    late = drop(conn, "A1", 28.3, page_g(28.3)).forecast
    forecasts.refresh(conn, require_lot(conn, "A1"), on(29))
    anew = require_lot(conn, "A1").forecast
    assert late is not None
    assert anew is not None
    assert (late.lo_day, late.hi_day) == pytest.approx((anew.lo_day, anew.hi_day), abs=1e-6)


def test_the_air_of_another_place_counts_at_once(conn: sqlite3.Connection, hung: LotState) -> None:
    told = with_air(conn, hung).forecast
    assert told is not None
    shed = places.add_place(conn, who(on(28)), "Shed")
    conn.execute("UPDATE stage_entry SET place_id = ? WHERE lot_id = ?", (shed.id, hung.id))
    seen = forecasts.look_ahead(conn, require_lot(conn, "A1"), on(28.3))
    assert seen.window_day != pytest.approx((told.lo_day, told.hi_day), abs=1e-9)


def test_the_air_of_a_day_is_that_of_the_places_own_day(conn: sqlite3.Connection) -> None:
    """In Auckland (UTC+13) a day ends before noon UTC; boiled down or not, the means agree."""
    places.add_place(conn, who(HUNG), "Cellar")
    conn.execute("UPDATE place SET zone = 'Pacific/Auckland'")
    place = places.require_place(conn, "Cellar")
    midnight = datetime(2026, 10, 2, tzinfo=ZoneInfo("Pacific/Auckland"))
    readings = [
        Reading(int((midnight + timedelta(hours=hour)).timestamp()), 10.0 + hour // 24, 70.0)
        for hour in range(72)
    ]
    places.log_air(conn, place, readings)
    now = midnight + timedelta(days=3, minutes=-1)
    weighed_at = utc_text(midnight + timedelta(days=3))
    raw = forecasts._air(conn, utc_text(midnight), place.id, weighed_at)
    assert [(day.day, day.temp_c) for day in raw] == [(0, 10.0), (1, 11.0), (2, 12.0)]
    assert roll_up_days(conn, now) == 2
    rolled = forecasts._air(conn, utc_text(midnight), place.id, weighed_at)
    assert [round(day.temp_c) for day in rolled] == [10, 11, 12]
    assert [day.day for day in rolled] == [0, 1, 2]


def test_the_air_of_late_is_read_from_days_that_are_over_too(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    place = places.require_place(conn, "Cellar")
    now = on(40)
    readings = [
        Reading(int((now - timedelta(hours=hour)).timestamp()), 11.0, 72.0) for hour in range(96)
    ]
    places.log_air(conn, place, readings)
    assert roll_up_days(conn, now) > 0
    conn.execute("DELETE FROM reading WHERE at < ?", (int((now - timedelta(days=2)).timestamp()),))
    looked: list[str] = []
    conn.set_trace_callback(looked.append)
    found = forecasts.air_lately(conn, place, now)
    conn.set_trace_callback(None)
    assert found is not None
    assert (round(found.temp_c, 6), round(found.rh_pct, 6), found.read) == (11.0, 72.0, True)
    one_by_one = [line for line in looked if "FROM reading " in line]
    assert len(one_by_one) <= forecasts.LATELY_DAYS - 3, "rolled days are not averaged anew"


def test_a_void_makes_it_anew(conn: sqlite3.Connection, hung: LotState) -> None:
    for day in (7, 14, 21):
        before = drop(conn, "A1", day, page_g(day))
    drop(conn, "A1", 28, 900)
    undo_last(conn, who(on(28)))
    lot = require_lot(conn, "A1")
    assert forecasts.is_stale(lot, on(28))
    forecasts.refresh(conn, lot, on(21))
    after = require_lot(conn, "A1").forecast
    assert before.forecast is not None
    assert after is not None
    assert after.median_day == pytest.approx(before.forecast.median_day, rel=0.05)


def test_hold_days_are_no_drying_days(conn: sqlite3.Connection, hung: LotState) -> None:
    for day in (7, 14, 21):
        drop(conn, "A1", day, page_g(day))
    straight = require_lot(conn, "A1").forecast
    hold = Move("on-hold", on(21.1), note="away", keep_doubtful=True)
    change_stage(conn, who(on(21.1)), hung.id, hold)
    back = change_stage(conn, who(on(41.1)), hung.id, Move("drying", on(41.1), keep_doubtful=True))
    forecasts.refresh(conn, back.lot, on(41.2))
    held = require_lot(conn, "A1").forecast
    assert straight is not None
    assert held is not None
    assert straight.median_day is not None
    assert held.median_day == pytest.approx(straight.median_day + 20, abs=2)


def test_the_target_reached_is_said_with_its_day(conn: sqlite3.Connection, hung: LotState) -> None:
    for day, grams in ((20, 800.0), (40, 700.0), (50, 640.0)):
        lot = drop(conn, "A1", day, grams)
    assert lot.forecast is not None
    assert lot.forecast.method == "target reached"
    assert 40 < (lot.forecast.median_day or 0) < 50


def test_the_weigh_in_line_expects_what_the_forecast_foretells(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    for day in (7, 14, 21):
        lot = drop(conn, "A1", day, page_g(day))
    expected = expected_net_g(lot, on(28))
    assert expected is not None
    assert abs(expected[0] - page_g(28)) < max(2 * expected[1], 15)


@pytest.mark.parametrize("near", ["[[16*241]]", "[[1, 2]]", "[[1, 1, 1, 1], [1, 1, 1, 1]]", "{"])
def test_a_damaged_curve_of_the_window_is_as_if_there_were_none(
    conn: sqlite3.Connection, hung: LotState, near: str
) -> None:
    lot = drop(conn, "A1", 7, page_g(7))
    bare = expected_net_g(replace(lot, forecast=None), on(14))
    assert lot.forecast is not None
    damaged = replace(lot, forecast=replace(lot.forecast, near=near))
    assert expected_net_g(damaged, on(14)) == bare


def test_the_places_air_is_used_when_there_is_some(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    place = places.require_place(conn, "Cellar")
    readings = [
        Reading(int(on(hour / 24).timestamp()), 12.0, 75.0) for hour in range(0, 21 * 24, 2)
    ]
    places.log_air(conn, place, readings)
    for day in (7, 14, 21):
        lot = drop(conn, "A1", day, page_g(day))
    assert lot.forecast is not None
    assert "air" in lot.forecast.method


def test_a_finished_lot_of_the_place_is_read_once_and_used(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    for day in (7, 14, 21, 28, 35, 42, 49, 56):
        drop(conn, "A1", day, page_g(day))
    change_stage(conn, who(on(57)), hung.id, Move("keeping", on(57), keep_doubtful=True, note="x"))
    lot = second_here(conn, 60)
    assert lot.forecast is not None
    assert "1 lot dried here" in lot.forecast.method
    kept = derived.forecast(conn, hung.id)
    assert kept is not None
    assert (kept[0].method, kept[1] is not None) == ("finished", True)


def test_windows_that_rest_on_a_lot_follow_when_it_dries_on_after_all(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    for day in (7, 14, 21, 28, 35, 42, 49, 56):
        drop(conn, "A1", day, page_g(day))
    change_stage(conn, who(on(57)), hung.id, Move("keeping", on(57), keep_doubtful=True, note="x"))
    lot = second_here(conn, 60)
    again = Move("drying", on(82), keep_doubtful=True, note="x")
    back = change_stage(conn, who(on(82)), hung.id, again).lot
    assert forecasts.refresh(conn, back, on(82)) == [lot.id]
    after = require_lot(conn, lot.code)
    assert after.forecast is not None
    assert "dried here" not in after.forecast.method


def test_a_weigh_in_reads_no_other_lot_while_none_rests_on_it(
    conn: sqlite3.Connection, hung: LotState, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The window of one lot is most of the time of a weigh-in; those of all others are not read."""
    second_here(conn, 10)

    def all_of_them(_conn: sqlite3.Connection) -> list[LotState]:
        raise AssertionError("every open lot is read for one weigh-in")

    monkeypatch.setattr(rack, "open_lots", all_of_them)
    assert drop(conn, "A1", 35, page_g(35)).forecast is not None


def dry_on(conn: sqlite3.Connection, code: str, days: range, *, hung_on: float = 0) -> LotState:
    """Weekly weigh-ins of a lot whose weights are a part of the invented piece's."""
    lot = require_lot(conn, code)
    for day in days:
        assert lot.base_g is not None
        lot = drop(conn, code, hung_on + day, lot.base_g * page_g(day) / 1000)
    return lot


def second_here(conn: sqlite3.Connection, hung_on: float) -> LotState:
    """Another piece hung in the same cellar, with three weigh-ins."""
    dose = DoseRequest(
        green_g=1.0,
        salt_pct=2.75,
        curing_salt=resolve_curing_salt("no2"),
        cure_pct=0.25,
        scale_division_g=0.1,
        rule_set="us",
        product_class="dry-cured",
    )
    spec = BatchSpec(
        "Second",
        "beef",
        style("bresaola"),
        (PieceSpec(1040.0, "", 72.0),),
        dose,
        place="Cellar",
        salted_at=on(hung_on - 30),
    )
    lot = add_batch(conn, who(on(hung_on - 30)), spec).lots[0]
    hang = Move("drying", on(hung_on), weight_g=1000.0, tare_g=0.0)
    change_stage(conn, who(on(hung_on)), lot.id, hang)
    return dry_on(conn, lot.code, range(7, 22, 7), hung_on=hung_on)


def cut(conn: sqlite3.Connection, code: str, day: float, *, eaten: bool = False) -> Divided:
    whole = require_lot(conn, code)
    net_g = whole.last_net_g
    assert net_g is not None
    parts = (Part(round(net_g * 0.6)), Part(round(net_g * 0.4), eaten=eaten))
    return divide(conn, who(on(day)), whole.id, Cut(parts, on(day), keep_doubtful=True))


def test_a_lot_that_was_divided_did_not_finish_drying(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    dry_on(conn, "A1", range(7, 29, 7))
    cut(conn, "A1", 29)
    lot = second_here(conn, 60)
    assert lot.forecast is not None
    assert "dried here" not in lot.forecast.method


def test_a_part_eaten_at_the_cut_did_not_finish_drying(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    dry_on(conn, "A1", range(7, 29, 7))
    cut(conn, "A1", 29, eaten=True)
    lot = second_here(conn, 60)
    assert lot.forecast is not None
    assert "dried here" not in lot.forecast.method


def test_the_part_that_dried_on_by_itself_counts_once_finished(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    dry_on(conn, "A1", range(7, 29, 7))
    part = cut(conn, "A1", 29).parts[0]
    dry_on(conn, part.code, range(36, 58, 7))
    finish(conn, who(on(58)), part.id, Finishing(on(58)))
    lot = second_here(conn, 60)
    assert lot.forecast is not None
    assert "1 lot dried here" in lot.forecast.method


def test_parts_of_a_lot_cut_after_it_dried_count_as_the_one_curve_they_are(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    dry_on(conn, "A1", range(7, 57, 7))
    change_stage(conn, who(on(57)), hung.id, Move("keeping", on(57), keep_doubtful=True, note="x"))
    cut(conn, "A1", 58)
    lot = second_here(conn, 60)
    assert lot.forecast is not None
    assert "1 lot dried here" in lot.forecast.method


def test_a_discarded_lot_and_one_closed_without_an_end_teach_nothing(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    dry_on(conn, "A1", range(7, 57, 7))
    gone = Move("discarded", on(57), keep_doubtful=True, note="black mould")
    change_stage(conn, who(on(57)), hung.id, gone)
    lot = second_here(conn, 60)
    assert lot.forecast is not None
    assert "dried here" not in lot.forecast.method
    closed = Move("closed", on(85), keep_doubtful=True, note="given away")
    change_stage(conn, who(on(85)), lot.id, closed)
    assert store_lots.dried_in(conn, lot.place_id, forecasts.FINISHED_STAGES, 12) == []
    finish(conn, who(on(86)), lot.id, Finishing(on(86)))
    assert store_lots.dried_in(conn, lot.place_id, forecasts.FINISHED_STAGES, 12) == [lot.id]


def test_nonsense_in_the_curve_costs_no_weigh_in(conn: sqlite3.Connection, hung: LotState) -> None:
    for day, grams in ((7, 930.0), (14, 1200.0), (21, 1300.0)):
        lot = drop(conn, "A1", day, grams)
    assert lot.last_net_g == 1300.0
    assert lot.forecast is not None
    assert lot.forecast.median_day is None


def test_the_day_that_tells_most_lies_within_the_rhythm_and_before_the_window(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    assert hung.forecast is not None
    assert hung.forecast.weigh_again_day is None, "before three weigh-ins no day tells more"
    for day in (3, 7, 12):
        lot = drop(conn, "A1", day, page_g(day))
    stored = lot.forecast
    assert stored is not None
    assert stored.lo_day is not None
    assert stored.weigh_again_day is not None
    assert 12 < stored.weigh_again_day <= min(12 + lot.weigh_every_days, stored.lo_day)
    on_day = weigh_again_on(lot, UTC)
    assert on_day == on(stored.weigh_again_day).date()
    held = change_stage(conn, who(on(13)), lot.id, Move("on-hold", on(13))).lot
    forecasts.refresh(conn, held, on(13))
    kept = require_lot(conn, "A1").forecast
    assert kept is None or kept.weigh_again_day is None, "on hold there is nothing to weigh for"


def test_a_look_ahead_says_what_is_stored_without_computing_it_again(
    conn: sqlite3.Connection, hung: LotState, monkeypatch: pytest.MonkeyPatch
) -> None:
    for day in (3, 7, 12, 18):
        lot = drop(conn, "A1", day, page_g(day))
    assert lot.forecast is not None
    monkeypatch.setattr(
        "curedash.domain.drying.forecast.pull_forecast.fit", None
    )  # nothing is gone through again
    told = forecasts.look_ahead(conn, lot, on(18))
    assert told.median_day == pytest.approx(lot.forecast.median_day, abs=1e-9)
    assert told.window_day == pytest.approx((lot.forecast.lo_day, lot.forecast.hi_day), abs=1e-9)
    voided = weigh_ins.of_lot(conn, lot.id)[-2]
    monkeypatch.undo()
    void_weigh_in(conn, who(on(18)), voided.id)
    changed = require_lot(conn, "A1")
    assert forecasts.look_ahead(conn, changed, on(18)).weigh_ins_used == told.weigh_ins_used - 1


def test_what_windows_said_is_recorded_by_the_day_and_held_to_the_outcome(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    for day in (7, 14, 21, 28):
        drop(conn, "A1", day, page_g(day))
    assert [told.told_on for told in derived.stored_windows(conn, hung.id)] == [
        utc_text(on(day))[:10] for day in (14, 21, 28)
    ]
    assert past_windows_of(conn, require_lot(conn, "A1")) == [], "not there yet"
    for day in range(35, 78, 7):
        drop(conn, "A1", day, page_g(day))
    lot = require_lot(conn, "A1")
    said = past_windows_of(conn, lot)
    assert len(said) >= 3
    first = said[0]
    assert (first.told_on, first.place) == (on(14).date(), "Cellar")
    assert first.inside == (first.first <= first.reached <= first.last)
    assert past_lines(said, [])[0].startswith("A1: on ")
    every, found = scores(conn)
    assert [one.lot.id for one in every] == [lot.id] * len(said)
    assert (found[0].style, found[0].windows, found[1].place) == (None, len(said), "Cellar")
    assert found[0].inside_pct == pytest.approx(100 * sum(x.inside for x in said) / len(said))
    assert found[0].held == sum(x.inside for x in said)
    off = [abs((x.middle - x.reached).days) for x in said]
    assert found[0].off_days == pytest.approx(sum(off) / len(off))


def test_a_window_counts_once_a_weigh_in_however_often_it_was_looked_at(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    dry_on(conn, "A1", range(7, 29, 7))
    for day in range(29, 34):
        forecasts.refresh(conn, require_lot(conn, "A1"), on(day))
    assert len(derived.stored_windows(conn, hung.id)) > 3, "each day that was looked at is stored"
    lot = dry_on(conn, "A1", range(35, 78, 7))
    said = past_windows_of(conn, lot)
    assert [one.told_on for one in said[:4]] == [on(day).date() for day in (14, 21, 28, 35)]


def test_where_it_was_told_as_stalled_that_is_what_was_said_and_no_window_scored(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    lot = dry_on(conn, "A1", range(7, 78, 7))
    conn.execute("UPDATE forecast_told SET p_levels_off = 0.6 WHERE told_on < '2026-10-20'")
    said = past_windows_of(conn, lot)
    assert (said[0].stalled, said[-1].stalled) == (True, False)
    assert ": stalled, may not get there; it was " in past_lines(said, [])[0]
    counted = scores(conn)[1][0].windows
    assert counted == sum(not one.stalled for one in said) < len(said)
    assert held_words(said).endswith(f" of {counted} were right")


@pytest.mark.parametrize(("last", "explained"), [(30, True), (78, False)])
def test_how_sure_a_window_is_is_explained_until_the_target_is_reached(
    conn: sqlite3.Connection, hung: LotState, last: int, explained: bool
) -> None:
    lot = dry_on(conn, "A1", range(7, last, 7))
    view = read_lot(conn, lot.id, on(last))
    texts = " ".join(text_of(line) for line in detail_lines(view, on(last).date(), UTC, 80))
    assert ("8 in 10 such pieces" in texts) == explained


def test_what_windows_said_is_on_the_lot_page_in_its_record_and_scored_for_the_book(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    lot = dry_on(conn, "A1", range(7, 78, 7))
    said = past_windows_of(conn, lot)
    view = read_lot(conn, lot.id, on(78))
    assert list(view.past_windows) == said
    assert ("windows", held_words(said), "") in facts(view, on(78).date(), UTC)
    beside = [said_there for _, said_there, _ in page_facts(view, on(78).date(), UTC)]
    assert beside[-4:] == [past_window_words(one) for one in said][-4:]
    listed = [text_of(line).strip() for line in detail_lines(view, on(78).date(), UTC, 80)]
    assert [past_window_words(one) for one in said] == [
        line for line in listed if line.startswith("on ")
    ]
    paper = as_text(record_of(conn, [lot], on(78)))
    assert "Earlier pull windows" in paper
    for one in said:
        assert past_window_dated(one) in paper
    score = score_of(conn, "bresaola", "Cellar")
    assert score is not None
    assert (score.windows, score.held) == (len(said), sum(one.inside for one in said))
    assert score_of(conn, "bresaola", "Attic") is None
    assert score_of(conn, "coppa", None) is None


def test_a_lot_that_is_not_there_says_in_short_what_was_window_before(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    """Windows after the weigh-ins of days 14, 21 and 28: the newest is shown, 21 was before."""
    lot = dry_on(conn, "A1", range(7, 15, 7))
    assert read_lot(conn, lot.id, on(14)).window_before is None, "one window, none before it"
    lot = dry_on(conn, "A1", range(21, 29, 7))
    stored = derived.stored_windows(conn, lot.id)
    assert len(stored) == 3
    first, last = (on(day).date() for day in (stored[1].lo_day, stored[1].hi_day))
    known = {
        name: words for name, words, _ in facts(read_lot(conn, lot.id, on(28)), on(28).date(), UTC)
    }
    assert known["before"] == f"on {words.day(on(21).date())}: {words.days(first, last)}"
    lot = dry_on(conn, "A1", range(35, 78, 7))
    assert read_lot(conn, lot.id, on(78)).window_before is None, "there: what was said is judged"


def test_how_the_windows_of_a_finished_lot_did_moves_those_of_the_next_and_is_named(
    conn: sqlite3.Connection, hung: LotState
) -> None:
    dry_on(conn, "A1", range(7, 78, 7))
    change_stage(conn, who(on(78)), hung.id, Move("equalising", on(78)))
    lot = second_here(conn, 80)
    named = forecasts.evidence_of(conn, lot, on(101))
    assert named[-1].what == "earlier windows of 1 lot"
    assert (named[-1].median_day, named[-1].window_day) == (
        forecasts.look_ahead(conn, lot, on(101)).median_day,
        forecasts.look_ahead(conn, lot, on(101)).window_day,
    )
    assert named[-1].window_day != named[-2].window_day
    stored = lot.forecast
    assert stored is not None
    assert (stored.lo_day, stored.hi_day) == pytest.approx(named[-1].window_day)
    conn.execute("DELETE FROM forecast_told WHERE lot_id = ?", (hung.id,))
    assert forecasts.evidence_of(conn, lot, on(101)) == named, "it was read once"
    fit, text = derived.forecast(conn, hung.id) or (None, None)
    assert fit is not None
    assert text is not None
    whole = json.loads(text)
    with quiet(conn):
        derived.put_forecast(conn, fit, json.dumps(whole[:4]).encode())
    assert len(forecasts.evidence_of(conn, lot, on(101))) == len(named) - 1, "nothing told, none"


@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_book_says_how_many_windows_of_a_style_and_place_held_the_day(width: int) -> None:
    """Where the line is short the spread of the days goes first, then the days, never the score."""
    before = Before(
        5, Spread(5, 41.0, 38.0, 47.0), Spread(5, 0.84, 0.7, 0.9), None, None, None, "hang"
    )
    score = Score("bresaola", "Cellar", 15, 5, 12, 80.0, 7.0, 13.0, 16.0, 3.6)
    line = text_of(before_line("bresaola in Cellar", before, score, width))
    assert cells(line) <= width
    assert "12 of 15 windows right, 4 d off" in line
    assert text_of(before_line("bresaola in Cellar", before, None, width)).count("windows") == 0
