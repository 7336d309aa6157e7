"""A large household: 5,000 lots × 60 weigh-ins and a million readings open, and a long day passes.

    long_limits.py [LOTS [READINGS [HOURS]]]      5000 1000000 24 unless told otherwise

Prints how long the shell and the first screen take on that file, and the memory of a dashboard
through a day of use at a quarter of a million times the speed: looks every minute, weigh-ins,
undo, pages opened and left. Flat means: from the second hour on it grows by less than 10 %.
"""

import asyncio
import gc
import os
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta

from curedash.domain.records import Reading
from curedash.services.file.demo import build_demo
from curedash.services.find import require_lot
from curedash.services.places import places
from curedash.services.weighing.weigh import preview, weigh
from curedash.store.open import open_db
from tests.bench import large_household
from tests.endurance.household import NOW, by

GROWTH = 1.10


def build(path: str, lots: int, readings: int) -> dict[str, float]:
    """The file, and how long it took [s]."""
    start = time.monotonic()
    large_household.build(path, NOW, lots, 60)
    built = time.monotonic()
    with closing(open_db(path)) as conn:
        place = places.require_place(conn, "Cellar")
        first = int((NOW - timedelta(minutes=readings)).timestamp())
        for at in range(0, readings, 50_000):
            rows = [
                Reading(first + 60 * n, 12 + (n % 60) / 60, 75 + (n % 20) / 10)
                for n in range(at, min(at + 50_000, readings))
            ]
            places.log_air(conn, place, rows)
    return {
        "build_s": built - start,
        "readings_s": time.monotonic() - built,
        "size_mb": os.path.getsize(path) / 1e6,
    }


def shell(path: str, *words: str) -> float:
    """Seconds of one command, as a process of its own."""
    run = [sys.executable, "-m", "curedash", "--db", path, "--now", NOW.isoformat(), *words]
    start = time.monotonic()
    done = subprocess.run(run, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1, 2), done.stderr
    return time.monotonic() - start


async def first_screen(path: str) -> dict[str, float]:
    """Seconds until the Rack stands, and from a key to its echo; the memory then."""
    from curedash.tui.app import Dashboard
    from curedash.tui.chassis.state import DashboardState

    start = time.monotonic()
    house = DashboardState(path, lambda: NOW)
    app = Dashboard(house)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        stands = time.monotonic() - start
        start = time.monotonic()
        await pilot.press("down")
        key = time.monotonic() - start
        memory = memory_mb()
    house.close()
    return {"rack_s": stands, "key_s": key, "memory_mb": memory}


class Clock:
    """A clock that somebody turns."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now


async def a_day(path: str, hours: int) -> list[float]:
    """Use the dashboard through a day; its memory at the end of each hour [MB]."""
    from curedash.tui.app import Dashboard
    from curedash.tui.chassis.state import DashboardState

    clock = Clock(NOW)
    house = DashboardState(path, clock)
    app = Dashboard(house)
    app._look_again = lambda: None  # looks are taken here, a minute apart
    memory = []
    async with app.run_test(size=(80, 24)) as pilot:
        for hour in range(hours):
            for minute in range(60):
                clock.now = NOW + timedelta(hours=hour, minutes=minute)
                app._look()
                app.screen.minute_passed()  # type: ignore[attr-defined]
                if minute % 5 == 0:
                    elsewhere(path, clock.now, hour * 60 + minute)
                if minute % 10 == 0:
                    await pilot.press(*"1", "escape", "a", "q", "question_mark", "q", "down")
                await pilot.pause(0)
            gc.collect()
            memory.append(memory_mb())
    house.close()
    return memory


def elsewhere(path: str, now: datetime, step: int) -> None:
    """Another program weighs and measures."""
    with closing(open_db(path)) as conn:
        lot = require_lot(conn, ("D1", "D2", "F1", "F2")[step // 5 % 4])
        grams = (lot.last_gross_g or lot.green_g) - 0.1
        seen = preview(lot, f"{grams:.1f} g", now, UTC)
        weigh(conn, by(now, "elsewhere"), lot.id, seen, keep_doubtful=True)
        place = places.require_place(conn, "Cellar")
        places.log_air(conn, place, [Reading(int(now.timestamp()), 12.0, 75.0)])


def memory_mb() -> float:
    """What this process holds [MB]."""
    with open("/proc/self/statm") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def flat(memory: list[float]) -> bool:
    """From the second hour on it hardly grows."""
    return max(memory[1:]) <= GROWTH * memory[1] if len(memory) > 1 else True


def main() -> int:
    """Print the figures; 1 if the file does not open or the memory grows."""
    lots, readings, hours = (
        int(sys.argv[n]) if len(sys.argv) > n else usual
        for n, usual in ((1, 5000), (2, 1_000_000), (3, 24))
    )
    with tempfile.TemporaryDirectory() as folder:
        small = f"{folder}/day.db"  # first, while nothing large has been in this process
        build_demo(small, NOW)
        memory = asyncio.run(a_day(small, hours))
        print("limits: memory over a day [MB]: " + " ".join(f"{value:.1f}" for value in memory))
        path = f"{folder}/large.db"
        figures = build(path, lots, readings)
        for words in (
            ("lots", "--json"),
            ("check", "--json"),
            ("weigh", "D1", "1 kg", "--yes"),
            ("doctor",),
            ("history",),
            ("backup",),
        ):
            figures["_".join(words[:1]) + "_s"] = shell(path, *words)
        figures |= asyncio.run(first_screen(path))
        print(
            f"limits: {lots} lots × 60, {readings} readings: "
            + ", ".join(f"{name} {value:.2f}" for name, value in figures.items())
        )
    return int(not flat(memory))


if __name__ == "__main__":
    sys.exit(main())
