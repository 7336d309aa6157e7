"""What is logged on a lot by the dashboard: turned, pH, frozen, felt, its dose sheet reached."""

import pytest

from curedash.store import lots, places
from curedash.store.open import open_db
from curedash.store.work import By, change
from tests.tui.conftest import add_batch, add_drying, add_lot, days_ago


def write(path, build) -> None:
    conn = open_db(str(path), create=True)
    with change(conn, By(days_ago(1), "anna", "shell", "before"), "build") as work:
        fridge = places.add(work, name="Fridge 2", created_at=days_ago(90), watch="not-watched")
        build(work, add_batch(work, "C", "Collar", "coppa", 50), fridge)
    conn.close()


@pytest.fixture
def curing(tmp_path):
    """Three lots in cure in one fridge, not turned for days."""
    path = tmp_path / "cure.db"

    def build(work, batch, fridge) -> None:
        for n in (1, 2, 3):
            lot_id = add_lot(
                work, batch, f"C{n}", "end", "in-cure", stage_at=days_ago(6), place_id=fridge
            )
            event = lots.last_event(work.conn, lot_id, "turn")
            work.update("event", event.id, at=days_ago(4))

    write(path, build)
    return path


def turned_today(seat) -> int:
    found = seat.ask(
        "SELECT count(*) FROM event WHERE kind = 'turn' AND at >= '2026-11-25'"
        " AND voided_at IS NULL"
    )
    return found[0][0]


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_all_in_cure_in_a_place_are_turned_from_the_rack_by_two_keys(curing, sit, size):
    async with sit(curing, size=size) as seat:
        await seat.press("U")
        assert "1 C1 alone" in seat.text()
        assert "all 3 in cure in Fridge 2" in " ".join(seat.text().split())
        await seat.press("enter")
        assert turned_today(seat) == 3
        assert "Turned: C1–C3" in seat.text()
        await seat.press("u")
        assert turned_today(seat) == 0


async def test_one_lot_alone_is_turned_on_its_page_whose_foot_names_the_key(curing, sit):
    async with sit(curing) as seat:
        await seat.press("enter")
        assert "t turned" in seat.lines()[-1]
        assert "→ t turn the bag" in " ".join(seat.text().split())
        await seat.press("U", "1")
        assert turned_today(seat) == 1
        assert "→ t turn the bag" not in " ".join(seat.text().split())


async def test_the_list_of_commands_finds_turning_and_ph(curing, sit):
    async with sit(curing) as seat:
        await seat.press("f2")
        await seat.type("turned")
        assert "turned" in seat.lines()[2] or "turned" in seat.lines()[1]
        await seat.press("enter")
        await seat.press("1")
        assert turned_today(seat) == 1


async def test_a_lot_that_hangs_has_nothing_to_turn(household, sit):
    async with sit(household()) as seat:
        await seat.press("enter", "U")
        assert "nothing to turn" in seat.text()


async def test_a_ph_is_read_before_it_is_kept(household, sit):
    async with sit(household()) as seat:
        await seat.press("enter", "g")
        await seat.type("sour\r")
        assert "A pH is a number" in seat.text()
        await seat.press(*["backspace"] * 4)
        await seat.type("52\r")
        assert seat.ask("SELECT count(*) FROM event WHERE kind = 'ph'") == [(0,)]
        await seat.press("backspace", "backspace")
        await seat.type("5,2\r")
        assert seat.ask("SELECT text FROM event WHERE kind = 'ph'") == [("pH 5.2",)]


async def test_a_ph_takes_the_day_it_was_measured_on(household, sit):
    async with sit(household()) as seat:
        await seat.press("enter", "g")
        assert "5.2 yesterday 14:00" in " ".join(seat.text().split())
        await seat.type("5.2 -1d")
        assert "pH 5.2 of 24 Nov 12:00" in " ".join(seat.text().split())
        await seat.press("enter")
        assert "pH 5.2 of 24 Nov 12:00 recorded" in " ".join(seat.text().split())
        await seat.press("g")
        await seat.type("pH 5,1 24 nov 18:30\r")
        assert seat.ask("SELECT at, text FROM event WHERE kind = 'ph' ORDER BY id") == [
            ("2026-11-24T12:00:00Z", "pH 5.2"),
            ("2026-11-24T18:30:00Z", "pH 5.1"),
        ]


async def test_a_ph_of_now_names_no_moment(household, sit):
    async with sit(household()) as seat:
        await seat.press("enter", "g")
        await seat.type("5.2\r")
        assert "pH 5.2 recorded" in " ".join(seat.text().split())
        assert seat.ask("SELECT at FROM event WHERE kind = 'ph'") == [("2026-11-25T09:00:00Z",)]


async def test_a_ph_of_a_time_ahead_is_asked_about(household, sit):
    async with sit(household()) as seat:
        await seat.press("enter", "g")
        await seat.type("5.2 today 18:30\r")
        assert "Nothing is saved yet: k keeps it anyway" in " ".join(seat.text().split())
        assert seat.ask("SELECT count(*) FROM event WHERE kind = 'ph'") == [(0,)]
        await seat.press("k")
        assert seat.ask("SELECT at FROM event WHERE kind = 'ph'") == [("2026-11-25T18:30:00Z",)]
        await seat.press("g")
        await seat.type("5.2 2026-12-09\r")
        assert "That is more than a day ahead" in " ".join(seat.text().split())


# ── felt ──────────────────────────────────────────────────────────────────────────────────


async def test_what_never_hung_is_not_sliced_by_feeling_it(curing, sit):
    async with sit(curing) as seat:
        await seat.press("enter", "f", "1", "1", "1")
        assert "slice" not in seat.text()
        assert "Recorded: rim none, soft, smell clean" in seat.text()
        assert seat.ask("SELECT count(*) FROM finish") == [(0,)]


@pytest.mark.parametrize(("rim", "usual"), [("1", "slice it"), ("3", "equalise")])
async def test_the_ways_on_keep_their_numbers_whatever_was_felt(household, sit, rim, usual):
    async with sit(household()) as seat:
        await seat.press("enter", "f", rim, "3", "1")
        said = " ".join(seat.text().split())
        assert "1 keep drying" in said
        assert "2 equalise" in said
        assert "3 slice it" in said
        assert "4 just record it" in said
        assert f"Enter {usual}" in said or f"Enter: {usual}" in said


@pytest.mark.parametrize("keys", [("f", "3", "3", "1", "2"), ("s", "1")])
async def test_a_warm_place_is_left_for_a_cold_one_by_enter(household, sit, keys):
    """C1 hangs at 10–14 °C: to equalise, Enter takes it to the fridge."""
    async with sit(household()) as seat:
        await seat.press("enter", *keys)
        if keys[0] == "s":
            assert "equalising" in seat.text()
        await seat.type("\r")
        assert "Enter: Fridge 2, cold" in seat.text()
        await seat.type("\r")
        kept = seat.ask(
            "SELECT lot.stage, place.name FROM lot JOIN place ON place.id = place_id"
            " WHERE lot.code = 'C1'"
        )
        assert kept == [("equalising", "Fridge 2")]


async def test_staying_in_a_warm_place_says_its_band_and_wants_a_reason(household, sit):
    async with sit(household()) as seat:
        await seat.press("enter", "f", "3", "3", "1", "2")
        await seat.type("\r2\r")
        said = " ".join(seat.text().split())
        assert "the band of this place is 10–14" in said or "is 10 °C to 14 °C" in said
        assert "it has no reading" in said
        assert seat.ask("SELECT stage FROM lot WHERE code = 'C1'") == [("drying",)]


# ── the lists below the curve ─────────────────────────────────────────────────────────────


async def test_enter_on_the_dose_tab_opens_the_sheet_at_that_line(tmp_path, sit):
    path = tmp_path / "dose.db"

    def build(work, batch, fridge) -> None:
        lot_id = add_lot(work, batch, "C1", "end", "raw", place_id=fridge)
        lots.add_dose_line(work, lot_id, 0, "salt", "salt", 27, 27, None, None)
        lots.add_dose_line(work, lot_id, 1, "sugar", "extra", 3.7, 3.7, None, None)

    write(path, build)
    async with sit(path) as seat:
        await seat.press("enter", "right")
        assert "Enter: tick it" in seat.text()
        await seat.press("down", "enter")
        assert seat.lines()[0].startswith("DOSE SHEET C")
        await seat.press("space")
        assert seat.ask("SELECT name FROM dose_line WHERE ticked_at IS NOT NULL") == [("sugar",)]


async def test_a_long_line_of_the_log_is_read_whole_at_the_foot(tmp_path, sit):
    path = tmp_path / "log.db"
    words = "the string came off the hook in the night and lay on the drip tray until seven o'clock"

    def build(work, batch, fridge) -> None:
        lot_id = add_drying(work, batch, "C1", "end", last=2, place_id=fridge)
        lots.add_event(work, at=days_ago(0.1), kind="note", text=words, lot_id=lot_id)

    write(path, build)
    async with sit(path, size=(60, 20)) as seat:
        await seat.press("enter")
        assert words not in " ".join(seat.text().split())
        await seat.press("enter")
        assert words in " ".join(seat.text().split())


# ── pork that is eaten uncooked ───────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("species", "product_class", "told"),
    [("pork", "dry-cured", True), ("beef", "dry-cured", False), ("pork", "bacon-dry-cured", False)],
)
async def test_freezing_is_named_once_where_pork_is_eaten_uncooked(
    tmp_path, sit, species, product_class, told
):
    path = tmp_path / "pork.db"

    def build(work, batch, fridge) -> None:
        work.update("batch", batch, species=species, product_class=product_class)
        lot_id = add_lot(work, batch, "C1", "end", "raw", place_id=fridge)
        lots.add_dose_line(work, lot_id, 0, "salt", "salt", 27, 27, None, None)

    write(path, build)
    async with sit(path) as seat:
        await seat.press("f3")
        assert ("trichina" in seat.text()) is told
        await seat.press("q", "f3")
        assert "trichina" not in seat.text()
