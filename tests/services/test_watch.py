"""Looking again and again: what is told, how often, and what a set clock means."""

import sqlite3
from datetime import UTC, datetime, timedelta
from itertools import pairwise

from curedash.services.needs import check, watch
from curedash.services.needs.watch import ACCEPTED_AFTER_S, ClockWatch
from curedash.services.places.places import change_place, log_air, reading
from tests.airy import Cellar, steady

START = datetime(2026, 10, 1, tzinfo=UTC)


def warm(conn: sqlite3.Connection) -> Cellar:
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    cellar.pass_time(24, steady(5.6))
    return cellar


def test_what_stands_is_told_once_a_day(conn: sqlite3.Connection) -> None:
    cellar = warm(conn)
    cellar.pass_time(72, steady(5.6))
    assert cellar.opened() == [("place-warm", "today")]
    times = [at for at, look in cellar.looks if look.tell]
    assert [round((b - a) / timedelta(hours=1)) for a, b in pairwise(times)] == [24] * (
        len(times) - 1
    )
    assert len(times) >= 3


def test_a_snoozed_need_is_not_told_and_comes_back(conn: sqlite3.Connection) -> None:
    cellar = warm(conn)
    (need,) = check.current_needs(conn, cellar.now)
    until = cellar.now + timedelta(days=2)
    check.snooze(conn, cellar.by(), need, until, "new seal ordered", cellar.now)
    before = len(cellar.told())
    cellar.pass_time(47, steady(5.6))
    assert len(cellar.told()) == before
    assert check.current_needs(conn, cellar.now) == []
    (stored,) = check.remembered(conn)[0]
    assert stored.reason == "new seal ordered"
    cellar.pass_time(3, steady(5.6))
    assert cellar.told()[before:] == ["place-warm"]


def test_what_was_not_reached_is_told_at_the_next_look(conn: sqlite3.Connection) -> None:
    cellar = warm(conn)
    conn.execute("UPDATE need SET told_at = NULL")
    first = watch.look(conn, cellar.by(), cellar.now)
    second = watch.look(conn, cellar.by(), cellar.now)
    assert first.tell == second.tell != []
    watch.mark_announced(conn, first.tell, cellar.now)
    assert watch.look(conn, cellar.by(), cellar.now).tell == []


def test_lots_to_weigh_are_told_as_one_line_a_place(conn: sqlite3.Connection) -> None:
    cellar = Cellar(conn, START)
    for code in ("C1", "C2", "C3"):
        cellar.lot(code, "drying", weigh_every_days=7.0)
    cellar.pass_time(24 * 8, steady(12), look_every_h=12)
    told = [need for _, look in cellar.looks for need in look.tell]
    assert told
    assert {need.message.replace(", up to 1 d late", "") for need in told} == {
        "3 lots to weigh: C1, C2, C3"
    }
    assert len(told) <= 2


def test_a_clock_moved_while_running_is_doubted_for_an_hour(conn: sqlite3.Connection) -> None:
    clock = ClockWatch(1000.0, 50.0)
    assert clock.doubt(1600, 650) is None
    said = clock.doubt(1660 + 90_000, 710)
    assert said is not None
    assert "moved" in said
    assert clock.doubt(1660 + 90_000 + ACCEPTED_AFTER_S, 710 + ACCEPTED_AFTER_S) is not None
    late = 711 + ACCEPTED_AFTER_S
    assert clock.doubt(1661 + 90_000 + ACCEPTED_AFTER_S, late) is None
    assert clock.doubt(1671 + 90_000 + ACCEPTED_AFTER_S, late + 10) is None


def test_a_machine_that_slept_is_no_moved_clock() -> None:
    """Both clocks run on while it sleeps."""
    clock = ClockWatch(1000.0, 50.0)
    assert clock.doubt(1000 + 8 * 3600, 50 + 8 * 3600) is None


def test_a_doubted_clock_opens_and_clears_nothing(conn: sqlite3.Connection) -> None:
    cellar = warm(conn)
    before = check.remembered(conn)
    moved = cellar.now + timedelta(days=40)
    seen = watch.look(conn, cellar.by(), moved, clock="The clock was moved.")
    assert (seen.needs, seen.new, seen.tell, seen.cleared) == ([], [], [], [])
    assert check.remembered(conn) == before


def test_a_need_that_asks_for_something_else_is_remembered_so(conn: sqlite3.Connection) -> None:
    """The same words, but the place is read by hand from now on: a reading is asked for."""
    cellar = Cellar(conn, START)
    cellar.lot("C1", "in-cure")
    cellar.pass_time(24, steady(4))
    cellar.pass_time(60, lambda _: None)
    watch.look(conn, cellar.by(), cellar.now)
    (before,) = check.remembered(conn)[0]
    change_place(conn, cellar.by(), cellar.place, watch="hand-log")
    watch.look(conn, cellar.by(), cellar.now)
    (after,) = check.remembered(conn)[0]
    assert after.message == before.message
    assert (before.level, after.level) == ("act", "today")
    assert after.action != before.action


def test_a_silent_place_read_by_hand_needs_somebody_only_with_lots_in_it(
    conn: sqlite3.Connection,
) -> None:
    cellar = Cellar(conn, START)
    change_place(conn, cellar.by(), cellar.place, watch="hand-log")
    log_air(conn, cellar.place, [reading(START, 4.0, 80.0)])
    later = START + timedelta(hours=60)
    assert check.current_needs(conn, later) == []
    cellar.lot("A1", "in-cure")
    assert "place-silent" in {need.cause for need in check.current_needs(conn, later)}
