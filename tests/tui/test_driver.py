"""The key thread that sleeps until a key comes."""

import selectors
import threading
import time

import pytest

from curedash.tui.driver import EscFirst, Waking


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
    return [(key.key, key.character) for key in keys]


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
    [("\x1b[A", "up"), ("\x1bOP", "f1"), ("\x1b[21~", "f10"), ("\x1b[Z", "shift+tab"),
     ("\x1b\x7f", "ctrl+w")],
)  # fmt: skip
def test_longer_keys_stay_what_they_are(sent, key) -> None:
    assert [name for name, _ in keys_of(*sent)] == [key]
