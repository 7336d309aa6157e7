"""How many keys the common jobs cost somebody who knows no short cut; the bars may only sink.

Those of the first start (45) are counted in ``test_first_start``, those of a round in
``test_round_screen``, those of a season in ``test_seasons``.
"""

import pytest

ONE_PIECE = 30  # from the Rack to the dose sheet; 26 today
FOUR_OF_TWO_ROASTS = 90  # 76 today, the scale of a new household with it; 71 without
OPENED, TRIMMED, DIVIDED = 7, 14, 14  # from the Rack, the lot marked


class Counted:
    """A seat that counts what is pressed; ``=words`` are typed, each letter a key."""

    def __init__(self, seat) -> None:
        self.seat, self.keys = seat, 0

    async def press(self, *keys: str) -> "Counted":
        for key in keys:
            if key.startswith("="):
                self.keys += len(key) - 1
                await self.seat.type(key[1:])
            else:
                self.keys += 1
                await self.seat.press(key)
        return self

    async def to(self, field_id: str) -> None:
        """By Tab to a field of the form, each Tab counted."""
        for _ in range(30):
            if self.seat.app.screen.form.at == field_id:
                return
            await self.press("tab")
        raise AssertionError(f"no field {field_id}")


async def test_one_piece_of_a_known_style(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q")
        by = Counted(seat)
        await by.press("n", "=coppa")
        await by.press("down", "=Neck", "up", "tab", "=1134", "tab", "=80", "tab", "=no2", "f10")
        assert seat.ask("SELECT green_g, thickness_mm FROM lot") == [(1134.0, 80.0)]
        assert seat.app.screen.NAME == "dose_sheet"
        assert by.keys <= ONE_PIECE


async def test_four_pieces_of_two_roasts_with_their_prices(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q")
        by = Counted(seat)
        await by.press("n", "=coppa", "down", "=Neck", "up", "tab")
        assert seat.app.screen.form.at == "pieces"
        await by.press("right")
        await by.press("=1134", "enter", "=80", "enter", "enter", "=1", "enter")
        await by.press("=1088", *["enter"] * 4)
        await by.press("=990", "enter", "enter", "enter", "=2", "enter")
        await by.press("=1041", *["enter"] * 5)
        await by.press("=38.20", "down", "=41.50")
        await by.to("curing_salt")
        await by.press("=no2", "f10")
        assert "Which scale weighs it?" in " ".join(seat.text().split())
        await by.press("n", "=0.1", "f10")  # a new household: its scale is asked for once
        assert seat.ask(
            "SELECT lot.green_g, source.price FROM lot JOIN source ON source.id = source_id"
        ) == [(1134.0, 38.2), (1088.0, 38.2), (990.0, 41.5), (1041.0, 41.5)]
        assert by.keys <= FOUR_OF_TWO_ROASTS


@pytest.mark.parametrize(
    ("keys", "bar", "stored"),
    [
        (("i", "4", "1", *["enter"] * 3), OPENED, "SELECT count(*) FROM event WHERE kind='opened'"),
        (
            ("c", "1", "1", "=1181", "enter", "=1120", "enter"),
            TRIMMED,
            "SELECT count(*) FROM rebase",
        ),
        (("Y", "=700 450", *["enter"] * 5), DIVIDED, "SELECT count(*) FROM lot WHERE code = 'C1a'"),
    ],
)
async def test_opening_trimming_and_dividing_from_the_lots_page(household, sit, keys, bar, stored):
    async with sit(household()) as seat:
        by = Counted(seat)
        await by.press("enter", *keys)
        assert seat.ask(stored) == [(1,)], seat.text()
        assert by.keys <= bar


@pytest.mark.parametrize("key", ["tab", "enter", "down"])
async def test_sugar_and_spices_are_come_to_before_the_place(tmp_path, sit, key):
    """They follow from no style, so somebody who goes field by field must meet them."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q", "n")
        await seat.type("coppa")
        seen = []
        while seat.app.screen.form.at != "place":
            seen.append(seat.app.screen.form.at)
            await seat.press(key)
        assert [each for each in seen if each in ("salt", "sugar", "spices")] == [
            *("salt", "sugar", "spices")
        ]
