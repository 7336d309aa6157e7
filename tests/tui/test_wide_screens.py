"""Pages on a wide screen: the meat is named, amber is for today, keys are read without arrows."""

import pytest

from curedash.present import signs
from curedash.present.household.book import heads_line, layout_for
from curedash.present.places.air_curve import toned
from curedash.present.words import cells
from tests.tui.test_book_screen import finish

WIDE = (120, 36)


def toned_lines(page) -> list:
    """The lines of its list with their tones."""
    return [page.list.drawn_line(y)[0] for y in range(page.list.size.height)]


async def test_the_diary_names_the_meat_and_keeps_amber_for_today(household, sit):
    async with sit(household(), size=WIDE) as seat:
        await seat.press("d")
        assert "C1 Pork collar, thick end: " in seat.text()
        lines = toned_lines(seat.app.screen)
        heads = [n for n, line in enumerate(lines) if line and line[0][1] == "title"]
        later = lines[heads[1] :]
        assert any(line and "•" in line[0][0] for line in later), "something is due later on"
        assert not any(tone == "today" for line in later for _, tone in line)


async def test_days_away_and_the_round_name_the_meat_too(household, sit):
    async with sit(household(), size=WIDE) as seat:
        await seat.press("r")
        assert "Pork collar, thick end" in seat.text()
        await seat.press("escape", "d", "n")
        await seat.type("1-8 Dec\r")
        assert "C1 Pork collar, thick end" in seat.text()
        words = [line for line in toned_lines(seat.app.screen) if len(line) == 3]
        assert all(tone != "today" for *_, (_, tone) in words)


async def test_a_need_and_what_is_done_stand_in_one_line(household, sit):
    async with sit(household(), size=WIDE) as seat:
        await seat.press("a")
        first = seat.drawn()[1]
        assert "›" in first
        assert " → " in first
        await seat.press("down")
        assert "›" in seat.drawn()[2], "the next need is the next line"


@pytest.mark.parametrize("keys", [("H",), ("enter",), ("d", "v"), ("x",)])
async def test_the_marked_line_has_its_pointer_on_every_list(household, sit, keys):
    async with sit(household(), size=WIDE) as seat:
        await seat.type("1181\r")
        await seat.press(*keys)
        assert any("›" in line[:2] for line in seat.drawn()[1:])


async def test_in_ascii_a_key_is_named_that_can_be_pressed(household, sit):
    signs.use(signs.ASCII)
    try:
        async with sit(household(), size=WIDE) as seat:
            await seat.press("a")
            assert "Right open lot" in seat.lines()[-1]
            await seat.press("question_mark")
            assert "Up k" in seat.text()
            assert "Down j" in seat.text()
            await seat.press("q", "q", "n")
            assert "letters, then Right takes one" in seat.text()
            await seat.press("escape", "S", "enter")
            assert "Left Right or a number goes through them" in seat.text()
    finally:
        signs.use(signs.BRAILLE)


def test_the_mean_stands_out_from_lowest_to_highest():
    assert toned("│░⠒░") == [("│", "strong"), ("░", "quiet"), ("⠒", "strong"), ("░", "quiet")]


def test_in_ascii_today_and_a_weigh_in_are_no_dots_of_the_curve():
    drawn = {signs.in_set(signs.ASCII, char) for char in (chr(0x2801), chr(0x2809), chr(0x28FF))}
    assert drawn.isdisjoint(signs.in_set(signs.ASCII, "•:┊×+"))


async def test_the_title_of_a_lot_names_animal_and_cut(household, sit):
    async with sit(household(), size=WIDE) as seat:
        await seat.press("enter")
        assert seat.lines()[0].startswith("C1 Pork collar, thick end   coppa")


@pytest.mark.parametrize("columns", [121, 160, 220])
def test_the_book_gives_what_a_wall_screen_has_to_names_and_places(columns):
    layout = layout_for(columns, with_cost=False)
    assert cells(heads_line(layout)) <= layout.columns <= columns
    assert layout.name + layout.place == min(32 + 12 + columns - 120, 44 + 20)
    assert layout.place <= 20


@pytest.mark.parametrize("size", [(120, 36), (160, 45), (200, 50)])
async def test_the_month_uses_the_width(household, sit, size):
    async with sit(household(drying=3), size=size) as seat:
        await seat.press("d", "v")
        heads = seat.lines()[2].rstrip()
        assert len(heads) > size[0] * 0.85
        assert "C1 Pork collar" in seat.text()


async def test_at_160_columns_the_lot_of_a_need_is_beside_it(household, sit):
    async with sit(household(), size=(160, 45)) as seat:
        await seat.press("a")
        needs = [line[:119] for line in seat.lines()[1:-3] if " → " in line]
        assert len(needs) > 2
        for n in range(len(needs)):
            need = seat.app.screen._chosen
            beside = "\n".join(line[120:] for line in seat.lines()[1:-3])
            if need.lot_id is not None:
                assert f"│ {need.lot} " in beside
                assert "target" in beside
            if n + 1 < len(needs):
                await seat.press("down")


async def test_what_to_do_stands_under_each_other_from_100_columns_on(household, sit):
    async with sit(household(), size=WIDE) as seat:
        await seat.press("a")
        at = [line.index(" → ") for line in seat.lines()[1:-3] if " → " in line]
        assert len(at) > 2
        assert len(set(at)) == 1


async def test_a_short_book_in_a_tall_window_has_its_curves_below_it(household, sit):
    async with sit(household(), size=WIDE) as seat:
        for code in ("C1", "C2"):
            await finish(seat, code)
        await seat.press("B")
        text = seat.text()
        assert "same style · loss from hang weight by days since hanging" in text
        assert text.count("aaa") > 2
        assert text.count("bbb") > 2
        await seat.press("space")
        assert "1 marked · loss from hang weight" in seat.text()
        assert "bbb" not in seat.text()
        await seat.press("v")
        assert "Finished" not in seat.text()
        await seat.press("v")
        assert "Finished" in seat.text()


async def test_in_a_low_window_the_curves_of_the_book_wait_for_their_key(household, sit):
    async with sit(household(), size=(120, 24)) as seat:
        await finish(seat, "C1")
        await seat.press("B")
        assert "by days since hanging" not in seat.text()


def test_what_a_short_place_leaves_goes_to_the_names():
    tight, loose = (layout_for(120, with_cost=False, longest_place=n) for n in (6, 12))
    assert tight.name == loose.name + 6
    assert cells(heads_line(tight)) <= 120
