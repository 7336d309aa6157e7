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
        assert "Follows each piece you dry-cure from salt to slice" in text
        assert "n  salt the first batch" in text
        assert "F4 try made-up pieces" in text
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
        assert "1 copy with lots beside this file: 'curedash restore' lists" in seat.text()
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
        await seat.type("kitchen 0.1 oz 11 lb\r")  # the next question opens by itself
        await seat.type("Fridge 36..41 70..80%\r")
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


@pytest.mark.parametrize("size", [(45, 22), (60, 20), (80, 24), (120, 36)])
async def test_every_question_fits(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.settle()
        for label in ("units shown", "scales", "places"):
            assert label in seat.text()
        above = seat.text().partition("units shown")[0]
        assert "…" not in above
        assert "asks these" in above
        assert "N  add pieces" in above


async def test_a_place_is_understood_alike_in_both_questions(tmp_path, sit):
    places = "SELECT name, round(temp_lo_c, 1), round(temp_hi_c, 1), rh_lo_pct FROM place"
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("down", "down", "enter")
        await seat.type("Chamber 50-55F 70-75%\r")
        assert seat.ask(places) == [("Chamber", 10.0, 12.8, 70.0)]
        assert "Saved: Chamber, 10–12.8 °C, 70–75 % RH" in seat.text()
        await seat.press("up", "enter")
        await seat.type("36 – 41 F\r")
        assert seat.ask(places) == [("Chamber", 2.2, 5.0, 70.0)]
        await seat.press("enter")
        await seat.type("Wine fridge\r")
        assert seat.ask(places) == [("Wine fridge", 2.2, 5.0, 70.0)]


async def test_a_set_point_is_taken_as_a_band_and_said(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("down", "down", "enter")
        await seat.type("Fridge 4C, Chamber 13C 75%\r")
        said = " ".join(seat.text().split())
        assert "Saved: Fridge, 2–6 °C" in said
        assert "Chamber, 11–15 °C, 70–80 % RH" in said
        bands = "SELECT name, temp_lo_c, temp_hi_c, rh_lo_pct, rh_hi_pct FROM place ORDER BY id"
        assert seat.ask(bands) == [
            ("Fridge", 2.0, 6.0, None, None),
            ("Chamber", 11.0, 15.0, 70.0, 80.0),
        ]


async def test_what_is_refused_of_a_place_can_be_typed_on(tmp_path, sit):
    names = "SELECT name FROM place ORDER BY id"
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("down", "down", "enter")
        await seat.type("Fridge\r")
        await seat.press("enter")
        await seat.type("Fridge max 55F\r")
        assert "“55F” is one end of a range" in seat.text()
        for _ in "max 55F":
            await seat.press("backspace")
        await seat.type("36-41F\r")
        assert "There is a place “Fridge” already; give this one another name." in seat.text()
        assert "Fridge 36-41F" in seat.text()
        await seat.press("home")
        await seat.type("Big \r")
        assert seat.ask(names) == [("Fridge",), ("Big Fridge",)]


async def test_two_scales_and_two_places_take_few_keys_and_three_questions(tmp_path, sit):
    """From the first screen to the form of the first batch."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        keys = 0
        for typed in ("\r\r", "0.1/200, 1\r", "Fridge 2-4, Cellar 10-14 70-80\r", "n"):
            await seat.type(typed)
            keys += len(typed)
        assert keys <= 45, keys
        assert seat.app.screen.NAME == "new_batch"
        scales = seat.ask("SELECT name, division_g, max_g FROM scale ORDER BY id")
        assert scales == [("0.1 scale", 0.1, 200.0), ("1 scale", 1.0, None)]
        bands = "SELECT name, temp_lo_c, temp_hi_c, rh_lo_pct, rh_hi_pct FROM place ORDER BY id"
        assert seat.ask(bands) == [
            ("Fridge", 2.0, 4.0, None, None),
            ("Cellar", 10.0, 14.0, 70.0, 80.0),
        ]


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("Fridge, upstairs 2-4", ["Fridge, upstairs"]),
        ("Fridge; Cellar 10-14", ["Fridge", "Cellar"]),
        ("Fridge, Cellar", ["Fridge", "Cellar"]),
    ],
)
async def test_a_comma_parts_places_only_where_they_are_alike(tmp_path, sit, typed, names):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("down", "down", "enter")
        await seat.type(f"{typed}\r")
        assert [name for (name,) in seat.ask("SELECT name FROM place ORDER BY id")] == names


async def test_two_scales_of_one_name_are_refused_and_nothing_is_stored(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("down", "enter")
        await seat.type("0.1/200, 0.1/500\r")
        assert "Two of them have one name" in seat.text()
        assert "0.1/200, 0.1/500" in seat.text()
        assert seat.ask("SELECT count(*) FROM scale") == [(0,)]


async def test_the_first_weigh_in_says_once_that_no_scale_is_known(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.type("1071\r")
        if "y " in seat.lines()[-1] or "k " in seat.lines()[-1]:
            await seat.press("k")
        assert "Steps of 1 g are assumed; name your scale in Settings (S on the Rack)." in " ".join(
            seat.text().split()
        )
        await seat.press("down")
        await seat.type("1090\r")
        if "k " in seat.lines()[-1]:
            await seat.press("k")
        assert "Steps of 1 g" not in seat.text()


async def test_the_scale_named_in_the_first_batch_is_one_of_the_household(tmp_path, sit):
    from tests.tui.test_new_batch import EYE, SALTED, fill

    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        await seat.press("f10")
        assert seat.ask("SELECT name, division_g FROM scale") == [("0.1 g scale", 0.1)]
        await seat.press("q", "n")
        await fill(seat, ("style", "coppa"), ("pieces", "900"))
        await seat.press("f10")
        assert seat.ask("SELECT count(*) FROM scale") == [(1,)]


async def test_an_empty_place_saves_nothing_and_says_nothing_of_saving(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        page = seat.app.screen
        key = next(key for key, row in page.rows.items() if row.kind == "new-place")
        page.list.move_to(key)
        await seat.press("e", "enter")
        assert "Saved: ." not in seat.text()
        assert seat.ask("SELECT count(*) FROM place") == [(0,)]
