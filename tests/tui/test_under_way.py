"""Pieces under way, taken in with few keys; then followed, weighed or not, to their end.

Four eye halves came into their bags four days ago. Nothing was weighed.
"""

from contextlib import closing
from datetime import UTC, datetime, timedelta

from curedash.present.dosing.taken_in import next_words
from curedash.present.words import weekday
from curedash.services.household.household import zone
from curedash.services.lot_view import read_lot
from curedash.store import rack
from curedash.store.open import open_db
from tests.build import NOW
from tests.demo import copy_demo

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
        assert "Next: turn them today; measure how thick each is" in text


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
        assert "tare (hook, net, string)" in seat.text()
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


def test_the_next_weigh_in_is_on_the_day_the_page_of_the_lot_names(tmp_path):
    """Near its window a lot is weighed sooner than its rhythm says."""
    path = str(tmp_path / "demo.db")
    copy_demo(path, NOW)
    with closing(open_db(path)) as conn:
        where, sooner = zone(conn), 0
        for lot in rack.open_lots(conn):
            seen = read_lot(conn, lot.id, NOW)
            if not seen.weigh_in_days or seen.weigh_in_days < 0:
                continue
            on = NOW.date() + timedelta(days=seen.weigh_in_days)
            said = next_words([lot], NOW.date(), where)
            assert said == f"Next: weigh it again on {weekday(on)}."
            sooner += seen.weigh_in_days < round(lot.weigh_every_days)
    assert sooner


async def test_what_is_past_its_days_in_the_cure_is_to_come_out_now(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("N")
        await seat.type("bre 2\r")
        await seat.press("enter")
        await seat.type("-40d\r")
        await seat.press("enter", "enter")  # not weighed, no pack
        await seat.type("60mm\r")
        await seat.press("enter", "enter")
        said = " ".join(seat.text().split())
        assert "Next: take them out of the cure now; their time was up about" in said
        assert "turn them" not in said


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
        assert "all 4 with this question" in seat.text()
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


async def test_weights_behind_the_name_mean_pieces_that_hang_each_with_its_tare(tmp_path, sit):
    """Three weights, three tares: Enter at the stage is drying, Enter at the weights takes them."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("q", "N")
        await seat.type("coppa 1520 1480 1390\r")
        assert "Enter drying" in seat.lines()[-1]
        await seat.press("enter")
        await seat.type("-9d\r\r")
        assert "one for all or one each" in seat.text()
        await seat.type("28, 30\r")
        assert "One tare for all, or one for each of the 3 pieces." in seat.text()
        await seat.type("28, 30, 0 hook and net\r")
        await seat.press("enter", "enter", "enter")
        kept = "SELECT stage, tare_g, tare_what FROM lot ORDER BY id"
        assert seat.ask(kept) == [
            ("drying", 28.0, "hook and net"),
            ("drying", 30.0, "hook and net"),
            ("drying", 0.0, None),
        ]
        nets = "SELECT net_g FROM weigh_in WHERE kind = 'stage' ORDER BY id"
        assert seat.ask(nets) == [(1492.0,), (1450.0,), (1390.0,)]


async def test_a_bare_number_stays_a_number_of_pieces(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("q", "N")
        await seat.type("coppa 3\r")
        assert "Enter in cure" in seat.lines()[-1]
