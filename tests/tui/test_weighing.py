"""The weigh-in line: digits on a row, an echo, one question if odd, and what the file holds."""

import re
import sqlite3

import pytest

from curedash.present.display_units import show_in

NEWEST = (
    "SELECT lot.code, w.gross_g, w.tare_g, w.net_g, w.flagged, w.voided_at, w.note"
    " FROM weigh_in w JOIN lot ON lot.id = w.lot_id ORDER BY w.id DESC LIMIT 1"
)
COUNT = "SELECT count(*) FROM weigh_in WHERE voided_at IS NULL"


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_digits_and_enter_are_the_whole_job(household, sit, size):
    path = household()
    async with sit(path, size=size) as seat:
        await seat.press("1", "1", "8", "1")
        assert "C1 thick end › 1181▏ g on the scale" in seat.text()
        assert "1153 g net (1181 − 28 tare)" in seat.text()
        assert seat.ask(COUNT) == [(36,)]
        await seat.press("enter")
        assert seat.ask(NEWEST) == [("C1", 1181.0, 28.0, 1153.0, None, None, None)]
        assert "Saved C1: 1153 g net" in seat.text()
        row = next(line for line in seat.lines() if " C1 " in line and " of 30 % " in line)
        assert " 25 of 30 % " in row
        await seat.press("u")
        assert seat.ask(COUNT) == [(36,)]
        assert seat.ask(NEWEST)[0][5] is not None
        assert "Undone: weigh C1" in seat.text()


async def test_a_lot_that_does_not_hang_yet_says_so(household, sit):
    async with sit(household()) as seat:
        await seat.press(*["down"] * 5)
        await seat.type("1568")
        assert "D2 belly, in cure › 1568▏" in seat.text()
        # by hand: 1600 g green, 1 − 1568/1600 = 2.0 %
        assert "not hanging yet, 2.0 % under green 1600" in seat.text()
        assert "lost from green" not in seat.text()


async def test_esc_leaves_and_nothing_is_kept(household, sit):
    async with sit(household()) as seat:
        await seat.type("1181")
        await seat.press("escape")
        assert "w weigh" in seat.lines()[-1]
        assert seat.ask(COUNT) == [(36,)]


async def test_units_are_letters_once_something_is_typed(household, sit):
    async with sit(household()) as seat:
        await seat.type("2 lb 9.7 oz")
        assert "1182.2 − 28 tare" in seat.text()
        await seat.press("enter")
        assert seat.ask(NEWEST)[0][1] == pytest.approx(2 * 453.59237 + 9.7 * 28.349523125)


async def test_ten_times_off_asks_with_the_likely_fix_first(household, sit):
    async with sit(household()) as seat:
        await seat.type("11810")
        await seat.press("enter")
        assert seat.ask(COUNT) == [(36,)]
        assert seat.lines()[-1].startswith("y 1181 g   k keep 11810 g   n Esc change it")
        await seat.press("y")
        assert seat.ask(NEWEST)[0][1:5] == (1181.0, 28.0, 1153.0, None)


async def test_a_doubtful_value_can_be_kept_flagged(household, sit):
    async with sit(household()) as seat:
        await seat.type("1300")
        await seat.press("enter")
        assert "heavier than last time" in seat.text()
        await seat.press("k")
        code, gross, _, _, flagged, _, _ = seat.ask(NEWEST)[0]
        assert (code, gross, flagged) == ("C1", 1300.0, "heavier")


async def test_a_comma_is_settled_by_the_last_weight_and_echoed(household, sit):
    async with sit(household()) as seat:
        await seat.type("1,181")
        assert "1153 g net (1181 − 28 tare)" in seat.text()


@pytest.mark.parametrize(
    "text",
    ["0", "9" * 200, "1e999", "12 spoons", "1'; DROP TABLE lot", "1[bold]x[/]", "1 🥩", "1 nan"],
)
async def test_what_is_no_weight_is_said_and_never_stored(household, sit, text):
    async with sit(household()) as seat:
        await seat.type(text)
        await seat.press("enter")
        assert seat.ask(COUNT) == [(36,)]
        assert any(line.startswith("C1 thick end ›") for line in seat.lines()[-5:])
        await seat.press("escape")
        await seat.press("escape")
        assert "w weigh" in seat.lines()[-1]


async def test_paste_starts_the_line_too(household, sit):
    from textual import events

    async with sit(household()) as seat:
        seat.app.screen.post_message(events.Paste("1181 g\n"))
        await seat.press("enter")
        assert seat.ask(NEWEST)[0][1] == 1181.0


async def test_keys_typed_while_it_is_being_saved_are_not_lost(household, sit):
    async with sit(household()) as seat:
        await seat.type("1181\rj1000\r")
        assert seat.ask("SELECT count(*) FROM weigh_in WHERE voided_at IS NULL AND id > 36") == [
            (2,)
        ]
        assert seat.ask(NEWEST)[0][:2] == ("C2", 1000.0)


async def test_a_locked_file_keeps_the_typed_value(household, sit, monkeypatch):
    import sqlite3

    monkeypatch.setattr("curedash.tui.chassis.writer.WRITER_TIMEOUT_S", 0.1)
    monkeypatch.setattr("curedash.tui.chassis.writer.GIVE_UP_S", 0.1)
    path = household()
    async with sit(path) as seat:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        await seat.type("1181\r")
        await seat.settle()
        assert "1181▏" in seat.text()
        assert "Another program is writing" in seat.text()
        other.execute("ROLLBACK")
        other.close()
        await seat.press("enter")
        assert seat.ask(NEWEST)[0][1] == 1181.0


async def test_a_lot_in_cure_takes_a_weight_of_that_stage(household, sit):
    async with sit(household()) as seat:
        for _ in range(5):
            await seat.press("down")
        await seat.type("1580\r")
        rows = seat.ask("SELECT stage, curve FROM weigh_in ORDER BY id DESC LIMIT 1")
        assert rows == [("in-cure", 0)]


async def test_a_question_is_not_cut_on_a_narrow_screen(household, sit):
    async with sit(household(), size=(60, 20)) as seat:
        await seat.type("1235\r")
        said = " ".join(" ".join(seat.lines()[-4:]).split())
        assert "heavier than last time. Was something left on it?" in said
        assert "…" not in said
        assert any(line.startswith("C1 thick end › 1235▏") for line in seat.lines())
        await seat.press("escape", "escape")
        assert seat.ask(COUNT) == [(36,)]


async def test_what_is_no_weight_names_its_way_out_on_a_narrow_screen(household, sit):
    async with sit(household(), size=(60, 20)) as seat:
        await seat.type("99999999")
        said = " ".join(" ".join(seat.lines()[-4:-1]).split())
        assert "more than 500 kg: type a weight like 1043 g, 1.043 kg or 2 lb 4.8 oz." in said


@pytest.mark.parametrize(
    ("typed", "gross_g"),
    # by hand: 1 lb = 453.59237 g, 1 oz = 28.349523125 g (NIST SP 811, appendix B.8)
    [("2 11", 2 * 453.59237 + 11 * 28.349523125), ("43", 43 * 28.349523125), ("1219", 1219.0)],
)
async def test_in_pounds_a_bare_number_is_what_the_scale_shows(household, sit, typed, gross_g):
    show_in("lb", "F", "in")
    try:
        async with sit(household()) as seat:
            await seat.type(typed)
            assert "net" in seat.lines()[-2]
            await seat.press("enter")
            kept = seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1")
            assert kept == [(pytest.approx(gross_g),)]
    finally:
        show_in()


async def test_in_pounds_what_may_be_two_things_is_asked_about(household, sit):
    show_in("lb", "F", "in")
    try:
        async with sit(household()) as seat:
            before = seat.ask("SELECT count(*) FROM weigh_in")
            await seat.type("104")
            assert "104 oz?" not in seat.text(), "it may become 1043"
            await seat.press("enter")
            assert "104 g or 104 oz?" in seat.text()
            assert "y 3.7 oz   k 6 lb 8 oz" in seat.lines()[-1]
            await seat.press("escape")
            assert seat.ask("SELECT count(*) FROM weigh_in") == before
    finally:
        show_in()


async def test_in_pounds_nothing_is_wrong_while_a_number_may_grow(household, sit):
    show_in("lb", "F", "in")
    try:
        async with sit(household()) as seat:
            for typed in ("2", " ", "9", ".7"):
                await seat.type(typed)
                assert "?" not in " ".join(seat.lines()[-3:-1])
                assert "Type the unit" not in seat.text()
            await seat.press("enter")
            # by hand: 2 × 453.59237 + 9.7 × 28.349523125 g
            assert seat.ask(NEWEST)[0][1] == pytest.approx(1182.17511)
    finally:
        show_in()


async def test_after_a_question_what_is_typed_replaces_the_weight(household, sit):
    async with sit(household()) as seat:
        await seat.type("768\r")
        assert "k keep 768 g" in seat.lines()[-1]
        await seat.press("n")
        assert seat.ask(COUNT) == [(36,)]
        await seat.type("1181\r")
        assert seat.ask(NEWEST)[0][:2] == ("C1", 1181.0)


async def test_after_a_question_an_arrow_edits_the_weight(household, sit):
    async with sit(household()) as seat:
        await seat.type("118\r")
        await seat.press("escape", "right")
        await seat.type("1\r")
        assert seat.ask(NEWEST)[0][:2] == ("C1", 1181.0)


async def test_a_weight_of_another_lot_goes_to_that_lot_with_one_key(household, sit):
    path = household()
    with sqlite3.connect(path) as conn:
        small = "SELECT id FROM lot WHERE code = 'C3'"
        conn.execute(f"UPDATE lot SET hang_g = hang_g / 2 WHERE id = ({small})")
        conn.execute("DROP TRIGGER weigh_in_is_never_overwritten")
        conn.execute(
            f"UPDATE weigh_in SET gross_g = net_g / 2 + 28, net_g = net_g / 2"
            f" WHERE lot_id = ({small})"
        )
    conn.close()
    async with sit(path) as seat:
        expected = next(line for line in seat.lines() if " C3 " in line)
        assert "drying" in expected
        await seat.press("down", "down", "w")
        words = " ".join(seat.lines()[-3:-1])
        lo, hi = words.partition("expect ")[2].split()[0].split("–")
        fits = (int(lo) + int(hi)) // 2
        await seat.press("escape", "up", "up")
        await seat.type(f"{fits}\r")
        assert f"{fits} g fits C3" in seat.text()
        assert "Is it C3?" in " ".join(seat.text().split())
        assert seat.lines()[-1].startswith(f"y it is C3   k keep {fits} g   n Esc change it")
        await seat.press("n")
        assert "C1 thick end ›" in seat.text()
        await seat.press("enter", "y")
        assert seat.ask(NEWEST)[0][:2] == ("C3", float(fits))
        assert "Saved C3" in seat.text()


async def test_the_hint_is_for_what_lies_on_the_scale(household, sit):
    """C1 has 28 g of hook and net: both ends and the last weight move by as much."""

    def numbers(text: str) -> list[float]:
        return [float(n) for n in re.findall(r"\d{3,4}(?:\.\d)?", text)]

    async with sit(household(), size=(120, 36)) as seat:
        await seat.press("w")
        with_it = numbers(seat.lines()[-2])
        assert "tare 28" in seat.lines()[-2]
        assert "Tab without tare" in seat.lines()[-1]
        await seat.press("tab")
        alone = numbers(seat.lines()[-2])
        assert " alone, " in seat.lines()[-2]
        assert "Tab with tare" in seat.lines()[-1]
        assert len(alone) >= 3
        for whole, meat in zip(with_it, alone, strict=True):
            assert abs(whole - meat - 28) <= 1.01


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("1181 yesterday", "2026-11-24T12:00:00Z"),
        ("1181 -1d", "2026-11-24T12:00:00Z"),
        ("1181 23 Nov", "2026-11-23T12:00:00Z"),
        ("1181 g 23 Nov 18:30", "2026-11-23T18:30:00Z"),
        ("1181 sunday", "2026-11-22T12:00:00Z"),
        ("1181", "2026-11-25T09:00:00Z"),
    ],
)
async def test_a_day_behind_the_weight_is_when_it_was_read(household, sit, typed, day):
    newest = "SELECT gross_g, at FROM weigh_in WHERE lot_id = 1 ORDER BY id DESC LIMIT 1"
    async with sit(household()) as seat:
        await seat.type(typed)
        echo = " ".join(seat.text().split())
        assert "is not a unit" not in echo
        await seat.press("enter")
        assert seat.ask(newest) == [(1181.0, day)], seat.text()


async def test_a_day_ahead_behind_the_weight_is_refused_and_stays(household, sit):
    async with sit(household()) as seat:
        await seat.type("1181 2027-01-03\r")
        assert "more than a day ahead" in " ".join(seat.text().split())
        assert "1181 2027-01-03" in seat.text()
