"""The diary by keyboard: the days, the month, days away to the stand-in page, planning back."""

import os
import re
import stat
import textwrap

import pytest

from curedash.store.open import open_db
from curedash.store.work import By, change
from tests.tui.conftest import add_batch, add_lot, days_ago

THANKS = "Thank you. You need no computer: look, weigh, turn, and write it down."


async def test_an_away_block_of_eight_days_to_the_list_to_the_stand_in_page(
    household, sit, tmp_path
):
    async with sit(household()) as seat:
        await seat.press("d")
        assert seat.lines()[0].startswith("DIARY")
        await seat.press("n")
        await seat.type("1–8 Dec\r")
        text = seat.text()
        assert "away 1–8 Dec" in text
        assert "lost when you return, target 30–35 % of hang" in text
        assert "is at its target by then" in " ".join(text.split())
        assert "or less on the scale with hook, net (28 g)" in " ".join(text.split())
        await seat.press("ctrl+s")
        assert seat.ask("SELECT from_day, to_day FROM away") == [("2026-12-01", "2026-12-08")]
        assert "Saved: 1 Dec 2026 to 8 Dec 2026, 8 days" in seat.text()
        await seat.press("R")
        assert "1 they wait for me  2 the stand-in does them" in seat.text()
        await seat.press("enter")
        assert "for questions" in seat.text()
        await seat.type("Mara 0123 456\r")
        page = seat.text()
        assert "Standing in" in page
        assert "For questions: Mara 0123 456" in page
        assert "1 Dec 2026 to 8 Dec 2026" in page
        await seat.press("ctrl+s")
        path = tmp_path / "page.txt"
        await seat.type(f"{path}\r")
        assert "Written to" in seat.text()
        written = path.read_text()
        assert "Waits until they are back" in written
        assert "Pull at" not in written
        assert "Tue 1 Dec" in written
        assert "Tue 8 Dec" in written
        assert stat.S_IMODE(os.stat(path).st_mode) == 0o600
        assert "How to weigh" not in written, "all of it waits"
        await seat.press("R", "2")
        assert "for questions › Mara 0123 456" in seat.text(), "asked once"
        await seat.press("enter", "ctrl+s")
        path = tmp_path / "weighs.txt"
        await seat.type(f"{path}\r")
        assert "Pull at" in path.read_text()
        assert "Waits until" not in path.read_text()


async def test_weigh_days_move_out_of_the_days_away_and_back(household, sit):
    async with sit(household()) as seat:
        await seat.press("d", "n")
        await seat.type("26 Nov to 3 Dec\r")
        await seat.press("ctrl+s", "q")
        moved = seat.text()
        assert "away 26 Nov–3 Dec" in seat.lines()[0]
        assert "moved from" in moved or "nobody at home" in moved
        await seat.press("X")
        assert "away 26 Nov 2026 to 3 Dec 2026, 8 days" in seat.text()
        await seat.press("y")
        assert seat.ask("SELECT voided_at IS NOT NULL FROM away") == [(1,)]
        assert "away 26" not in seat.lines()[0]


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_the_stand_in_page_opens_at_its_first_line_and_breaks_lines_once(
    household, sit, size
):
    """However far down the days one was: each line ends where no further word would fit."""
    async with sit(household(), size=size) as seat:
        await seat.press("d", "pagedown", "pagedown")
        where = seat.app.screen.list.cursor_key
        await seat.press("R", "enter")
        page = seat.app.screen
        assert page.list.top == 0
        assert "Standing in" in seat.text()
        assert max(len(line) for line in page._text) <= size[0]
        lines = textwrap.wrap(THANKS, size[0])  # the standard library breaks it the same way
        start = page._text.index(lines[0])
        assert page._text[start : start + len(lines) + 1] == [*lines, ""]
        await seat.press("q")
        assert page.list.cursor_key == where


async def windows(seat, count):
    """Wait until so many pull windows are there; they are computed off the paint path."""
    for _ in range(300):
        if seat.ask("SELECT count(*) FROM forecast WHERE lo_day IS NOT NULL")[0][0] >= count:
            return
        await seat.pilot.pause(0.1)


async def test_the_month_shows_windows_as_bands(household, sit):
    async with sit(household(), size=(120, 30)) as seat:
        await windows(seat, 5)
        await seat.press("d", "v")
        rows = [line for line in seat.lines() if line.startswith(" C")]
        assert len(rows) == 5
        assert any("==" in row for row in rows)
        assert all("w" in row for row in rows)
        assert "Nov" in seat.lines()[1]
        await seat.press("enter")
        assert "C1" in seat.lines()[0] or "C2" in seat.lines()[0]


async def test_planning_back_from_a_day(household, sit):
    async with sit(household()) as seat:
        await windows(seat, 5)
        await seat.press("d", "W")
        await seat.type("coppa\r")
        assert "Type the style, then the day" in seat.text()
        await seat.press("escape", "W")
        await seat.type("coppa 24 May 65mm\r")
        text = seat.text()
        assert "hanging now, likely at the target by then: " in " ".join(text.split())
        assert "salt it by" in text
        assert "wanted 24 May 2027" in text
        await seat.press("q", "W")
        await seat.type("copa 24 May\r")
        assert "There is no style “copa”" in seat.text()
        await seat.press("ctrl+u")
        await seat.type("24 May\r")
        text = " ".join(seat.text().split())
        assert "hanging now, likely at the target by then: " in text
        assert "without a pull window yet: " in text
        assert "Type a style before the day to see when to salt" in text


async def test_nonsense_is_said_and_nothing_kept(household, sit):
    async with sit(household()) as seat:
        await seat.press("d", "ctrl+s")
        assert "Ask for days away first" in seat.text()
        await seat.press("X")
        assert "No days away are saved" in seat.text()
        await seat.press("n")
        await seat.type("whenever [bold]x\r")
        assert "DIARY" in seat.lines()[0]
        await seat.press("escape", "R", "enter", "ctrl+s")
        for _ in range(3):
            await seat.pilot.press("backspace")
        await seat.type("docx\r")
        assert "not in .docx" in seat.text()
        assert seat.ask("SELECT count(*) FROM away") == [(0,)]


async def test_an_empty_household_has_an_empty_diary(tmp_path, sit):
    async with sit(tmp_path / "empty.db") as seat:
        seat.app.screen.show("diary")
        await seat.settle()
        assert "Nothing is planned for these days." in seat.text()
        await seat.press("v", "R", "enter", "q", "q")


async def test_the_diary_begins_on_an_entry_and_names_the_keys_of_what_is_shown(household, sit):
    """A heading is stepped over; a key that does nothing here is not at the foot."""
    path = household()
    async with sit(path) as seat:
        await seat.press("d")
        assert seat.app.screen.list.cursor_key[0] == "item"
        assert "Enter open" in seat.lines()[-1]
        await seat.press("up")
        assert seat.app.screen.list.cursor_key[0] == "item"
        await seat.press("v")
        assert "v days" in seat.lines()[-1]
        await seat.press("q", "n")
        await seat.type("1-8 Dec\r")
        assert "^S save" in seat.lines()[-1]
        assert "what to do before" in seat.text()
        assert any(line.startswith(" • ") for line in seat.lines()[2:])


async def test_the_title_says_how_much_of_the_days_is_out_of_sight(household, sit):
    async with sit(household(drying=8), size=(60, 20)) as seat:
        await seat.press("d")
        await seat.pilot.pause(0.1)
        before = seat.lines()[0]
        assert "lines below" in before
        await seat.press(*["pagedown"] * 9)
        await seat.pilot.pause(0.1)
        assert "below" not in seat.lines()[0]


async def test_an_empty_household_needs_nobody_to_stand_in(tmp_path, sit):
    async with sit(tmp_path / "empty.db", size=(60, 20)) as seat:
        seat.app.screen.show("diary")
        await seat.settle()
        said = " ".join(" ".join(seat.lines()[1:]).split())
        assert "Nothing is planned for these days. What cures or hangs will be listed here." in said
        await seat.press("R", "enter")
        assert "Nothing hangs or cures here now, so you need no stand-in." in seat.text()
        assert "thermometers" not in seat.text()


async def test_days_away_saved_twice_name_the_key_that_deletes_them(household, sit):
    async with sit(household()) as seat:
        await seat.press("d", "n")
        await seat.type("1–8 Dec\r")
        await seat.press("ctrl+s", "ctrl+s")
        said = " ".join(" ".join(seat.lines()[-4:-1]).split())
        assert "are saved as away already; X deletes them." in said


async def test_lots_turned_on_one_day_are_one_line(household, sit):
    path = household()
    conn = open_db(str(path))
    with change(conn, By(days_ago(1), "anna", "shell", "before"), "build") as work:
        batch = add_batch(work, "B", "Four pieces", "coppa", 2.0)
        for n in range(1, 5):
            kept = {"position": n - 10, "stage_at": days_ago(2.0), "green_g": 1200.0}
            add_lot(work, batch, f"B{n}", f"piece {n}", "in-cure", **kept)
    conn.close()
    async with sit(path) as seat:
        await seat.press("d")
        turns = [line for line in seat.lines() if "B1" in line and "turn the bag" in line]
        assert turns
        assert all(re.search(r"\bB1–B4(, [^:]+)?: turn the bag", line) for line in turns)
        assert not any("B2: turn" in line for line in seat.lines())
