"""Moving a lot on from the Rack: what is asked, and what the file holds after."""

import re

import pytest

from curedash.domain.errors import Refused
from curedash.domain.record import replace
from curedash.present.weighing.tare_typed import weight_and_words
from curedash.services.find import require_lot
from curedash.tui.flows.move_lot import chosen, weighed


async def test_out_of_the_cure_and_hung(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s")
        assert "D2 belly, in cure → drying?" in seat.text()
        await seat.press("enter")
        await seat.type("1535\r")
        assert "tare (hook, net, string)" in seat.text()
        await seat.type("35 hook and net\r")
        assert "1 Fridge 2   2 Chamber" in seat.text()
        await seat.type("2\r")
        lot = seat.ask(
            "SELECT stage, hang_g, tare_g, tare_what, hang_at, place.name FROM lot"
            " JOIN place ON place.id = lot.place_id WHERE code = 'D2'"
        )
        assert lot == [("drying", 1500.0, 35.0, "hook and net", "2026-11-25T09:00:00Z", "Chamber")]
        assert "D2 is drying now" in seat.text()
        row = next(line for line in seat.lines() if " D2 " in line and "0 of 30 %" in line)
        assert "ready ~" in row
        await seat.press("u")
        assert seat.ask("SELECT stage, hang_g FROM lot WHERE code = 'D2'") == [("in-cure", None)]


async def test_too_early_needs_a_reason(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 6)
        await seat.press("s", "enter")
        assert "before the earliest day out of the cure" in seat.text(), "before anything is asked"
        await seat.type("travelling\r")
        assert seat.ask("SELECT stage FROM lot WHERE code = 'D1'") == [("in-cure",)]
        await seat.type("1535\r\r\r")
        assert seat.ask("SELECT stage FROM lot WHERE code = 'D1'") == [("drying",)]
        notes = seat.ask("SELECT note FROM stage_entry ORDER BY id DESC LIMIT 1")
        assert notes == [("travelling",)]


async def test_a_doubtful_weight_is_asked_about_where_it_was_typed(household, sit):
    stage = "SELECT stage, hang_g FROM lot WHERE code = 'D2'"
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("535\r")
        asked, keys = seat.lines()[-3], seat.lines()[-1]
        assert asked.startswith("D2: 535 g net is far from")
        assert keys.startswith("k keep it anyway   n Esc change the weight")
        await seat.type("28 hook\r")
        assert seat.lines()[-3] == asked
        await seat.press("n")
        await seat.type("1535\r35 hook\r2\r")
        assert seat.ask(stage) == [("drying", 1500.0)]


async def test_a_doubt_that_comes_with_the_tare_is_asked_at_the_tare(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("1535\r1000 hook\r")
        assert seat.lines()[-3].startswith("D2: 535 g net is far from")
        assert "n Esc change the tare, ↑ there the weight" in seat.lines()[-1]
        await seat.press("n")
        await seat.type("100 hook\r2\r")
        kept = "SELECT stage, hang_g FROM lot WHERE code = 'D2'"
        assert seat.ask(kept) == [("drying", 1435.0)]


async def test_up_goes_back_with_every_answer_kept(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("1535\r35 hook and net\r")
        await seat.press("up")
        assert "35 hook and net" in seat.text()
        await seat.press("up")
        await seat.type("1540\r\r2\r")
        kept = "SELECT hang_g, tare_g, tare_what FROM lot WHERE code = 'D2'"
        assert seat.ask(kept) == [(1505.0, 35.0, "hook and net")]


async def test_leaving_half_way_says_that_nothing_was_moved(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("1535\r\x1b")
        assert "1535" in seat.text(), "the weight is there again, at its own question"
        await seat.press("escape")
        assert "Left; nothing was moved." in seat.text()
        assert seat.ask("SELECT stage FROM lot WHERE code = 'D2'") == [("in-cure",)]


async def test_a_doubtful_weight_kept_all_the_same_asks_no_more_afterwards(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("535\r")
        await seat.press("y")
        assert "k keep it anyway" in seat.lines()[-1], "y is for a likely fix"
        await seat.press("k")
        await seat.type("28 hook\r2\r")
        assert seat.ask("SELECT hang_g FROM lot WHERE code = 'D2'") == [(507.0,)]
        said = seat.lines()[-3] + seat.lines()[-2]
        assert "D2 is drying now; 535 g on the scale, saved: far from the last weight" in said
        assert "Right?" not in said


async def test_the_planned_end_is_said_as_a_day(household, sit):
    async with sit(household()) as seat:
        await seat.press("s")
        number = next(n for n in range(1, 9) if f"{n} equalising" in seat.text())
        await seat.press(str(number))
        await seat.type("\r1\r")
        until = seat.ask("SELECT stage, stage_until FROM lot WHERE code = 'C1'")
        assert until[0][0] == "equalising"
        assert "planned until 2026" not in seat.text()
        assert re.search(r"planned until \d{1,2} [A-Z][a-z]{2}\.", seat.text())


async def test_a_hang_weight_cannot_be_left_out_but_estimated(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter", "enter")
        assert "The loss is counted from this weight" in seat.text()
        await seat.type("1500 ±40\r\r\r")
        row = seat.ask("SELECT stage, hang_g, hang_pm_g FROM lot WHERE code = 'D2'")
        assert row == [("drying", 1500.0, 40.0)]


async def test_discarding_wants_a_reason_and_can_be_taken_back(household, sit):
    async with sit(household()) as seat:
        await seat.press("s")
        number = next(n for n in range(1, 9) if f"{n} discarded" in seat.text())
        await seat.press(str(number), "enter")
        assert "Type a few words" in seat.text()
        await seat.type("slime\r")
        assert seat.ask("SELECT stage FROM lot WHERE code = 'C1'") == [("discarded",)]
        await seat.settle()
        await seat.pilot.pause(0.2)
        assert " C1 " not in "\n".join(seat.lines()[2:-3])
        await seat.press("u")
        await seat.pilot.pause(0.2)
        assert seat.ask("SELECT stage FROM lot WHERE code = 'C1'") == [("drying",)]
        assert " C1 " in "\n".join(seat.lines()[2:-3])


@pytest.mark.parametrize("text", ["abc", "hook 28", "🥩"])
def test_a_tare_begins_with_a_weight(text):
    with pytest.raises(Refused):
        weight_and_words(text)


def test_a_place_by_number_or_by_its_beginning():
    names = ["Fridge 2", "Fridge", "Chamber"]
    assert chosen("3", names) == "Chamber"
    assert chosen("fridge", names) == "Fridge"
    for text in ("x", "0", "9", "Fri"):
        with pytest.raises(Refused):
            chosen(text, names)


async def test_the_day_behind_a_weight_is_the_day_it_was_moved(household, sit):
    """``1535 yesterday``: hung yesterday at noon; a day that cannot be is refused."""
    hung = "SELECT stage, hang_g, hang_at FROM lot WHERE code = 'D2'"
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("1535 yesterday")
        assert "24 Nov 12:00: " in seat.text()
        await seat.press("enter")
        await seat.type("35 hook\r2\r")
        assert seat.ask(hung) == [("drying", 1500.0, "2026-11-24T12:00:00Z")]
        await seat.press("u", "s", "enter")
        await seat.type("1535 in 3 days\r")
        assert "tare (hook" not in seat.text()
        assert seat.ask(hung)[0][0] == "in-cure"


async def test_a_day_of_last_year_is_shown_with_its_year(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.press("s", "enter")
        await seat.type("1535 24 Dec")
        assert "D2 has been in cure since 20" in seat.text()
        await seat.press("enter")
        assert "tare (hook" not in seat.text()
        await seat.press("ctrl+u")
        lot = seat.app.screen.house.read(require_lot, "D2")
        house = seat.app.screen.house
        old = replace(lot, stage_at="2025-12-01T12:00:00Z")
        typed = weighed(seat.app.screen, old, "1535 24 Dec")
        assert house.moment_words(typed.at) == "24 Dec 2025 12:00"
