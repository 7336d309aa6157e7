"""Pages at 45 × 22 and 60 × 20: the words that matter are seen whole, and the way out."""

import pytest

from curedash.present.words import cells
from curedash.tui.chassis.drawn_page import keys_shown
from tests.demo import copy_demo
from tests.tui.conftest import NOW
from tests.tui.test_lot_screen import open_lot

PHONE, SMALL = (45, 22), (60, 20)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    path = tmp_path_factory.mktemp("narrow") / "demo.db"
    copy_demo(path, NOW)
    return path


def test_the_way_out_of_a_question_is_always_at_its_foot():
    hints = [("Enter", "equalise 17 d (sealed bag, cold)"), ("1–4", "choose"), ("↑ Esc", "back")]
    for width in (40, 45, 60, 80):
        shown = keys_shown(hints, width)
        assert shown[-1] == ("   ↑ Esc", "back")
        assert sum(cells(key) + 1 + cells(label) for key, label in shown) <= width
    assert [label for _, label in keys_shown(hints, 80)] == [label for _, label in hints]


async def test_what_is_asked_stays_above_its_answers(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await open_lot(seat, "D2")
        await seat.press("f", "3", "1", "1")
        lines = [line.strip() for line in seat.lines()]
        assert "Rim hard, soft, smell clean" in lines
        assert "1 keep drying" in lines
        assert lines[-1].startswith("Enter equalise 17 d")
        assert lines[-1].endswith("↑ Esc back")


@pytest.mark.parametrize("size", [PHONE, (40, 22), SMALL])
async def test_the_book_shows_what_was_lost_whole(demo, sit, size):
    async with sit(demo, size=size) as seat:
        await seat.press("B")
        assert "Lost" in seat.lines()[1].split()
        row = next(line for line in seat.lines() if " A1 " in line)
        assert "34.8%" in row
        assert "29 Jan 26" in row
        assert "a week longer in the bag did it good" in " ".join(seat.text().split())
        await seat.press("v")
        assert "…" not in seat.lines()[0]


async def test_all_buttons_of_the_form_are_seen(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await seat.press("n")
        buttons = next(line for line in seat.lines() if "[Save F10]" in line)
        assert "[Leave, saved Esc]" in buttons
        assert "[Empty F9]" in buttons


async def test_the_log_keeps_its_weights_on_a_phone(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await open_lot(seat, "D1")
        assert "20 Nov  weighed  756 g net (784 on scale)" in seat.text()
        assert seat.lines()[0].split()[:4] == ["D1", "Beef", "silverside,", "thick"]
        await seat.press("right")
        assert "no. 2, 4 % nitrate" in seat.text()


async def test_an_empty_page_says_the_whole_way_on(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=PHONE) as seat:
        await seat.press("q")
        assert "No lots yet. Press n to salt the first batch." in " ".join(seat.text().split())
        await seat.press("H")
        assert "…" not in seat.text()
        await seat.press("C")
        assert "n makes one now." in " ".join(seat.text().split())


async def test_what_is_done_about_a_need_is_whole_on_a_phone(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        for code, done in (
            ("C1", "→ f feel rim and firmness, smell; pull, equalise or go on"),
            ("L1", "→ F3 look in the bag, then tick or add what is missing"),
            ("G1", "→ s rinse, pat dry, weigh, hang"),
        ):
            await open_lot(seat, code)
            foot = " ".join(" ".join(seat.lines()[-5:-1]).split())
            assert done in foot, code
            await seat.press("q")


async def test_a_setting_in_fewer_words_is_whole_at_the_foot(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await seat.press("S")
        await seat.press(*["down"] * 4)
        foot = " ".join(" ".join(seat.lines()[-3:-1]).split())
        assert foot.startswith("theme: dark, light letters on a dark ground")
        await seat.press("end")
        row = " ".join(" ".join(seat.lines()[-5:-3]).split())
        assert "time the clock is behind the 10 min newest entry (now)" in row
        assert "usually 10 min; X: the usual value" in " ".join(seat.lines()[-3:-1])


async def test_an_entry_of_the_diary_takes_as_many_lines_as_it_needs(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await seat.press("d")
        await seat.press("down", "down")
        assert "G1: usual day out of the cure: rinse, pat dry, weigh; it can wait" in " ".join(
            seat.text().split()
        )
        assert seat.lines()[-3].startswith("G1 Pork loin, centre")
        await seat.press("v")
        month = seat.text()
        assert next(line for line in seat.lines() if line.lstrip().startswith("J1")).count("p") > 2
        for words in ("p pH", "e r equalise", "! out of salt", "o O cured"):
            assert words in month


async def test_what_a_diary_says_of_an_entry_is_whole_or_left_out(demo, sit):
    async with sit(demo, size=SMALL) as seat:
        await seat.press("d")
        for _ in range(20):
            await seat.press("down")
            assert "…" not in "".join(seat.lines()[-3:])


async def test_needs_say_which_meat_it_is(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await seat.press("a")
        assert seat.lines()[-3].startswith("H1 Pork small ham, boned")
        await seat.press("down")
        assert seat.lines()[-3].startswith("J1 Pork fennel salami, string of six")
        await seat.press("down")
        assert seat.lines()[-3].startswith("C1 Pork belly, half, skin off")
        shown = [seat.lines()[-3]]
        for _ in range(6):
            await seat.press("down")
            shown.append(seat.lines()[-3])
        assert any(line.startswith("L1 Beef flank strips ") for line in shown)


async def test_the_bench_of_a_dose_gone_wrong_is_read_on_a_phone(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        lot_id = seat.ask("SELECT id FROM lot WHERE code = 'L1'")[0][0]
        seat.app.screen.list.move_to(lot_id)
        await seat.press("D")
        text = seat.text()
        assert "other curing salt" in text
        assert "liquid leaked" in text
        assert "not ticked" in text
        assert "…" not in text
        await seat.press("7")
        assert "11.7 g short" in seat.text()
        assert "planned 18.7 g" in seat.lines()[-3]


async def test_a_sheet_and_a_round_are_read_on_a_phone(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        lot_id = seat.ask("SELECT id FROM lot WHERE code = 'L1'")[0][0]
        seat.app.screen.list.move_to(lot_id)
        await seat.press("f3")
        assert "no. 2 " in seat.text()
        assert "2.76 % salt, nitrite 160, nitrate 103 mg/kg" in seat.text()
        assert "…" not in seat.text()
        await seat.press("q", "r")
        assert "thick end" in next(line for line in seat.lines() if " D1 " in line)
        assert "…" not in seat.lines()[1]


async def test_the_round_names_the_meat_where_there_is_room(demo, sit):
    async with sit(demo) as seat:
        await seat.press("r")
        assert "g on the scale" in seat.lines()[0]
        assert "ilverside, thick end" in next(line for line in seat.lines() if " D1 " in line)


@pytest.mark.parametrize("size", [PHONE, (80, 24)])
async def test_what_is_rare_is_reached_by_its_name(demo, sit, tmp_path, size):
    path = tmp_path / "demo.db"
    path.write_bytes(demo.read_bytes())
    async with sit(path, size=size) as seat:
        await open_lot(seat, "D1")
        await seat.press("space")
        text = " ".join(seat.text().split())
        for words in (
            "D1: what else",
            "3 divide (Y)",
            "7 bag (Q)",
            "8 decide (J)",
            "9 discard (Z)",
        ):
            assert words in text
        await seat.press("5")
        assert "mould" in seat.lines()[-3].casefold()
        await seat.press("escape", "q")
        await seat.press("space", "3")
        assert "400 280" in seat.lines()[-3] + seat.lines()[-2], "asked on the page of the lot"
        await seat.press("escape", "q", "p", "space")
        assert "1 off (O)" in seat.text()
        await seat.press("1")
        assert "off" in " ".join(seat.lines()[-4:])


@pytest.mark.parametrize("lot", ["D1", "D2", "E1", "B1"])
@pytest.mark.parametrize("size", [PHONE, SMALL])
async def test_a_fact_of_a_lot_is_whole_or_left_to_its_figures(demo, sit, size, lot):
    async with sit(demo, size=size) as seat:
        await open_lot(seat, lot)
        rest = next(
            (line for line in seat.lines() if line.rstrip().endswith("more: ← figures")), ""
        )
        assert "…" not in rest.replace("more: ← figures", "")


@pytest.mark.parametrize("size", [PHONE, SMALL])
async def test_no_setting_is_cut(demo, sit, size):
    """What is longer than a line goes on below it; the mark goes from setting to setting."""
    async with sit(demo, size=size) as seat:
        await seat.press("S")
        page, shown, seen = seat.app.screen, [], []
        for _ in page.rows:
            shown += seat.lines()[1:-3]
            seen.append(page.list.cursor_key)
            assert "Enter" in seat.lines()[-1]
            await seat.press("down")
        cut = {line for line in shown if "…" in line and "/" not in line}
        assert cut == set()
        settings = [key for key, row in page.rows.items() if row.kind != "head"]
        assert [key for key in dict.fromkeys(seen) if page.rows[key].kind != "head"] == settings


@pytest.mark.parametrize("size", [PHONE, SMALL, (80, 24)])
async def test_a_leap_through_the_settings_ends_on_one_that_can_be_changed(demo, sit, size):
    async with sit(demo, size=size) as seat:
        await seat.press("S")
        for key in (*["pagedown"] * 8, *["pageup"] * 8, "end", "home"):
            await seat.press(key)
            assert seat.app.screen.row_here().kind != "head"
            assert any("›" in line for line in seat.drawn()[1:])


async def test_no_entry_of_the_diary_is_cut(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await seat.press("d")
        assert "rinse, pat" in seat.text()
        assert "dry, weigh; it can wait" in seat.text()
        assert "…" not in "\n".join(seat.lines()[2:])


async def test_a_plan_has_sentences_and_no_mark(demo, sit):
    async with sit(demo, size=SMALL) as seat:
        await seat.press("d", "W")
        await seat.type("coppa 24 May 65mm\r")
        assert not any("›" in line for line in seat.drawn()[1:])
        starts = [
            line for line in seat.lines()[3:-3] if line.startswith("  ") and line[2:3].strip()
        ]
        assert starts[1].startswith("  salt it by ")
        await seat.press("down")
        assert "salt it by" in seat.text()


async def test_a_question_stays_above_its_answers_and_says_what_is_typed(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await open_lot(seat, "G1")
        await seat.press("s")
        assert "G1 centre, in cure → drying?" in seat.text()
        assert "5 discarded" in seat.text()
        await seat.press("enter")
        asked = seat.lines()[-3]
        assert asked.startswith("G1 → drying: weight as it hangs › ")
        await seat.press("escape", "q")
        await open_lot(seat, "D1")
        await seat.press("Y")
        assert seat.lines()[-4].startswith("divide D1: each part › ")


async def test_a_choice_shows_its_beginning_and_a_hint_is_whole_or_a_sign(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=PHONE) as seat:
        await seat.press("n")
        await seat.type("co")
        row = next(line for line in seat.lines() if line.startswith("› style"))
        assert row.rstrip().endswith("·")


async def test_the_fields_of_a_style_have_whole_names_on_a_phone(demo, sit):
    async with sit(demo, size=PHONE) as seat:
        await seat.press("S")
        page = seat.app.screen
        page.list.move_to(next(key for key in page.list.keys if key[0] == "styles"))
        await seat.press("enter")
        assert "without nitrite" in seat.text()
        assert not [line for line in seat.lines()[2:-4] if "…" in line[:24]]
