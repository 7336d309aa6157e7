"""Pieces under way, taken in with few keys; then followed, weighed or not, to their end.

Four eye halves came into their bags four days ago. Nothing was weighed.
"""

from datetime import UTC, datetime, timedelta

LIMIT = 25  # keys to take in four pieces under way


class Counted:
    """Somebody at the keyboard whose keys are counted."""

    def __init__(self, seat) -> None:
        self.seat, self.keys = seat, 0

    async def press(self, *keys: str) -> None:
        self.keys += len(keys)
        await self.seat.press(*keys)

    async def type(self, text: str) -> None:
        self.keys += len(text)
        await self.seat.type(text)


async def four_in_cure(seat) -> None:
    """Begin to take in four pieces that went into the cure four days ago."""
    await seat.settle()
    await seat.press("N")
    await seat.type("bre 4\r")
    await seat.press("enter")
    await seat.type("-4d\r")


async def test_four_pieces_under_way_are_taken_in_with_few_keys(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("q")
        hand = Counted(seat)
        await hand.press("N")
        await hand.type("bre 4\r")
        await hand.press("enter")  # in the cure
        await hand.type("-4d\r")
        await hand.press("enter", "enter", "enter")  # not weighed, no pack, not measured
        await hand.press("enter", "enter")  # no sticker, called as the style
        assert hand.keys <= LIMIT, hand.keys
        kept = seat.ask(
            "SELECT code, style, stage, green_g, hang_g FROM lot ORDER BY id DESC LIMIT 4"
        )
        assert {row[1:] for row in kept} == {("bresaola", "in-cure", None, None)}
        text = " ".join(seat.text().split())
        assert "in cure, day 4, since 21 Nov." in text
        assert "Next: turn them from Wed 25 Nov; measure how thick each is" in text


async def test_the_cursor_is_on_the_first_piece_that_was_taken_in(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("q")
        for first in ("A1", "B1"):
            await four_in_cure(seat)
            await seat.press("enter", "enter", "enter", "enter", "enter")
            await seat.pilot.pause(0.2)
            (lot_id,) = seat.ask("SELECT id FROM lot WHERE code = ?", first)[0]
            assert seat.app.screen.list.cursor_key == lot_id


async def test_a_first_start_takes_them_in_too_and_says_what_comes_next(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        assert "N  add pieces that are already curing or hanging" in seat.text()
        hand = Counted(seat)
        await hand.press("N")
        await hand.type("lonzino 2\r")
        await hand.press("3")  # drying
        await hand.type("-9d\r")
        await hand.type("800 760\r")
        assert "tare of each (hook, net, string)" in seat.text()
        await hand.type("28 hook\r")
        await hand.type("70mm\r")
        await hand.press("enter", "enter")
        assert hand.keys <= 40, hand.keys
        assert seat.app.screen.NAME == "rack"
        kept = seat.ask("SELECT style, stage, start_from, thickness_mm FROM lot")
        assert kept == [("lonza", "drying", "days", 70.0)] * 2
        tares = "SELECT DISTINCT tare_g, gross_g - tare_g FROM weigh_in WHERE kind <> 'hang'"
        assert seat.ask(tares) == [(28.0, 772.0), (28.0, 732.0)]
        assert "Next: weigh them again on Wed 2 Dec" in seat.text()
        assert "≈" in seat.text()
        await seat.press("u")
        assert seat.ask("SELECT count(*) FROM lot WHERE voided_at IS NULL") == [(0,)]


async def test_the_day_on_a_sticker_is_kept_and_compared(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await four_in_cure(seat)
        await seat.press("enter", "enter", "enter")
        await seat.type("3 Jan")
        assert "3 Jan" in seat.text()
        await seat.press("enter", "enter")
        assert seat.ask("SELECT DISTINCT planned_on FROM lot") == [("2027-01-03",)]
        assert "the sticker says 3 Jan" in " ".join(seat.text().split())


async def test_what_fits_several_styles_asks_and_nothing_typed_is_lost(household, sit):
    async with sit(household()) as seat:
        await seat.settle()
        before = seat.ask("SELECT count(*) FROM lot")
        await seat.press("N")
        await seat.type("salami 3\r")
        assert "thin salami or thick salami" in seat.text()
        assert "salami 3" in seat.text()
        await seat.press("escape")
        assert seat.ask("SELECT count(*) FROM lot") == before


async def test_a_piece_that_was_never_weighed_hangs_and_ends_without_a_weight(tmp_path, sit):
    clock = [datetime(2026, 11, 25, 9, tzinfo=UTC)]
    async with sit(tmp_path / "new.db", now=lambda: clock[0]) as seat:
        await seat.settle()
        await seat.press("N")
        await seat.type("bre 1\r")
        await seat.press("enter")
        await seat.type("-21d\r")
        await seat.press("enter", "enter", "enter", "enter", "enter")
        await seat.press("s")
        text = seat.text()
        assert "drying" in text
        await seat.press("enter")
        assert "Enter: not weighed" in seat.text()
        await seat.press("enter")
        assert "which place" in seat.text()  # asked once, at the first hang of all
        await seat.press("enter")
        assert seat.ask("SELECT stage, hang_g FROM lot") == [("drying", None)]
        assert "not weighed" in seat.text()
        clock[0] += timedelta(days=30)
        await seat.press("enter")
        assert "not weighed" in seat.text()


async def test_the_pack_they_were_salted_with_is_one_line(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await four_in_cure(seat)
        await seat.press("enter")
        await seat.type("2 packs for 5 lb")
        assert "made for 4535.9 g of meat" in seat.text()
        await seat.press("enter", "enter", "enter", "enter")
        ((note, method),) = seat.ask(
            "SELECT DISTINCT lot.dose_notes, batch.method FROM lot JOIN batch"
            " ON batch.id = lot.batch_id"
        )
        assert method == "pack"
        # two packs of 5 lb: 10 lb, 4536 g
        assert note.startswith("2 packs are made for 4536 g of meat; how much was salted is not")
        assert "Strength unknown" in note


async def test_the_only_place_is_taken_unless_it_is_too_warm_for_the_cure(tmp_path, sit):
    for name, asked in (("Attic 10..14C", True), ("Fridge 2..4C", False)):
        async with sit(tmp_path / f"{name[:3]}.db") as seat:
            await seat.settle()
            await seat.press("q", "p", "n")
            await seat.type(f"{name}\r")
            await seat.press("q")
            await four_in_cure(seat)
            await seat.press("enter", "enter", "enter", "enter")
            assert ("which place" in seat.text()) == asked, seat.text()
            await seat.press(*["enter"] * (1 + asked))
            where = seat.ask("SELECT count(*), place_id FROM lot GROUP BY place_id")
            assert where == [(4, None if asked else 1)]


async def test_what_four_pieces_are_asked_is_one_need_answered_or_snoozed_for_all(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await four_in_cure(seat)
        await seat.press("enter", "enter", "enter", "enter", "enter")
        await seat.press("a")
        assert "thickness of 4 pieces unknown: A1, A2, A3, A4" in seat.text()
        await seat.press("z")
        await seat.type("2 no ruler here\r")
        assert "thickness of" not in seat.text().partition("quiet")[0]
        slept = seat.ask("SELECT count(*) FROM need WHERE snoozed_until IS NOT NULL")
        assert slept == [(4,)]
        await seat.press("u")
        assert "thickness of 4 pieces unknown" in seat.text()
        await seat.press(*["up"] * 5)
        await seat.press("enter")
        await seat.settle()
        await seat.type("62 mm\r")
        assert "all 4 that are asked this" in seat.text()
        await seat.press("2")
        assert seat.ask("SELECT DISTINCT thickness_mm FROM lot") == [(62.0,)]
        await seat.settle()
        await seat.press("escape", "enter")
        assert seat.app.screen.NAME == "lot"
        await seat.press("u")
        assert "it changed A2, A3 and A4 too" in " ".join(seat.text().split())
        await seat.press("y")
        assert seat.ask("SELECT DISTINCT thickness_mm FROM lot") == [(None,)]


async def test_pieces_taken_in_without_a_place_are_said_to_have_none(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q", "N")
        for typed in ("bre 2\r", "\r", "-4d\r", *["\r"] * 5):
            await seat.type(typed)
        said = " ".join(seat.text().split())
        assert "They have no place yet: m on the page of each gives it one." in said
        assert seat.ask("SELECT place_id FROM lot") == [(None,), (None,)]
