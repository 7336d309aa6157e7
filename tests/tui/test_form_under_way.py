"""Pieces under way in the form of a new batch: one choice early, and nothing that must be known."""

import pytest

from curedash.present.words import text_of
from tests.tui.test_new_batch import fill

LOTS = (
    "SELECT lot.code, lot.style, stage, stage_at, green_g, green_pm_g, hang_g, thickness_mm,"
    " planned_on, piece, tare_g, dose_notes, cure_usual_days, batch.name, batch.method, salted_at"
    " FROM lot JOIN batch ON batch.id = lot.batch_id ORDER BY lot.id"
)


async def by_questions(seat, *answers):
    """The quick way on the Rack."""
    await seat.settle()
    await seat.press("q", "N")
    for answer in answers:
        await seat.type(answer)


async def test_the_form_and_the_quick_way_store_the_same(tmp_path, sit):
    async with sit(tmp_path / "quick.db") as seat:
        told = "bre 4\r", "1", "-4d\r", "roast 2.3kg\r", "\r", "62mm\r", "3 Jan\r", "\r"
        await by_questions(seat, *told)
        quick = seat.ask(LOTS)
    async with sit(tmp_path / "form.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "bresaola"), ("now", "in the"), ("since", "-4d"))
        await fill(seat, ("how_many", "4"), ("weighed", "roast 2.3kg"), ("thickness", "62"))
        await fill(seat, ("sticker", "3 Jan"))
        await seat.press("f10")
        assert seat.app.screen.NAME == "rack"
        assert "A1–A4 are in cure, day 4, since 21 Nov. Next: turn" in " ".join(seat.text().split())
        assert seat.ask(LOTS) == quick
        assert len(quick) == 4
        assert quick[0][8] == "2027-01-03"
        assert seat.ask("SELECT count(*) FROM draft") == [(0,)]


async def test_four_pieces_of_which_nothing_is_known_take_few_keys(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.settle()
        keys = ["n", *"bre", "tab", "up", "i", "tab", *"-4d", "tab", "4", "f10"]
        for key in keys:
            await seat.type(key) if len(key) == 1 else await seat.press(key)
        assert len(keys) <= 25
        kept = seat.ask("SELECT style, stage, stage_at, green_g, hang_g FROM lot")
        assert kept == [("bresaola", "in-cure", "2026-11-21T12:00:00Z", None, None)] * 4


async def test_of_pieces_under_way_no_dose_is_asked(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "lonza"), ("now", "drying"), ("since", "-9d"))
        text = seat.text()
        for label in ("curing salt", "cure dose", "green weights", "rule set"):
            assert label not in text, label
        await fill(
            seat, ("weighed", "828 788"), ("tare", "28, 30 hook"), ("called", "thick end, tip")
        )
        assert "2 pieces drying since 16 Nov, 9 days ago." in seat.text()
        await seat.press("f10")
        kept = seat.ask("SELECT piece, stage, tare_g, start_from FROM lot ORDER BY id")
        assert kept == [("thick end", "drying", 28.0, "days"), ("tip", "drying", 30.0, "days")]
        shown = seat.ask("SELECT gross_g FROM weigh_in WHERE kind = 'stage' ORDER BY id")
        assert shown == [(828.0,), (788.0,)]


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("since", "+3d", "ahead"),
        ("weighed", "800 760 700", "2 pieces, 3 weights"),
        ("how_many", "x", "From 1 to 50 pieces"),
        ("salted_with", "2 packs", "is not clear"),
        ("sticker", "soon", "soon"),
    ],
)
async def test_what_cannot_be_is_said_beside_its_field(tmp_path, sit, field, text, said):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "coppa"), ("now", "in the"), ("since", "-4d"), ("how_many", "2"))
        await fill(seat, (field, text))
        await seat.press("f10")
        assert said in " ".join(seat.text().split())
        assert seat.ask("SELECT count(*) FROM lot") == [(0,)]


async def test_ground_meat_is_offered_no_cure(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "salami-thin"))
        await seat.press("down", "down")
        assert "where are they" in seat.text()
        text = seat.text().partition("where are they")[2]
        assert "in the cure" not in text.splitlines()[1]
        assert "fermenting" in text.splitlines()[1]


@pytest.mark.parametrize("size", [(45, 22), (60, 20), (80, 24), (120, 36)])
async def test_it_fits_every_window(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await seat.press("n")
        await fill(seat, ("style", "bresaola"), ("now", "in the"), ("since", "-4d"))
        lines = seat.text()
        for label in ("where are they", "since when", "how many"):
            assert label in lines
        beside = [text_of(line) for line in seat.app.screen.pane._lines] or [lines]
        assert "4 days ago" in " ".join(" ".join(beside).split())


async def test_the_year_of_a_day_is_said_where_it_is_not_this_one(tmp_path, sit):
    """In November 3 Jan on a sticker is the next one, 20 Dec since when the last one."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, ("style", "coppa"), ("now", "drying"), ("since", "20 Dec"))
        assert "20 Dec 2025" in seat.text()
        await fill(seat, ("sticker", "3 Jan"))
        assert "3 Jan 2027" in " ".join(seat.lines()[-4:])
        await fill(seat, ("since", "16 Nov"))
        assert "16 Nov 20" not in seat.text()
