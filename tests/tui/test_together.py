"""The lots of a batch moved on in one go: what is asked, what is kept, what is left out."""

import pytest

from curedash.store.open import open_db
from curedash.store.work import By, change
from tests.tui.conftest import add_batch, add_lot, days_ago


@pytest.fixture
def four(household):
    """Batch B beside the household: four lots out of the cure since a while, or still raw."""

    def build(stage="in-cure", days=21.0, late=None):
        path = household()
        conn = open_db(str(path))
        with change(conn, By(days_ago(1), "anna", "shell", "before"), "build") as work:
            batch = add_batch(work, "B", "Four pieces", "coppa", days)
            for n in range(1, 5):
                since = days if late != n else 3.0
                add_lot(
                    work,
                    batch,
                    f"B{n}",
                    f"piece {n}",
                    stage,
                    position=n - 10,
                    stage_at=days_ago(since),
                    green_g=1200.0,
                )
        conn.close()
        return path

    return build


HUNG = "SELECT code, stage, hang_g, tare_g, tare_what, place_id FROM lot WHERE code LIKE 'B_'"


async def begin(seat, code):
    lot_id = seat.ask("SELECT id FROM lot WHERE code = ?", code)[0][0]
    seat.app.screen.list.move_to(lot_id)
    await seat.press("s")


async def test_four_lots_are_hung_with_a_weight_each(four, sit):
    """Tare and place are asked once: 28 keys and the words of the tare, for all four."""
    async with sit(four()) as seat:
        await begin(seat, "B1")
        assert "b all 4 together" in seat.lines()[-1]
        await seat.press("b")
        assert "all 4 (B1–B4), in cure → drying?" in seat.text()
        await seat.press("enter")
        assert "B1 piece 1, 1 of 4: as it hangs, on the scale ›" in seat.text()
        await seat.type("1128")
        assert "1128 g net, 6.0 % under 1200 g" in seat.text()
        await seat.type("\r28 hook and net\r2\r")
        assert seat.ask(HUNG)[0] == ("B1", "drying", 1100.0, 28.0, "hook and net", 2)
        assert "B2 piece 2, 2 of 4" in seat.text()
        assert "minus the tare of 28 g hook and net" in seat.text()
        await seat.type("1108")
        assert "1080 g net (1108 g − 28 g)" in seat.text()
        await seat.type("\r1098\r1088\r")
        assert seat.ask(HUNG) == [
            (f"B{n}", "drying", net, 28.0, "hook and net", 2)
            for n, net in enumerate((1100.0, 1080.0, 1070.0, 1060.0), 1)
        ]
        said = " ".join(" ".join(seat.lines()[-3:-1]).split())
        assert said == "B1–B4 are drying now. u undoes the last one."
        await seat.press("u")
        assert [row[1] for row in seat.ask(HUNG)] == ["drying"] * 3 + ["in-cure"]


async def test_half_way_what_was_hung_stays_and_the_rest_is_named(four, sit):
    async with sit(four()) as seat:
        await begin(seat, "B1")
        await seat.press("b", "enter")
        await seat.type("1128\r\r\r\r1098 tare 40 bag\r\x1b")
        assert seat.ask(HUNG) == [
            ("B1", "drying", 1128.0, 0.0, None, 2), ("B2", "in-cure", None, 0.0, None, None),
            ("B3", "drying", 1058.0, 40.0, "bag", 2), ("B4", "in-cure", None, 0.0, None, None),
        ]  # fmt: skip  # Enter took the place that was offered: where the others hang
        said = " ".join(" ".join(seat.lines()[-3:-1]).split())
        assert said == "B1, B3 are drying now. Left out: B2, B4. u undoes the last one."


async def test_one_that_is_too_early_stays_and_says_why(four, sit):
    async with sit(four(late=3)) as seat:
        await begin(seat, "B1")
        await seat.press("b", "enter")
        await seat.type("1128\r\r\r1108\r1088\r")
        assert [row[1] for row in seat.ask(HUNG)] == ["drying", "drying", "in-cure", "drying"]
        said = " ".join(" ".join(seat.lines()[-3:-1]).split())
        assert "Left out: B3 (12 d before the earliest day out of the cure)." in said


async def test_what_stands_against_all_is_answered_once(four, sit):
    async with sit(four(days=10.0)) as seat:
        await begin(seat, "B2")
        await seat.press("b", "enter")
        assert "before the earliest day out of the cure" in seat.text()
        await seat.type("travelling\r1128\r\r\r1108\r1098\r1088\r")
        notes = "SELECT note FROM stage_entry WHERE stage = 'drying' ORDER BY id DESC LIMIT 4"
        assert seat.ask(notes) == [("travelling",)] * 4


async def test_a_doubtful_weight_is_asked_at_once_and_weighed_again(four, sit):
    async with sit(four()) as seat:
        await begin(seat, "B1")
        await seat.press("b", "enter")
        await seat.type("1128\r28\r2\r11080\r")
        assert seat.lines()[-3].startswith("B2: 11080 g is far from")
        assert seat.ask(HUNG)[1][1] == "in-cure"
        await seat.press("n")
        await seat.type("1108\r")
        assert seat.ask(HUNG)[1][2:4] == (1080.0, 28.0)
        assert "B3 piece 3, 3 of 4" in seat.text()


async def test_a_raw_batch_goes_into_the_cure_in_one_change(four, sit):
    """Four keys; one undo takes all of it back."""
    async with sit(four(stage="raw", days=1.0)) as seat:
        await begin(seat, "B3")
        await seat.press("b", "enter", "enter")
        assert [row[1] for row in seat.ask(HUNG)] == ["in-cure"] * 4
        assert "B1–B4 are in cure now. u undoes it." in seat.text()
        await seat.press("u")
        assert [row[1] for row in seat.ask(HUNG)] == ["raw"] * 4


async def test_a_batch_does_not_end_in_one_go_and_one_lot_has_no_batch(four, sit):
    async with sit(four()) as seat:
        await begin(seat, "B1")
        assert "discarded" in seat.text()
        await seat.press("b")
        assert "discarded" not in seat.text()
        assert "closed" not in "".join(seat.lines()[-3:])
        await seat.press("b", "escape")
        await begin(seat, "D3")
        assert "b all" not in seat.lines()[-1]


async def test_after_one_lot_the_others_are_named(four, sit):
    async with sit(four()) as seat:
        await begin(seat, "B1")
        await seat.press("enter")
        await seat.type("1128\r\r\r")
        said = " ".join(" ".join(seat.lines()[-3:-1]).split())
        assert "B2–B4 too? s on one, then b takes them together." in said


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_at_any_width_the_lot_and_what_is_typed_stay_in_view(four, sit, size):
    async with sit(four(), size=size) as seat:
        await begin(seat, "B1")
        await seat.press("b")
        assert "all 4 (B1–B4)" in seat.text()
        await seat.press("enter")
        await seat.type("1128")
        assert "B1 piece 1, 1 of 4" in seat.text()
        assert "1128▏" in seat.text()


async def test_a_lot_hung_heavier_than_it_was_salted_is_asked_about(four, sit):
    """Green 1200 g: 1380 g is 15 % more, whatever hangs with it; 1500 g with 30 g of tare too."""
    async with sit(four()) as seat:
        await begin(seat, "B1")
        await seat.press("b", "enter")
        await seat.type("1380\r")
        assert "B1: 1380 g net is 15 % more than the green weight 1200 g" in seat.text()
        assert seat.lines()[-1].startswith("k keep it anyway")
        await seat.press("n")
        await seat.type("1128\r28 hook and net\r2\r")
        await seat.type("1500\r")
        assert "B2: 1472 g net is 23 % more than the green weight 1200 g" in seat.text()
        assert [row[1] for row in seat.ask(HUNG)] == ["drying"] + ["in-cure"] * 3
