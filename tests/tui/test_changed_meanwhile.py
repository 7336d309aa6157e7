"""What is saved rests on what was shown: changed meanwhile by somebody else, it is asked about."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from curedash.domain.times import utc_text
from curedash.services.dosing.tick import find_line, tick_line
from curedash.services.find import require_lot
from curedash.services.household.household import choose
from curedash.services.household.household_settings import add_scale, change_scale, typed_scale
from curedash.services.household.styles import set_style
from curedash.services.needs.alert_rules import set_rule
from curedash.services.needs.check import current_needs, snooze
from curedash.services.places.places import change_place, require_place
from curedash.store.open import open_db
from curedash.store.work import By
from tests.tui.test_misdose_screen import at_the_bench
from tests.tui.test_new_batch import EYE, SALTED, fill
from tests.tui.test_settings import go_to

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
JON = By(utc_text(NOW), "jon", "shell", "other")


def elsewhere(path, job: Callable) -> None:
    """Another program changes the file."""
    conn = open_db(str(path))
    job(conn)
    conn.close()


def whole(seat) -> str:
    return " ".join(seat.text().split())


@pytest.mark.parametrize(
    ("row", "typed", "theirs", "value"),
    [
        (
            ("zone", ""),
            "Europe/Vienna\r",
            lambda conn: choose(conn, JON, "zone", "Europe/Paris"),
            "SELECT value FROM setting WHERE name = 'zone'",
        ),
        (
            ("alert", "sensor-silent"),
            "9\r",
            lambda conn: set_rule(conn, JON, "sensor-silent", 5.0),
            "SELECT body FROM alert_rule WHERE id = 'sensor-silent'",
        ),
        (
            ("place", "Fridge 2"),
            "1..4C\r",
            lambda conn: change_place(conn, JON, require_place(conn, "Fridge 2"), temp_c=(0, 3)),
            "SELECT temp_lo_c, temp_hi_c FROM place WHERE name = 'Fridge 2'",
        ),
        (
            ("scale", "fine"),
            "fine 0.2 g 500 g\r",
            lambda conn: change_scale(conn, JON, "fine", typed_scale("fine 0.5 g 500 g")),
            "SELECT division_g FROM scale WHERE name = 'fine'",
        ),
    ],
)
async def test_a_setting_somebody_else_changed_is_asked_about(
    household, sit, row, typed, theirs, value
):
    path = household()
    elsewhere(path, lambda conn: add_scale(conn, JON, typed_scale("fine 0.1 g 500 g")))
    async with sit(path) as seat:
        await seat.press("S")
        await go_to(seat, *row)
        await seat.press("enter")
        await seat.press("ctrl+u")
        elsewhere(path, theirs)
        there = seat.ask(value)
        await seat.type(typed)
        assert "jon changed it meanwhile" in whole(seat)
        assert seat.ask(value) == there
        await seat.press("k")
        await seat.settle()
        assert seat.ask(value) != there


async def test_a_setting_is_left_as_somebody_else_made_it(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.press("S")
        await go_to(seat, "alert", "sensor-silent")
        await seat.press("enter")
        elsewhere(path, lambda conn: set_rule(conn, JON, "sensor-silent", 5.0))
        before = seat.ask("SELECT body FROM alert_rule WHERE id = 'sensor-silent'")
        await seat.type("9\r")
        await seat.press("n")
        assert "It stays as it is now." in whole(seat)
        assert seat.ask("SELECT body FROM alert_rule WHERE id = 'sensor-silent'") == before


def quiet_elsewhere(conn) -> None:
    need = next(n for n in current_needs(conn, NOW) if n.place == "Chamber" and n.lot is None)
    snooze(conn, JON, need, NOW + timedelta(days=5), "holiday", NOW)


async def test_a_need_somebody_else_made_quiet_is_asked_about(household, sit):
    reasons = "SELECT DISTINCT reason FROM need WHERE snoozed_until IS NOT NULL"
    path = household()
    async with sit(path) as seat:
        await seat.press("a", "z")
        elsewhere(path, quiet_elsewhere)
        await seat.type("2 guests\r")
        assert "jon changed it meanwhile: snooze Chamber 5 lots to weigh" in whole(seat)
        assert seat.ask(reasons) == [("holiday",)]
        await seat.press("k")
        await seat.settle()
        assert seat.ask(reasons) == [("guests",)]


SALT = "SELECT weighed_g FROM dose_line WHERE lot_id = 1 AND kind = 'salt'"


def salt_elsewhere(grams: float) -> Callable:
    def tick(conn) -> None:
        line = find_line(conn, require_lot(conn, "A1"), "salt")
        tick_line(conn, JON, line.id, grams)

    return tick


async def test_a_dose_ticked_elsewhere_is_shown_before_what_went_in_is_saved(
    tmp_path, sit, monkeypatch
):
    path = tmp_path / "new.db"
    events = "SELECT count(*) FROM event WHERE lot_id = 1 AND kind = 'misdose'"
    async with sit(path) as seat:
        await at_the_bench(seat)
        await seat.press("down")
        await seat.type("7")
        monkeypatch.setattr(seat.app.house, "look", lambda: None)  # no look in between
        elsewhere(path, salt_elsewhere(35.0))
        await seat.press("f10")
        assert "jon changed it meanwhile: tick A1 salt" in whole(seat)
        assert seat.ask(events) == [(0,)]
        await seat.press("k")
        await seat.settle()
        assert seat.ask(events) == [(1,)]


async def test_a_weight_entered_elsewhere_is_not_unticked_unseen(tmp_path, sit, monkeypatch):
    path = tmp_path / "new.db"
    async with sit(path) as seat:
        await at_the_bench(seat)
        await seat.press("escape")
        await seat.press("up", "up", "up", "up", "up")
        monkeypatch.setattr(seat.app.house, "look", lambda: None)  # no look in between
        elsewhere(path, salt_elsewhere(35.0))
        await seat.press("X")
        await seat.settle()
        assert seat.ask(SALT) == [(35.0,)]
        assert "salt was ticked meanwhile, 35 g" in whole(seat)


def loss_elsewhere(conn) -> None:
    set_style(conn, JON, "bresaola", {"loss_lo_pct": 40.0, "loss_hi_pct": 45.0})


async def test_a_style_changed_elsewhere_is_shown_before_its_batch_is_saved(tmp_path, sit):
    """The form was filled with the style as it was; nothing typed is lost whatever is answered."""
    path = tmp_path / "new.db"
    count = "SELECT count(*) FROM batch"
    async with sit(path) as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        elsewhere(path, loss_elsewhere)
        await seat.press("f10")
        assert "jon changed it meanwhile: set style bresaola" in whole(seat)
        assert seat.ask(count) == [(0,)]
        await seat.press("n")
        assert seat.app.screen.form.touched["pieces"] == EYE[2][1]
        await seat.press("escape")
        assert seat.ask("SELECT count(*) FROM draft") == [(1,)]
    async with sit(path) as seat:
        await seat.press("n", "f10")
        assert seat.ask(count) == [(1,)], "begun anew it rests on the style as it is"


async def test_a_batch_is_saved_all_the_same_if_it_is_said(tmp_path, sit):
    path = tmp_path / "new.db"
    async with sit(path) as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        elsewhere(path, loss_elsewhere)
        await seat.press("f10", "k")
        await seat.settle()
        assert seat.ask("SELECT count(*) FROM batch") == [(1,)]
        assert seat.ask("SELECT count(*) FROM draft") == [(0,)]
