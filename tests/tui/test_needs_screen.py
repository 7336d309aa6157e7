"""Needs: each with its number and next action, kept quiet with a reason, cleared by itself."""

import sqlite3

import pytest

from curedash.tui.screens.needs import days_and_reason


async def test_needs_stand_with_their_next_action(household, sit):
    async with sit(household()) as seat:
        await seat.press("a")
        text = seat.text()
        assert "· Chamber: 5 lots to weigh, up to 1 d late: C1, C2, C3, C4, C5" in text
        assert "→ weigh them in one round" in text
        await seat.press("down", "enter")
        assert seat.lines()[0].startswith("RACK")
        cursor = seat.app.screen.list.cursor_key
        assert seat.ask("SELECT code FROM lot WHERE id = ?", cursor) == [("C2",)]


async def test_snoozing_wants_a_reason_and_shows_until_when(household, sit):
    async with sit(household()) as seat:
        await seat.press("a", "down", "z")
        await seat.type("3 guests on Sunday\r")
        stored = seat.ask("SELECT cause, snoozed_until, reason FROM need WHERE reason IS NOT NULL")
        assert stored == [("target-reached", "2026-11-28T09:00:00Z", "guests on Sunday")]
        text = seat.text()
        assert "Kept quiet" in text
        assert "until 28 Nov 09:00, guests on Sunday" in text
        at = next(n for n, line in enumerate(seat.lines()) if "guests on Sunday" in line)
        assert seat.lines()[at - 1].startswith("    C2: 31.9")


async def test_days_alone_ask_once_for_the_reason(household, sit):
    reasons = "SELECT reason FROM need WHERE snoozed_until IS NOT NULL"
    async with sit(household()) as seat:
        await seat.press("a", "down", "z")
        await seat.type("3\r")
        assert "quiet for 3 days because ›" in seat.text()
        assert seat.ask(reasons) == []
        await seat.type("guests on Sunday\r")
        assert seat.ask(reasons) == [("guests on Sunday",)]
        await seat.press("z")
        await seat.type("2\r\r")
        assert sorted(seat.ask(reasons), key=str) == [("guests on Sunday",), (None,)]


async def test_what_cleared_itself_is_listed(household, sit):
    async with sit(household()) as seat:
        await seat.pilot.pause(2.3)
        assert seat.ask("SELECT count(*) FROM need WHERE cleared_at IS NULL")[0][0] >= 4
        await seat.type("1181\r")
        await seat.pilot.pause(0.4)
        cleared = seat.ask("SELECT cause FROM need WHERE cleared_at IS NOT NULL")
        assert cleared == [("weigh-in-due",)]
        await seat.press("a")
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
        assert line.endswith("usual day reached; can wait")


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


async def test_the_cursor_stands_on_needs_only_and_says_why_a_quiet_one_takes_no_snooze(
    household, sit
):
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
        await seat.press("z")
        assert "That need is kept quiet already, until 28 Nov 09:00." in seat.text()
        assert "guests" in seat.text()
        await seat.press("enter")
        assert seat.lines()[0].startswith("RACK")
        cursor = seat.app.screen.list.cursor_key
        assert seat.ask("SELECT code FROM lot WHERE id = ?", cursor) == [("C2",)]


async def test_what_can_be_typed_is_not_cut_on_a_narrow_screen(household, sit):
    async with sit(household(), size=(60, 20)) as seat:
        await seat.press("a", "z")
        said = " ".join(" ".join(seat.lines()[-4:]).split())
        assert "begin with a number for more days: 3 waiting for the weekend" in said
        await seat.press("escape")
        assert "days" not in " ".join(seat.lines()[-4:])
