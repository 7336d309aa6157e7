"""Sour, rotten, slime: what is offered by keyboard, and what is said until somebody decides."""

import pytest

from tests.tui.test_lot_screen import open_lot

ALARMS = "SELECT text FROM event WHERE kind = 'alarm' AND voided_at IS NULL"
STAGE = "SELECT stage FROM lot WHERE code = 'C1'"


def words(seat) -> str:
    return " ".join(seat.text().split())


@pytest.mark.parametrize(("digit", "smell"), [("2", "sour"), ("4", "rotten")])
async def test_a_spoiled_smell_puts_it_aside_first(household, sit, digit, smell):
    """Common practice: in whole muscle sour is spoilage; it is not sliced, tasted, equalised."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("f", "1", "3", digit)
        assert "1 put it aside, cold, and ask" in words(seat)
        assert "2 throw it away" in words(seat)
        foot = " ".join(seat.lines()[-4:])
        for word in ("slice", "equalise", "drying", "taste"):
            assert word not in foot
        await seat.press("1")
        assert seat.ask(ALARMS) == [(f"smell {smell}",)]
        assert "ask somebody who cures under a licence" in words(seat)
        assert seat.ask(STAGE) == [("drying",)]


async def test_enter_on_a_spoiled_piece_throws_nothing_away(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("f", "1", "3", "4", "enter")
        assert seat.ask(STAGE) == [("drying",)]
        assert seat.ask(ALARMS) == [("smell rotten",)]


async def test_thrown_away_from_its_smell_is_asked_once_more(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("f", "1", "3", "4", "2")
        assert seat.ask(STAGE) == [("drying",)]
        await seat.press("y")
        await seat.type("smelled rotten\r")
        assert seat.ask(STAGE) == [("discarded",)]


async def test_opened_and_smells_off_goes_aside_or_away_only(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("i", "8")
        foot = " ".join(seat.lines()[-4:])
        assert "1 put aside" in foot
        assert "2 throw away" in foot
        assert "eat" not in foot
        assert "equalise" not in foot
        await seat.press("1")
        assert seat.ask(ALARMS) == [("opened: smells off, put aside",)]
        await seat.press("i", "1")
        assert "eat" not in " ".join(seat.lines()[-4:])  # until it was decided
        await seat.press("2")
        assert seat.ask(STAGE) == [("drying",)]  # asked once more
        await seat.press("y")
        assert seat.ask(STAGE) == [("discarded",)]


async def test_nothing_says_pull_it_until_it_was_decided(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        assert "pull at" in words(seat)
        await seat.press("f", "1", "3", "2", "1", "escape")
        await open_lot(seat, "C1")
        assert "pull at" not in words(seat)
        await seat.press("w")
        assert "pull" not in " ".join(seat.lines()[-4:])
        await seat.press("escape")
        await seat.press("E")
        assert "C1: smell sour. Put it aside or throw it away" in words(seat)
        await seat.press("J")
        await seat.type("cooked for the dog\r")
        await seat.press("E")
        assert "final weight" in words(seat) or "on the scale" in words(seat)
        await seat.press("escape")
        assert "pull at" in words(seat)


async def test_a_hard_rim_around_a_soft_middle_is_one_answer(household, sit):
    async with sit(household()) as seat:
        await seat.press("enter", "i")
        assert "6 case hardening, soft middle" in seat.text()
        await seat.press("6", "1", "enter", "enter", "enter")
        assert "C1 opened at 22 %: case hardening, soft middle" in " ".join(seat.text().split())


async def test_every_answer_is_in_sight_on_a_phone(household, sit):
    async with sit(household(), size=(40, 24)) as seat:
        await seat.press("enter", "i")
        foot = " ".join(" ".join(seat.lines()[-7:]).split())
        for answer in ("1 even", "5 case hardening", "7 grey rim, soft middle", "8 smells off"):
            assert answer in foot
