"""The Rack as it is used: rows, cursor, filters, other writers, the day that changes."""

import re
import sqlite3
from contextlib import closing
from datetime import timedelta
from threading import Event

import pytest

from curedash.present.words import ABOUT, NOTHING, SIGNS, text_of
from curedash.services.drying import forecasts
from curedash.services.file import backup
from curedash.services.file.restore import restore
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.file_trouble import SCHEMA_VERSION
from curedash.store.open import open_db
from curedash.store.rack import lot_by_code
from curedash.store.work import By
from curedash.tui.widgets.lines import LineList
from tests.demo import copy_demo
from tests.hostile import HOSTILE
from tests.tui.conftest import NOW, days_ago


def elsewhere(path, code: str, text: str) -> None:
    """Somebody else weighs a lot, in another process as far as the file can tell."""
    conn = open_db(str(path))
    lot = lot_by_code(conn, code)
    seen = preview(lot, text, NOW, NOW.tzinfo)
    weigh(conn, By(days_ago(0), "ben", "shell", "other"), lot.id, seen)
    conn.close()


def codes(seat) -> list[str]:
    rows = seat.lines()[2 : 2 + seat.app.screen.list.size.height]
    return [line[3:].split()[0] for line in rows if line.strip()]


async def windows_stand(seat, least: int = 5) -> None:
    """Wait until the pull windows were computed that were missing at the start."""
    for _ in range(200):
        if seat.ask("SELECT count(*) FROM forecast")[0][0] >= least:
            break
        await seat.pilot.pause(0.05)
    await seat.pilot.pause(0.3)


@pytest.fixture
def painted(monkeypatch):
    """Lines of the list that were drawn."""
    drawn: list[int] = []
    real = LineList.render_line

    def spy(self, y):
        drawn.append(y)
        return real(self, y)

    monkeypatch.setattr(LineList, "render_line", spy)
    return drawn


async def test_what_needs_somebody_stands_first(household, sit):
    async with sit(household()) as seat:
        assert codes(seat) == ["C1", "C2", "C3", "C4", "C5", "D2", "D1", "D3", "E1"]
        assert seat.lines()[0].startswith("RACK 9 lots, 4 needs: ! 0 now, • 4 today ")
        needs = [line.strip() for line in seat.lines()[11:-1] if line.strip()]
        assert needs[0].startswith("• C1, C2, C3, C4, C5: weigh-in 1 d late")
        assert needs[0].endswith("r weigh round"), "the key and the page it opens"


async def test_another_writer_is_seen_and_only_its_row_is_painted(household, sit, painted):
    path = household()
    async with sit(path) as seat:
        await seat.press("down", "down")
        painted.clear()
        elsewhere(path, "C4", "1100")
        await seat.pilot.pause(1.4)
        row = next(line for line in seat.lines() if " C4 " in line)
        assert " 29 of 30 % " in row
        assert set(painted) == {3}
        assert (
            seat.app.screen.list.cursor_key == seat.ask("SELECT id FROM lot WHERE code='C3'")[0][0]
        )


async def test_nothing_is_painted_when_nothing_changed(household, sit, painted):
    async with sit(household()) as seat:
        for _ in range(40):  # until what is computed in the background is drawn
            painted.clear()
            await seat.pilot.pause(0.5)
            if not painted and "since 15 Nov" in seat.text():
                break
        painted.clear()
        seat.app.screen.minute_passed()
        await seat.pilot.pause(0.2)
        assert painted == []


async def test_rows_keep_their_places_until_the_order_is_renewed(household, sit):
    path = household()
    async with sit(path) as seat:
        await seat.type("1165\r")
        assert codes(seat)[0] == "C1"
        await seat.press("o")
        assert codes(seat)[0] == "C2"
        cursor = seat.app.screen.list.cursor_key
        assert seat.ask("SELECT code FROM lot WHERE id = ?", cursor) == [("C1",)]


async def test_after_a_look_at_a_lot_the_next_one_is_the_row_below(household, sit):
    async with sit(household()) as seat:
        before = codes(seat)
        await seat.press("enter")
        assert seat.app.screen.NAME == "lot"
        await seat.type("1165\r")
        await seat.press("q")
        assert codes(seat) == before
        assert seat.lines()[1].startswith("   Lot, o: urgent first ")
        await seat.press("down", "enter")
        assert "C2" in seat.lines()[0]
        await seat.press("q", "o")
        assert codes(seat) != before
        assert seat.lines()[1].startswith("   Lot, urgent first ")


async def test_the_cursor_of_a_scrolled_rack_stays_where_it_was(household, sit):
    async with sit(household(drying=60)) as seat:
        await seat.press(*["down"] * 40)
        rows, cursor = codes(seat), seat.app.screen.list.cursor_key
        await seat.press("enter", "q")
        assert codes(seat) == rows
        assert seat.app.screen.list.cursor_key == cursor


async def windows_shown(seat):
    """Every pull window is computed and on its row: nothing is left to do in the background."""
    for _ in range(200):
        await seat.pilot.pause(0.05)
        if "since 15 Nov" in seat.text() and "3–8 Dec" in seat.text():
            return
    raise AssertionError(f"no pull windows on the screen:\n{seat.text()}")


async def test_a_round_and_a_new_day_put_the_rows_in_order(household, sit):
    """What needs somebody first, then the soonest ready: a new day asks for C1 again."""
    clock = [NOW]
    async with sit(household(), now=lambda: clock[0]) as seat:
        await seat.type("1165\r")
        assert codes(seat)[0] == "C1"
        await windows_shown(seat)
        await seat.press("r", "q")
        assert codes(seat)[:6] == ["C2", "C3", "C5", "C4", "D2", "C1"]
        await seat.press("enter")
        clock[0] = NOW + timedelta(days=8)
        await seat.press("q")
        assert codes(seat)[:5] == ["C2", "C3", "C5", "C4", "C1"]
        assert seat.lines()[1].startswith("   Lot, urgent first ")


async def test_what_was_taken_back_is_put_back_by_the_key_that_is_named(household, sit):
    standing = "SELECT count(*) FROM weigh_in WHERE voided_at IS NULL"
    async with sit(household()) as seat:
        await seat.type("1165\r")
        await seat.press("u")
        assert "Undone: weigh C1. y redoes it." in seat.text()
        assert seat.ask(standing) == [(36,)]
        await seat.press("y")
        assert "Redone: weigh C1. u undoes it." in seat.text()
        assert seat.ask(standing) == [(37,)]
        await seat.press("u")
        assert seat.ask(standing) == [(36,)]
        await seat.press("y", "y")
        assert "There is nothing to redo" in seat.text()
        assert seat.ask(standing) == [(37,)]


async def test_a_new_day_renews_order_and_date(household, sit):
    clock = [NOW]
    async with sit(household(), now=lambda: clock[0]) as seat:
        await seat.type("1165\r")
        clock[0] = NOW + timedelta(days=1)
        seat.app.screen.minute_passed()
        await seat.pilot.pause(0.2)
        assert seat.lines()[0].endswith("Thu 26 Nov ")
        assert codes(seat)[0] == "C2"


async def test_filters_by_one_key_each(household, sit):
    async with sit(household()) as seat:
        await seat.press("L", "3")
        assert codes(seat) == ["C1", "C2", "C3", "C4", "C5"]
        assert "drying: 5 of 9" in seat.lines()[0]
        await seat.press("L", "3", "end", "L", "2")
        assert codes(seat) == ["D2", "D1", "D3", "E1"]
        await seat.press("escape", "slash")
        await seat.type("belly")
        assert codes(seat) == ["D2", "D1", "D3"]
        await seat.press("enter", "L", "1")
        assert "batch D + “belly”: 3 of 9" in seat.lines()[0]
        await seat.press("escape")
        assert len(codes(seat)) == 9


async def test_a_filter_without_a_match_says_the_way_out(household, sit):
    async with sit(household()) as seat:
        await seat.press("slash")
        await seat.type("[/no such\r")
        assert "No row matches; Esc shows all again." in seat.text()
        await seat.press("L")
        assert "no lot here" in seat.text()


async def test_base_switches_what_is_shown(household, sit):
    async with sit(household()) as seat:
        assert " 22 of 30 % " in seat.lines()[2]
        await seat.press("b")
        assert "loss from green weight" in seat.lines()[0]
        assert " 22 of 30 % " not in seat.lines()[2]
        assert " 25 of 33 % " in seat.lines()[2], "the target goes along: 1074 g of 1600"


async def test_two_hundred_lots_scroll_and_come_back(household, sit):
    async with sit(household(drying=200)) as seat:
        await seat.press("end")
        assert codes(seat)[-1] == "E1"
        await seat.press("pageup", "home")
        assert codes(seat)[0] == "C1"
        await seat.press("down")
        assert seat.app.screen.list.top == 0


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_hostile_names_do_not_break_a_row(household, sit, size):
    names = tuple(HOSTILE)
    async with sit(household(drying=len(names), names=names), size=size) as seat:
        rows = [line for line in seat.lines()[2:] if re.match(r"[!• ][› ] C\d+ ", line)]
        assert len(rows) == min(len(names), size[1] - 5)
        from rich.cells import cell_len

        assert {cell_len(line) for line in seat.lines()} == {size[0]}


async def test_an_empty_file_says_how_to_begin(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        await seat.press("q")  # the questions of a first start can wait
        assert "No lots yet. Press n to salt the first batch." in seat.text()
        await seat.press("w", "1", "s", "u")
        assert "Nothing from this session is left to undo" in seat.text()


async def test_keys_and_commands_are_one_key_away(household, sit):
    async with sit(household()) as seat:
        await seat.press("question_mark")
        assert "Weigh every lot that is due, one by one." in seat.text()
        await seat.press("q", "x")
        await seat.type("hang green")
        await seat.press("enter")
        assert "loss from green weight" in seat.lines()[0]


async def test_resizing_changes_the_columns(household, sit):
    async with sit(household()) as seat:
        await seat.pilot.resize_terminal(120, 30)
        await seat.settle()
        assert "Place" in seat.lines()[1]
        await seat.pilot.resize_terminal(60, 20)
        await seat.settle()
        assert "Trend" not in seat.lines()[1]
        assert seat.lines()[-1].startswith("? keys")


async def test_a_fault_in_derived_data_does_not_end_the_program(household, sit, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError("a bug")

    monkeypatch.setattr("curedash.services.drying.forecasts.refresh", broken)
    async with sit(household()) as seat:
        await seat.type("1181\r")
        await seat.pilot.pause(0.4)
        assert "your entry is saved" in seat.text()
        await seat.type("1180\r")
        await seat.press("k")  # a second weight within ten minutes asks
        assert seat.ask("SELECT count(*) FROM weigh_in WHERE voided_at IS NULL") == [(38,)]
        assert [type(fault) for fault in seat.app.house.faults] == [ZeroDivisionError] * len(
            seat.app.house.faults
        )
        seat.app.house.faults.clear()


async def test_missing_windows_are_computed_after_the_start(household, sit):
    async with sit(household()) as seat:
        await seat.pilot.pause(3.5)
        assert seat.ask("SELECT count(*) FROM forecast")[0][0] >= 5
        assert "Dec" in next(line for line in seat.lines() if " C4 " in line)


LONG = "Another program is writing to this file, and has been for a minute; " * 3 + "try again."


async def test_a_long_sentence_is_shown_whole_until_the_next_key(household, sit):
    async with sit(household(drying=40), size=(60, 20)) as seat:
        await seat.press("end")
        seat.app.screen.show_message(LONG, "act")
        await seat.settle()
        text = seat.text()
        assert "…" not in text.partition("Another")[2]
        assert " ".join(text.split()).count("has been for a minute;") == 3
        assert "try again." in text
        cursor = seat.app.screen.list.cursor_key
        (code,) = seat.ask("SELECT code FROM lot WHERE id = ?", cursor)[0]
        assert f" {code} " in text  # the cursor is in sight still
        await seat.press("up")
        assert "Another program" not in seat.text()
        assert len(codes(seat)) == 15


async def test_a_copy_brought_back_puts_the_rows_in_order(household, sit):
    path = household()
    async with sit(path) as seat:
        await windows_stand(seat)
        await seat.press("o")
        before = codes(seat)
        await seat.press("H", "C", "n", "enter", "q", "q")
        await seat.type("1165\r")
        await seat.press("o")
        assert codes(seat)[0] == "C2"
        await seat.press("H", "C", "home", "enter", "y")
        assert "Restored" in seat.text()
        await seat.press("q", "q")
        assert codes(seat) == before
        assert seat.lines()[1].startswith("   Lot, urgent first ")


async def test_a_copy_brought_back_by_another_program_puts_them_in_order_too(household, sit):
    path = household()
    with closing(open_db(str(path))) as conn:
        copy = backup.back_up(conn, str(path), str(path.parent / "kept.db"), NOW)
    async with sit(path) as seat:
        before = codes(seat)
        await seat.type("1165\r")
        await seat.press("o")
        assert codes(seat)[0] == "C2"
        await windows_stand(seat)
        restore(str(path), copy, NOW)
        await seat.pilot.pause(1.4)
        assert codes(seat) == before
        await windows_stand(seat)  # the copy had none: they are computed for it, too
        assert seat.ask("SELECT count(*) FROM forecast")[0][0] >= 5


async def test_a_window_computed_under_an_open_lot_is_shown_there_too(household, sit, monkeypatch):
    opened, really = Event(), forecasts.refresh

    def refresh(*args):
        assert opened.wait(60), "the lot was never opened"
        return really(*args)

    monkeypatch.setattr(forecasts, "refresh", refresh)
    async with sit(household(), size=(120, 36)) as seat:
        await seat.press("down", "down", "down", "enter")
        assert "C4" in seat.lines()[0]
        assert " Dec" not in seat.text()
        opened.set()
        await windows_stand(seat)
        here = seat.text()
        await seat.press("q")
        row = next(line for line in seat.lines() if " C4 " in line)
        window = re.search(r"\d+( \w+)?–\d+ Dec", row)[0]
        assert window in here


async def test_empty_lines_below_a_short_rack_hold_more_needs(household, sit):
    async with sit(household()) as seat:
        await seat.press("a")
        every = [line for line in seat.lines() if line.startswith(("!", "•"))]
        assert len(every) > 2
        await seat.press("q")
        text = seat.text()
        weigh = "• C1, C2, C3, C4, C5: weigh-in 1 d late"  # on the Rack the lots are named first
        assert "more" not in text.partition(weigh)[2]
        assert every[0].startswith("• Chamber: 5 lots to weigh, up to 1 d late")
        for line in (weigh, *every[1:]):
            code, _, why = line.strip().partition(": ")
            if "target reached" in why:  # of how much, in the words of its row
                lost = why.partition(" % lost")[0]
                assert f"{code}: {float(lost):.0f} of 30 %: target reached" in text
            else:
                assert line.strip()[:40] in text
        await seat.press("slash")
        assert weigh in seat.text()  # a filter moves nothing
        await seat.press("escape")
        await seat.pilot.resize_terminal(80, 14)
        await seat.settle()
        assert re.search(r" a shows all \d+ needs ", seat.lines()[-3])


async def test_a_full_rack_keeps_two_lines_of_needs(household, sit):
    async with sit(household(drying=40)) as seat:
        assert len(codes(seat)) == 19
        assert re.search(r" a shows all \d+ needs ", seat.lines()[-3])


async def test_when_all_is_snoozed_it_says_until_when(household, sit):
    async with sit(household()) as seat:
        await seat.press("a")
        for _ in range(12):
            if "0 now · 0 today" in seat.lines()[0]:
                break
            await seat.press("z")
            await seat.type("2 away\r")
        await seat.press("down")
        said = "Nothing needs you now; 10 snoozed, the first until 27 Nov 09:00."
        asleep = seat.ask("SELECT count(*) FROM need WHERE snoozed_until IS NOT NULL")[0][0]
        assert said.replace("10", str(asleep)) in seat.text()
        await seat.press("q")
        assert said.replace("10", str(asleep)) in seat.text()


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_the_keys_of_the_rack_begin_with_what_is_done_and_end_with_the_signs(
    household, sit, size
):
    async with sit(household(), size=size) as seat:
        await seat.press("question_mark")
        first = [line for line in seat.lines()[2:9] if line[:4].strip()]  # no second line of one
        assert [line.split()[0] for line in first][:5] == ["Do", "w", "s", "r", "n"]
        keys = seat.app.screen.list
        lines = [text_of(keys._draw(key)).strip() for key in keys.keys]
        for sign in (*(sign for sign in SIGNS.values() if sign.strip()), ABOUT, NOTHING, "~"):
            assert any(line.split()[:1] == [sign] for line in lines), sign
        assert any("trend, one cell a week" in line for line in lines)
        await seat.press("q")
        assert seat.lines()[0].startswith("RACK")


async def test_a_file_of_a_newer_version_is_shown_and_says_so_at_once(household, sit):
    path = household()
    with closing(sqlite3.connect(path)) as conn:
        conn.execute(f"PRAGMA user_version = {SCHEMA_VERSION + 1}")
    async with sit(path) as seat:
        await seat.settle()
        said = " ".join(seat.text().split())
        assert "a newer version of curedash made it; update the program" in said
        assert any(" C1 " in line for line in seat.lines())


async def test_what_is_said_stands_beside_the_needs_where_there_is_room(household, sit):
    async with sit(household()) as seat:
        every = [line for line in seat.lines()[11:-1] if line.strip()]
        assert len(every) > 2
        await seat.type("1165\r")
        assert "Saved C1" in seat.text()
        await seat.pilot.pause(0.3)  # what needs somebody follows a moment later
        text = seat.text()
        assert "• C2, C3, C4, C5: weigh-in 1 d late" in text
        assert all(line.strip() in text for line in every[1:] if "C1" not in line)


async def test_rack_needs_and_check_count_alike(household, sit, capsys):
    """A place's needs and a lot's: every line of the check is one of the needs counted."""
    from curedash.__main__ import main

    path = household()
    with closing(sqlite3.connect(path)) as conn, conn:
        conn.execute("UPDATE lot SET stage_at = ? WHERE code = 'D2'", (days_ago(60),))
    code = main(["--db", str(path), "--now", NOW.isoformat(), "check"])
    assert code in (1, 2)
    told = capsys.readouterr().out.splitlines()
    act = sum(line.startswith("now") for line in told)
    counts = f"{act} now · {len(told) - act} today"
    signed = f"! {act} now, • {len(told) - act} today"
    async with sit(path) as seat:
        assert f"{len(told)} needs: {signed}" in seat.lines()[0]
        await seat.press("a")
        assert counts in seat.lines()[0]


async def test_a_key_that_left_a_page_and_comes_again_does_not_leave_the_program(household, sit):
    async with sit(household()) as seat:
        await seat.press("H")
        await seat.type("qqq")  # held
        assert seat.app.screen.NAME == "rack"
        assert "q again leaves curedash." in seat.text()
        assert seat.app.is_running
        await seat.pilot.pause(0.3)
        await seat.type("q")
        assert seat.app.return_code == 0


@pytest.mark.parametrize("keys", ["q", "H\x1bq", "Hqjq"])
async def test_a_key_that_is_not_held_leaves_at_once(household, sit, keys):
    """Esc left the page before, or another key came in between."""
    async with sit(household()) as seat:
        for key in keys:
            await seat.type(key)
        assert seat.app.return_code == 0


async def test_ctrl_z_says_what_leaves(household, sit):
    async with sit(household()) as seat:
        await seat.press("ctrl+z")
        assert "q on the Rack leaves" in seat.text()


async def test_a_prompt_over_the_last_needs_says_how_many_more_there_are(household, sit):
    async with sit(household(), size=(80, 15)) as seat:
        await seat.press("w")
        assert "› " in seat.text()
        assert " a shows all 4 needs " in seat.lines()[11]
        await seat.press("escape")
        assert " all 4" not in seat.lines()[11]


async def test_where_needs_lack_a_line_the_blank_one_has_one_and_alike_ones_share_one(
    household, sit
):
    """Nine lots: at 17 lines three are below them, at 18 one more, and that is enough for four."""
    async with sit(household(), size=(80, 18)) as seat:
        needs = [line for line in seat.lines()[11:15] if line.startswith("•")]
        assert not seat.lines()[11].strip(), "each has a line: the blank one stays"
        assert len(needs) == 3
        assert sum("target reached" in line for line in seat.lines()) == 2
        await seat.pilot.resize_terminal(80, 17)
        await seat.settle()
        assert seat.lines()[11].startswith("• C1, C2, C3, C4, C5: ")
        assert sum("target reached" in line for line in seat.lines()) == 2
        await seat.pilot.resize_terminal(80, 16)
        await seat.settle()
        assert seat.lines()[11].startswith("• C1, C2, C3, C4, C5: ")
        assert seat.lines()[12].startswith("• C2, C3: ready ")
        assert seat.lines()[13].startswith("• D2: ")
        assert " all 4 needs" not in seat.text()
        await seat.pilot.resize_terminal(80, 15)
        await seat.settle()
        assert seat.lines()[12].startswith("• C2, C3: ready · D2: in cure 21 d, ")
        assert " all 4 needs" not in seat.text(), "in the line of the next one"


async def test_the_foot_says_that_an_arrow_moves_the_pointer(household, sit):
    async with sit(household()) as seat:
        assert seat.lines()[1].rstrip().endswith("Do, on row ›")
        assert seat.lines()[-1].rstrip().endswith("r round   ↑↓ move ›   n new")
        await seat.press("w")
        assert "move ›" not in seat.lines()[-1], "what is typed has its own keys"


async def test_on_a_tall_screen_the_needs_stand_right_below_the_lots(household, sit):
    async with sit(household(), size=(120, 50)) as seat:
        lines = seat.lines()
        last = max(at for at, line in enumerate(lines) if "E1" in line[:6])
        assert not lines[last + 1].strip()
        assert lines[last + 2].startswith("• ")


async def test_below_the_rows_a_key_is_named_only_where_it_answers_from_any_row(tmp_path, sit):
    """`s` would move the marked lot; `r` weighs every lot that is late."""
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path, size=(120, 36)) as seat:
        lines = {line.split(": ")[0]: line.rstrip() for line in seat.lines()[15:-3] if ": " in line}
        assert lines["! H1"].endswith(" d overdue")
        assert lines["• D1 2 d late and F1 3 d late"].endswith("  r weigh round"), (
            "how late each is"
        )
        assert lines["• Cellar"].endswith("  p open places")
        rows = seat.lines()[2:15]
        assert rows[0].rstrip().endswith(" g measure pH"), "a lower-case letter, with cold hands"
        assert rows[1].rstrip().endswith(" s take it out")
        assert rows[8].rstrip().endswith(" [F3] doses"), "F3 alone would be a lot's code"


async def test_at_80_columns_nothing_on_the_rack_of_the_demo_is_cut(tmp_path, sit):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path) as seat:
        assert "…" not in seat.text()
        assert any(line.startswith("• C1, D2: ready · D1 ") for line in seat.lines())
        assert " all 9 needs" not in seat.text(), "each of them has its words"


async def test_the_style_that_holds_the_letters_is_named_where_no_row_shows_them(household, sit):
    async with sit(household()) as seat:
        await seat.press("slash")
        await seat.type("coppa")
        assert "in style " in seat.lines()[0]
        assert "Enter keep these rows   Esc all rows" in seat.text()


async def test_what_an_empty_list_says_stands_near_its_head(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q")
        empty = {
            (): "No lots yet. ",
            ("a",): "Nothing needs you today.",
            ("p",): "No place yet: ",
            ("B",): "No lot is finished yet; ",
        }
        for keys, words in empty.items():
            await seat.press(*keys)
            assert any(line.startswith(f"  {words}") for line in seat.lines()[2:4]), words
            assert seat.text().count(words) == 1
            await seat.press(*("q",) * len(keys))


@pytest.mark.parametrize("size", [(140, 30), (160, 45)])
async def test_beside_the_list_figures_keep_their_order_and_none_is_empty(tmp_path, sit, size):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    heads = ("state ", "cure ", "pH ", "lost ", "target ", "to go ", "rate ", "ready ", "weighed ")
    found = {}
    async with sit(path, size=size) as seat:
        for _ in range(13):
            beside = [line.partition("│ ")[2].rstrip() for line in seat.lines()]
            code = beside[2].split()[0]
            found[code] = [head for line in beside for head in heads if line.startswith(head)]
            assert found[code] == sorted(found[code], key=heads.index)
            assert not any(line.endswith(" –") for line in beside), "nothing that is unknown"
            assert seat.text().count("brush off") <= 1, "the whole of it once"
            salted = any("w or a digit" in line for line in beside)
            assert not (salted and code in ("H1", "G1", "K1", "L1")), "it lies in its salt"
            await seat.press("down")
    assert len(found) == 13
    assert found["D2"] == found["C1"], "of lots that dry each figure has its line"
    assert "lost " not in found["H1"]
    assert "cure " in found["H1"]


@pytest.mark.parametrize("lines", [3, 4, 6])
async def test_a_long_message_takes_empty_lines_and_no_row(household, sit, lines):
    async with sit(household(drying=4)) as seat:
        rows = len(seat.app.screen.list.keys)
        seat.app.screen.show_message(" ".join(["words"] * 12 * lines))
        await seat.settle()
        assert seat.lines()[-lines - 1].startswith("words")
        assert seat.app.screen.list.size.height >= rows
        assert len(codes(seat)) == rows
        await seat.press("down")
        assert len(codes(seat)) == rows
