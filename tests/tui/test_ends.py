"""Dividing and finishing by keyboard: back without loss, doubts where they arise, what is kept."""

import sqlite3

import pytest

from curedash.present.display_units import show_in
from tests.tui.test_lot_screen import lot, open_lot

PARTS = "SELECT code, piece, stage, tare_g FROM lot WHERE parent_id IS NOT NULL ORDER BY id"
BASES = "SELECT hang_g FROM lot WHERE parent_id IS NOT NULL ORDER BY id"
END = "SELECT final_g, cut_face, liked, liked_at_pct, note FROM finish"
PACKS = "SELECT weight_g, given_to FROM pack WHERE voided_at IS NULL ORDER BY id"
CHANGES = "SELECT count(*) FROM change"


def foot(seat) -> str:
    """What stands on the last lines, on one line."""
    return " ".join(" ".join(seat.lines()[-5:]).split())


# ── back ──────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("key", ["up", "shift+tab"])
async def test_going_back_keeps_every_answer_and_changes_one(household, sit, key):
    """From the last question of a cut to the first; every answer in between stands there still."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("Y")
        await seat.type("700 450\r1220\r\r3tip, rest")
        assert "names, with commas › tip, rest▏" in seat.text()
        assert "↑ Esc back" in seat.lines()[-1]
        await seat.press(key)
        assert "Enter the 450 g part" in seat.lines()[-1]  # what was answered is the usual one now
        await seat.press(key, key)
        assert "the whole before the cut, on the scale › 1220▏" in seat.text()
        await seat.press(key)
        assert "each part, on the scale › 700 450▏" in seat.text()
        assert "back" not in seat.lines()[-1]
        await seat.press(key)  # there is nothing before the first
        await seat.type("710 450\r")
        assert "the whole before the cut, on the scale › 1220▏" in seat.text()
        await seat.press("enter", "enter", "enter")
        assert "names, with commas › tip, rest▏" in seat.text()  # the eaten one kept as it was
        assert seat.ask(PARTS) == []
        await seat.press("enter")
        assert [row[:3] for row in seat.ask(PARTS)] == [
            ("C1a", "tip", "drying"),
            ("C1b", "rest", "closed"),
        ]
        # 710 of 1192 g net before the cut, of a hang weight of 1534 g
        assert seat.ask(BASES)[0][0] == pytest.approx(710 * 1534 / 1192)


async def test_what_was_saved_is_not_asked_anew(household, sit):
    """Rim, firmness and smell are written down; the end that follows goes back to its own first."""
    async with sit(household()) as seat:
        await open_lot(seat, "C2")
        await seat.press("f", "1", "2", "1")
        ways = foot(seat)
        assert "back" in seat.lines()[-1]
        number = ways[ways.index("slice it") - 2]
        await seat.press(number)
        assert "final weight, on the scale" in seat.text()
        kept = seat.ask(CHANGES)
        assert "back" not in seat.lines()[-1]
        await seat.press("enter", "up")
        assert "final weight, on the scale" in seat.text()
        await seat.press("escape")
        assert "Left; what was saved before stays." in seat.text()
        assert seat.ask(CHANGES) == kept


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (("Y",), "Left; nothing was divided."),
        (("E", "enter", "escape"), "Left; nothing was finished."),
        (("c", "1", "escape"), "Left; nothing was changed."),
        (("R",), "Left; nothing was written."),
    ],
)
async def test_leaving_says_that_nothing_was_kept(household, sit, keys, said):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        before = seat.ask(CHANGES)
        await seat.press(*keys, "escape")
        assert said in seat.text()
        assert seat.ask(CHANGES) == before


async def test_enter_in_a_menu_without_a_usual_answer_says_what_to_press(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("M", "enter")
        assert "choose: a number, not Enter" in seat.lines()[-1]
        await seat.press("1")
        assert "choose: a number" not in seat.lines()[-1]


async def test_a_refusal_at_the_end_leads_back_to_the_answers(household, sit):
    """Somebody else threw it away meanwhile: the sentence, and one key back to what was typed."""
    async with sit(household()) as seat:
        lot_id = await open_lot(seat, "C1")
        await seat.press("Y")
        await seat.type("700 450\r1220\r\r1tip, rest")
        with sqlite3.connect(seat.path) as conn:
            conn.execute("UPDATE lot SET stage = 'discarded' WHERE id = ?", (lot_id,))
        conn.close()
        await seat.press("enter")
        assert "it can no longer be divided" in foot(seat)
        await seat.press("enter")
        assert "names, with commas › tip, rest▏" in seat.text()
        with sqlite3.connect(seat.path) as conn:
            conn.execute("UPDATE lot SET stage = 'drying' WHERE id = ?", (lot_id,))
        conn.close()
        await seat.press("enter")
        assert [row[1] for row in seat.ask(PARTS)] == ["tip", "rest"]


async def test_a_rule_against_it_leads_back_to_the_question(household, sit):
    """A sealed bag into a warm place wants a reason; Esc there asks for the place again."""
    async with sit(household()) as seat:
        await open_lot(seat, "E1")
        await seat.press("m", "1")
        assert "do it anyway, because" in seat.text()
        assert "↑ Esc back" in seat.lines()[-1]
        await seat.press("escape")
        assert "E1 goes to" in seat.text()
        await seat.press("escape")
        assert "Left; nothing was changed." in seat.text()
        assert lot(seat, "E1", "place_id") == (1,)


# ── doubts where they arise ───────────────────────────────────────────────────────────────


async def test_a_final_weight_far_off_is_asked_about_at_once(household, sit):
    async with sit(household()) as seat:
        lot_id = await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("860\r")
        assert "Is 860 g right?" in foot(seat)
        await seat.press("n")
        assert "final weight, on the scale › 860▏" in seat.text()
        await seat.press("enter", "k")
        await seat.type("\r\r\r\r\r")  # tare, face, liked, note, packs: the doubt comes no more
        assert seat.ask(END)[0][0] == 832.0
        flags = seat.ask("SELECT flagged FROM weigh_in WHERE lot_id = ? ORDER BY id", lot_id)
        assert flags[-1] == ("far-off",)


async def test_a_weight_typed_again_after_the_doubt_raises_none(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("1480\r")
        assert "heavier than last time" in foot(seat)
        await seat.press("n", "home", "right", "delete")
        await seat.type("1\r\r\r\r\r\r")
        assert seat.ask(END)[0][0] == 1152.0


@pytest.mark.parametrize(("key", "final_g"), [("y", 1152.0), ("k", 11772.0)])
async def test_yes_takes_the_likely_weight_and_never_the_slip(household, sit, key, final_g):
    """A figure too many: as in a weigh-in y is the weight offered, k what was typed."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("11800\r")
        assert "g. Was it 1180 g?" in foot(seat)
        assert "y 1180 g   k keep 11800   n Esc change the weight" in seat.lines()[-1]
        await seat.press(key)
        await seat.type("\r\r\r\r\r")
        assert seat.ask(END)[0][0] == final_g


async def test_packs_heavier_than_the_lot_are_asked_about_at_their_weights(household, sit):
    """Kept with yes they are written: they never could be while a lot was finished."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("1180\r\r\r\r\r900 400\r")
        assert "its packs weigh 1300 g together, the lot 1152 g" in foot(seat)
        await seat.press("n")
        assert "› 900 400▏" in seat.text()
        await seat.press("enter", "k")
        await seat.type("Ida\r")
        assert seat.ask(PACKS) == [(900.0, "Ida"), (400.0, "Ida")]


async def test_a_doubt_that_came_meanwhile_leads_back_with_the_answers(household, sit):
    """Weighed elsewhere between the question and the last Enter: only then it is too light."""
    async with sit(household()) as seat:
        lot_id = await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("1180\r\r\r4slower")
        with sqlite3.connect(seat.path) as conn:
            conn.execute(
                "INSERT INTO weigh_in (lot_id, at, stage, kind, curve, gross_g,"
                " tare_g, net_g, base_factor) VALUES (?, '2026-11-25T08:50:00Z',"
                " 'drying', 'stage', 1, 1028, 28, 1000, 1)",
                (lot_id,),
            )
        conn.close()
        await seat.type("\r\r")
        assert "152 g heavier than last time" in foot(seat)
        assert "n Esc change an answer" in seat.lines()[-1]
        await seat.press("n")
        assert "packs, e.g. 180 210 ›" in seat.text()
        await seat.press("up")
        assert "for next time › slower▏" in seat.text()
        await seat.press("enter", "enter", "k")
        assert seat.ask(END)[0][::2] == (1152.0, 4, "slower")


# ── a cut right after a weigh-in ──────────────────────────────────────────────────────────


async def test_what_stays_on_the_knife_is_no_drying(household, sit):
    """1172 g net just weighed, 12 g on knife and scale: no question, and the loss stays."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.type("1200\r")
        await seat.press("Y")
        await seat.type("700 460\r")
        assert "Enter: the weigh-in just taken (1200 g)" in seat.text()
        await seat.type("\r\r\r")
        assert "keeps 700 g + 460 g, 12 g off, 23.6 % lost" in foot(seat)
        await seat.press("enter")
        assert [base for (base,) in seat.ask(BASES)] == pytest.approx(
            [700 * 1534 / 1172, 460 * 1534 / 1172]
        )
        assert lot(seat, "C1", "stage") == ("closed",)


async def test_much_missing_after_a_weigh_in_is_asked_about_at_the_whole(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.type("1200\r")
        await seat.press("Y")
        await seat.type("700 400\r\r")
        assert "72 g of 1172 g are missing from the parts. Was that trimmed off?" in foot(seat)
        await seat.press("n")
        assert "the whole before the cut, on the scale › ▏" in seat.text()
        await seat.press("up")
        await seat.press("end", "backspace", "backspace")
        await seat.type("72\r\r\r\r\r")
        assert len(seat.ask(PARTS)) == 2
        assert lot(seat, "C1", "stage") == ("closed",)


async def test_parts_that_outweigh_the_whole_are_asked_about_at_once(household, sit):
    """Even with the whole's hook on each of them: 1300 − 56 is more than 1172."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.type("1200\r")
        await seat.press("Y")
        await seat.type("800 500\r")
        assert "weigh the whole and the parts again" in foot(seat)
        await seat.press("escape")
        assert seat.ask(PARTS) == []


async def test_hooks_on_the_parts_are_given_as_their_tare(household, sit):
    """728 + 500 − 2 · 28 is the whole of 1172 g; without the hooks it says what is missing."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.type("1200\r")
        await seat.press("Y")
        await seat.type("728 500\r\r\r")
        assert "the whole 1172 g net (1200 − 28 tare): give the tare of the parts" in foot(seat)
        assert "tare (hook, net, string) › ▏" in seat.text()
        await seat.type("28\r\r\r")
        assert [row[3] for row in seat.ask(PARTS)] == [28.0, 28.0]


async def test_ounces_are_asked_in_their_own_steps(household, sit):
    """Two tenths of an ounce less within minutes is the scale, not the meat."""
    try:
        async with sit(household()) as seat:
            show_in(weights="lb")
            await open_lot(seat, "C1")
            await seat.type("2 lb 10 oz\r")
            await seat.press("E")
            await seat.type("2 lb 9.8 oz\r")
            assert "tare (hook, net, string)" in seat.text()
            await seat.press("escape", "escape", "Y")
            assert "e.g. 14.1 oz 9.9 oz" in seat.text()
            await seat.type("1 lb 9 oz 15.6 oz\r\r\r\r\r")  # 0.4 oz less than 2 lb 9 oz net
            assert len(seat.ask(PARTS)) == 2
    finally:
        show_in()


# ── the whole of it, on Enter ─────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_a_plain_end_is_enter_alone_and_window_before_it_is_written(household, sit, size):
    async with sit(household(), size=size) as seat:
        await open_lot(seat, "C1")
        await seat.press("E", "enter")
        assert "Enter not cut yet" in seat.lines()[-1]
        await seat.press("enter")
        assert "Enter not tasted yet" in seat.lines()[-1]
        assert "1 not at all 2 a little 3 fairly 4 well 5 very well" in foot(seat)
        await seat.press("enter", "enter")
        assert "Enter: none; keeps 1198.3 g net, 21.9 % lost from hang" in foot(seat)
        assert seat.ask(END) == []
        await seat.press("enter")
        assert seat.ask(END) == [(pytest.approx(1198.3, abs=0.1), None, None, None, None)]
        assert "E on its page adds how it was liked." in " ".join(foot(seat).split())


async def test_an_end_with_all_there_is_to_say(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("1180")
        assert "1152 g net (1180 − 28 hook, net)" in seat.text()
        await seat.type("\r")
        assert "Enter: 28 g hook, net, so 1152 g net; 0: nothing" in seat.text()
        await seat.type("\r24")
        await seat.type("slower\r180 210\r")
        assert "keeps 1152 g net, 24.9 % lost from hang, grey rim, liked 4, 2 packs" in foot(seat)
        await seat.type("Ida\r")
        assert seat.ask(END) == [(1152.0, "grey rim", 4, 24.9, "slower")]
        assert seat.ask(PACKS) == [(180.0, "Ida"), (210.0, "Ida")]
        assert "for Ida" in foot(seat)
        assert "how it was liked" not in foot(seat)


async def test_a_plain_cut_in_two_is_enter_alone(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("Y")
        await seat.type("680 480\r\r\r\r")
        assert "Enter: as the whole; keeps 680 g + 480 g, 24.4 % lost" in foot(seat)
        await seat.press("enter")
        assert [row[1] for row in seat.ask(PARTS)] == ["thick end", "thick end"]


async def test_eating_early_is_asked_about_and_is_never_what_enter_takes(household, sit):
    async with sit(household()) as seat:
        path = seat.ask("SELECT id FROM lot WHERE code = 'C1'")[0][0]
        await open_lot(seat, "C1")
        await seat.press("w")
        hang_g = seat.ask("SELECT hang_g, tare_g FROM lot WHERE id = ?", path)[0]
        await seat.type(f"{hang_g[0] * 0.95 + hang_g[1]:.0f}\rk")
        await seat.press("i", "4", "3", "enter")
        said = " ".join(seat.text().split())
        assert "Inside it is raw. Eat it anyway?" in said
        await seat.press("enter", "3")
        assert seat.ask("SELECT count(*) FROM finish") == [(0,)]
        await seat.press("escape", "escape")
        assert "Enter eat" not in " ".join(seat.text().split())
        await seat.press("enter")
        assert seat.ask("SELECT count(*) FROM finish") == [(0,)]


async def test_one_key_leaves_all_questions_and_the_foot_names_it(household, sit):
    """Esc goes back one question; ^X ends them all, and nothing is saved."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("Y")
        assert seat.lines()[-1].rstrip().endswith("Esc leave")
        assert "^X" not in seat.lines()[-1]
        await seat.type("700 450\r1220\r")
        assert "↑ Esc back   ^X leave" in seat.lines()[-1]
        await seat.press("ctrl+x")
        assert "Left; nothing was divided." in foot(seat)
        assert seat.app.screen.talking is None
        assert seat.ask("SELECT count(*) FROM lot WHERE parent_id IS NOT NULL") == [(0,)]


async def test_a_day_behind_a_weight_that_takes_none_is_no_unit(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("E")
        await seat.type("780 yesterday\r")
        assert "Only a weigh-in and a move take a day behind the weight" in foot(seat)
        await seat.press("ctrl+u")
        await seat.type("780 stones\r")
        assert "is not a unit of weight" in foot(seat)
        assert seat.ask("SELECT count(*) FROM finish") == [(0,)]
