"""Packs by keyboard: of one lot, and mixed with slices of several lots."""

import pytest

from curedash.domain.errors import CuredashError
from curedash.domain.typed import shares
from tests.tui.test_lot_screen import open_lot

PACKS = "SELECT code, weight_g, given_to, mixed_with IS NOT NULL FROM pack JOIN lot ON lot.id = lot_id WHERE pack.voided_at IS NULL ORDER BY pack.id"  # fmt: skip # noqa: E501


async def finish(seat, code: str) -> None:
    await open_lot(seat, code)
    await seat.press("E")
    await seat.type("\r")
    await seat.press("1", "enter", "enter", "enter")
    await seat.press("q")


@pytest.mark.parametrize(
    "text", ["D1", "C2 120", "C2 120 C2 80", "120 D1", "C2 D1 80", "D1 lots", "C2 120 D1 80 E3"]
)
def test_what_names_no_two_lots_with_weights_is_refused(text):
    with pytest.raises(CuredashError):
        shares.typed_shares(text)


async def test_one_pack_with_slices_of_two_lots_from_the_page_of_a_lot(household, sit):
    async with sit(household()) as seat:
        for code in ("C1", "C2"):
            await finish(seat, code)
        await seat.press("B", "down", "enter")  # finished first stands below
        assert seat.lines()[0].startswith("C1")
        await seat.press("V")
        await seat.type("120 D1 80")
        assert "D1 is in cure; finish it, then pack it." in seat.text()
        for _ in range(5):
            await seat.pilot.press("backspace")
        await seat.type("c2 80")
        assert "one mixed pack of 200 g: C1 120 g + C2 80 g" in seat.text()
        await seat.type("\rIda\r\r")
        assert seat.ask(PACKS) == [("C1", 120.0, "Ida", 0), ("C2", 80.0, "Ida", 1)]
        await seat.press("right")
        assert "120 g, mixed with C2 80 g, for Ida" in seat.text()
        await seat.press("V")
        await seat.type("180 190\r\r\r")
        assert [row[:2] for row in seat.ask(PACKS)[2:]] == [("C1", 180.0), ("C1", 190.0)]
        await seat.press("u", "u", "y")  # y: one of the two is of C2 too
        assert seat.ask(PACKS) == []


async def test_marked_lots_of_the_book_into_one_pack(household, sit):
    async with sit(household()) as seat:
        for code in ("C1", "C2"):
            await finish(seat, code)
        await seat.press("B", "space", "space", "V")
        assert "one pack of C2 and C1: how much of each" in seat.text()
        await seat.type("200\r")
        assert "Begin with a lot, then its weight" in seat.text()
        for _ in range(3):
            await seat.pilot.press("backspace")
        await seat.type("C1 60 C2 2 oz\r\r\r")
        assert seat.ask(PACKS) == [
            ("C1", 60.0, None, 0),
            ("C2", pytest.approx(56.699, abs=1e-3), None, 1),
        ]


async def test_a_mixed_pack_while_a_lot_is_finished(household, sit):
    async with sit(household()) as seat:
        await finish(seat, "C2")
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("\r")
        await seat.press("1", "enter", "enter")
        await seat.type("120 C2 80\rIda\r")
        assert seat.ask("SELECT stage FROM lot WHERE code = 'C1'") == [("closed",)]
        assert seat.ask(PACKS) == [("C1", 120.0, "Ida", 0), ("C2", 80.0, "Ida", 1)]
        assert "mixed pack of C1 120 g + C2 80 g" in " ".join(seat.text().split())


async def test_as_many_names_as_packs_are_one_each_and_window_before_enter(household, sit):
    async with sit(household()) as seat:
        await finish(seat, "C2")
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("\r")
        await seat.press("1", "enter", "enter")
        await seat.type("180 190\r")
        assert "one name for all, or one per pack" in seat.text()
        await seat.type("Ilse, Jon")
        assert "one each: Ilse 180 g, Jon 190 g" in seat.text()
        await seat.type(" , Mara")
        assert "3 names for 2 packs: type 2 names, one each" in seat.text()
        for _ in range(7):
            await seat.pilot.press("backspace")
        await seat.type("\r")
        assert seat.ask(PACKS) == [("C1", 180.0, "Ilse", 0), ("C1", 190.0, "Jon", 0)]
        said = " ".join(seat.text().split())
        assert "not for pregnant" not in said, "said once, at the first lot that was finished"
        assert "Selling needs a licence." in said
        assert ". for Ilse" not in said
        assert "2 packs, for Ilse, Jon" in said


async def test_the_first_lot_finished_brings_the_caution_once(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("\r")
        await seat.press("1", "enter", "enter", "enter")
        said = " ".join(seat.text().split())
        assert "u undoes it." in said
        assert "not for pregnant, very young, old or immunocompromised people." in said


async def test_packs_for_nobody_yet_are_named_later(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("\r")
        await seat.press("1", "enter", "enter")
        await seat.type("350 375\r\r")  # past "for whom"
        unnamed = [("C1", 350.0, None, 0), ("C1", 375.0, None, 0)]
        assert seat.ask(PACKS) == unnamed
        await seat.press("E")
        await seat.type("\r")
        await seat.press("enter", "enter", "enter")
        assert "Enter: as they are (350, 375 g)" in seat.text()
        await seat.press("enter")
        assert seat.ask(PACKS) == unnamed
        await seat.press("V")
        assert "Enter: say who gets 350, 375 g" in seat.text()
        await seat.press("enter", "enter")
        assert seat.ask(PACKS) == unnamed
        await seat.press("V", "enter")
        await seat.type("Ilse, Jon\r")
        assert seat.ask(PACKS) == [("C1", 350.0, "Ilse", 0), ("C1", 375.0, "Jon", 0)]
        said = " ".join(seat.text().split())
        assert "2 packs of C1, for Ilse, Jon." in said
        assert "Selling needs a licence." in said
        await seat.press("u")
        assert seat.ask(PACKS) == unnamed
        await seat.press("V")
        await seat.type("120\r\r\r")
        assert seat.ask(PACKS) == [*unnamed, ("C1", 120.0, None, 0)]
