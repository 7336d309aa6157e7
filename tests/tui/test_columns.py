"""A long list in a wide window goes on in a second column: nothing is cut off beside empty room."""

import pytest

from tests.demo import copy_demo
from tests.tui.conftest import NOW

LARGE = (160, 45)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    path = tmp_path_factory.mktemp("columns") / "demo.db"
    copy_demo(path, NOW)
    return path


def marked(seat) -> str:
    """The line of the mark, from its pointer on."""
    line = next(line for line in seat.drawn()[1:] if "›" in line)
    return line[line.index("›") :]


@pytest.mark.parametrize("page", ["d", "S", "H"])
async def test_a_long_list_goes_on_in_a_second_column(demo, sit, page):
    async with sit(demo, size=LARGE) as seat:
        await seat.press(page)
        right = [line[80:].strip() for line in seat.lines()[3:40]]
        assert sum(map(bool, right)) > len(right) // 3
        assert all(len(line) == 160 for line in seat.lines())
        seen = list(seat.app.screen.list.keys[: 2 * seat.app.screen.list.size.height])
        assert len(seen) > seat.app.screen.list.size.height


async def test_two_columns_of_the_diary_name_the_meat_and_cut_nothing(demo, sit):
    async with sit(demo, size=LARGE) as seat:
        await seat.press("d")
        assert "D1 Beef silverside, thick end: weigh" in seat.text()
        assert "…" not in seat.text()
        assert "below" not in seat.lines()[0]


async def test_the_mark_goes_down_both_columns_and_scrolls_behind_them(demo, sit):
    async with sit(demo, size=LARGE) as seat:
        await seat.press("S")
        page = seat.app.screen
        height = page.list.size.height
        await seat.press(*["down"] * height)
        assert page.list.top == 0
        assert "›" in "".join(line[79:83] for line in seat.drawn())
        assert page.row_here().label in marked(seat)
        await seat.press("end")
        assert page.row_here().label.split(" (")[0] in marked(seat)
        assert page.list.below == 0
        await seat.press("home")
        assert page.list.top == 0
        assert page.row_here().label in marked(seat)


async def test_a_setting_in_the_second_column_is_changed_and_drawn(demo, sit):
    async with sit(demo, size=LARGE) as seat:
        await seat.press("S", "end", "enter")
        await seat.type("20\r")
        assert "20 min" in seat.text()
        ((body,),) = seat.ask("SELECT body FROM alert_rule")
        assert "20" in body


async def test_a_short_list_and_a_narrow_window_have_one_column(demo, sit):
    async with sit(demo, size=LARGE) as seat:
        await seat.press("a")
        assert seat.app.screen.list.columns == 1
    async with sit(demo, size=(110, 36)) as seat:
        await seat.press("S")
        assert seat.app.screen.list.columns == 1


@pytest.mark.parametrize("page", ["d", "S", "H"])
async def test_at_120_columns_a_long_list_has_two_columns_that_cut_nothing(demo, sit, page):
    async with sit(demo, size=(120, 36)) as seat:
        await seat.press(page)
        assert seat.app.screen.list.columns == 2
        shown = "\n".join(line for line in seat.lines()[2:-3] if "/" not in line)
        assert "…" not in shown if page != "H" else "↓" not in shown


async def test_the_mark_of_the_diary_goes_from_entry_to_entry_in_both_columns(demo, sit):
    async with sit(demo, size=(120, 36)) as seat:
        await seat.press("d")
        page, seen = seat.app.screen, []
        for _ in range(len(page._groups) + 3):
            seen.append(page.list.cursor_key)
            await seat.press("down")
        assert seen[: len(page._groups)] == [("item", n) for n in range(len(page._groups))]
        assert page.list.below == 0
        await seat.press("home")
        assert page.list.cursor_key == ("item", 0)
        await seat.press("end")
        assert page.list.cursor_key == ("item", len(page._groups) - 1)


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 45)])
async def test_the_heads_of_the_history_stand_over_each_column(demo, sit, size):
    async with sit(demo, size=size) as seat:
        await seat.press("H")
        page = seat.app.screen
        heads = seat.lines()[1]
        assert heads.count("what") == page.list.columns
        for n in range(page.list.columns):
            at = n * page.list.column_width
            first = seat.lines()[2][at : at + page.list.column_width]
            assert first[heads.index("what", at) - at - 1] == " "
            assert first[heads.index("what", at) - at] != " "


async def test_a_page_with_nothing_on_it_offers_no_key_that_needs_something(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("q", "H")
        assert "undo" not in seat.lines()[-1]
        assert "copies" in seat.lines()[-1]
        await seat.press("q", "d", "v")
        assert "open" not in seat.lines()[-1]
        assert "days" in seat.lines()[-1]
