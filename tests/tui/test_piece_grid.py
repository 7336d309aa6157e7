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
