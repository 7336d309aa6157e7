"""The grid of single pieces in the form of a new batch: what is refused is said where it stands."""

from tests.tui.test_new_batch import EYE, SALTED, fill, fill_back

GRID = (*EYE[:3], ("each", "one"))


def below(seat, code):
    """The line of a piece and the line under it."""
    lines = seat.lines()
    at = next(n for n, line in enumerate(lines) if line[2:].startswith(code + " "))
    return lines[at], lines[at + 1]


async def at_new_batch(seat, *fields):
    await seat.press("n")
    await fill(seat, *fields)


async def test_the_reason_for_a_refused_cell_stays_in_sight_under_its_piece(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(seat, *GRID, ("thick:1", "6.5"))
        await seat.press("enter", "enter")
        assert seat.app.screen.form.at == "from:1"
        line, reason = below(seat, "A2")
        assert "!6.5" in line
        assert "! thickness: Is that 6.5 cm, 6.5 in or 6.5 mm?" in reason
        await fill_back(seat, "thick:1")
        await seat.type("6.5 cm")
        await seat.press("enter")
        line, after = below(seat, "A2")
        assert "6.5 cm" in line
        assert after.strip().startswith("A3")


async def test_two_refused_cells_of_one_piece_are_both_said(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(seat, *GRID, ("green:1", "abc"), ("thick:1", "6.5"), ("piece:1", "tip"))
        assert "! green weight:" in seat.text()
        assert "! thickness: Is that 6.5 cm" in seat.text()


async def test_up_goes_to_the_cell_before_and_back_up_a_column_after_down(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(seat, *GRID, ("green:1", "1088"))
        form = seat.app.screen.form
        await seat.press("enter", "enter")
        assert form.at == "piece:1"
        way = []
        for _ in range(4):
            await seat.press("up")
            way.append(form.at)
        assert way == ["thick:1", "green:1", "from:0", "piece:0"]
        await seat.press("down", "down", "up")
        assert form.at == "piece:1"
        await seat.press("shift+tab")
        assert form.at == "thick:1"
        await seat.press("up")
        assert form.at == "green:1"


async def test_up_from_the_first_cell_leaves_the_grid(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(seat, *GRID, ("green:0", "1134"))
        await seat.press("up")
        assert seat.app.screen.form.at == "each"


async def test_a_refusal_marks_the_piece_it_is_about(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(
            seat, *GRID, ("thick:0", "65"), ("thick:1", "990"), ("thick:2", "80"), *SALTED
        )
        assert list(seat.app.screen._read.troubles) == ["thick:1"]
        await fill_back(seat, "each")
        assert "!990" in below(seat, "A2")[0]
        assert "!65" not in seat.text()
        assert "A thickness of 990 mm makes no sense; give 1 to 400 mm." in below(seat, "A2")[1]


async def test_a_piece_that_repeats_a_refused_thickness_is_marked_with_it(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(seat, *GRID, ("thick:0", "990"), *SALTED)
        assert list(seat.app.screen._read.troubles) == ["thick:0"]


async def test_two_grams_as_thick_as_a_leg_is_asked_about_at_its_own_piece(tmp_path, sit):
    """A ball of 2 g is 16 mm thick: (6 · 2 / π / 1.05)^⅓ cm, by hand."""
    async with sit(tmp_path / "new.db", size=(80, 40)) as seat:
        await at_new_batch(
            seat,
            *GRID,
            ("thick:0", "65"),
            ("green:1", "2"),
            ("thick:1", "300"),
            ("thick:2", "80"),
            *SALTED,
        )
        assert [at for at in seat.app.screen._read.hints if "thick" in at] == ["thick:1"]
        await fill_back(seat, "each")
        line, asked = below(seat, "A2")
        assert "300" in line
        assert "2 g and 300 mm thick: a ball of that weight is thinner." in asked


async def test_a_day_that_is_none_is_refused_while_it_is_typed(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(seat, ("name", "Beef eye"), ("salted", "32 dec"))
        assert "salted" in seat.app.screen._read.troubles
        await seat.press("enter")
        at = next(n for n, line in enumerate(seat.lines()) if "salted on" in line)
        assert "! " in "".join(seat.lines()[at : at + 2])


async def typed_one_by_one(seat):
    """Four pieces as a person types them: weight, thickness, then ↓ to the next line."""
    await at_new_batch(seat, ("style", "bresaola"), ("name", "Eye"), ("pieces", ""))
    await seat.press("right")
    assert seat.app.screen.form.at == "green:0"


async def test_down_from_any_column_begins_a_new_piece_at_its_weight(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await typed_one_by_one(seat)
        for green, thick in (("700", "60"), ("640", "55"), ("610", "50"), ("580", "45")):
            await seat.type(green)
            await seat.press("enter")
            await seat.type(thick)
            await seat.press("down")
        await seat.press("up")
        assert seat.app.screen.form.at == "green:3"
        await fill(seat, *SALTED)
        await seat.press("f10")
        assert seat.ask("SELECT green_g, thickness_mm, piece FROM lot ORDER BY code") == [
            (700.0, 60.0, ""),
            (640.0, 55.0, ""),
            (610.0, 50.0, ""),
            (580.0, 45.0, ""),
        ]
        assert "4 pieces, 2530 g green" in seat.lines()[0]


async def test_the_foot_says_where_enter_goes_from_each_column(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await typed_one_by_one(seat)
        await seat.type("700")
        said = []
        for _ in range(4):
            said.append(seat.lines()[-1].partition("Enter ")[2].partition("   ")[0])
            await seat.press("enter")
        assert said == ["thickness", "name", "roast", "next line"]
        assert seat.app.screen.form.at == "green:1"


async def test_a_weight_typed_as_the_name_of_a_piece_is_asked_about(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await typed_one_by_one(seat)
        await seat.type("700\r60\r640\r")
        assert "Is the piece called “640”?" in seat.text()
        assert seat.app.screen.form.at == "piece:0"
        await seat.press("enter")
        assert "Is the piece called “640”?" in seat.text()
        await seat.press("n")
        assert seat.app.screen.form.at == "piece:0"
        await seat.type("tip\r55\r")
        assert "Is the roast called “roast 55”?" in seat.text()
        await seat.press("k")
        assert seat.app.screen.form.at == "green:1"
        await seat.type("640\r50\r\r55\r")
        assert seat.app.screen.form.at == "green:2"  # that roast is known by now
        await fill(seat, *SALTED)
        await seat.press("f10")
        assert seat.ask(
            "SELECT lot.piece, source.name FROM lot JOIN source ON source.id = source_id"
            " ORDER BY code"
        ) == [("tip", "roast 55"), ("", "roast 55")]


async def test_a_number_for_a_name_is_asked_about_before_it_is_saved(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await typed_one_by_one(seat)
        await seat.type("700\r60\r")
        await fill(seat, *SALTED)
        await fill_back(seat, "piece:0")
        await seat.type("640")
        await seat.press("f10")
        assert "Is the piece called “640”?" in seat.text()
        assert seat.ask("SELECT count(*) FROM lot") == [(0,)]
        await seat.press("k")
        assert seat.ask("SELECT piece FROM lot") == [("640",)]
        assert "1 piece, 700 g green" in seat.lines()[0]


async def test_single_digits_stay_names_in_short(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await typed_one_by_one(seat)
        await seat.type("700\r60\r1\r2\r")
        assert seat.app.screen.form.at == "green:1"


async def test_a_thickness_that_is_not_given_is_named_once(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_new_batch(seat, *GRID, ("thick:0", "6.5"), ("curing_salt", "no2"))
        assert "· Thickness not given" in seat.text()
        assert "thickness: Thickness" not in seat.text()
