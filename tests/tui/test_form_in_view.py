"""The form of a new batch on every window: cautions, errors and limits are where one looks."""

import pytest

from tests.demo import copy_demo
from tests.tui.conftest import NOW
from tests.tui.test_new_batch import EYE, SALTED, fill, fill_back

PHONE, SMALL, USUAL, WIDE, LARGE = (45, 22), (60, 20), (80, 24), (120, 36), (160, 45)
HEADS = {
    "green:0": "green g",
    "thick:0": "thick mm",
    "piece:0": "name",
    "from:0": "of roast",
    "count:0": "pcs",
    "together:0": "bag",
}
PANE_AT = {WIDE: 70, LARGE: 100}


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    path = tmp_path_factory.mktemp("form") / "demo.db"
    copy_demo(path, NOW)
    return path


def beside(seat) -> str:
    """What is right of the fields, as running words."""
    at = PANE_AT[seat.app.size.width, seat.app.size.height]
    return " ".join(" ".join(line[at:] for line in seat.lines()).split())


def fields_of(seat) -> list[str]:
    size = seat.app.size.width, seat.app.size.height
    return [line[: PANE_AT.get(size)] for line in seat.lines()[:-3]]


async def made_again(seat, lot: str = "A1") -> None:
    await seat.press("B", "n")
    assert "A made again" in seat.lines()[0]


@pytest.mark.parametrize("size", [WIDE, LARGE])
async def test_cautions_stand_beside_the_form_where_there_is_room(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        assert "style" in fields_of(seat)[1], "the form begins at once"
        said = beside(seat)
        assert "Still needed for doses: green weights and salt." in said
        assert "Curing does not rescue spoiled meat: salt it before its use-by date," in said
        assert "Local rules and licensed advice come first." in said
        await fill(seat, *EYE, *SALTED)
        assert "Local rules and licensed advice come first." in beside(seat), "always in view"


@pytest.mark.parametrize("size", [WIDE, LARGE])
async def test_limits_warnings_and_the_days_of_the_cure_are_beside_the_form(tmp_path, sit, size):
    """78 mm at 4 °C: the table says the same days."""
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        said = beside(seat)
        assert "nitrite 157.8 of 625 mg/kg" in said
        assert "23–24 days in the cure, out 18–19 Dec" in said
        assert "· No temperature known" in said
        await fill_back(seat, "thickness")
        await seat.type("40")
        assert "23–24 days" not in beside(seat)


async def test_pieces_of_unlike_thickness_have_their_days_each(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=WIDE) as seat:
        await seat.press("n")
        thin = dict(EYE) | {"pieces": "1134 700 690", "thickness": "78 40 40"}
        await fill(seat, *thin.items(), *SALTED)
        said = beside(seat)
        assert "A1: " in said
        assert "A2 and A3: " in said


@pytest.mark.parametrize("size", [PHONE, SMALL, USUAL, WIDE, LARGE])
async def test_notes_of_a_batch_made_again_leave_room_for_the_form(demo, sit, size):
    """Each note is whole, where it is at first or after PgDn."""
    async with sit(demo, size=size) as seat:
        await made_again(seat)
        field = next(n for n, line in enumerate(seat.lines()) if "style" in line)
        assert field <= max(5, size[1] // 4) + 1
        pages = [" ".join(seat.text().split())]
        for _ in range(9):
            await seat.press("pagedown")
            pages.append(" ".join(seat.text().split()))
        for words in ("One roast in two pieces", "A1: 136 days", "A2: 106 days", "hung too"):
            assert any(words in page for page in pages), words


@pytest.mark.parametrize("size", [PHONE, SMALL, USUAL])
async def test_a_refused_field_out_of_sight_is_named_in_the_title(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, ("style", "bresaola"), ("pieces", "1134 x"), ("thickness", "80"))
        await seat.press("f6")
        await fill(seat, ("note", "first"))
        await seat.pilot.pause(0.1)
        assert "! green weights refused" in seat.lines()[0]
        await fill_back(seat, "pieces")
        await seat.pilot.pause(0.1)
        assert "! green weights" not in seat.lines()[0]
        assert "“x” is not a unit of weight" in " ".join(seat.text().split())


@pytest.mark.parametrize("size", [PHONE, SMALL, USUAL])
async def test_what_the_doses_are_held_against_is_in_view(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        said = " ".join(seat.text().split())
        assert (
            "within the limits: nitrite 156.2 of 625 mg/kg and nitrate 100 of 2187.5 mg/kg" in said
        )


async def test_the_key_for_more_is_whole_on_a_narrow_form(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=PHONE) as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        buttons = next(line for line in seat.lines() if "[Save F10]" in line)
        assert buttons.rstrip().endswith("[Empty F9]")
        assert "PgDn lots 1–3 of 4" in seat.lines()[-1]


@pytest.mark.parametrize("size", [PHONE, SMALL])
async def test_cells_of_a_piece_are_whole_and_come_with_the_focus(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, ("style", "bresaola"), ("pieces", "1134 1088"), ("each", "one"))
        form = seat.app.screen.form
        await seat.press("tab")
        assert "green g" in seat.text()
        seen = set()
        while form.at.endswith(":0"):
            row = next(n for n, line in enumerate(seat.drawn()) if line.startswith("› "))
            heads = seat.lines()[row - 1]
            assert "…" not in heads + seat.lines()[row]
            assert HEADS[form.at] in heads
            seen.add(form.at)
            await seat.press("tab")
        assert seen == set(HEADS)


@pytest.mark.parametrize("size", [USUAL, WIDE])
async def test_notes_of_a_batch_made_again_are_not_in_the_colour_of_today(demo, sit, size):
    async with sit(demo, size=size) as seat:
        await made_again(seat)
        page = seat.app.screen
        lines = [page.list.drawn_line(y)[0] for y in range(9)] + page.pane._lines
        notes = [line for line in lines if "One roast in" in "".join(text for text, _ in line)]
        assert notes
        assert all(tone != "today" for line in notes for _, tone in line)


async def test_all_groups_are_open_where_the_window_holds_them_and_cost_no_key(tmp_path, sit):
    """A batch takes as many keys as in a small window: Tab comes to rarer fields last."""
    way = {}
    for size in (USUAL, LARGE):
        async with sit(tmp_path / f"{size[0]}.db", size=size) as seat:
            await seat.press("n")
            form = seat.app.screen.form
            assert (["method"] in form.rows) is (size == LARGE)
            await seat.type("bresaola\r")
            way[size] = []
            for text in ("", "1134\r", "80\r", "no2\r", "\r", "\r"):
                await seat.type(text)
                way[size].append(form.at)
            await seat.press("shift+tab", "tab", "tab")
            way[size].append(form.at)
            if size == LARGE:
                assert "↓" not in seat.lines()[0]
                await seat.press("f6")
                assert ["method"] not in form.rows
    assert way[USUAL] == way[LARGE]


async def test_groups_are_open_at_120_columns_and_the_doses_stand_beside_them(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=WIDE) as seat:
        await seat.press("n")
        await fill(seat, *EYE, ("scale", "0.01"), ("curing_salt", "no2"), ("cure", "0.25"))
        fields = " ".join(fields_of(seat))
        for label in ("species", "method", "product class", "salted on", "days by rule"):
            assert label in fields, label
        assert "fewer" not in fields
        assert "LATER ▸ 4 more" in fields, "what has no room stays one line"
        head, first = (line[PANE_AT[WIDE] :] for line in seat.lines()[1:3])
        assert " ".join(head.split()) == "Lot salt g curing g nitrite nitrate"
        assert first.split() == ["A1", "28.64", "2.84", "157", "100"]
        await seat.press("f6")
        assert "method" not in " ".join(fields_of(seat)).replace("method ·", "")


async def test_what_the_bars_say_is_not_said_again(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=WIDE) as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        said = beside(seat)
        assert "United States, dry-cured: within the limits" in said
        assert said.count("within") == 1
        assert said.count("of 625") == 1


async def test_many_lots_scroll_beside_the_form_before_the_sentences(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=WIDE) as seat:
        await seat.press("n")
        await fill(seat, *EYE[:2], ("pieces", "500 " * 16), *EYE[3:], *SALTED)
        assert "PgDn: lots 1–10 of 16" in seat.text()
        assert "within the limits" in beside(seat)
        await seat.press("pagedown", "pagedown")
        assert "A16" in beside(seat)
        assert "within the limits" in beside(seat), "the doses stay, the sentences too"


async def test_the_list_of_styles_hides_nothing_that_is_needed_where_there_is_room(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=WIDE) as seat:
        await seat.press("n")
        fields = " ".join(fields_of(seat))
        assert "cold-smoked loin" in fields
        assert " name " in fields
        assert "green weights" in fields


@pytest.mark.parametrize("size", [SMALL, USUAL])
async def test_all_that_a_choice_offers_is_in_sight(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, *EYE, ("scale", "0.1"), ("rules", "un"))
        assert "[United States]" in seat.text()
        assert "Codex Alimentarius" in seat.text()


@pytest.mark.parametrize("size", [PHONE, SMALL, USUAL])
async def test_a_refused_field_stays_in_sight_while_it_can(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, *EYE, ("scale", "0.1"), ("curing_salt", "no2"), ("cure", "2.5"))
        await seat.press("tab", "tab")
        assert "! too much: 0.25 % would do" in " ".join(seat.text().split())
        assert any(
            line.strip().startswith("cure dose") or " cure dose " in line
            for line in fields_of(seat)
        )


async def test_why_a_field_out_of_sight_is_refused_is_said_at_the_foot(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=USUAL) as seat:
        await seat.press("n")
        await fill(seat, ("style", "bresaola"), ("pieces", "1134 x"), ("thickness", "80"))
        await seat.press("f6")
        await fill(seat, ("note", "first"))
        await seat.pilot.pause(0.1)
        assert seat.lines()[-2].startswith("! green weights: “x” is not a unit of weight")


@pytest.mark.parametrize(("size", "said"), [(PHONE, "can be saved · "), (SMALL, " more field")])
async def test_the_title_says_what_its_arrows_count(tmp_path, sit, size, said):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        await seat.pilot.pause(0.1)
        title = seat.lines()[0]
        assert said in title
        assert " more" in title
