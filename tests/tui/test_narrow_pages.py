"""Pages at 45 × 22 and 60 × 20: the words that matter are seen whole, and the way out."""

import pytest

from curedash.present.words import cells
from curedash.services.file.demo import build_demo
from curedash.tui.chassis.drawn_page import keys_shown
from tests.tui.conftest import NOW
from tests.tui.test_lot_screen import open_lot

PHONE, SMALL = (45, 22), (60, 20)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    path = tmp_path_factory.mktemp("narrow") / "demo.db"
    build_demo(str(path), NOW)
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
        assert "29 Jan 26" in row or "Jan 26" in row
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
        assert seat.lines()[0].split()[:4] == ["D1", "thick", "end", "Silverside"]
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
