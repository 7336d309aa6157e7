"""What if, by a key of the lot's page: another target, place or hold; nothing is stored."""

import re


def changes(seat) -> int:
    return seat.ask("SELECT count(*) FROM change")[0][0]


async def test_another_target_or_a_hold_says_the_window_beside_the_present_one(household, sit):
    async with sit(household()) as seat:
        await seat.settle()
        before = changes(seat)
        await seat.press("enter")
        await seat.press("W")
        assert "1 another target" in seat.text()
        assert "2 another place" in seat.text()
        await seat.press("1")
        await seat.type("45")
        assert "would be" in seat.text()
        await seat.press("enter")
        said = " ".join(seat.text().split())
        assert re.search(r"C\d is ready [^;]*; would be ready .* at 45 %", said), said
        assert "Nothing saved." in said
        await seat.press("W", "3")
        await seat.type("7d\r")
        assert "would be" in seat.text()
        assert changes(seat) == before


async def test_a_place_whose_air_is_unknown_is_refused_and_what_was_typed_stays(household, sit):
    async with sit(household()) as seat:
        await seat.settle()
        await seat.press("enter", "W", "2")
        await seat.type("fri\r")
        said = " ".join(seat.text().split())
        assert "not known well enough" in said
        assert "fri" in said
        await seat.press("escape")


async def test_a_lot_in_the_cure_has_no_window_to_ask_about(household, sit):
    async with sit(household()) as seat:
        await seat.settle()
        await seat.press("slash")
        await seat.type("D1\r")
        await seat.press("enter", "W")
        assert "no hang weight yet" in " ".join(seat.text().split())
