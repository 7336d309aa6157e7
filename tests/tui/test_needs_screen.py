"""Needs: each with its number and next action, snoozed with a reason, cleared by itself."""

import sqlite3

import pytest

from curedash.tui.screens.needs import days_and_reason


async def test_needs_stand_with_their_next_action(household, sit):
    async with sit(household()) as seat:
        await seat.press("a")
        text = seat.text()
        assert "• Chamber: 5 lots to weigh, up to 1 d late: C1, C2, C3, C4, C5" in text
        assert "→ weigh them in one round" in text
        assert "Enter weigh them" in seat.lines()[-1]
        await seat.press("down")
        assert "Enter feel it" in seat.lines()[-1]
        await seat.press("enter")
        assert "C2, its rim" in seat.text()
        assert seat.lines()[0].startswith("NEEDS")
        await seat.press("escape", "right")
        assert seat.app.screen.NAME == "lot"
        assert "C2" in seat.lines()[0]
        await seat.press("q")
        assert seat.lines()[0].startswith("NEEDS")


async def test_lots_of_a_place_that_are_due_are_weighed_in_a_round(household, sit):
    async with sit(household()) as seat:
        await seat.press("a", "enter")
        assert seat.app.screen.NAME == "round"
        await seat.type("1181\r")
        assert seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [(1181.0,)]


async def test_a_need_is_snoozed_with_a_reason_only_and_the_prompt_names_it(household, sit):
    async with sit(household()) as seat:
        await seat.press("a", "z")
        assert "Chamber: snooze for a day because ›" in seat.text()
        assert "5 lots to weigh, up to 1 d late: C1, C2, C3, C4, C5; all of them." in (
            " ".join(seat.text().split())
        )
        await seat.press("enter")
        assert "Say why in a few words" in seat.text()
        assert seat.ask("SELECT count(*) FROM need WHERE snoozed_until IS NOT NULL") == [(0,)]


async def test_a_snooze_is_taken_back_and_stands_in_the_history(household, sit):
    quiet = "SELECT count(*) FROM need WHERE snoozed_until IS NOT NULL"
    async with sit(household()) as seat:
        await seat.press("a", "z")
        await seat.type("2 guests\r")
        assert seat.ask(quiet) == [(5,)]
        assert "Snoozed for 2 days. u undoes it." in seat.text()
        await seat.press("u")
        assert "Undone: snooze Chamber 5 lots to weigh for 2 d: guests." in seat.text()
        assert seat.ask(quiet) == [(0,)]
        assert "Chamber: 5 lots to weigh" in seat.text()
        await seat.press("y", "q")
        assert seat.ask(quiet) == [(5,)]
        await seat.press("u")
        assert seat.ask(quiet) == [(0,)], "the Rack undoes it as well"
        await seat.press("H")
        assert "snooze Chamber 5 lots to weigh" in seat.text()


async def test_a_snooze_is_changed_or_ended_by_the_same_key(household, sit):
    stored = (
        "SELECT snoozed_until, need.reason FROM need JOIN lot ON lot.id = lot_id"
        " WHERE cause = 'target-reached' AND code = 'C2'"
    )
    async with sit(household()) as seat:
        await seat.press("a", "down", "z")
        await seat.type("3 guests\r")
        await seat.press(*["down"] * 12, *["up"] * 12)
        while seat.app.screen.list.cursor_key[0] != "stored":
            await seat.press("down")
        await seat.press("z")
        assert "C2: snooze for › 3 guests▏" in seat.text()
        await seat.type("9 a wedding\r")
        assert seat.ask(stored) == [("2026-12-04T09:00:00Z", "a wedding")]
        while seat.app.screen.list.cursor_key[0] != "stored":
            await seat.press("down")
        await seat.press("z")
        await seat.type("0\r")
        assert seat.ask(stored) == [(None, None)]
        assert "No longer snoozed. u undoes it." in seat.text()
        await seat.press("q", "H")
        assert "end snooze of C2 target reached" in seat.text()


async def test_snoozing_wants_a_reason_and_shows_until_when(household, sit):
    async with sit(household()) as seat:
        await seat.press("a", "down", "z")
        await seat.type("3 guests on Sunday\r")
        stored = seat.ask("SELECT cause, snoozed_until, reason FROM need WHERE reason IS NOT NULL")
        assert stored == [("target-reached", "2026-11-28T09:00:00Z", "guests on Sunday")]
        text = seat.text()
        assert "Snoozed" in text
        assert "until 28 Nov 09:00, guests on Sunday" in text
        at = next(n for n, line in enumerate(seat.lines()) if "guests on Sunday" in line)
        assert seat.lines()[at - 1].startswith("    C2: 31.9")


async def test_days_alone_ask_once_for_the_reason(household, sit):
    reasons = "SELECT reason FROM need WHERE snoozed_until IS NOT NULL"
    async with sit(household()) as seat:
        await seat.press("a", "down", "z")
        await seat.type("3\r")
        assert "C2: snooze for 3 days because ›" in seat.text()
        assert seat.ask(reasons) == []
        await seat.type("guests on Sunday\r")
        assert seat.ask(reasons) == [("guests on Sunday",)]
        await seat.press("z")
        await seat.type("2\r\r")
        assert "Say why in a few words" in seat.text()
        assert seat.ask(reasons) == [("guests on Sunday",)]


@pytest.mark.parametrize("minutes", [9, 10])
async def test_what_stood_ten_minutes_and_cleared_itself_is_listed(household, sit, minutes):
    path = household()
    async with sit(path) as seat:
        await seat.pilot.pause(2.3)
        assert seat.ask("SELECT count(*) FROM need WHERE cleared_at IS NULL")[0][0] >= 4
        with sqlite3.connect(path) as conn:
            conn.execute("UPDATE need SET opened_at = ?", (f"2026-11-25T08:{60 - minutes}:00Z",))
        conn.close()
        await seat.type("1181\r")
        await seat.pilot.pause(0.4)
        cleared = seat.ask("SELECT cause FROM need WHERE cleared_at IS NOT NULL")
        assert cleared == [("weigh-in-due",)]
        await seat.press("a")
        if minutes < 10:
            assert "Cleared lately" not in seat.text()
            return
        assert "Cleared lately" in seat.text()
        assert "C1: weigh-in" in seat.text().partition("Cleared lately")[2]


def test_days_lead_the_reason_or_one_day_is_meant():
    assert days_and_reason("3 waiting") == (3, "waiting")
    assert days_and_reason("3d waiting") == (3, "waiting")
    assert days_and_reason("") == (1, "")
    assert days_and_reason("ordered a part") == (1, "ordered a part")


async def test_a_long_need_keeps_its_end_on_a_narrow_screen(household, sit):
    path = household()
    with sqlite3.connect(path) as conn:
        conn.execute("UPDATE lot SET cure_rule = 'a rule with a long name' WHERE code = 'D2'")
    conn.close()
    async with sit(path, size=(60, 20)) as seat:
        await seat.press("a")
        line = next(line for line in seat.lines() if "D2: in cure" in line).rstrip()
        assert line.endswith("cure time is up; can wait")


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_need_and_reason_are_whole_on_a_narrow_screen(household, sit, size):
    why = "waiting for the new scale, which the shop has promised for the end of next week"
    async with sit(household(), size=size) as seat:
        await seat.press("a", "down", "z")
        await seat.type(f"3 {why}\r")
        await seat.press("pagedown", "pagedown", "pagedown")
        shown = " ".join(seat.text().split())
        assert f"until 28 Nov 09:00, {why}" in shown
        assert "…" not in seat.text()


async def test_the_cursor_stands_on_needs_only(household, sit):
    async with sit(household()) as seat:
        await seat.press("a", "down", "z")
        await seat.type("3 guests\r")
        standing = set()
        for _ in range(20):
            await seat.press("down")
            standing.add(seat.app.screen.list.cursor_key)
        page = seat.app.screen
        assert all(key in page._needs or key[0] == "stored" for key in standing)
        assert page.list.cursor_key[0] == "stored"
        await seat.press("enter")
        assert "C2" in seat.lines()[0]


async def test_what_can_be_typed_is_not_cut_on_a_narrow_screen(household, sit):
    async with sit(household(), size=(60, 20)) as seat:
        await seat.press("a", "z")
        said = " ".join(" ".join(seat.lines()[-4:]).split())
        assert "begin with a number for more days: 3 waiting for the weekend" in said, said
        await seat.press("escape")
        assert "days" not in " ".join(seat.lines()[-4:])


async def test_the_cursor_marks_every_line_of_a_need(household, sit):
    async with sit(household()) as seat:
        await seat.press("a")
        page = seat.app.screen
        marked = [page.list._is_marked(at) for at in range(len(page.list.keys))]
        assert marked[:3] == [True, True, False]


async def test_enter_on_a_turn_that_is_due_turns_what_lies_there(household, sit):
    path = household()
    conn = sqlite3.connect(path)
    conn.execute("DELETE FROM event WHERE kind = 'turn'")
    conn.commit()
    conn.close()
    async with sit(path) as seat:
        await seat.press("a")
        key = next(key for key in seat.app.screen.list.keys if key[0] == "turn-due")
        while seat.app.screen.list.cursor_key != key:
            await seat.press("down")
        await seat.press("enter")
        await seat.settle()
        if "turned now" in seat.text():
            await seat.press("enter")
        await seat.settle()
        assert seat.ask("SELECT count(*) FROM event WHERE kind = 'turn'")[0][0] >= 1


async def test_enter_on_a_need_of_a_lot_asks_its_question_there(household, sit):
    async with sit(household()) as seat:
        await seat.press("a", "down", "enter")
        page = seat.app.screen
        assert page.NAME == "needs"
        assert page.talking is not None
