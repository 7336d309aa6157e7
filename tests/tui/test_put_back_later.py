"""What u took back y puts back, also after the dashboard was left and opened again."""

from datetime import timedelta

from tests.tui.conftest import NOW
from tests.tui.test_ends import open_lot

STANDING = "SELECT count(*) FROM weigh_in WHERE lot_id = 1 AND voided_at IS NULL"


async def weighed_and_taken_back(seat):
    before = seat.ask(STANDING)
    await seat.type("1181\r")
    assert seat.ask(STANDING) != before
    await seat.press("u")
    assert "y redoes it" in seat.text()
    assert seat.ask(STANDING) == before
    return before


async def test_y_on_the_rack_puts_it_back_after_a_restart(household, sit):
    path = household()
    async with sit(path) as seat:
        before = await weighed_and_taken_back(seat)
    async with sit(path) as seat:
        await seat.press("y")
        assert "Redone: weigh C1" in seat.text()
        assert seat.ask(STANDING) == [(before[0][0] + 1,)]
        await seat.press("u")
        assert seat.ask(STANDING) == before


async def test_y_on_the_lots_page_puts_it_back_after_a_restart(household, sit):
    path = household()
    async with sit(path) as seat:
        before = await weighed_and_taken_back(seat)
    async with sit(path) as seat:
        await open_lot(seat, "C1")
        await seat.press("y")
        assert seat.ask(STANDING) == [(before[0][0] + 1,)]
        await seat.press("u")
        assert seat.ask(STANDING) == before


async def test_what_was_done_since_the_restart_ends_it(household, sit):
    path = household()
    async with sit(path) as seat:
        await weighed_and_taken_back(seat)
    async with sit(path) as seat:
        await seat.type("1180\r")
        now = seat.ask(STANDING)
        await seat.press("y")
        assert "There is nothing to redo." in seat.text()
        assert seat.ask(STANDING) == now


async def test_after_more_than_a_day_it_is_in_the_history_only(household, sit):
    path = household()
    async with sit(path) as seat:
        before = await weighed_and_taken_back(seat)
    async with sit(path, now=lambda: NOW + timedelta(hours=25)) as seat:
        await seat.press("y")
        assert "There is nothing to redo." in seat.text()
        assert seat.ask(STANDING) == before
