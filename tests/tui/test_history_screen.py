"""The history: who, when, from where; any change taken back and done again, step by step."""

from datetime import UTC

import pytest
from rich.cells import cell_len

from curedash.present.display_units import show_in
from curedash.present.household.change_words import WORDS, change_parts
from curedash.services.household.history import Detail
from curedash.services.household.note import add_note
from curedash.store.open import open_db
from curedash.store.rack import lot_by_code
from curedash.store.work import By
from tests.hostile import HOSTILE
from tests.tui.conftest import days_ago
from tests.tui.test_lot_screen import lot, open_lot


def note_elsewhere(path, code: str, text: str, actor: str = "ben") -> None:
    conn = open_db(str(path))
    add_note(conn, By(days_ago(0), actor, "shell", "other"), lot_by_code(conn, code).id, code, text)
    conn.close()


async def test_a_change_of_somebody_else_is_taken_back_and_done_again(household, sit):
    path = household()
    note_elsewhere(path, "C1", "firm near the tip")
    async with sit(path) as seat:
        await seat.press("H")
        row = next(line for line in seat.lines() if "note C1" in line)
        assert "25 Nov 09:00  ben          shell   note C1" in row
        assert "firm near the tip" in seat.lines()[-2]
        await seat.press("u")
        assert "undo it" in seat.text()
        assert seat.ask("SELECT voided_at FROM event WHERE kind = 'note'") == [(None,)]
        await seat.press("y")
        assert "Undone: note C1." in seat.text()
        assert seat.ask("SELECT voided_at FROM event WHERE kind = 'note'")[0][0] is not None
        assert any("note C1" in line and "(undone)" in line for line in seat.lines())
        await seat.press("home", "down", "u")
        assert "redo it" in seat.text()
        await seat.press("y")
        assert "Redone" in seat.text()
        assert seat.ask("SELECT voided_at FROM event WHERE kind = 'note'") == [(None,)]


async def test_of_one_lot_step_by_step(household, sit):
    async with sit(household()) as seat:
        await open_lot(seat, "C1")
        await seat.type("1225\r")
        await seat.press("e", "2")
        await seat.type("30 hook\r")
        await seat.press("H")
        assert "C1 thick end" in seat.lines()[0]
        rows = [line for line in seat.lines() if "screen" in line]
        assert "correct tare C1" in rows[0]
        assert "weigh C1" in rows[1]
        await seat.press("down", "u", "y")
        assert "undo that first" in seat.text()
        await seat.press("n", "up", "u", "y")
        assert lot(seat, "C1", "tare_g") == (28.0,)


async def test_what_a_change_set_stands_below_in_words(household, sit):
    async with sit(household(), size=(100, 24)) as seat:
        await open_lot(seat, "C1")
        await seat.press("e", "2")
        await seat.type("30 hook\r")
        await seat.type("1225\r")
        await seat.press("m", "1", "H")
        foot = seat.lines()[-2]
        assert "place Chamber → Fridge 2" in foot
        for key, words in (
            ("down", ("on the scale 1225 g", "net 1195 g")),
            ("down", ("tare 28 g → 30 g", "tare is hook, net → hook")),
        ):
            await seat.press(key)
            for said in words:
                assert said in seat.lines()[-2]


def test_no_name_of_a_column_is_left_without_words(db_path):
    """Every column a service sets that a person may have typed or chosen has its word."""
    conn = open_db(db_path, create=True)
    tables = ("lot", "weigh_in", "stage_entry", "rebase", "dose_line", "finish", "pack", "place")
    columns = {row[1] for t in tables for row in conn.execute(f"PRAGMA table_info({t})")}
    conn.close()
    typed = {name for name in columns if name.endswith(("_g", "_pct", "_mm", "_what", "_face"))}
    inner = {"exact_g", "tare_before_g", "tare_after_g"}  # follow from what has words
    assert typed - inner <= set(WORDS)
    assert not any("_" in name for name, _ in WORDS.values())


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 36)])
async def test_any_words_stay_in_their_lines(household, sit, size):
    path = household()
    for text in HOSTILE:
        if text.strip():
            note_elsewhere(path, "C1", text, actor=text[:20])
    async with sit(path, size=size) as seat:
        await seat.press("H")
        for _ in range(6):
            await seat.press("down")
            assert {cell_len(line) for line in seat.lines()} == {size[0]}


async def test_long_histories_are_read_as_they_are_needed(household, sit):
    path = household()
    conn = open_db(str(path))
    lot_id = lot_by_code(conn, "C1").id
    for n in range(260):
        add_note(conn, By(days_ago(0), "anna", "shell", "s"), lot_id, "C1", f"note {n}")
    conn.close()
    async with sit(path) as seat:
        await seat.press("H")
        page = seat.app.screen
        assert len(page.list.keys) == 200
        await seat.press("end")
        assert len(page.list.keys) == 261


def test_an_offset_of_a_sensor_is_told_with_its_unit() -> None:
    found = [
        Detail("sensor", 1, "temp_offset_c", 0.0, -0.5),
        Detail("sensor", 1, "rh_offset_pct", 0.0, 2.0),
    ]
    assert change_parts(found, UTC, {}) == [
        "temperature offset 0 °C → −0.5 °C",
        "humidity offset 0 % → +2 %",
    ]
    show_in("g", "F", "mm")
    try:
        # a difference of one kelvin is 9/5 of a degree Fahrenheit (definition)
        assert change_parts(found, UTC, {})[0] == "temperature offset 0 °F → −0.9 °F"
    finally:
        show_in()


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_a_weigh_in_is_told_with_its_weight_and_whole(household, sit, size):
    show_in("lb")
    try:
        async with sit(household(), size=size) as seat:
            await seat.type("2 9.7\r")
            await seat.press("u", "H")
            lines = [line.strip() for line in seat.lines()]
            assert any("undo weigh C1: 2 lb 9.7 oz" in line for line in lines)
            assert any(line.endswith("weigh C1: 2 lb 9.7 oz (undone)") for line in lines)
            assert "UTC" not in seat.lines()[1], "the clock on the wall shows it already"
            assert "…" not in "".join(seat.lines()[2:4])
    finally:
        show_in()


def test_the_time_in_utc_stands_beside_another_clock_only():
    from zoneinfo import ZoneInfo

    from curedash.present.household.history import change_line, heads_line
    from curedash.present.words import text_of
    from curedash.services.household.history import HistoryLine

    at = "2026-11-24T18:00:00Z"
    change = HistoryLine(1, at, at, "anna", "screen", "", "note", "D2", None, False, frozenset())
    away, here = ZoneInfo("Europe/Rome"), ZoneInfo("Etc/UTC")
    # by hand: Rome is an hour ahead in November
    assert "24 Nov 19:00 18:00Z  anna" in text_of(change_line(change, away, 80))
    assert "18:00Z" not in text_of(change_line(change, here, 80))
    for zone in (away, here):
        heads, line = heads_line(80, zone), text_of(change_line(change, zone, 80))
        assert heads.index("who") == line.index("anna")
        assert heads.index("what") == line.index("note")
