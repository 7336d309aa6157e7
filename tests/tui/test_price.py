"""What a roast cost, said by keyboard after it was salted or finished."""

import sqlite3
from contextlib import closing

import pytest

from tests.tui.test_book_screen import finish
from tests.tui.test_lot_screen import open_lot

PRICES = "SELECT name, price, currency, bought_g FROM source WHERE voided_at IS NULL ORDER BY id"


async def test_a_price_in_the_book_gives_the_cost_of_a_kilogram_and_is_undone(household, sit):
    async with sit(household(), size=(120, 36)) as seat:
        await finish(seat, "C1")
        await seat.press("B")
        assert "no price given, P adds it" in seat.text()
        assert "Cost/kg" not in seat.text()
        await seat.press("P")
        assert "what the roast of C1" in seat.text()
        await seat.type("38,20 EUR\r")
        assert "cost 38.20 EUR" in seat.text()
        assert "EUR a kg finished" in seat.text()
        assert "Cost/kg" in seat.text()
        assert [row[1:] for row in seat.ask(PRICES)] == [(38.2, "EUR", None)]
        await seat.press("up")
        assert "no price given" not in seat.text()
        await seat.press("u")
        assert seat.ask(PRICES) == []
        assert "no price given, P adds it" in seat.text() or "Undone: price" in seat.text()


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_a_price_without_green_weights_is_said_with_what_is_missing(household, sit, size):
    """As lots taken in under way: nobody can share the price of the roast between its pieces."""
    path = household()
    with closing(sqlite3.connect(path)) as conn, conn:
        conn.execute("UPDATE lot SET green_g = NULL")
    async with sit(path, size=size) as seat:
        await finish(seat, "C1")
        await seat.press("B", "P")
        await seat.type("38,20 EUR\r")
        await seat.press("escape", "B")
        assert "no price given" not in seat.text()
        assert "38.20 EUR for the roast, no green weight: no cost a kg" in seat.text()
        await seat.press("enter")
        assert "no price given" not in seat.text()
        if size == (80, 24):
            await seat.press("left")
        assert "38.20 EUR for the roast" in seat.text()
        assert "no green weight: no cost a" in seat.text()


async def test_a_price_for_a_weight_asks_what_the_roast_weighed(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("P")
        await seat.type("17 EUR/kg\r")
        assert "the roast as bought" in seat.text()
        await seat.type("2300\r")
        (row,) = seat.ask(PRICES)
        assert row[1:] == (39.1, "EUR", 2300.0)
        await seat.press("P")
        assert "now 39.10 EUR" in seat.text()
        await seat.press("escape", "u")
        assert "undo it all" in seat.text()  # the roast is shared
        await seat.press("y")
        assert seat.ask(PRICES) == []


async def test_the_command_list_of_a_lot_finds_the_price(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        for word in ("price", "cost"):
            await seat.press("f2")
            await seat.type(word)
            assert " P " in seat.lines()[1]
            await seat.press("escape")


async def test_a_finished_lot_says_that_no_price_was_given(household, sit):
    async with sit(household(), size=(120, 36)) as seat:
        await finish(seat, "C1")
        await seat.press("B", "enter")
        assert "no price given" in seat.text()
