"""From the target to the Book and on to the next batch, and the Book itself."""

import pytest
from rich.cells import cell_len

from tests.hostile import HOSTILE
from tests.tui.test_lot_screen import lot, open_lot


async def finish(seat, code: str, liked: str = "4", note: str = "") -> None:
    await open_lot(seat, code)
    await seat.type(f"E\r1{liked}")
    await seat.type(f"{note}\r\r")
    await seat.press("q")


async def test_from_the_target_to_the_next_batch(household, sit):
    """The whole way at 80×24: answers, equalise, finish, Book, make again."""
    path = household()
    async with sit(path) as seat:
        lot_id = await open_lot(seat, "C2")
        assert "beyond 30 %" in seat.text()
        await seat.press("f", "3", "1", "1")
        assert "2 equalise " in seat.text()
        await seat.press("enter")
        await seat.type("\r1\r")
        stage, place, until = lot(seat, "C2", "stage, place_id, stage_until")
        assert (stage, place) == ("equalising", 1)
        assert until is not None
        kept = seat.ask("SELECT text FROM event WHERE lot_id = ? AND kind = 'target'", lot_id)
        assert kept == [("rim hard, soft, smell clean",)]

        await seat.press("E")
        await seat.type("\r14")
        await seat.type("slower at first [/]\r180 210\r\r")
        assert "% lost from hang" in seat.text()
        found = seat.ask("SELECT liked, cut_face, note FROM finish WHERE lot_id = ?", lot_id)
        assert found == [(4, "even", "slower at first [/]")]
        assert seat.ask("SELECT weight_g FROM pack ORDER BY id") == [(180.0,), (210.0,)]

        await seat.press("q", "B")
        assert seat.app.screen.NAME == "book"
        assert "1 finished lot" in seat.lines()[0]
        assert "next time: slower at first [/]" in seat.text()
        assert "coppa in Chamber, 1 lot" in seat.text()
        await seat.press("v")
        assert "a C2 thin end" in seat.text()
        await seat.press("v", "n")
        await seat.pilot.pause(0.1)
        assert seat.app.screen.NAME == "new_batch"
        assert "slower at first" in seat.text()


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_orders_filters_and_curves_of_any_name(household, sit, size):
    async with sit(household(drying=6, names=tuple(HOSTILE[:6])), size=size) as seat:
        for code, liked in (("C1", "3"), ("C3", "5"), ("C6", "1")):
            await finish(seat, code, liked, note="[b]wetter\u202e")
        await seat.press("B")
        assert {cell_len(line) for line in seat.lines()} == {size[0]}
        await seat.press("o")
        assert "best liked first" in seat.lines()[0]
        rows = [line.split()[0] for line in seat.lines()[2:5]]
        assert rows == ["C3", "C1", "C6"]
        await seat.press("space", "space", "v")
        assert {cell_len(line) for line in seat.lines()} == {size[0]}
        assert "b C1" in seat.text()
        await seat.press("q", "slash")
        await seat.type("no such\r")
        assert "No lot matches" in seat.text()
        await seat.press("escape")
        assert "3 finished lots" in seat.lines()[0]


async def test_an_empty_book_says_how_to_begin(household, sit):
    async with sit(household()) as seat:
        await seat.press("B", "v")
        assert "No lot is finished yet" in seat.text()
        await seat.press("q")
        assert seat.app.screen.NAME == "rack"


async def test_a_finished_lot_is_put_right_from_its_page(household, sit):
    async with sit(household()) as seat:
        await finish(seat, "C1", "2")
        await seat.press("B", "enter")
        assert "closed 25 Nov" in seat.text()
        await seat.type("E\r15")
        await seat.type("\r\r\r")
        assert seat.ask("SELECT liked, cut_face FROM finish") == [(5, "even")]
        await seat.press("w")
        assert "takes no more weigh-ins" in seat.text()


async def test_the_foot_of_the_book_names_what_works(household, sit):
    """Nothing to open where nothing is finished; on the curves v leads back to the list."""
    path = household()
    async with sit(path) as seat:
        await seat.press("B")
        assert seat.lines()[-1].split() == ["?", "keys", "q", "back"]
        await seat.press("q")
        await finish(seat, "C2")
        await seat.press("B")
        assert "4 of 5" in seat.text()
        assert "Cost/kg" not in seat.text()
        assert "v curves" in seat.lines()[-1]
        await seat.press("v")
        assert "v list" in seat.lines()[-1]
        assert "same style" in seat.lines()[0]
