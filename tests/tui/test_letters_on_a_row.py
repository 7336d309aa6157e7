"""A letter of the lot's page also acts on the marked row of the Rack."""

import pytest

from curedash.tui.chassis.commands import COMMANDS, by_key
from curedash.tui.chassis.need_keys import ANSWERS, ASKED
from curedash.tui.flows.lot_actions import LOT_ACTIONS


@pytest.mark.parametrize(
    ("letter", "asked"),
    [("f", "rim"), ("l", "note"), ("c", "C1"), ("h", "C1"), ("Z", "Throw"), ("W", "target")],
)
async def test_a_letter_of_the_lots_page_works_on_its_row(household, sit, letter, asked):
    async with sit(household()) as seat:
        await seat.press("enter", letter)
        there = seat.lines()[-3:]
        assert any(asked in line for line in there), there
        while seat.app.screen.NAME != "rack":
            await seat.press("escape")
        await seat.press(letter)
        assert seat.app.screen.NAME == "lot"
        assert seat.lines()[-3:] == there


def test_the_rack_answers_every_need_of_a_lot_with_one_key():
    ids = {command.id for command in COMMANDS}
    ways = {way for answer in ANSWERS.values() for way in answer.ways}
    ways |= {way for asked in ASKED.values() for way in asked}
    of_lots = {way for way in ways if way.startswith("lot.")}
    assert {"lot.answer", "lot.feel"} <= of_lots
    assert {way for way in of_lots if way.replace("lot.", "rack.") not in ids} == set()


def test_a_letter_of_the_lots_page_that_acts_on_the_lot_is_no_dead_key_on_the_rack():
    rack = by_key("rack")
    acts = {*LOT_ACTIONS, "lot.hold"}
    dead = [c.id for key, c in by_key("lot").items() if c.id in acts and key not in rack]
    assert dead == []


async def test_a_row_names_one_key(household, sit):
    async with sit(household(), size=(120, 36)) as seat:
        assert "Enter, " not in seat.text()
