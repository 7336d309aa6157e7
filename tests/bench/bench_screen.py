"""The dashboard in a real pty against a bare Textual table of the same size, in one run."""

import os
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.dirname(__file__))
from figures import Figure, most, ratio, tell
from terminal import Terminal

RUNS = 10
HERE = os.path.dirname(os.path.abspath(__file__))
CUREDASH = os.path.join(os.path.dirname(sys.executable), "curedash")


def rack(file: str) -> Terminal:
    """The dashboard on a file."""
    return Terminal([CUREDASH, "--db", file])


def floor(lots: int) -> Terminal:
    """The bare table."""
    return Terminal([sys.executable, os.path.join(HERE, "floor_app.py"), str(lots)])


def rack_stands(terminal: Terminal) -> bool:
    """The Rack with its foot is painted."""
    return "RACK" in terminal.screen.display[0] and "keys" in terminal.screen.display[-1]


def floor_stands(terminal: Terminal) -> bool:
    """The bare table is painted to its last visible row."""
    return "drying" in terminal.screen.display[-1] or "drying" in terminal.screen.display[-2]


def starts(file: str, lots: int) -> tuple[list[float], list[float], list[float], list[float]]:
    """Start times and memory of ours and of the floor, in turn."""
    ours, bare, ours_mib, bare_mib = [], [], [], []
    for _ in range(RUNS):
        for make, seen, times, sizes in (
            (lambda: rack(file), rack_stands, ours, ours_mib),
            (lambda: floor(lots), floor_stands, bare, bare_mib),
        ):
            terminal = make()
            times.append(terminal.until(seen))
            sizes.append(terminal.resident_mib())
            terminal.settle()
            terminal.close()
    return ours, bare, ours_mib, bare_mib


def keys(file: str) -> list[Figure]:
    """Latency and bytes of keys on the Rack, and of the same keys on the floor."""
    ours, bare = rack(file), floor(50)
    ours.until(rack_stands)
    bare.until(floor_stands)
    ours.settle()
    bare.settle()
    moved, moved_bytes, bare_moved = [], [], []
    for n in range(3 * RUNS):
        key = "\x1b[B" if n % 10 < 5 else "\x1b[A"
        ms, size = ours.press(key)
        moved.append(ms)
        moved_bytes.append(float(size))
        bare_moved.append(bare.press(key)[0])
    _, opened = ours.press("7")
    typed = [ours.press(digit)[0] for digit in "83"]
    ours.press("\x1b")
    time.sleep(0.3)
    ours.settle()
    found = [
        ratio("cursor key → painted", moved, bare_moved, 1.2),
        most("cursor key → painted", moved, "ms", 40.0),
        most("digit in the weigh-in line → painted", typed, "ms", 40.0),
        most("bytes for a cursor move", moved_bytes, "B", 900),
        Figure("bytes for opening the weigh-in line", opened, "B", 2000),
    ]
    ours.close()
    bare.close()
    return found


LOT, LAST_G = "D2", 708  # a drying lot of the demo and what the scale showed last


def saving(file: str) -> list[Figure]:
    """A weigh-in from Enter to the row painted anew, and its bytes."""
    terminal = rack(file)
    terminal.until(rack_stands)
    terminal.settle()
    times, sizes = [], []
    for n in range(RUNS):
        goto(terminal, LOT)
        for digit in str(LAST_G - 1 - n):
            terminal.press(digit)
        ms, size = terminal.press("\r")
        if "keep" in terminal.screen.display[-1]:
            ms, size = terminal.press("k")
        times.append(ms)
        sizes.append(float(size))
        terminal.settle(0.5)
    terminal.close()
    return [most("Enter → saved and painted", times, "ms", 25.0),
            most("bytes of a saved weigh-in", sizes, "B", None)]  # fmt: skip


def goto(terminal: Terminal, code: str) -> None:
    """Put the cursor on a lot's row: home, then down to it."""
    terminal.press("\x1b[H")
    rows = [line[2:6].strip() for line in terminal.screen.display[2:]]
    for _ in range(rows.index(code)):
        terminal.press("\x1b[B")


def elsewhere(file: str) -> list[Figure]:
    """Another process weighs: seconds until the screen shows it, and the bytes that took."""
    terminal = rack(file)
    terminal.until(rack_stands)
    terminal.settle()
    waits, sizes = [], []
    for n in range(5):
        terminal.settle(1.2)
        before = terminal.received
        weight = f"{LAST_G - 12 - n} g"
        subprocess.run([CUREDASH, "--db", file, "weigh", LOT, weight, "--yes"],
                       stdout=subprocess.DEVNULL, check=True)  # fmt: skip
        start = time.perf_counter()
        while terminal.received == before and time.perf_counter() - start < 5:
            terminal.read(0.02)
        waits.append(time.perf_counter() - start)
        terminal.settle(1.2)
        sizes.append(float(terminal.received - before))
    terminal.close()
    return [most("another process writes → seen", waits, "s", 2.0),
            most("bytes for a row changed by another process", sizes, "B", 700)]  # fmt: skip


def idle(file: str, seconds: float = 60.0) -> list[Figure]:
    """Bytes and processor time of a minute in which nothing happens."""
    terminal = rack(file)
    terminal.until(rack_stands)
    terminal.settle(2.0)
    before, cpu = terminal.received, terminal.cpu_s()
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        terminal.read(0.5)
    used = 100 * (terminal.cpu_s() - cpu) / seconds
    sent = terminal.received - before
    terminal.close()
    return [Figure("idle: bytes in a minute", sent, "B", 0),
            Figure("idle: processor", used, "%", 0.2)]  # fmt: skip


def main() -> int:
    """Measure everything; ``--quick`` leaves the idle minute out."""
    figures: list[Figure] = []
    with tempfile.TemporaryDirectory() as folder:
        files = {}
        for lots in (50, 1000):
            files[lots] = os.path.join(folder, f"{lots}.db")
            size = ["--lots", str(lots), "--weigh-ins", "60" if lots == 50 else "5"]
            subprocess.run([CUREDASH, "demo", "--build", files[lots], *size], check=True)
        for lots, bar in ((50, 1.25), (1000, 1.4)):
            ours, bare, ours_mib, bare_mib = starts(files[lots], lots)
            figures.append(ratio(f"start → first full Rack, {lots} lots", ours, bare, bar))
            if lots == 50:
                figures.append(
                    ratio("resident memory after the first frame", ours_mib, bare_mib, 1.3)
                )
        figures += keys(files[50])
        figures += saving(files[50])
        figures += elsewhere(files[50])
        if "--quick" not in sys.argv:
            figures += idle(files[50])
    return tell(figures)


if __name__ == "__main__":
    sys.exit(main())
