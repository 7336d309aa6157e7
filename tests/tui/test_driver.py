"""The key thread that sleeps until a key comes."""

import selectors
import threading
import time

from curedash.tui.driver import Waking


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
