"""The first start: once, on a file that never held a lot; everything may be skipped."""

import os
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from curedash.present.display_units import show_in
from curedash.services.file.backup import back_up
from curedash.services.file.demo_file import demo_path
from curedash.services.household.preferences import load
from curedash.store.open import open_db
from curedash.tui.screens.first_start import FirstStart


@pytest.fixture(autouse=True)
def usual_units():
    show_in()
    yield
    show_in()


async def test_an_empty_file_begins_with_what_it_is_and_two_ways_to_begin(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        text = seat.text()
        assert "Brings each piece you dry-cure to its right moment" in text
        assert "n  salt the first batch" in text
        assert "F4 try an invented household" in text
        await seat.press("n")
        assert seat.app.screen.NAME == "new_batch"


async def test_it_is_shown_once(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("q")
        assert "No lots yet. Press n to salt the first batch." in seat.text()
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        assert seat.app.screen.NAME == "rack"
        assert seat.ask("SELECT count(*) FROM change") == [(0,)]


async def test_a_new_file_beside_copies_with_lots_says_how_to_bring_them_back(
    household, tmp_path, sit
):
    path = household()
    with closing(open_db(str(path))) as conn:
        back_up(conn, str(path), None, datetime(2026, 11, 25, 18, tzinfo=UTC))
    for name in (path, f"{path}-wal", f"{path}-shm"):
        Path(name).unlink(missing_ok=True)
    async with sit(path) as seat:
        await seat.settle()
        assert "1 copy with lots beside this file: 'curedash restore' brings" in seat.text()
        assert "n  salt the first batch" in seat.text()
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        assert "curedash restore" not in seat.text()


async def test_never_on_a_file_that_holds_a_lot(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.settle()
        assert not isinstance(seat.app.screen, FirstStart)
        assert seat.ask("SELECT value FROM setting WHERE name = 'first-start'") == []


async def test_answers_are_kept_and_can_be_typed_one_after_another(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("enter", "2", "enter")
        assert "lb and oz, °F, inches" in seat.text()
        assert load().shown() == ("lb", "F", "in", "letter"), "one answer settles all units"
        await seat.press("down", "enter", "3", "enter")
        await seat.press("down", "enter")
        await seat.type("kitchen 0.1 oz 11 lb\r")
        await seat.press("down", "enter")
        await seat.type("Fridge 36..41 70..80%\r")
        assert seat.ask("SELECT value FROM setting WHERE name = 'rule_set'") == [("eu",)]
        # NIST SP 811 (2008), appendix B.8: 1 oz = 28.349523125 g, 1 lb = 453.59237 g
        [(name, division, most)] = seat.ask("SELECT name, division_g, max_g FROM scale")
        assert (name, division) == ("kitchen", pytest.approx(2.8349523125))
        assert most == pytest.approx(11 * 453.59237)
        [(low, high)] = seat.ask("SELECT temp_lo_c, temp_hi_c FROM place")
        assert (low, high) == (pytest.approx((36 - 32) / 1.8), pytest.approx(5.0))
        assert "36–41 °F, 70–80 % RH" in seat.text()


async def test_the_demo_has_a_file_of_its_own(tmp_path, sit, monkeypatch):
    told, busy = [], FirstStart.busy
    monkeypatch.setattr(
        FirstStart, "busy", lambda page, words: told.append(words) or busy(page, words)
    )
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("f4")
        shares = [words.count("█") for words in told]
        assert shares[0] == 0
        assert max(shares) >= 8, told
        assert shares == sorted(set(shares)), "each tenth once, onward"
        assert seat.app.next_file == demo_path()
        assert os.path.exists(demo_path())
        assert seat.ask("SELECT count(*) FROM lot") == [(0,)]


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_every_question_fits(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.settle()
        for label in ("units shown", "limits for nitrite", "scales", "places", "time zone"):
            assert label in seat.text()
        assert "…" not in seat.text()


async def test_a_place_is_understood_alike_in_both_questions(tmp_path, sit):
    places = "SELECT name, round(temp_lo_c, 1), round(temp_hi_c, 1), rh_lo_pct FROM place"
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("down", "down", "down", "enter")
        await seat.type("Chamber 50-55F 70-75%\r")
        assert seat.ask(places) == [("Chamber", 10.0, 12.8, 70.0)]
        assert "Saved: Chamber, 10–12.8 °C, 70–75 % RH" in seat.text()
        await seat.press("up", "enter")
        await seat.type("36 – 41 F\r")
        assert seat.ask(places) == [("Chamber", 2.2, 5.0, 70.0)]
        await seat.press("enter")
        await seat.type("Wine fridge\r")
        assert seat.ask(places) == [("Wine fridge", 2.2, 5.0, 70.0)]


async def test_what_is_refused_of_a_place_can_be_typed_on(tmp_path, sit):
    names = "SELECT name FROM place ORDER BY id"
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("down", "down", "down", "enter")
        await seat.type("Fridge\r")
        await seat.press("enter")
        await seat.type("Fridge 55F\r")
        assert "“55F” is one end of a band" in seat.text()
        for _ in "55F":
            await seat.press("backspace")
        await seat.type("36-41F\r")
        assert "There is a place “Fridge” already; give this one another name." in seat.text()
        assert "Fridge 36-41F" in seat.text()
        await seat.press("home")
        await seat.type("Big \r")
        assert seat.ask(names) == [("Fridge",), ("Big Fridge",)]
