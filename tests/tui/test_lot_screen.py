"""One lot on the screen: what it shows, and everything a person does with it, by one key."""

from datetime import timedelta

import pytest
from rich.cells import cell_len

from curedash.domain.times import utc_text
from curedash.services.curing.turn import turn
from curedash.tui.chassis.commands import of_page
from tests.demo import copy_demo
from tests.hostile import HOSTILE
from tests.tui.conftest import NOW, days_ago


async def open_lot(seat, code: str) -> int:
    lot_id = seat.ask("SELECT id FROM lot WHERE code = ?", code)[0][0]
    seat.app.screen.list.move_to(lot_id)
    await seat.press("enter")
    return lot_id


def lot(seat, code: str, columns: str) -> tuple:
    return seat.ask(f"SELECT {columns} FROM lot WHERE code = ?", code)[0]


async def test_it_shows_curve_facts_and_log(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        text = seat.text()
        assert seat.lines()[0].startswith("C1 Pork collar, thick end   coppa")
        for shown in (
            "drying, day 31",
            "21.9 % of hang 1534 g",
            " g net, 8 d ago",
            "125 g to 30 %",
            "1025–1102 g on the scale",
            "rate ",
            "─ target",
            "• weigh-in",
            "28 g hook, net",
            " LOG ",
        ):
            assert shown in text, shown
        log = [line for line in seat.lines() if " weighed " in line]
        assert "17 Nov" in log[0]
        assert any("•" in line for line in seat.lines()[1:12])


async def test_dose_sheet_and_figures_take_turns_with_the_log(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("right")
        assert " DOSE SHEET " in seat.text()
        assert "This lot has no dose sheet" in seat.text()
        await seat.press("right", "v", "v")
        assert " FIGURES " in seat.text()
        assert "Weights on the scale are shown with hook, net (28 g)." in seat.text()


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_hostile_names_and_notes_stay_in_their_lines(household, sit, size):
    path = household(drying=len(HOSTILE), names=tuple(HOSTILE))
    async with sit(path, size=size) as seat:
        for code in ("C1", "C5", "C9", "C10", "C13"):
            await open_lot(seat, code)
            await seat.press("l")
            await seat.type(HOSTILE[6] + HOSTILE[8] + "[/b] x" * 20 + "\r")
            assert {cell_len(line) for line in seat.lines()} == {size[0]}
            await seat.press("q")


async def test_a_digit_weighs_it(household, sit):
    async with sit(household()) as seat:
        lot_id = await open_lot(seat, "C1")
        await seat.type("1181\r")
        assert "Saved C1" in seat.text()
        assert "1153 g net, today" in seat.text()
        found = seat.ask("SELECT gross_g FROM weigh_in WHERE lot_id = ? ORDER BY id DESC", lot_id)
        assert found[0] == (1181.0,)


async def test_meat_taken_off_keeps_the_loss(household, sit):
    """1192 g net, then 200 g off: base times 992 / 1192, as the rules for re-bases say."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        before = lot(seat, "C1", "hang_g * base_factor")[0]
        await seat.press("c", "1", "2")
        await seat.type("1220\r")
        await seat.type("1020")
        assert "200 g of meat off, 992 g net left" in seat.text()
        await seat.press("enter")
        assert "C1: trimmed, hang 1534 g to 1276.6 g, still 22.3 % lost" in seat.text()
        after = lot(seat, "C1", "hang_g * base_factor")[0]
        assert after / before == pytest.approx(992 / 1192)
        await seat.press("u")
        assert lot(seat, "C1", "hang_g * base_factor")[0] == before


async def test_a_digit_never_answers_a_question_about_a_weight(household, sit):
    """Heavier than last time: asked about; the figures of a second try do not say yes to it."""
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("c", "1", "2")
        await seat.type("1320\r")
        await seat.type("1220")
        assert "y 1230 g   k keep 1320   n Esc change the weight" in seat.lines()[-1]
        await seat.press("n")
        assert "before, on the scale › 1320▏" in seat.text()
        await seat.press(*["escape"] * 3)
        assert "Left; nothing was changed." in seat.text()
        assert lot(seat, "C1", "base_factor") == (1.0,)


async def test_lard_put_on_goes_into_the_tare(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("c", "2", "3")
        await seat.type("1220\r")
        await seat.type("1620")
        assert "tare 28 g → 428 g" in seat.text()
        await seat.press("enter")
        await seat.press("end")
        await seat.type(" and lard\r")
        assert lot(seat, "C1", "tare_g, tare_what, base_factor") == (428.0, "hook, net and lard", 1)


async def test_divided_in_two_with_one_part_eaten(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("Y")
        await seat.type("700 450")
        assert "700 g + 450 g = 1150 g" in seat.text()
        await seat.type("\r1220\r\r3tip, [b]middle\r")
        found = seat.ask("SELECT code, piece, stage FROM lot WHERE parent_id IS NOT NULL")
        assert found == [("C1a", "tip", "drying"), ("C1b", "[b]middle", "closed")]
        assert lot(seat, "C1", "stage") == ("closed",)
        assert "divided into 2 parts" in seat.text()
        await seat.press("u")
        assert lot(seat, "C1", "stage") == ("drying",)


async def test_tare_and_start_weight_put_right(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("e", "2")
        await seat.type("38 hook")
        assert "tare 28 g → 38 g" in seat.text()
        await seat.press("enter")
        assert lot(seat, "C1", "tare_g, tare_what, hang_g") == (38.0, "hook", 1524.0)
        await seat.press("e", "3", "1")
        await seat.type("1600 ±40\r")
        assert lot(seat, "C1", "hang_g, hang_pm_g") == (1562.0, 40.0)
        assert "≈" in seat.text()


async def test_a_weigh_in_is_corrected_then_voided_in_the_log(household, sit):
    async with sit(household()) as seat:
        lot_id = await open_lot(seat, "C1")
        await seat.press("enter")
        await seat.type("1230\r\r\r")
        assert "Corrected" in seat.text()
        assert "(voided)" in seat.text()
        await seat.press("home", "X", "y")
        counts = seat.ask(
            "SELECT count(*) FROM weigh_in WHERE lot_id = ? AND voided_at IS NULL", lot_id
        )
        assert counts == [(5,)]
        assert "1172 g net" not in seat.lines()[3]


async def test_opened_tells_its_siblings(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("i", "4", "1")
        await seat.type("1220\r1180\rtoo early\r")
        assert "C1 opened at 22 %: raw middle" in seat.text()
        told = seat.ask("SELECT count(*) FROM event WHERE kind = 'sibling'")[0][0]
        assert told >= 4


async def test_black_mould_asks_for_a_decision(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("M", "7", "2", "1", "5")
        assert "what do you decide" in seat.text()
        await seat.type("cut away, washed, goes on\r")
        found = seat.ask("SELECT kind, text FROM event WHERE kind != 'turn' ORDER BY id")
        assert found == [
            ("alarm", "black, fluffy, spots; cut away"),
            ("decision", "cut away, washed, goes on"),
        ]


async def test_on_hold_and_on_where_it_was(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("h")
        await seat.type("\r1\r")
        assert lot(seat, "C1", "stage, place_id") == ("on-hold", 1)
        await seat.press("h")
        await seat.type("\r2\r")
        assert lot(seat, "C1", "stage, place_id") == ("drying", 2)


async def test_a_warm_place_for_a_sealed_bag_asks_for_a_note(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "E1")
        await seat.press("m", "1")
        assert "because" in seat.text()
        await seat.type("only over night\r")
        assert lot(seat, "E1", "place_id") == (2,)
        assert "only over night" in seat.ask("SELECT text FROM event WHERE kind = 'moved'")[0][0]


async def test_thrown_away_with_a_reason_and_brought_back(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("Z")
        assert "Throw C1 thick end away?" in seat.text()
        await seat.type("zz\r")
        assert lot(seat, "C1", "stage") == ("drying",), "a slip throws nothing away"
        await seat.press("y")
        await seat.type("zz\r")
        assert "Give the reason in a few words" in seat.text()
        assert lot(seat, "C1", "stage") == ("drying",)
        await seat.press("ctrl+u", "enter")
        assert "Type a few words" in seat.text()
        await seat.type("smelled rotten\r")
        assert lot(seat, "C1", "stage") == ("discarded",)
        await seat.press("u")
        assert lot(seat, "C1", "stage") == ("drying",)


async def test_esc_keeps_nothing(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        begun = (("f", "1"), ("c", "1", "1"), ("Y",), ("i", "1"), ("e", "1"), ("E",), ("M", "1"))
        for keys in begun:
            await seat.press(*keys, *["escape"] * len(keys))  # back through every question, and out
        assert seat.ask("SELECT count(*) FROM change") == [(1,)]
        assert "keys" in seat.lines()[-1]


async def test_what_does_not_apply_is_said(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("Q")
        assert "C1 is in no bag." in seat.text()
        await seat.press("V")
        assert "C1 is drying; finish it, then pack it." in seat.text()


async def test_a_lot_taken_back_elsewhere_closes_its_page(household, sit):
    async with sit(household()) as seat:
        lot_id = await open_lot(seat, "C1")
        import sqlite3

        with sqlite3.connect(seat.path) as conn:
            conn.execute("UPDATE lot SET voided_at = ? WHERE id = ?", (days_ago(0), lot_id))
        conn.close()
        await seat.pilot.pause(1.3)
        assert seat.app.screen.NAME == "rack"


def test_every_action_has_a_key_and_the_foot_has_six():
    commands = of_page("lot")
    wanted = (
        "weigh stage hold rebase divide opened tare start right remove move mould feel contact note"
        " discard finish undo"
    )
    assert set(wanted.split()) <= {command.id.partition(".")[2] for command in commands}
    assert sum(command.footer for command in commands) == 6


async def test_a_lot_closed_by_mistake_goes_back_days_later(household, sit):
    """Another run of the program, five days on: everything is as before it was closed."""
    path = household()
    columns = "stage, stage_at, stage_until, hang_g, base_factor, tare_g"
    async with sit(path) as seat:
        lot_id = await open_lot(seat, "C1")
        before = lot(seat, "C1", columns)
        await seat.press("E")
        await seat.type("1100\r")
        await seat.press("enter", "1", "4")
        await seat.type("slower\r180 200\r\r")
        assert lot(seat, "C1", "stage") == ("closed",)
        assert seat.ask("SELECT count(*) FROM pack WHERE voided_at IS NULL") == [(2,)]
    async with sit(path, now=lambda: NOW + timedelta(days=5)) as seat:
        await seat.press("B", "enter")
        assert "Closed by mistake? s undoes it." in seat.text()
        await seat.press("s")
        assert "C1 is closed (finish C1, 25 Nov 09:00): undo that" in seat.text()
        await seat.press("y")
        assert "C1 is drying again" in seat.text()
        assert lot(seat, "C1", columns) == before
        assert seat.ask("SELECT * FROM finish WHERE lot_id = ?", lot_id) == []
        assert seat.ask("SELECT count(*) FROM pack WHERE voided_at IS NULL") == [(0,)]
        final = seat.ask("SELECT voided_at FROM weigh_in WHERE kind = 'final'")
        assert final[0][0] is not None


async def test_a_weight_by_mistake_is_voided_days_later(household, sit):
    path = household()
    async with sit(path) as seat:
        await open_lot(seat, "C1")
        await seat.type("1181\r")
    async with sit(path, now=lambda: NOW + timedelta(days=5)) as seat:
        await open_lot(seat, "C1")
        await seat.press("X", "y")
        kept = seat.ask("SELECT gross_g, voided_at IS NULL FROM weigh_in ORDER BY id DESC")
        assert kept[0] == (1181.0, 0)


async def test_a_lot_thrown_away_by_mistake_comes_back(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("Z", "y")
        await seat.type("dropped\r")
        assert lot(seat, "C1", "stage") == ("discarded",)
        await seat.press("s", "y")
        assert lot(seat, "C1", "stage") == ("drying",)


async def test_undo_takes_back_the_last_change_of_this_lot_alone(household, sit):
    """Another lot was weighed since: that stays, and y puts this one's weight back."""
    newest = "SELECT gross_g FROM weigh_in WHERE lot_id = ? AND voided_at IS NULL ORDER BY at"
    async with sit(household()) as seat:
        lot_id = await open_lot(seat, "C1")
        await seat.type("1225\r")
        await seat.press("q")
        other_id = await open_lot(seat, "C2")
        shown = int(seat.ask(newest, other_id)[-1][0]) - 4
        await seat.type(f"{shown}\rk")  # k: it fits another one better, keep it
        await seat.press("q")
        await open_lot(seat, "C1")
        await seat.press("u")
        assert "Undone: weigh C1. y redoes it." in seat.text()
        assert seat.ask(newest, other_id)[-1] == (shown,)
        assert seat.ask(newest, lot_id)[-1] != (1225.0,)
        await seat.press("y")
        assert "Redone: weigh C1. u undoes it." in seat.text()
        assert seat.ask(newest, lot_id)[-1] == (1225.0,)


async def test_undo_of_a_lot_never_takes_what_was_done_before_this_run(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.press("u")
        foot = " ".join("".join(seat.lines()[-3:-1]).split())
        assert "The last change of C1 is older: anna did “build” on 24 Nov 09:00." in foot
        assert "H shows every change" in foot
        assert lot(seat, "C1", "voided_at") == (None,)


async def test_undo_of_what_several_lots_share_asks_first(household, sit):
    turned = "SELECT count(*) FROM event WHERE kind = 'turn' AND at = ? AND voided_at IS NULL"
    async with sit(household()) as seat:
        lots = [row[0] for row in seat.ask("SELECT id FROM lot WHERE code IN ('D1', 'D2')")]
        await open_lot(seat, "D1")
        seat.app.screen.write(lambda conn, by: turn(conn, by, lots, NOW), lambda _: None)
        await seat.settle()
        await seat.press("u")
        assert "it changed D2 too" in " ".join(seat.text().split())
        assert seat.ask(turned, utc_text(NOW)) == [(2,)]
        await seat.press("y")
        assert seat.ask(turned, utc_text(NOW)) == [(0,)]


async def test_the_foot_offers_what_a_raw_lot_needs_and_nothing_that_cannot_work(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        await open_lot(seat, "L1")
        keys = seat.lines()[-1]
        assert "F3 dose sheet" in keys
        assert "feel" not in keys
        log_at = next(at for at, line in enumerate(seat.lines()) if " LOG " in line)
        assert log_at <= 9, "the log follows the facts where there is no curve"


async def test_the_figures_go_on_where_the_column_beside_the_curve_ends(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        await open_lot(seat, "D1")
        assert "more: ← figures" in seat.text()
        await seat.press("right", "right")
        assert seat.text().count("31.1 % of hang") == 1
        assert " green   1134 g" in seat.text()
        await seat.press("left", "left", "v")
        assert " LOG " not in seat.text()


@pytest.mark.parametrize("size", [(45, 22), (60, 20), (80, 24), (120, 36), (160, 45)])
async def test_no_fact_is_left_out_while_the_log_leaves_lines_empty(tmp_path, sit, size):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path, size=size) as seat:
        for code in ("H1", "J1", "L1", "G1", "F1", "E1", "D3"):
            await open_lot(seat, code)
            lines = seat.lines()
            at = next(n for n, line in enumerate(lines) if line.startswith(" LOG "))
            below = [line.strip() for line in lines[at + 1 : -3]]
            if "more: ← figures" in "\n".join(lines[:at]):
                assert all(below), code
            await seat.press("q")


async def test_a_lot_in_the_cure_shows_its_days_and_no_empty_curve(tmp_path, sit):
    """The demo's duck breasts: salted two days ago, seven days in the cure, never turned."""
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        await open_lot(seat, "K1")
        text = seat.text()
        for shown in ("Day 2 of 7: 5 days to go", "salted  Mon 23 Nov", "turn    due today"):
            assert shown in text, shown
        assert "████████░░░░" in text
        assert "No curve yet" not in text
        await seat.press("U", "1")
        assert "turned  25 Nov, today" in seat.text()
        assert "turn    due Fri 27 Nov" in seat.text()


async def test_a_dose_sheet_names_its_columns_and_offers_only_what_can_be_done(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        await open_lot(seat, "L1")
        await seat.press("f3")
        lines = seat.lines()
        assert lines[0].rstrip().endswith("1 line to tick")
        assert lines[1].split() == ["planned", "weighed"]
        assert lines[1].index("planned") + 7 == lines[3].index(" g") + 2, "above its figures"
        assert "I into cure" in lines[-1]
        await seat.press("q", "q")
        await open_lot(seat, "D1")
        await seat.press("f3")
        assert "Nothing left to weigh." in seat.text()
        assert "into cure" not in seat.text()


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 45)])
async def test_room_below_the_log_holds_the_dose_sheet_and_the_figures(tmp_path, sit, size):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path, size=size) as seat:
        await open_lot(seat, "G1")
        lines = [line.strip() for line in seat.lines()]
        log, sheet = lines.index("DOSE SHEET") - 2, lines.index("DOSE SHEET")
        assert lines[log].endswith("in cure"), "the log is above, with one blank line between"
        assert lines[sheet + 1].startswith("[x] salt")
        assert "FIGURES" in lines
        assert seat.text().count("one week per inch") <= 2, "in the days and at the foot alone"
        await seat.press("down", "down", "enter")
        assert "in cure" in seat.lines()[-3], "the cursor stays in the log"
        await seat.press("escape", "right")
        assert "[x] salt" in seat.text()
        assert "FIGURES" not in seat.text()


async def test_a_lot_is_called_by_its_animal_where_the_title_holds_it(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        await open_lot(seat, "D1")
        assert seat.lines()[0].startswith("D1 Beef silverside, thick end   air-dried beef ")
        await seat.press("q")
        await open_lot(seat, "G1")
        assert seat.lines()[0].split("   ")[0] == "G1 Pork loin, centre"
        assert seat.lines()[0].casefold().count("loin") == 1


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("E1", "Its drying is paused; h hangs it where it was."),
        ("B1", "Nothing is due. V packs it, E records how it ended."),
    ],
)
async def test_a_lot_that_needs_nothing_says_what_can_be_done(tmp_path, sit, code, said):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        await open_lot(seat, code)
        assert said in seat.text()


async def test_a_day_of_another_year_is_no_day_of_a_month_on_a_phone(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path, size=(45, 22)) as seat:
        await seat.press("B", "enter")
        assert "Jan'26  finish" in seat.text()
