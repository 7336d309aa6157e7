"""Wait until a dashboard under test has nothing left to do, and no longer.

The screen library asks the processor: after each key it sleeps twice for a fiftieth of a second and
looks whether anything was computed. What it waits for can be asked for itself: callbacks that are
ready, timers that are about to end, and the jobs of the writer.
"""

import asyncio
from time import monotonic
from typing import Any

import pytest
import textual.app
import textual.pilot
import textual.screen

from curedash.tui.chassis.writer import Writer

SOON_S = 0.06  # a timer that ends within it is waited for: the Rack reads anew after 0.05 s
PAINTED_EVERY_S = (
    0.001  # not sixty times a second: what changed is drawn as soon as it is asked for
)
LONGEST_S = 1.0  # as the library has it
_writers: list[Writer] = []


def works(writer: Writer) -> bool:
    """Whether a writer has a job, or will take one that is queued."""
    jobs: Any = writer._jobs
    return writer._thread.is_alive() and not (jobs.empty() and jobs.not_empty._waiters)


async def until_quiet(*_given: float) -> None:
    """Return as soon as nothing is ready, nothing is about to be, and nothing is being written."""
    loop: Any = asyncio.get_running_loop()
    passes, end = 0, monotonic() + LONGEST_S
    while monotonic() < end and passes < 2:
        await asyncio.sleep(0)
        passes += 1
        if loop._ready:
            passes = 0
        elif any(works(writer) for writer in _writers):
            passes = 0
            await asyncio.sleep(0.001)
        elif (wait_s := next_timer_s(loop)) is not None:
            passes = 0
            await asyncio.sleep(wait_s)


def next_timer_s(loop: Any) -> float | None:
    """How long until the first timer that is about to end; None without one."""
    now = loop.time()
    ends = [each.when() - now for each in loop._scheduled if not each.cancelled()]
    soon = [wait_s for wait_s in ends if wait_s <= SOON_S]
    return max(0.0, min(soon)) if soon else None


@pytest.fixture(autouse=True)
def quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the library's pilot wait for what is left to do, not for an idle processor."""
    start = Writer.start

    def started(writer: Writer) -> None:
        _writers.append(writer)
        start(writer)

    _writers.clear()
    monkeypatch.setattr(Writer, "start", started)
    for module in (textual.app, textual.pilot):
        monkeypatch.setattr(module, "wait_for_idle", until_quiet)
    monkeypatch.setattr(textual.screen, "UPDATE_PERIOD", PAINTED_EVERY_S)
