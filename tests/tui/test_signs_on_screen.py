"""What a screen reader, a small window and a console without Braille get."""

import os
import re

import pytest

from curedash.present import signs
from curedash.tui.chassis.caret import HIDE, SHOW
from curedash.tui.chassis.commands import SCREENS
from tests.demo import copy_demo
from tests.tui.conftest import NOW

PAGES = {
    "lot": ("enter",),
    "needs": ("a",),
    "places": ("p",),
    "diary": ("d",),
    "book": ("B",),
    "history": ("H",),
    "settings": ("S",),
    "keys": ("question_mark",),
    "palette": ("f2",),
    "new_batch": ("n",),
    "round": ("r",),
}


@pytest.fixture
def plain_signs():
    signs.use(signs.ASCII)
    yield
    signs.use(signs.BRAILLE)


@pytest.mark.parametrize("size", [(45, 22), (80, 24), (160, 45)])
@pytest.mark.parametrize("page", ["rack", *PAGES])
async def test_a_plain_console_gets_plain_signs_on_every_page(
    household, sit, plain_signs, page, size
):
    async with sit(household(), size=size) as seat:
        await seat.press(*PAGES.get(page, ()))
        assert page == seat.app.screen.NAME
        assert [line for line in seat.lines() if not line.isascii()] == []


def test_the_pages_tried_are_those_with_most_signs():
    assert set(PAGES) < set(SCREENS)


async def test_the_terminals_cursor_stands_at_the_caret(household, sit):
    async with sit(household()) as seat:
        sent: list[str] = []
        seat.app._driver.write = sent.append
        await seat.press("down", "1", "0")
        x, y = seat.app.cursor_position
        assert seat.lines()[y][x] == "▏"
        assert sent.count(SHOW) == 1
        await seat.press("4")
        assert seat.lines()[y][seat.app.cursor_position.x] == "▏"
        await seat.press("escape")
        assert sent[-1] == HIDE
        await seat.press("down")
        x, y = seat.app.cursor_position
        assert seat.drawn()[y][x + 1] == "›"
        assert " C3 " in seat.lines()[y].replace("›", " ")


@pytest.mark.parametrize("size", [(39, 24), (80, 9), (12, 4)])
async def test_a_window_that_is_too_small_says_so(household, sit, size):
    async with sit(household(), size=size) as seat:
        assert " ".join(" ".join(seat.lines()).split()).startswith("The window is too small")
        await seat.pilot.resize_terminal(80, 24)
        await seat.settle()
        assert seat.lines()[0].startswith("RACK")


async def test_forty_columns_and_ten_lines_are_enough(household, sit):
    async with sit(household(), size=(40, 10)) as seat:
        assert seat.lines()[0].startswith("RACK")
        assert " C1 " in seat.lines()[2].replace("›", " ")


def test_doctor_prints_a_line_of_each_set(tmp_path, capsys, monkeypatch):
    from curedash.__main__ import main
    from curedash.store.open import open_db

    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    open_db(str(tmp_path / "x.db"), create=True).close()
    main(["--db", str(tmp_path / "x.db"), "doctor"])
    lines = [line.split() for line in capsys.readouterr().out.splitlines()]
    assert {line[0] for line in lines if line} >= set(signs.SETS)
    assert os.path.exists(tmp_path / "x.db")


#: keys from the Rack of the demo to a page with more below, or that names arrows as keys
NAMED = {
    ("a",): "Down for the rest",
    ("S",): "Down ",
    ("d",): "Down ",
    ("r", *"zzzzzzzz"): "Down for the rest",
    ("n", "f6"): "Down ",
    ("S", "left"): "Left and Right go through the grid of alerts",
}


@pytest.mark.parametrize(("keys", "said"), NAMED.items())
async def test_no_arrow_is_left_a_letter_on_a_plain_console(tmp_path, sit, plain_signs, keys, said):
    """``v`` and ``^`` are keys of their own; the key is named instead."""
    path = tmp_path / "demo.db"
    copy_demo(path, NOW)
    async with sit(path, size=(60, 20)) as seat:
        await seat.press(*keys)
        await seat.pilot.pause(0.1)
        assert said in seat.text()
        assert not re.search(r"(^| )[\^v] (?!other|month|curve|days|list)", seat.text(), re.M)


async def test_a_choice_that_takes_no_letters_names_the_way_out(tmp_path, sit, plain_signs):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n", "f6")
        while seat.app.screen.form.at != "method":
            await seat.press("tab")
        await seat.type("zz")
        assert "Up/Down leave the field" in " ".join(seat.text().split())
