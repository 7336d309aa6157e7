"""A scanner that types like a keyboard: a tag's code and Enter, from any page, never commands.

Pace: a hand makes fewer than 20 keys a second; scanners for counters send 1 to 40 ms apart
(common practice of such devices; their delay can be set).
"""

import asyncio
import random
import time

import pytest
from textual import events

from tests.tui.conftest import NAMES
from tests.tui.test_terminal import Terminal

SLOW_S = 0.12


async def scan(seat, code: str, end: str = "\r", gap_s: float = 0.004) -> None:
    await asyncio.sleep(SLOW_S)  # after whatever a hand did
    for char in code + end:
        key = {"\n": "ctrl+j"}.get(char, NAMES.get(char, char))
        seat.app.post_message(events.Key(key, char))
        await asyncio.sleep(gap_s)
    await seat.settle()
    await seat.settle()


async def by_hand(seat, keys: str) -> None:
    for char in keys:
        await asyncio.sleep(SLOW_S)
        seat.app.post_message(events.Key(NAMES.get(char, char), char))
    await asyncio.sleep(SLOW_S)
    await seat.settle()


def log_of(seat) -> list[tuple]:
    return seat.ask("SELECT count(*) FROM change WHERE verb <> 'build'")


async def test_a_tag_opens_the_weigh_in_of_its_lot_in_the_rack(household, sit):
    async with sit(household(), scans=True) as seat:
        await scan(seat, "D2")
        assert "D2 belly, in cure ›" in seat.text()
        assert seat.app.screen.NAME == "rack"
        await seat.type("1500")
        await seat.press("enter", "k")
        assert seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [(1500.0,)]
        await scan(seat, "C3", "\r\n")
        assert "C3 middle ›" in seat.text()


@pytest.mark.parametrize(
    "keys",
    ["a", "p", "e", "d", "h", "m", "?", "x", "T", "s", "f", "\r", "n"],
    ids=lambda keys: NAMES.get(keys, keys),
)
async def test_from_any_page_a_tag_is_no_command(household, sit, keys):
    async with sit(household(), scans=True) as seat:
        await by_hand(seat, keys)
        before, there = log_of(seat), seat.app.screen
        busy = there.talking is not None
        await scan(seat, "D2")
        assert log_of(seat) == before
        if busy:  # a question is open: it stays
            assert seat.app.screen is there
            assert there.talking is not None
            assert "D2 was scanned." in seat.text()
            await seat.press("escape")
            await scan(seat, "D2")
        assert "D2 belly, in cure ›" in seat.text()
        assert "D2 belly, in cure › ▏" in seat.text()  # nothing of the code went into the line


async def test_in_a_round_it_goes_to_the_lot_that_is_on_the_scale(household, sit):
    async with sit(household(), scans=True) as seat:
        await by_hand(seat, "r")
        await scan(seat, "C4")
        assert seat.app.screen.NAME == "round"
        assert "C4 tip ›" in seat.text()
        await scan(seat, "D2")
        assert seat.app.screen.NAME == "lot"
        assert "D2 belly, in cure ›" in seat.text()
        await by_hand(seat, "q")
        await by_hand(seat, "q")
        assert seat.app.screen.NAME == "round"
        assert "C4 tip ›" in seat.text()


async def test_tag_after_tag_leaves_one_page_to_come_back_from(household, sit):
    async with sit(household(), scans=True) as seat:
        await by_hand(seat, "p")
        for code in ("C1", "C2", "D1"):
            await scan(seat, code)
            assert f"{code} " in seat.text()
        assert len(seat.app.screen_stack) == 3
        await by_hand(seat, "\x1bq")
        assert seat.app.screen.NAME == "places"


async def test_what_is_half_typed_stays(household, sit):
    async with sit(household(), scans=True) as seat:
        await by_hand(seat, "11")
        await scan(seat, "D2")
        assert "› 11▏" in seat.text()
        assert "D2 was scanned. Finish this or leave it (Esc), then scan again." in seat.text()
        await by_hand(seat, "81")
        assert "› 1181▏" in seat.text()


async def test_a_form_stays_below(household, sit):
    async with sit(household(), scans=True) as seat:
        await by_hand(seat, "n")
        await by_hand(seat, "loin")
        await scan(seat, "D2")
        assert "D2 belly, in cure ›" in seat.text()
        await by_hand(seat, "\x1bq")
        assert "loin" in seat.text()
        assert "D2" not in seat.text()


async def test_a_tag_of_no_lot_says_so_and_types_nothing(household, sit):
    async with sit(household(), scans=True) as seat:
        before = log_of(seat)
        await scan(seat, "Z99")
        assert "There is no lot “Z99”" in seat.text()
        assert seat.app.screen.talking is None
        assert seat.app.screen.NAME == "rack"
        assert log_of(seat) == before


async def test_the_same_characters_typed_by_hand_are_commands(household, sit):
    async with sit(household(), scans=True) as seat:
        await by_hand(seat, "D")
        assert "has no dose sheet" in seat.text()  # what D says on this row
        await by_hand(seat, "2")
        assert "› 2▏" in seat.text()  # a digit starts the weigh-in of this row
        assert "belly" not in seat.lines()[-3]


@pytest.mark.parametrize("keys", ["1181", "DDDDDD", "T1.5", "UPS"])
async def test_fast_keys_that_are_no_tag_reach_the_page_in_their_order(
    household, sit, keys, monkeypatch
):
    async with sit(household(), scans=True) as seat:
        taken = []
        monkeypatch.setattr(seat.app.screen, "take_key", lambda key, char: taken.append(char))
        await scan(seat, keys, "\r", 0.0)
        await asyncio.sleep(SLOW_S)
        assert "".join(taken) == keys + "\r"


async def test_a_key_that_waits_is_not_lost_when_nothing_follows(household, sit):
    async with sit(household(), scans=True) as seat:
        started = time.monotonic()
        seat.app.post_message(events.Key("U", "U"))
        while seat.app.screen.key_taken != "U":
            assert time.monotonic() - started < 2
            await asyncio.sleep(0.005)


async def test_a_tag_while_a_weight_is_being_saved_comes_after_it(household, sit):
    async with sit(household(), scans=True) as seat:
        await seat.press("1", "1", "8", "1")
        seat.app.post_message(events.Key("enter", "\r"))
        await scan(seat, "C2")
        assert seat.ask("SELECT gross_g FROM weigh_in ORDER BY id DESC LIMIT 1") == [(1181.0,)]
        assert "C2 thin end ›" in seat.text()


@pytest.fixture
def terminal(household):
    seat = Terminal(household())
    seat.until("D1")
    yield seat
    seat.process.kill()
    seat.process.wait()


def paced(seat: Terminal, keys: str, low_s: float, high_s: float) -> None:
    pace = random.Random(7)
    for char in keys:
        seat.type(char)
        time.sleep(pace.uniform(low_s, high_s))


def test_in_a_real_terminal_tags_are_read_at_the_pace_of_scanners(terminal):
    terminal.read(0.5)
    paced(terminal, "D2\r", 0.001, 0.005)
    terminal.until("D2 belly, in cure ›")
    terminal.type("\x1b")
    terminal.read(0.5)
    terminal.type("p")
    terminal.until("PLACES")
    paced(terminal, "C2\r\n", 0.008, 0.02)
    terminal.until("C2 thin end ›")
    paced(terminal, "1040\r", 0.1, 0.2)  # a hand
    terminal.until("Saved")
    paced(terminal, "C3\r", 0.001, 0.002)
    terminal.until("C3 middle ›")


def test_in_a_real_terminal_the_same_keys_by_hand_are_commands(terminal):
    terminal.read(0.5)
    paced(terminal, "D", 0.12, 0.2)
    terminal.until("has no dose sheet")
    paced(terminal, "2", 0.12, 0.2)
    terminal.until("› 2▏")
