"""A click on any page: it marks what is there, presses what is named, and leaves no question."""

import pytest
from textual.geometry import Offset

from tests.demo import copy_demo
from tests.tui.conftest import NOW


async def click(seat, x: int, y: int) -> None:
    seat.app.pointed(Offset(x, y), 0)
    await seat.settle()


def line_with(seat, words: str) -> int:
    return next(y for y, line in enumerate(seat.lines()) if words in line)


@pytest.fixture
def demo(tmp_path):
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    return path


async def test_each_key_named_at_the_foot_of_the_rack_is_pressed_by_a_click(demo, sit):
    async with sit(demo) as seat:
        for words, page in (("? keys", "keys"), ("a needs", "needs"), ("n new", "new_batch")):
            foot = seat.lines()[-1]
            await click(seat, foot.index(words), 23)
            assert page == seat.app.screen.NAME
            await seat.press("escape")
            assert seat.app.screen.NAME == "rack"


async def test_of_two_keys_in_one_hint_the_one_that_was_hit_is_pressed(demo, sit):
    async with sit(demo) as seat:
        await seat.press("S", "down", "enter")
        foot = seat.lines()[-1]
        assert "temperatures in › [°C]" in seat.text()
        await click(seat, foot.index("→"), 23)
        assert "[°F]" in seat.text()
        await click(seat, foot.index("←"), 23)
        assert "[°C]" in seat.text()
        await click(seat, foot.index("leave"), 23)
        assert seat.app.screen.talking is None


async def test_a_row_of_several_lines_is_marked_whole_and_a_second_click_does_its_enter(demo, sit):
    async with sit(demo) as seat:
        await seat.press("p")
        await click(seat, 20, line_with(seat, "Cellar"))
        assert seat.drawn()[line_with(seat, "Cellar")][1] == "›"
        assert seat.app.screen.NAME == "places"
        await click(seat, 20, line_with(seat, "Cellar"))
        assert seat.app.screen.NAME == "air"


async def test_a_click_beside_everything_does_nothing(demo, sit):
    async with sit(demo) as seat:
        before = seat.text()
        for y in (0, 1, 20, 22):
            await click(seat, 79, y)
        await click(seat, 79, 23)
        assert seat.text() == before


async def test_in_the_form_a_click_on_a_line_leaves_the_cursor_and_the_foot_works(demo, sit):
    async with sit(demo) as seat:
        await seat.press("n")
        at = seat.app.screen.form.at
        await click(seat, 10, 6)
        assert seat.app.screen.form.at == at
        await click(seat, seat.lines()[-1].index("keys"), 23)
        assert seat.app.screen.NAME == "keys"
