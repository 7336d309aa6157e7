"""The key thread that sleeps until a key comes."""

import selectors
import threading
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual import events
from textual.message import Message

from curedash.tui.chassis.driver import MOST_PASTED, EscFirst, Typed, Waking


def waits(waking: Waking, limit_s: float = 5.0) -> float:
    """Seconds until somebody waiting beside it is woken."""
    with selectors.SelectSelector() as selector:
        selector.register(waking.read_end, selectors.EVENT_READ)
        start = time.monotonic()
        selector.select(limit_s)
        return time.monotonic() - start


def test_whoever_waits_is_woken_when_the_screen_is_left() -> None:
    waking = Waking()
    threading.Timer(0.05, waking.set).start()
    assert waits(waking) < 2.0
    assert waking.is_set()


def test_after_coming_back_it_waits_again() -> None:
    waking = Waking()
    for _ in range(3):
        waking.set()
        waking.set()  # a second time says nothing new
        assert waits(waking) < 1.0
        waking.clear()
        assert not waking.is_set()
        assert waits(waking, 0.05) >= 0.04


def keys_of(*reads: str, wait_s: float = 0.0) -> list[tuple[str, str | None]]:
    """The keys that come of what a terminal sent, read by read."""
    parser, keys = EscFirst(), []
    for read in reads:
        keys += list(parser.feed(read))
        keys += list(parser.tick())
    time.sleep(wait_s)
    keys += list(parser.tick())
    return [(key.key, key.character) for key in keys]  # type: ignore[attr-defined]


@pytest.mark.parametrize("reads", [("\x1bq",), ("\x1b", "q"), ("\x1bq\x1b",)])
def test_a_letter_soon_after_esc_is_esc_and_then_the_letter(reads) -> None:
    left = [("escape", "\x1b")] if reads[-1].endswith("q\x1b") else []
    assert keys_of(*reads, wait_s=0.15) == [("escape", "\x1b"), ("q", "q"), *left]


@pytest.mark.parametrize(
    ("char", "key"), [("1", "1"), ("f", "f"), ("A", "A"), ("?", "question_mark"), ("\r", "enter")]
)
def test_digits_signs_and_enter_too(char, key) -> None:
    assert keys_of("\x1b" + char) == [("escape", "\x1b"), (key, char)]


@pytest.mark.parametrize("char", "[O")
def test_what_could_have_begun_an_arrow_waits_and_then_counts_as_typed(char) -> None:
    key = {"[": "left_square_bracket"}.get(char, char)
    assert keys_of("\x1b" + char, wait_s=0.15) == [("escape", "\x1b"), (key, char)]


@pytest.mark.parametrize(
    ("sent", "key"),
    [
        ("\x1b[A", "up"),
        ("\x1bOP", "f1"),
        ("\x1b[21~", "f10"),
        ("\x1b[Z", "shift+tab"),
        ("\x1b\x7f", "ctrl+w"),
    ],
)
def test_longer_keys_stay_what_they_are(sent, key) -> None:
    assert [name for name, _ in keys_of(*sent)] == [key]


def came_of(*reads: bytes, wait_s: float = 0.0) -> list[object]:
    """What the program is given for these bytes: names of keys, and pastes as their text."""
    typed, came = Typed(), []
    for read in reads:
        came += list(typed.feed(read))
        came += list(typed.tick())
    time.sleep(wait_s)
    came += list(typed.tick())
    time.sleep(wait_s)
    came += list(typed.tick())
    return [
        e.key if isinstance(e, events.Key) else (e.text,)
        for e in came
        if isinstance(e, (events.Key, events.Paste))
    ]


@pytest.mark.parametrize("byte", [b"\xe9", b"\xff", b"\xc3", b"\x80"])
def test_bytes_that_are_no_text_are_one_sign_and_the_keys_go_on(byte) -> None:
    typed = Typed()
    keys = [event.character for event in typed.feed(b"1" + byte + b"2")]  # type: ignore[attr-defined]
    assert keys == ["1", "�", "2"]
    assert typed.was_no_text


def test_utf_8_in_two_reads_is_text() -> None:
    assert came_of(b"\xc3", b"\xa4") == ["ä"]
    assert not Typed().was_no_text


@pytest.mark.parametrize("cut", range(1, 25))
def test_a_paste_in_two_reads_cut_anywhere(cut) -> None:
    sent = b"\x1b[200~780 g\x1b[201~\x1b[Aq"
    assert came_of(sent[:cut], sent[cut:], wait_s=0.12) == [("780 g",), "up", "q"]


def test_a_paste_without_end_ends_by_itself(monkeypatch) -> None:
    monkeypatch.setattr("curedash.tui.chassis.driver.PASTE_ENDS_AFTER_S", 0.05)
    assert came_of(b"\x1b[200~78", wait_s=0.1) == [("78",)]


def test_a_megabyte_pasted_is_cut_and_takes_no_time() -> None:
    start = time.monotonic()
    data = b"\x1b[200~" + b"x" * 1_000_000 + b"\x1b[201~q"
    pasted, *rest = came_of(*(data[n : n + 4096] for n in range(0, len(data), 4096)))
    assert pasted == ("x" * MOST_PASTED,)
    assert rest == ["q"]
    assert time.monotonic() - start < 2.0


def test_a_flood_without_the_marks_of_a_paste_is_one_all_the_same() -> None:
    assert came_of(b"1" * 4096) == [("1" * 4096,)]


def test_a_sequence_without_end_types_nothing() -> None:
    start = time.monotonic()
    data = b"\x1b[" + b"1;" * 50_000 + b"mq"
    assert came_of(*(data[n : n + 4096] for n in range(0, len(data), 4096)), wait_s=0.12) == ["q"]
    assert time.monotonic() - start < 2.0


@pytest.mark.parametrize(
    "sent", [b"\x1b]11;rgb:0000/0000/0000\x1b\\", b"\x1b]0;title\a", b"\x1bP>|xterm(388)\x1b\\"]
)
def test_an_answer_nobody_asked_for_types_nothing(sent) -> None:
    """ECMA-48, 5.6: a control string ends with ST; BEL as most terminals also take it."""
    assert came_of(sent + b"q") == ["q"]


@pytest.mark.parametrize(
    "sent",
    [
        b"\x1b[99999999999u",
        b"\x1b[4294967295;2u",
        b"\x1b[48;0;0;0;0t",
        b"\x1b[48;9999999;9999999;1;1t",
        b"\x1b[<99999999999999999999;1;1M",
        b"\x1b[1114112;1;1114112:9u",
    ],
)
def test_numbers_beyond_any_key_or_size_do_no_harm(sent) -> None:
    assert came_of(sent, b"q", wait_s=0.12)[-1] == "q"


@given(st.lists(st.binary(max_size=200), max_size=8))
@settings(max_examples=200)
def test_any_bytes_in_any_pieces_become_keys_or_pastes(reads) -> None:
    typed = Typed()
    for read in reads:
        for event in (*typed.feed(read), *typed.tick()):
            assert isinstance(event, Message)
