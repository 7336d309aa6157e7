"""The mis-dose bench by keyboard: numbers while typing, kept on the lot, refused when empty."""

import pytest
from textual import events

from curedash.domain.records import DoseLine
from curedash.present.dosing.misdose_form import bench_field, read_bench, rows
from curedash.present.words import cells, plain, text_of
from tests.hostile import HOSTILE
from tests.tui.test_new_batch import EYE, SALTED, fill


async def at_the_bench(seat):
    await seat.press("n")
    await fill(seat, *EYE, *SALTED)
    await seat.press("f10", "space", "space", "up", "up", "up", "D")
    assert "WHAT WENT IN  A1" in seat.text()


async def test_seven_grams_instead_of_two_point_eight(tmp_path, sit):
    """7 g of a 6.25 % salt on 1134 g: 7 · 0.0625 / 1.134 = 385.8 mg/kg (FSIS Handbook 7620.3)."""
    async with sit(tmp_path / "new.db") as seat:
        await at_the_bench(seat)
        await seat.press("down")
        await seat.type("7")
        assert "4.2 g over" in seat.text()
        assert "! Nitrite 385.8 mg/kg is" in seat.text()
        assert "nitrite 385.8 mg/kg" in seat.text()
        assert "common fixes:" in seat.text()
        hung = next(
            n for n, line in enumerate(seat.lines()) if line.startswith("- If it is not on")
        )
        assert seat.lines()[hung + 1].startswith("  salt."), "a fix goes on under its words"
        await seat.press("f10")
        kept = seat.ask("SELECT weighed_g FROM dose_line WHERE lot_id = 1 AND kind = 'curing-salt'")
        assert kept == [(7.0,)]
        nitrite = seat.ask("SELECT nitrite_mg_per_kg FROM lot WHERE code = 'A1'")[0][0]
        assert nitrite == pytest.approx(7 * 0.0625 / 1134 * 1e6)
        assert seat.ask("SELECT count(*) FROM event WHERE lot_id = 1 AND kind = 'misdose'") == [
            (1,)
        ]
        assert "DOSE SHEET A" in seat.text()
        await seat.press("u")
        assert seat.ask("SELECT count(*) FROM event WHERE voided_at IS NULL") == [(0,)]


async def test_the_wrong_jar(tmp_path, sit):
    """2.8 g of a 0.6 % salt where 6.25 % was planned: 2.8 · 0.006 / 1.134 = 14.8 mg/kg."""
    async with sit(tmp_path / "new.db") as seat:
        await at_the_bench(seat)
        await seat.press("down", "down")
        await seat.type("nitrited-0.6")
        assert "nitrite 14.8" in seat.text()
        await seat.press("f10")
        nitrite = seat.ask("SELECT nitrite_mg_per_kg FROM lot WHERE code = 'A1'")[0][0]
        assert nitrite == pytest.approx(2.8 * 0.006 / 1134 * 1e6)


async def test_a_dose_that_is_left_as_it_is_is_decided_here(tmp_path, sit):
    """15 g of a 6.25 % salt on 1134 g are 827 mg/kg, above every limit."""
    async with sit(tmp_path / "new.db") as seat:
        await at_the_bench(seat)
        await seat.press("down")
        await seat.type("15")
        await seat.press("f10")
        await seat.press("D", "down", "down", "down", "down")
        assert "what happened, or what you decide" in seat.text()
        await seat.type("leave it as it is")
        await seat.press("f10")
        assert "DOSE SHEET A" in seat.text()
        kept = "SELECT text FROM event WHERE kind = 'decision' AND lot_id = 1"
        assert seat.ask(kept) == [("leave it as it is",)]
        assert seat.ask(
            "SELECT weighed_g FROM dose_line WHERE lot_id = 1 AND kind = 'curing-salt'"
        ) == [(15.0,)]
        await seat.press("u")
        assert seat.ask(f"{kept} AND voided_at IS NULL") == []


async def test_nothing_said_is_nothing_kept(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await at_the_bench(seat)
        await seat.press("f10")
        assert "Say first what went in" in seat.text()
        await seat.press("escape")
        assert seat.ask("SELECT count(*) FROM event") == [(0,)]


@pytest.mark.parametrize("text", ["[bold red]end[/]", "🥩 '; DROP TABLE lot; --", "-5"])
async def test_hostile_text_in_every_field(tmp_path, sit, text):
    async with sit(tmp_path / "new.db", size=(60, 20)) as seat:
        await at_the_bench(seat)
        for _field in range(5):
            seat.app.post_message(events.Paste(text))
            seat.app.post_message(events.Key("tab", "\t"))
        await seat.settle()
        assert "WHAT WENT IN" in seat.text()
        await seat.press("f10")
        assert not seat.ask("SELECT 1 FROM dose_line WHERE weighed_g < 0")


@pytest.mark.parametrize("text", [*HOSTILE, "-5", "NaN", "inf", "9" * 40, "½"])
def test_no_text_whatever_breaks_the_bench(text):
    lines = (
        DoseLine(1, 1, 0, "salt", "salt", 27.5, 27.5, None, None),
        DoseLine(2, 1, 1, "[x]", "extra", 1.0, 1.0, 1.0, "2026-11-25T09:00:00Z"),
    )
    every = [row[0] for row in rows(lines)]
    found = read_bench(dict.fromkeys(every, text), lines, ())
    assert all(0 <= grams < 1e6 for grams in found.went_in.given.values())
    for field_id in every:
        line = next((line for line in lines if str(line.id) == field_id), None)
        drawn = bench_field(field_id, plain(text), line, found, 60, focused=True)
        assert cells(text_of(drawn)) == 60


@pytest.mark.parametrize("size", [(60, 24), (100, 30)])
async def test_the_bench_is_broken_to_the_width_from_its_first_moment_on(tmp_path, sit, size):
    async with sit(tmp_path / "new.db", size=size) as seat:
        await at_the_bench(seat)
        words = " ".join(seat.text().split())
        assert "as planned" in words
        assert "nitrate 98.8 mg/kg" in words
        await seat.pilot.resize_terminal(60, 24)
        await seat.settle()
        assert "nitrate 98.8 mg/kg" in " ".join(seat.text().split())


async def test_what_was_not_ticked_is_not_said_to_be_in(tmp_path, sit):
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        await seat.press("f10", "space", "up", "D")
        rows = [line for line in seat.lines() if "ticked" in line]
        assert ["not ticked, planned" in row for row in rows] == [False, True]


async def test_what_is_not_ticked_is_planned_and_not_in(tmp_path, sit):
    """2.8 g of a 6.25 % salt on 1134 g, once it is in: 2.8 · 0.0625 / 1.134 = 154.3 mg/kg."""
    async with sit(tmp_path / "new.db") as seat:
        await seat.press("n")
        await fill(seat, *EYE, *SALTED)
        await seat.press("f10", "space", "up", "D")
        assert "WHAT WENT IN  A1" in seat.text()
        text = " ".join(seat.text().split())
        assert "in now: " in text
        now = text.partition("in now: ")[2].partition("once the rest")[0]
        assert "2.52 % salt" in now or "salt 2.52" in now
        assert "154.3" not in now
        assert "once the rest is in as planned: " in text
        assert "154.3" in text.partition("once the rest is in as planned: ")[2]


async def test_why_it_goes_into_the_cure_anyway_is_a_decision(tmp_path, sit):
    """15 g of curing salt: the reason is in the log, and u takes it back with the move."""
    kept = "SELECT text FROM event WHERE kind = 'decision' AND lot_id = 1 AND voided_at IS NULL"
    async with sit(tmp_path / "new.db") as seat:
        await at_the_bench(seat)
        await seat.press("down")
        await seat.type("15")
        await seat.press("f10", "I")
        assert "into the cure anyway, because" in seat.text()
        await seat.type("put aside for the lab\r")
        assert seat.ask("SELECT stage FROM lot WHERE id = 1") == [("in-cure",)]
        assert seat.ask(kept) == [("in cure anyway: put aside for the lab",)]
        await seat.press("u")
        assert seat.ask(kept) == []
        assert seat.ask("SELECT stage FROM lot WHERE id = 1") == [("raw",)]
