"""The Round: 26 keys for five lots, skipping, going back, what was left out."""

import re
import sqlite3
from datetime import UTC

import pytest

from curedash.present import display_units
from curedash.present.weighing.round import round_line
from curedash.present.words import text_of
from curedash.services.weighing.weigh import hint
from tests.build import NOW, lot, weighed

KEPT = "SELECT count(*) FROM weigh_in WHERE voided_at IS NULL"


async def test_five_lots_with_four_digits_cost_26_keys(household, sit):
    keys = "r" + "".join(f"{grams}\r" for grams in (1181, 1041, 1055, 1150, 1100))
    assert len(keys) == 26
    async with sit(household()) as seat:
        for key in keys:
            await seat.type(key)
        assert seat.ask(KEPT) == [(41,)]
        assert "5 lots weighed, none left out" in seat.text()
        rows = seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 5")
        assert [gross for (gross,) in rows] == [1100, 1150, 1055, 1041, 1181]
        await seat.press("enter")
        assert seat.lines()[0].startswith("RACK")
        assert "Round ended: 5 weighed, none left out." in seat.text()


@pytest.mark.parametrize("way_out", ["q", "escape", "enter", "space"])
async def test_after_the_last_lot_a_late_key_only_leaves_the_summary(household, sit, way_out):
    async with sit(household()) as seat:
        await seat.type("r1181\r1041\rz1150\rz")
        assert seat.lines()[0].startswith("ROUND   over")
        text = seat.text()
        assert "3 lots weighed, 2 left out" in text
        assert "– C3 middle" in text
        assert "– C5 tied round" in text
        assert "• D2: in cure" in text  # what needs somebody next
        await seat.type("1050")  # somebody goes on typing: nothing is taken for a weight
        assert seat.lines()[0].startswith("ROUND   over")
        await seat.press(way_out)
        assert seat.app.is_running
        assert seat.lines()[0].startswith("RACK")
        assert "Round ended: 3 weighed, left out: C3 and C5." in seat.text()
        assert seat.ask(KEPT) == [(39,)]


async def test_a_key_typed_while_the_last_one_is_saved_only_leaves_the_summary(household, sit):
    async with sit(household()) as seat:
        await seat.type("rzzzz1100\rq")
        assert seat.ask(KEPT) == [(37,)]
        assert seat.app.is_running
        assert seat.lines()[0].startswith("RACK")


async def test_the_last_weight_can_be_taken_back_from_the_summary(household, sit):
    async with sit(household()) as seat:
        await seat.type("rzzzz1100\r")
        assert seat.lines()[0].startswith("ROUND   over")
        await seat.press("u")
        assert seat.ask(KEPT) == [(36,)]
        assert "\nC5 tied round ›" in seat.text()
        await seat.type("1101\r")
        assert "+ C5" in seat.text()
        assert seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [(1101.0,)]


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_the_pull_weight_and_a_name_stand_on_every_line(household, sit, size):
    async with sit(household(names=("", "thin end")), size=size) as seat:
        await seat.press("r")
        row = next(line for line in seat.lines() if "› C1" in line)
        assert "Pork collar" in row  # the batch, where the piece has no name
        # by hand: 1534 g less 35 and 30 %, with 28 g tare
        assert "1025–1102" in row
        assert "8 d ago" in row


@pytest.mark.parametrize("width", [60, 80, 120])
def test_a_pull_weight_in_pounds_fits_too(width):
    display_units.show_in("lb")
    try:
        shown = hint(weighed((31, 1534), (7, 1164), tare_g=28.0), NOW, UTC)
        line = text_of(round_line(lot(piece="thick end"), shown, "next", None, width))
    finally:
        display_units.show_in()
    # by hand: 65 % of 1534 g and 28 g tare are 1025.1 g, 2 lb 4.2 oz
    assert "–4.2 oz" in line or "2 lb 4.2 oz" in line
    assert len(line) == width


@pytest.mark.parametrize("width", [45, 60, 80, 120])
def test_a_weigh_in_of_yesterday_leaves_room_before_what_is_expected(width):
    # by hand: 60 and 65 % of 1534 g, with 28 g tare
    drying = weighed((31, 1534), (1, 1164), tare_g=28.0)
    line = text_of(round_line(lot(piece="end"), hint(drying, NOW, UTC), "next", None, width))
    since = "1 d ago" if width == 45 else "yesterday"
    assert re.search(rf" {since} +\d+–\d+ +948–1025( |$)", line), line


async def test_it_shows_how_far_and_what_was_left_out(household, sit):
    async with sit(household()) as seat:
        await seat.type("r1181\rz")
        assert seat.lines()[0].startswith("ROUND   3/5")
        assert "+ C1    Pork collar, thick end" in seat.text()
        assert "left out" in seat.text()
        await seat.press("q")
        assert "Round ended: 1 weighed, left out: C2, C3, C4 and C5." in seat.text()
        assert seat.ask(KEPT) == [(37,)]


async def test_back_takes_the_weight_back_and_returns_to_the_lot(household, sit):
    async with sit(household()) as seat:
        await seat.type("r1181\r")
        await seat.press("u")
        assert "\nC1 thick end ›" in seat.text()
        assert seat.ask(KEPT) == [(36,)]
        await seat.press("u")
        assert "Nothing to undo" in seat.text()


async def test_a_note_and_a_bare_piece_go_with_the_next_weight(household, sit):
    async with sit(household()) as seat:
        await seat.type("rl")
        await seat.type("firm at the tip\r")
        assert "note: firm at the tip" in seat.text()
        await seat.press("tab")
        await seat.type("1153\r")
        row = seat.ask("SELECT gross_g, tare_g, note FROM weigh_in ORDER BY id DESC LIMIT 1")
        assert row == [(1153.0, 0.0, "firm at the tip")]
        assert "\nC2 " in seat.text()


async def test_the_same_weight_on_the_wrong_lot_is_asked_before_it_is_kept(household, sit):
    async with sit(household()) as seat:
        await seat.type("r118\r")
        assert seat.ask(KEPT) == [(36,)]
        assert "k keep 118 g" in seat.lines()[-1]
        await seat.press("escape", "escape", "q")
        assert "Round ended: nothing was weighed" in seat.text()


async def test_a_sudden_loss_is_asked_about_as_on_the_rack(household, sit):
    """Ten points of its 1534 g in 8 d, C1 at 21.9 %: 1073 g on the scale."""
    async with sit(household()) as seat:
        await seat.type("1073\r")
        on_the_rack = seat.lines()[-2].strip()
        assert on_the_rack.startswith("Expected ")
        await seat.press("escape", "escape")
        await seat.type("r1073\r")
        assert seat.lines()[-2].strip() == on_the_rack
        assert seat.ask(KEPT) == [(36,)]
        await seat.press("k")
        assert seat.ask("SELECT gross_g, flagged FROM weigh_in ORDER BY id DESC LIMIT 1") == [
            (1073.0, "far-off")
        ]
        assert "\nC2 " in seat.text()


async def test_a_lot_left_out_is_taken_in_again_and_that_is_said(household, sit):
    async with sit(household()) as seat:
        await seat.type("rz")
        assert "\nC2 " in seat.text()
        await seat.press("u")
        assert "\nC1 " in seat.text()
        assert "C1 is no longer left out." in seat.text()
        await seat.type("1181\r")
        await seat.press("u")
        assert "Undone: weigh C1" in seat.text()


async def test_what_is_expected_is_the_same_after_a_weight_was_taken_back(household, sit):
    async with sit(household()) as seat:
        for _ in range(200):
            if seat.ask("SELECT count(*) FROM forecast")[0][0] >= 5:
                break
            await seat.pilot.pause(0.05)
        await seat.press("r")
        hint = seat.lines()[-2]
        assert "expect " in hint
        await seat.type("1165\r")
        newest = "SELECT max(id) FROM weigh_in"
        for _ in range(200):
            if seat.ask("SELECT max(weigh_in_id) FROM forecast") == seat.ask(newest):
                break
            await seat.pilot.pause(0.02)
        await seat.press("u")
        await seat.press("right")  # what was said goes with the next key
        assert seat.lines()[-2] == hint


async def test_without_tare_the_key_and_the_hint_of_the_round_say_so(household, sit):
    async with sit(household()) as seat:
        await seat.press("r", "tab")
        assert "Tab with tare" in seat.lines()[-1]
        assert " alone, " in seat.lines()[-2]


async def test_a_round_in_which_all_were_left_out_saved_nothing(household, sit):
    async with sit(household()) as seat:
        await seat.press(*"rzzzzz")
        text = seat.text()
        assert "nothing was weighed" in text
        assert "Nothing was weighed, 5 left out" in text
        assert "saved" not in text
        assert "undo the last one" not in text


@pytest.mark.parametrize("tare_g", [0.0, 12.0, 28.0])
async def test_digits_meant_for_a_choice_of_the_lot_page_are_asked_about_in_a_round(
    household, sit, tare_g
):
    """r 2 3 on the lot's page lards it; after one Esc too many it is a weight in a round."""
    path = household()
    conn = sqlite3.connect(path)
    with conn:
        conn.execute("UPDATE lot SET tare_g = ?", (tare_g,))
    conn.close()
    async with sit(path) as seat:
        before = seat.ask(KEPT)
        await seat.press("r", "2", "3", "enter", "enter")
        assert seat.ask(KEPT) == before
        assert "23" in "".join(seat.lines()[-4:])
        if tare_g < 23:
            await seat.press("n")  # asked about, else refused: less than the tare
        await seat.type("1180\r")
        assert seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [(1180.0,)]


async def test_all_that_hangs_is_weighed_on_demand_and_what_was_done_stays(household, sit):
    path = household(drying=8)  # the last three were weighed two days ago
    async with sit(path) as seat:
        await seat.type("r1181\r")
        assert seat.lines()[0].startswith("ROUND   2/5   what is due")
        await seat.press("r")
        assert seat.lines()[0].startswith("ROUND   2/8   all that hangs")
        assert "+ C1" in seat.text()
        assert "\nC2 " in seat.text()
        assert " C8 " in seat.text()
        await seat.press("r")
        assert seat.lines()[0].startswith("ROUND   2/5   what is due"), seat.text()
        await seat.press("u")
        assert seat.ask(KEPT) == [(54,)]
        assert "\nC1 thick end ›" in seat.text()


async def test_what_was_due_stays_due_for_the_round_once_it_is_weighed(household, sit):
    async with sit(household(drying=8)) as seat:  # five are due
        await seat.press("r", "r")
        for weight in ("1181", "1022", "1040", "1130", "1090"):
            await seat.type(f"{weight}\r")
            if seat.app.screen.talking._questions:
                await seat.press("k")
        assert seat.lines()[0].startswith("ROUND   6/8   all that hangs"), seat.text()
        await seat.press("r")
        assert seat.lines()[0].startswith("ROUND   6/6   what is due"), seat.text()


async def test_the_arrows_go_back_to_a_lot_just_weighed_and_on_again(household, sit):
    async with sit(household()) as seat:
        await seat.type("r1181\rz")
        await seat.press("up", "up")
        assert "\nC1 thick end ›" in seat.text() or "C1 was weighed in this round" in seat.text()
        await seat.type("1179\r")
        assert "C1 was weighed just now" in seat.text()
        await seat.press("k")
        await seat.settle()
        newest = "SELECT gross_g FROM weigh_in JOIN lot ON lot.id = lot_id WHERE code = 'C1'"
        assert seat.ask(f"{newest} ORDER BY weigh_in.id DESC LIMIT 1") == [(1179.0,)]
        assert seat.lines()[0].startswith("ROUND   3/5"), seat.text()


@pytest.mark.parametrize("size", [(45, 22), (60, 20), (80, 24), (120, 36)])
async def test_what_is_expected_is_shown_beside_each_lot(household, sit, size):
    async with sit(household(), size=size) as seat:
        await seat.press("r")
        heads, *rows = seat.lines()[1:7]
        at = heads.index("expect g")
        for row in rows:
            low, _, high = row[at : at + 10].strip().partition("–")
            assert float(low) <= float(high), row
        assert all(len(line) == size[0] for line in seat.lines())


async def test_blanks_before_a_weight_leave_no_lot_out(household, sit):
    """A scale that types like a keyboard may fill its number up with blanks."""
    async with sit(household()) as seat:
        await seat.type("r")
        await seat.type("   1181\r")
        assert seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [(1181.0,)]
        assert "left out" not in seat.text()
