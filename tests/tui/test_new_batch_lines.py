"""Pieces one by one and their roasts in the form of a new batch: a line each, few keys."""

import re

import pytest

from curedash.present.display_units import show_in
from curedash.services.household.household import choose
from curedash.services.household.household_settings import add_scale, typed_scale
from curedash.store.open import open_db
from curedash.store.work import By
from tests.tui.test_new_batch import fill


@pytest.fixture
def in_pounds():
    show_in("lb", "F", "in")
    yield
    show_in()


@pytest.fixture
def settled(tmp_path):
    """A household that said its rule set and its scale, as the first start asks."""
    conn = open_db(str(tmp_path / "new.db"), create=True)
    by = By("2026-11-24T09:00:00Z", "anna", "shell", "before")
    choose(conn, by, "rule_set", "us")
    add_scale(conn, by, typed_scale("kitchen 0.1 g 5 kg"))
    conn.close()
    return tmp_path / "new.db"


#: what is typed, Enter as the line break, Tab and → as their signs: two roasts, two pieces of
#: each, at one price a pound
TWO_ROASTS = """\
nbre⇥→2 8
3.2
thick end
1
2 6.4

thin end

2 3
3.1
thick end
2
2 4.8

thin end


8.50/lb
5 1
market

4 9

2"""


async def typed_as(seat, keys):
    """Press what is written, one key a character; say how many that were."""
    for part in re.split("([⇥→])", keys.replace("\n", "\r")):
        if part in ("⇥", "→"):
            await seat.press({"⇥": "tab", "→": "right"}[part])
        else:
            await seat.type(part)
    return len(keys)


async def test_one_piece_is_salted_in_few_keys(settled, sit):
    async with sit(settled) as seat:
        keys = await typed_as(seat, "nbre⇥1134\n80\n2")
        assert keys + 1 <= 30
        await seat.press("f10")
        assert seat.ask("SELECT green_g, thickness_mm, style FROM lot") == [
            (1134.0, 80.0, "bresaola")
        ]
        assert seat.ask("SELECT name FROM batch") == [("air-dried beef",)]


async def test_four_pieces_of_two_roasts_without_names_take_ninety_keys_at_most(
    settled, sit, in_pounds
):
    without = TWO_ROASTS.replace("thick end", "").replace("thin end", "")
    async with sit(settled) as seat:
        keys = await typed_as(seat, without)
        assert keys + 1 <= 90
        await seat.press("f10")
        assert seat.ask("SELECT count(*), count(DISTINCT source_id) FROM lot") == [(4, 2)]


async def test_four_pieces_of_two_roasts_in_few_keys(settled, sit, in_pounds):
    """By hand: 5 lb 1 oz at 8.50 a pound is 43.03, 4 lb 9 oz is 38.78; 1 lb = 453.59237 g."""
    async with sit(settled) as seat:
        keys = await typed_as(seat, TWO_ROASTS)
        assert keys + 1 <= 120
        assert "can be saved" in seat.text()
        await seat.press("f10")
        assert "DOSE SHEET A" in seat.text()
        kept = seat.ask(
            "SELECT green_g, round(thickness_mm, 2), piece, source.name, price, shop,"
            " bought_g FROM lot JOIN source ON source.id = source_id"
            " ORDER BY lot.code"
        )
    first = ("roast 1", 43.03, "market", pytest.approx(5.0625 * 453.59237))
    second = ("roast 2", 38.78, "market", pytest.approx(4.5625 * 453.59237))
    assert kept == [
        (pytest.approx(2.5 * 453.59237), 81.28, "thick end", *first),
        (pytest.approx(2.4 * 453.59237), 81.28, "thin end", *first),
        (pytest.approx(2.1875 * 453.59237), 78.74, "thick end", *second),
        (pytest.approx(2.3 * 453.59237), 78.74, "thin end", *second),
    ]


async def test_enter_passes_rare_cells_and_ends_the_pieces_on_an_empty_one(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        form = seat.app.screen.form
        await fill(seat, ("each", "one"))
        way = []
        await seat.press("enter")
        for text in ("1134\r", "80\r", "end\r", "1\r", "1088\r", "\r", "\r", "\r"):
            way.append(form.at)
            await seat.type(text)
        assert way == [
            "green:0",
            "thick:0",
            "piece:0",
            "from:0",
            "green:1",
            "thick:1",
            "piece:1",
            "from:1",
        ]
        assert form.at == "green:2"
        await seat.press("enter")
        assert form.at == "price:0"
        await seat.press("enter", "enter", "enter")
        assert form.at == "species"


async def test_tab_leaves_nothing_out_from_a_field_that_enter_went_to(tmp_path, sit):
    """Tab passes by what can wait; from there it goes on to the field below it on the screen."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await seat.type("bre")
        await seat.press("enter")
        form = seat.app.screen.form
        way = [form.at]
        for _ in range(3):
            await seat.press("tab")
            way.append(form.at)
        assert way == ["name", "now", "pieces", "thickness"]
        await seat.press("shift+tab")
        assert form.at == "pieces", "back the same way"


async def test_tab_goes_to_every_cell_and_the_arrows_keep_the_column(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        form = seat.app.screen.form
        await fill(seat, ("pieces", "1134 1088"), ("each", "one"))
        await seat.press("tab")
        way = [form.at]
        for _ in range(6):
            await seat.press("tab")
            way.append(form.at)
        assert way == [
            "green:0",
            "thick:0",
            "piece:0",
            "from:0",
            "count:0",
            "together:0",
            "green:1",
        ]
        assert form.touched["pieces"] == "1134 1088"
        await seat.press("up", "up", "up", "down")  # along the line: roast, name, thickness
        assert form.at == "thick:1"
        await fill(seat, ("from:1", "1"))
        await seat.press("down", "down")
        assert form.at == "price:0"


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_a_cell_says_what_it_is(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, ("pieces", "1134 1088"), ("each", "one"), ("thick:1", "80"))
        assert "A2 · thickness: " in seat.lines()[-3]
        head = next(line for line in seat.lines() if "thick " in line and "green" in line)
        row = next(line for line in seat.lines() if line.startswith("› A2"))
        assert row.index("80") == head.index("thick")
        assert "↓ line" in seat.lines()[-1]
        assert "Tab each" in seat.lines()[-1]
        await seat.press("tab", "tab")
        await seat.type("1")
        await seat.press("down", "down")  # to the roast's own line
        head = next(line for line in seat.lines() if "price" in line and "meat" in line)
        row = next(line for line in seat.lines() if "roast 1" in line and "fresh" in line)
        assert row.index("fresh") == head.index("meat")


async def test_all_alike_again_keeps_the_weights(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("pieces", "1134 1088 990"), ("each", "one"), ("green:1", "1000"))
        await seat.press(*["up"] * 5)  # roast, name, thickness and weight of the first
        assert seat.app.screen.form.at == "each"
        await seat.type("all")
        assert "green weights  1134 1000 990" in seat.text()
        await seat.type("one")
        assert "3 pieces, 3124 g green" in seat.text()


async def test_a_line_that_was_emptied_is_no_piece(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(
            seat,
            ("name", "Eye"),
            ("style", "bresaola"),
            ("pieces", "1134 1088 990"),
            ("each", "one"),
            ("thick:0", "80"),
            ("green:1", ""),
        )
        await seat.pilot.press("ctrl+u")
        await fill(
            seat, ("green:2", "990"), ("curing_salt", "no2"), ("scale", "0.1"), ("rules", "un")
        )
        await seat.press("f10")
        assert seat.ask("SELECT code, green_g FROM lot") == [("A1", 1134.0), ("A2", 990.0)]


async def test_cells_with_one_number_share_a_bag(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=(80, 40)) as seat:
        await seat.press("n")
        await fill(
            seat,
            ("name", "Eye"),
            ("style", "bresaola"),
            ("pieces", "1134 1088 990"),
            ("each", "one"),
            ("together:0", "1"),
            ("together:2", "1"),
            ("curing_salt", "no2"),
            ("scale", "0.1"),
            ("rules", "un"),
        )
        assert "A1 + A3 in one bag, weighed together" in seat.text()


async def test_another_form_asks_before_it_takes_the_place_of_a_draft(tmp_path, sit):
    drafts = "SELECT json_extract(body, '$.touched.name') FROM draft"
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(
            seat,
            ("name", "Eye"),
            ("style", "bresaola"),
            ("pieces", "1134"),
            ("thickness", "80"),
            ("curing_salt", "no2"),
            ("scale", "0.1"),
            ("rules", "un"),
        )
        await seat.press("f10", "q", "n")
        await fill(seat, ("name", "Collar"))
        await seat.press("escape")
        assert seat.ask(drafts) == [("Collar",)]
        await seat.press("n")
        assert "“Collar”, unfinished, is saved from 25 Nov" in seat.text()
        await seat.press("f9")
        await fill(seat, ("name", "Belly"))
        assert seat.ask(drafts) == [("Collar",)]
        await seat.press("f9", "f9", "escape")
        from curedash.tui.screens.new_batch import NewBatch

        seat.app.push_screen(NewBatch(seat.app.screen.house, again="A"))
        await seat.settle()
        assert "“Belly”, unfinished, is saved from 25 Nov" in seat.text()
        assert "y delete it" in seat.text()
        await seat.press("tab")
        assert "y delete it" in seat.text()
        await seat.press("n")
        assert seat.app.screen.form.touched == {"name": "Belly"}


async def test_fields_get_their_room_back_where_no_dose_can_be_shown(tmp_path, sit):
    async with sit(tmp_path / "new.db", size=(60, 20)) as seat:
        await seat.press("n")
        await fill(
            seat,
            ("name", "Eye"),
            ("style", "bresaola"),
            ("pieces", "1134 1088"),
            ("thickness", "80"),
            ("curing_salt", "no2"),
        )
        assert seat.app.screen.list.size.height < 10
        seat.app.screen.form.go("pieces")
        await seat.type("99999999")
        assert seat.app.screen.list.size.height == 14
        await seat.press("ctrl+u", "tab")
        assert seat.app.screen.list.size.height == 14


async def test_grams_of_a_column_have_the_same_decimals(tmp_path, sit):
    """Two pieces share a bag, the third has one of its own: 990 g · 2.5 % is 24.75 g."""
    async with sit(tmp_path / "new.db", size=(80, 40)) as seat:
        await seat.press("n")
        await fill(
            seat,
            ("name", "Eye"),
            ("style", "bresaola"),
            ("pieces", "1134 1088 1000"),
            ("salt", "2.75"),
            ("curing_salt", "no2"),
            ("cure", "0.25"),
            ("bags", "1+2"),
            ("scale", "0.1"),
            ("rules", "un"),
        )
        rows = [line.split() for line in seat.lines() if line[2:3] == "A" and line[3:4].isdigit()]
        table = [row for row in rows if len(row) > 6][:3]
        assert [row[2][-3:-2] for row in table] == [".", ".", "."]
        assert table[2][2].endswith("0")


async def test_a_dose_weighed_in_ounces_is_said_in_them_everywhere(tmp_path, sit, in_pounds):
    """By hand: 2.75 % of 20 lb (9071.847 g) less the salt of the curing salt, on a 0.1 oz scale."""
    conn = open_db(str(tmp_path / "new.db"), create=True)
    by = By("2026-11-24T09:00:00Z", "anna", "shell", "before")
    choose(conn, by, "rule_set", "us")
    add_scale(conn, by, typed_scale("fine 0.1 g 200 g"))
    add_scale(conn, by, typed_scale("kitchen 0.1 oz 11 lb"))
    conn.close()
    async with sit(tmp_path / "new.db", size=(80, 40)) as seat:
        await seat.press("n")
        await fill(
            seat,
            ("name", "Leg"),
            ("style", "bresaola"),
            ("pieces", "20 0, 2 8"),
            ("thickness", "4"),
            ("curing_salt", "no2"),
        )
        planned = seat.app.screen._read.planned
        large, small = (lot.dose.ingredients[0] for lot in planned)
        assert small.weigh_g == round(small.weigh_g, 1)
        tenths = large.weigh_g / 2.8349523125
        assert tenths == pytest.approx(round(tenths))
        assert f"  {round(tenths) / 10:g} oz " in seat.text()
        words = f"{round(tenths) / 10:g} oz ({large.weigh_g:.1f} g)"
        assert f"{small.weigh_g:.1f} g" in seat.text()
        assert "0.1 oz/11 lb" in seat.app.screen._values["scale"]
        await seat.press("f10")
        assert words in seat.text()
        await seat.type("1")
        assert f"planned {words}; 0 if nothing went in" in seat.text()
        await seat.press("backspace")
        await seat.type(f"{round(tenths) / 10:g}\r")
        [(weighed, kept)] = seat.ask("SELECT weighed_g, planned_g FROM dose_line WHERE id = 1")
        assert weighed == pytest.approx(kept)


async def test_somebody_new_salts_one_piece_in_few_keys(tmp_path, sit):
    """From the first screen of an empty file to the stored batch: nothing was set before."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        keys = await typed_as(seat, "nbre⇥1134\n80\nno2")
        await seat.press("f10")
        assert keys + 1 <= 30
        assert "DOSE SHEET A" in seat.text()
        kept = seat.ask("SELECT green_g, thickness_mm, lot.style, method FROM lot JOIN batch")
        assert kept == [(1134.0, 80.0, "bresaola", "equilibrium")]
        lines = seat.ask("SELECT kind FROM dose_line ORDER BY seq")
        assert lines == [("salt",), ("curing-salt",)]


async def test_somebody_new_salts_four_pieces_of_two_roasts_in_few_keys(tmp_path, sit):
    """From the first screen of an empty file; each piece with its weight, thickness and roast."""
    typed = "nbre⇥→1134\n80\n\n1\n1088\n\n\n\n990\n75\n\n2\n1041\n\n\n\n\n\n\n\n\n\n\nno2"
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        keys = await typed_as(seat, typed)
        await seat.press("f10")
        assert "Which scale weighs it?" in " ".join(seat.text().split())
        await seat.press("n", *"0.1", "f10")
        assert keys + 1 + 5 <= 90
        kept = seat.ask(
            "SELECT green_g, thickness_mm, source.name FROM lot JOIN source"
            " ON source.id = source_id ORDER BY lot.id"
        )
        assert kept == [
            (1134.0, 80.0, "roast 1"),
            (1088.0, 80.0, "roast 1"),
            (990.0, 75.0, "roast 2"),
            (1041.0, 75.0, "roast 2"),
        ]


async def test_the_curing_salt_says_its_strength_and_asks_for_the_label(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "bresaola"), ("pieces", "1134"), ("thickness", "60mm"))
        await fill(seat, ("scale", "0.1"), ("rules", "un"), ("curing_salt", "no2"))
        said = " ".join(" ".join(seat.lines()[-4:]).split())
        assert "curing salt no. 2 is counted as 6.25 % nitrite, 4 % nitrate (trade pages" in said
        assert "Does its label say so?" in said
