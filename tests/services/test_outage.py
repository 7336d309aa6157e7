"""A failing place: one alert, and an event in each lot it touched, most at risk first."""

import json
import sqlite3
from datetime import UTC, datetime, timedelta

import pytest

from curedash.domain.errors import Refused
from curedash.domain.places.outage import is_touched, outage_of
from curedash.services.household import undo
from curedash.services.needs import check, watch
from curedash.services.places import outage, places
from curedash.store import lots as log
from curedash.store.work import By, change
from tests.airy import Cellar, steady

START = datetime(2026, 10, 1, tzinfo=UTC)
HOUR = timedelta(hours=1)


def full(conn: sqlite3.Connection) -> Cellar:
    """A cellar with a lot of every kind."""
    cellar = Cellar(conn, START)
    for code, stage, more in (
        ("C1", "drying", {}),
        ("C2", "in-cure", {}),
        ("C3", "keeping", {}),
        ("C4", "drying", {"ferments": 1}),
        ("C5", "equalising", {}),
        ("C6", "ferment", {}),
        ("C7", "raw", {}),
    ):
        cellar.lot(code, stage, **more)
    return cellar


def outages(conn: sqlite3.Connection, lot_id: int | None = None) -> list:
    return [
        e
        for e in log.events(conn, lot_id=lot_id, kind="outage")
        if lot_id is not None or e.lot_id is None
    ]


def test_a_failure_is_one_alert_and_an_event_in_each_lot_it_touched(
    conn: sqlite3.Connection,
) -> None:
    cellar = full(conn)
    cellar.pass_time(24, steady(3.5))
    cellar.pass_time(10, steady(12))
    assert cellar.opened() == [("place-too-warm", "act")]
    (need,) = check.current_needs(conn, cellar.now)
    assert need.action.endswith("look first at C3, C5, C4")
    touched = [item for _, look in cellar.looks for item in look.touched]
    assert [item.lot.code for item in touched] == ["C3", "C5", "C2", "C7"]
    assert {(item.stage_day, round(item.highest_c)) for item in touched} == {(1, 12)}
    cellar.pass_time(12, steady(3.5))
    (place_event,) = outages(conn)
    assert place_event.text.startswith("Cellar warm 2 Oct 00:00 to 2 Oct 10:10, highest 12.1 °C")
    (kept,) = outages(conn, touched[0].lot.id)
    data = json.loads(kept.data)
    assert data["to"] - data["from"] == pytest.approx(10 * 3600, abs=1300)
    assert data["hours"] == pytest.approx(10, abs=0.2)
    assert (data["stage"], data["stage_day"], data["limit_c"]) == ("keeping", 1, 7.0)
    assert kept.text == place_event.text
    cellar.pass_time(24, steady(3.5))
    assert len(outages(conn)) == 1


def test_two_failures_are_two_events(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    lot_id = cellar.lot("C1", "in-cure")
    for _ in range(2):
        cellar.pass_time(30, steady(3.5))
        cellar.pass_time(8, steady(11))
    cellar.pass_time(30, steady(3.5))
    assert len(outages(conn, lot_id)) == 2
    assert [cause for cause, _ in cellar.opened()] == ["place-too-warm"] * 2


def test_a_power_cut_that_silences_the_sensor_too(conn: sqlite3.Connection) -> None:
    """Nobody knows what happened in the gap: it begins with the last reading inside."""
    cellar = Cellar(conn, START)
    lot_id = cellar.lot("C1", "in-cure")
    cellar.pass_time(24, steady(3.5))
    cellar.pass_time(12, None)
    cellar.pass_time(8, steady(13))
    cellar.pass_time(20, steady(3.5))
    assert [cause for cause, _ in cellar.opened()] == ["place-silent", "place-too-warm"]
    (kept,) = outages(conn, lot_id)
    assert kept.at == "2026-10-02T00:00:00Z"


def test_a_failure_is_not_over_because_the_sensor_fell_silent(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    lot_id = cellar.lot("C1", "in-cure")
    cellar.pass_time(24, steady(3.5))
    cellar.pass_time(8, steady(12))
    cellar.pass_time(12, None)
    assert json.loads(outages(conn, lot_id)[0].data)["to"] is None
    cellar.pass_time(12, steady(3.5))
    assert json.loads(outages(conn, lot_id)[0].data)["to"] is not None


def test_a_lot_that_comes_into_a_warm_place_is_touched_too(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    cellar.pass_time(24, steady(3.5))
    cellar.pass_time(8, steady(12))
    late = cellar.lot("C2", "in-cure", hung=cellar.now)
    cellar.pass_time(4, steady(12))
    assert len(outages(conn, late)) == 1


# ── as a person saw it ────────────────────────────────────────────────────────────────────


def test_a_place_nobody_measures_keeps_the_same_event(conn: sqlite3.Connection, by: By) -> None:
    cellar = full(conn)
    cellar.now = datetime(2026, 10, 20, tzinfo=UTC)
    since = datetime(2026, 10, 18, 22, tzinfo=UTC)
    touched = outage.record(
        conn,
        cellar.by(),
        cellar.place,
        since=since,
        until=since + 9.5 * HOUR,
        highest_c=18,
        note="the plug was out",
    )
    assert [item.lot.code for item in touched] == ["C3", "C5", "C4", "C2", "C7", "C1"]
    (kept,) = outages(conn, touched[0].lot.id)
    assert kept.text == (
        "Cellar warm 18 Oct 22:00 to 19 Oct 07:30, highest 18.0 °C, 9.5 h; the plug was out"
    )
    assert (kept.at, json.loads(kept.data)["stage_day"]) == ("2026-10-18T22:00:00Z", 17)
    undo.undo_last(conn, cellar.by())
    assert outages(conn, touched[0].lot.id) == []


def test_only_lots_that_were_there_then_are_touched(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    moved_away, stayed = cellar.lot("C1", "in-cure"), cellar.lot("C2", "in-cure")
    came_later = cellar.lot("C3", "in-cure", hung=START + timedelta(days=9))
    closed = cellar.lot("C4", "in-cure")
    other = places.add_place(conn, cellar.by(), "Fridge 2")
    cellar.now = START + timedelta(days=12)
    with change(conn, cellar.by(), "move", subject="C1") as work:
        log.update(work, moved_away, place_id=other.id)
        log.add_event(
            work,
            at="2026-10-06T00:00:00Z",
            kind="moved",
            text="",
            lot_id=moved_away,
            place_id=other.id,
            data={"from": cellar.place.id, "to": other.id},
        )
        log.update(work, closed, stage="closed", stage_at="2026-10-04T00:00:00Z")
        log.add_stage(work, closed, "closed", "2026-10-04T00:00:00Z", cellar.place.id, None)

    def touched(day: int, place=cellar.place) -> list[str]:
        since = START + timedelta(days=day)
        found = outage.record(
            conn, cellar.by(), place, since=since, until=since + 8 * HOUR, highest_c=12
        )
        return [item.lot.code for item in found]

    assert touched(2) == ["C1", "C2", "C4"]
    assert touched(4) == ["C1", "C2"]
    assert touched(7) == ["C2"]
    assert touched(7, other) == ["C1"]
    assert touched(10) == ["C2", "C3"]
    assert stayed != came_later


def test_times_that_make_no_sense_are_refused(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    for since, until in (
        (START, START - HOUR),
        (START, START),
        (START, START + HOUR),
        (START - timedelta(days=70), START),
    ):
        with pytest.raises(Refused):
            outage.record(conn, cellar.by(), cellar.place, since=since, until=until, highest_c=12)
    assert log.events(conn, kind="outage") == []


# ── on paper ──────────────────────────────────────────────────────────────────────────────


def test_a_failure_is_read_from_the_last_reading_inside_to_the_first_inside_again() -> None:
    points = [(0, 4.0), (3600, 4.0), (7200, 9.0), (10800, 12.0), (14400, 8.0), (18000, 6.0)]
    found = outage_of(points, 7.0, 20_000, 7200)
    assert found is not None
    assert (found.since, found.until, found.highest_c) == (3600, 18000, 12.0)
    assert found.hours_above == pytest.approx(0.4 + 1 + 1 + 0.5)
    assert outage_of(points[:2], 7.0, 20_000, 7200) is None
    still = outage_of(points[:4], 7.0, 10_800, 7200)
    assert still is not None
    assert still.until is None


def test_a_compressor_that_struggles_is_one_failure() -> None:
    points = [(n * 600.0, 8.5 if n % 5 else 6.8) for n in range(6, 40)]
    found = outage_of([(0, 4.0), (3000, 4.0), *points], 7.0, 24_000, 7200)
    assert found is not None
    assert found.since == 3000


def test_each_stage_has_its_own_warmth() -> None:
    assert is_touched("in-cure", 5.1)
    assert not is_touched("in-cure", 5.0)
    assert not is_touched("drying", 16)
    assert is_touched("drying", 16.5)
    assert is_touched("raw", 4)
    assert not is_touched("ferment", 30)
    assert not is_touched("closed", 30)


# ── readings by hand, and what a person said ──────────────────────────────────────────────


def by_hand(conn: sqlite3.Connection, *points: tuple[float, float]) -> Cellar:
    """A place read by hand, so many hours after the start, at so many degrees."""
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    places.change_place(conn, cellar.by(), cellar.place, watch="hand-log")
    for hours, temp_c in points:
        at = START + timedelta(hours=hours)
        cellar.now = at
        typed = places.reading(at, temp_c, None)
        places.log_by_hand(conn, cellar.by(), place_again(conn, cellar), typed)
    return cellar


def place_again(conn: sqlite3.Connection, cellar: Cellar):
    return places.require_place(conn, cellar.place.name)


def test_a_gap_between_readings_by_hand_is_no_failure(conn: sqlite3.Connection) -> None:
    """3 °C, a day later 12 °C, soon cold again: no hour of the day between was read."""
    cellar = by_hand(conn, (0, 3.0), (24, 12.0), (25, 3.5))
    looked = watch.look(conn, cellar.by(), cellar.now)
    assert [need.level for need in looked.needs if need.level == "act"] == []
    assert outages(conn) == []


def test_a_failure_read_by_hand_begins_with_the_first_warm_reading() -> None:
    points = [(0, 3.0), (86_400, 12.0), (86_400 + 3600, 13.0)]
    found = outage_of(points, 7.0, 86_400 + 3600, 6 * 3600, by_hand=True)
    assert found is not None
    assert (found.since, found.hours_above) == (86_400, 1.0)


def test_a_cold_reading_by_hand_is_no_alarm_of_now(conn: sqlite3.Connection) -> None:
    cellar = by_hand(conn, (0, 13.0), (4, 13.0), (5, 3.0))
    assert "act" not in [need.level for need in check.current_needs(conn, cellar.now)]
    warm = by_hand_warm(conn, cellar)
    assert "place-too-warm" in warm


def by_hand_warm(conn: sqlite3.Connection, cellar: Cellar) -> list[str]:
    """The same place with a warm newest reading."""
    at = cellar.now = cellar.now + timedelta(minutes=30)
    places.log_by_hand(conn, cellar.by(), place_again(conn, cellar), places.reading(at, 14.0, None))
    return [need.cause for need in check.current_needs(conn, at)]


def test_what_a_person_said_covers_what_a_sensor_shows_of_it(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    lot_id = cellar.lot("C1", "in-cure")
    cellar.pass_time(24, steady(3.5))
    cellar.pass_time(8, steady(12))
    assert len(outages(conn, lot_id)) == 1
    began = START + timedelta(hours=23)
    outage.record(conn, cellar.by(), cellar.place, since=began, until=cellar.now, highest_c=14.0)
    (kept,) = outages(conn, lot_id)
    assert json.loads(kept.data)["highest_c"] == 14.0
    cellar.pass_time(2, steady(12))
    cellar.pass_time(12, steady(3.5))
    assert len(outages(conn, lot_id)) == 1


def test_a_failure_waits_for_a_decision_on_each_lot(conn: sqlite3.Connection) -> None:
    cellar = full(conn)
    cellar.now = START + timedelta(days=3)
    since = cellar.now - timedelta(hours=10)
    outage.record(
        conn, cellar.by(), cellar.place, since=since, until=cellar.now - HOUR, highest_c=14.0
    )
    (need,) = [n for n in check.current_needs(conn, cellar.now) if n.cause == "place-failed"]
    assert need.level == "act"
    assert need.action == "smell and press C3, C5, C2, C7; record what you decide"
    decided = outage.decide(conn, cellar.by(), cellar.place, "cold to the touch", cellar.now)
    assert [lot.code for lot in decided] == ["C3", "C5", "C2", "C7"]
    assert [n for n in check.current_needs(conn, cellar.now) if n.cause == "place-failed"] == []
    with pytest.raises(Refused, match="waits for a decision"):
        outage.decide(conn, cellar.by(), cellar.place, "again", cellar.now)


def test_where_a_lot_was_follows_its_stages_too(conn: sqlite3.Connection) -> None:
    """Hung in the chamber, softening in the fridge since: not touched by what failed before."""
    cellar = Cellar(conn, START)
    lot_id = cellar.lot("C1", "equalising")
    chamber = places.add_place(conn, cellar.by(), "Chamber")
    entries = log.stages(conn, lot_id)
    with change(conn, cellar.by(), "build") as work:
        work.update("stage_entry", entries[0].id, stage="in-cure", place_id=chamber.id)
        moved = "2026-10-05T00:00:00Z"
        log.add_stage(work, lot_id, "equalising", moved, cellar.place.id, None)
    cellar.now = START + timedelta(days=8)
    span = {"since": START + timedelta(days=1), "until": START + timedelta(days=2)}
    touched = outage.record(conn, cellar.by(), cellar.place, **span, highest_c=14.0)
    assert touched == []
    (left_out,) = outage.spared(conn, cellar.place, **span, highest_c=14.0)
    assert (left_out.lot.code, left_out.stage) == ("C1", "")
    there = outage.record(conn, cellar.by(), chamber, **span, highest_c=14.0)
    assert [item.lot.code for item in there] == ["C1"]


def test_a_limit_says_whose_it_is(conn: sqlite3.Connection) -> None:
    """The band of the place is wider than what is in cure there bears."""
    cellar = Cellar(conn, START, temp_c=(2, 6))
    cellar.lot("C1", "in-cure")
    cellar.pass_time(30, steady(5.8))
    (need,) = check.current_needs(conn, cellar.now)
    assert need.message.endswith("over 5, the limit for C1 (in cure)")
