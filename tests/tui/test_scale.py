"""A scale on a port fills the weigh-in that is open; what was typed by hand stays."""

import asyncio
import os
import pty
import threading
from pathlib import Path

import pytest


@pytest.fixture
def scale(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Writes to the other end of a pseudo-terminal that the dashboard reads as a port."""
    ours, theirs = pty.openpty()
    monkeypatch.setenv("CUREDASH_SCALE", os.ttyname(theirs))
    yield lambda text: os.write(ours, text.encode())
    os.close(ours)
    os.close(theirs)


async def until_shown(seat, words: str) -> None:
    for _ in range(100):
        if words in seat.text():
            return
        await asyncio.sleep(0.05)
        await seat.pilot.pause()
    raise AssertionError(f"{words!r} is not on the screen:\n{seat.text()}")


async def test_a_settled_weight_fills_the_line_and_enter_saves_it(household, sit, scale):
    async with sit(household()) as seat:
        scale("US,+01100.0  g\r\nST,+01181.0  g\r\n")
        await asyncio.sleep(0.6)
        assert seat.app.screen.talking is None  # no weigh-in is open: nothing happens
        scale("ST,+00000.0  g\r\n")
        await seat.press("w")
        await seat.press("1", "1")
        scale("ST,+01181.0  g\r\n")
        await asyncio.sleep(0.6)
        assert "› 11▏" in seat.text()  # typed by hand: it stays
        await seat.press("backspace", "backspace")
        scale("ST,+00000.0  g\r\nUS,+00900.0  g\r\nST,+01181.0  g\r\n")
        await until_shown(seat, "C1 thick end › 1181 g▏")
        assert "1153 g net (1181 − 28 tare)" in seat.text()
        await seat.press("enter")
        weight = "SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1"
        assert seat.ask(weight) == [(1181.0,)]


async def test_a_digit_replaces_what_the_scale_filled_in(household, sit, scale):
    async with sit(household()) as seat:
        await seat.press("w")
        scale("ST,+01181.0  g\r\n")
        await until_shown(seat, "› 1181 g▏")
        await seat.press("9")
        assert "› 9▏" in seat.text()


async def test_a_line_from_before_the_start_and_one_after_leaving_are_not_lost(
    household, sit, scale
):
    """Left, it reads no further: the file opened next gets each line."""
    path = household()
    for grams in (1181, 1179):
        scale(f"ST,+0{grams}.0  g\r\n")
        async with sit(path) as seat:
            await seat.press("w")
            scale("ST,+00000.0  g\r\n")
            scale("ST,+01175.0  g\r\n")
            await until_shown(seat, "› 1175 g▏")
            assert "is back" not in seat.text()
        assert not [one for one in threading.enumerate() if one.name == "scale"]


async def test_a_path_that_is_no_port_is_said_and_nothing_else_changes(
    household, sit, tmp_path, monkeypatch
):
    file = tmp_path / "notes.txt"
    file.write_text("mine")
    monkeypatch.setenv("CUREDASH_SCALE", str(file))
    async with sit(household()) as seat:
        await until_shown(seat, "port or pipe, so no scale")
        await seat.press("1", "1", "8", "1", "enter")
        assert "Saved C1" in seat.text()
    assert file.read_text() == "mine"
