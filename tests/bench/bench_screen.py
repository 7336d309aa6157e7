"""The dashboard in a real pty against a bare Textual table of the same size, in one run."""

import os
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime

sys.path.insert(0, os.path.dirname(__file__))
from bench_rack import fill
from figures import Figure, most, ratio, tell
from large_household import build_apart
from terminal import Terminal

from curedash.store.open import open_db

RUNS = 10
HERE = os.path.dirname(os.path.abspath(__file__))
CUREDASH = os.path.join(os.path.dirname(sys.executable), "curedash")
LOT, LAST_G = "D2", 708  # a drying lot of the demo and about what the scale showed last
FIRST_ROW = 2  # line of the first lot on the screen
LINE_B_PER_S = 12_000  # a slow radio or phone line


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


def started(terminal: Terminal, stands: Callable[[Terminal], bool] = rack_stands) -> Terminal:
    """Wait until it stands and has been quiet for longer than its own looks take."""
    terminal.until(stands, 60)
    terminal.settle(0.5)
    terminal.settle(2.5)
    return terminal


# ── start and memory ──────────────────────────────────────────────────────────────────────


def starts(file: str, lots: int, runs: int) -> tuple[list[float], ...]:
    """Start times and memory of ours and of the floor, in turn."""
    ours, bare, ours_mib, bare_mib = [], [], [], []
    for _ in range(runs):
        for make, seen, times, sizes in (
            (lambda: rack(file), rack_stands, ours, ours_mib),
            (lambda: floor(lots), floor_stands, bare, bare_mib),
        ):
            terminal = make()
            times.append(terminal.until(seen, 60))
            sizes.append(terminal.resident_mib())
            terminal.settle()
            terminal.close()
    return ours, bare, ours_mib, bare_mib


# ── keys ──────────────────────────────────────────────────────────────────────────────────


def keys(file: str) -> list[Figure]:
    """Latency and bytes of keys on the Rack, and of the same keys on the floor."""
    ours, bare = started(rack(file)), started(floor(50), floor_stands)
    moved, moved_bytes, bare_moved, typed, opened = [], [], [], [], []
    for n in range(4 * RUNS):
        key = "\x1b[B" if n % 10 < 5 else "\x1b[A"
        ms, size = ours.press(key)
        moved.append(ms)
        moved_bytes.append(float(size))
        bare_moved.append(bare.press(key)[0])
    for _ in range(RUNS):
        opened.append(float(ours.press("7")[1]))
        typed += [ours.press(digit)[0] for digit in "83"]
        ours.press("\x1b")
        ours.settle(0.3)
    bare.close()
    found = [
        ratio("cursor key → painted", moved, bare_moved, 1.2),
        most("cursor key → painted, p95 ≤ 40 ms", moved, "ms", 40.0, worst=True),
        ratio("digit in the weigh-in line → painted", typed, bare_moved, 1.2),
        most("digit → painted, p95 ≤ 40 ms", typed, "ms", 40.0, worst=True),
        most("bytes: cursor move", moved_bytes, "B", 900),
        most("bytes: opening the weigh-in line", opened, "B", 2000),
        *pages(ours),
    ]
    ours.close()
    return found


def pane(file: str) -> Figure:
    """Bytes of a cursor move with the marked lot beside the list."""
    ours = started(Terminal([CUREDASH, "--db", file], 160, 45))
    moved = [float(ours.press("\x1b[B" if n < RUNS else "\x1b[A")[1]) for n in range(2 * RUNS)]
    ours.close()
    return most("bytes: cursor move at 160 × 45, with its pane", moved, "B", 3000, worst=True)


def lot_pages(file: str, columns: int, lines: int, bar: float) -> Figure:
    """Bytes of opening the page of a lot, each of the first ten rows."""
    ours, opened = started(Terminal([CUREDASH, "--db", file], columns, lines)), []
    for _ in range(RUNS):
        opened.append(float(ours.press("\r", 0.5)[1]))
        ours.press("q", 0.5)
        ours.press("\x1b[B", 0.3)
    ours.close()
    return most(f"bytes: opening a lot at {columns} × {lines}", opened, "B", bar, worst=True)


def pages(ours: Terminal) -> list[Figure]:
    """Bytes of painting everything anew and of the form of a new batch."""
    ours.settle(1.0)
    painted, wider = [], []
    for _ in range(5):
        ours.press("?", 0.5)
        painted.append(float(ours.press("q", 0.5)[1]))
    for columns in (99, 100):
        before = ours.received
        ours.resize(columns, 30)
        ours.settle(0.5)
        wider.append(float(ours.received - before))
    _, form = ours.press("n", 0.8)
    found = [
        most("bytes: full repaint, coming back to the Rack", painted, "B", 10_000, worst=True),
        most("bytes: another width of the window", wider, "B", None),
        Figure("bytes: opening the New batch form", form, "B", 15_000),
    ]
    if "batch" not in ours.text().lower():
        found[-1].note = "the form did not open"
    return found


# ── saving ────────────────────────────────────────────────────────────────────────────────


def drying_rows(terminal: Terminal) -> list[tuple[int, str]]:
    """Line and code of each lot in sight that hangs: drying, or at its target and not pulled."""
    found = []
    for line, text in enumerate(terminal.screen.display):
        code = text[3:].partition(" ")[0]
        if re.search(r"drying|ready|over \d", text) and re.fullmatch(r"[A-Z]+\d+", code):
            found.append((line, code))
    return found


def typed_weight(terminal: Terminal, line: int) -> bool:
    """On this line of the Rack, type a weight as it is expected; False where none is."""
    terminal.press("\x1b[H")
    for _ in range(line - FIRST_ROW):
        terminal.press("\x1b[B")
    terminal.press("w")
    expected = re.search(r"expect (\d+)–(\d+) g", terminal.text())
    if expected is None:
        terminal.press("\x1b")
        terminal.settle(0.3)
        return False
    for digit in str((int(expected[1]) + int(expected[2])) // 2):
        terminal.press(digit)
    return True


def saving(file: str) -> list[Figure]:
    """A weigh-in from Enter until its row is painted anew (on disk by then), and its bytes."""
    terminal = started(rack(file))
    times, sizes = [], []
    for line, _ in drying_rows(terminal):
        if len(times) < RUNS and typed_weight(terminal, line):
            ms, size = saved(terminal, line)
            times += [ms] if ms else []
            sizes.append(float(size))
    terminal.close()
    return [
        most("Enter → on disk and row repainted", times, "ms", 25.0),
        most("bytes: a saved weigh-in: row, foot, later its window", sizes, "B", None),
    ]


def saved(terminal: Terminal, line: int) -> tuple[float, int]:
    """Save what is typed: ms until the row differs (0: it never did), bytes until all is quiet."""
    old, before = terminal.screen.display[line], terminal.received
    start, ms = time.perf_counter(), 0.0
    terminal.send("\r")
    while not ms and time.perf_counter() - start < 3.0:
        terminal.read(0.5)
        if terminal.screen.display[line] != old:
            ms = (time.perf_counter() - start) * 1000
    terminal.settle(0.6)
    return ms, terminal.received - before


def syncs(file: str) -> list[Figure]:
    """How often the kernel is asked to put the file on the disk until a weigh-in is painted."""
    tracer = shutil.which("strace")
    name = "fdatasync for one weigh-in, once the log exists"
    if tracer is None:
        return [Figure(name, float("nan"), "", None, note="not counted: strace is not installed")]
    terminal, counts = started(rack(file)), []
    lines = [line for line, _ in drying_rows(terminal)]
    while lines and not typed_weight(terminal, lines.pop()):
        pass
    saved(terminal, FIRST_ROW)  # the first commit after opening makes the log
    with tempfile.NamedTemporaryFile("r") as log:
        words = [tracer, "-f", "-qq", "-e", "trace=fdatasync,fsync", "-o", log.name]
        watch = subprocess.Popen([*words, "-p", str(terminal.pid)], stderr=subprocess.DEVNULL)
        time.sleep(1.0)
        while lines and len(counts) < 3:
            line = lines.pop()
            if typed_weight(terminal, line):
                counts.append(synced(terminal, line, log.name))
        watch.terminate()
        watch.wait()
    terminal.close()
    return [most(name, counts, "", 1.0, note="its pull window is another commit, later")]


def synced(terminal: Terminal, line: int, log: str) -> float:
    """Save what is typed; the syncs logged by the time its row is painted."""
    terminal.settle(1.0)
    size, old = os.path.getsize(log), terminal.screen.display[line]
    terminal.send("\r")
    end = time.perf_counter() + 5
    while terminal.screen.display[line] == old and time.perf_counter() < end:
        terminal.read(0.01)
    with open(log, encoding="utf-8") as lines:
        lines.seek(size)
        count = sum("sync(" in text for text in lines)
    terminal.settle(1.0)
    return float(count)


# ── somebody else writes ──────────────────────────────────────────────────────────────────


def elsewhere(file: str) -> list[Figure]:
    """Another process weighs: seconds until the screen shows it, and the bytes that took."""
    terminal = started(rack(file))
    waits, sizes = [], []
    for n in range(5):
        terminal.settle(1.2)
        before = terminal.received
        weight = f"{LAST_G - 12 - n} g"
        subprocess.run(
            [CUREDASH, "--db", file, "weigh", LOT, weight, "--yes"],
            stdout=subprocess.DEVNULL,
            check=True,
        )
        start = time.perf_counter()
        while terminal.received == before and time.perf_counter() - start < 5:
            terminal.read(0.02)
        waits.append(time.perf_counter() - start)
        terminal.settle(1.2)
        sizes.append(float(terminal.received - before))
    terminal.close()
    return [
        most("another process writes → seen", waits, "s", 2.0, worst=True),
        most("bytes: one row changed", sizes, "B", 700),
    ]


def slow_line(file: str) -> list[Figure]:
    """Twenty lots weighed by another process, read at 12 kB/s: seconds until all has come."""
    terminal = started(rack(file))
    codes = [code for _, code in drying_rows(terminal)][:20]
    writer = subprocess.Popen([sys.executable, os.path.join(HERE, "weigh_many.py"), file, *codes])
    before, last, ended = terminal.received, 0.0, 0.0
    end = time.perf_counter() + 30
    while time.perf_counter() < end:
        if terminal.read(0.02, most_bytes=LINE_B_PER_S // 50) > 0:
            last = time.perf_counter()
        if not ended and writer.poll() is not None:
            ended = time.perf_counter()
        if ended and time.perf_counter() - max(last, ended) > 1.5:
            break
        time.sleep(0.02)
    sent = terminal.received - before
    terminal.close()
    note = f"{len(codes)} rows, {sent} B"
    drained = Figure("20 updates over 12 kB/s → drained", last - ended, "s", 2.0, note=note)
    if len(codes) < 20:
        drained.note += ", fewer than 20 rows in sight"
    return [drained]


def idle(file: str, seconds: float) -> list[Figure]:
    """Bytes and processor time of a while in which nothing happens, ours beside the floor."""
    ours, bare = started(rack(file)), started(floor(50), floor_stands)
    ours.settle(3.0)
    before, cpu, bare_cpu = ours.received, ours.cpu_s(), bare.cpu_s()
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        ours.read(0.5)
    used, bare_used = (
        100 * (now - was) / seconds for now, was in ((ours.cpu_s(), cpu), (bare.cpu_s(), bare_cpu))
    )
    sent = ours.received - before
    ours.close()
    bare.close()
    return [
        Figure(f"idle {seconds:.0f} s: bytes", sent, "B", 0),
        Figure(
            f"idle {seconds:.0f} s: processor",
            used,
            "%",
            0.2,
            note=f"the bare app: {bare_used:.2f} %",
        ),
    ]


# ── readings ──────────────────────────────────────────────────────────────────────────────


def places(folder: str, file: str, most_readings: int) -> list[Figure]:
    """The key that opens Places until the page is painted, with few readings and with very many."""
    terminals = []
    for count in (1000, most_readings):
        name = os.path.join(folder, f"places{count}.db")
        with sqlite3.connect(file) as source, sqlite3.connect(name) as copy:
            source.backup(copy)
        conn = open_db(name)
        fill(conn, count, datetime.now(UTC))
        conn.close()
        terminals.append(started(rack(name)))
    times: list[list[float]] = [[], []]
    for _ in range(RUNS + 1):
        for terminal, found in zip(terminals, times, strict=True):
            start = time.perf_counter()
            terminal.send("p")
            stood = terminal.until(lambda seen: "PLACES" in seen.screen.display[0])
            found.append((stood - (start - terminal.spawned)) * 1000)
            terminal.settle(0.3)
            terminal.press("q", 0.3)
    for terminal in terminals:
        terminal.close()
    few, many = (found[1:] for found in times)  # the first loads the page's modules
    return [
        ratio(f"{most_readings:,} readings to 1,000, key → Places painted", many, few, 1.2),
        most("key → Places painted", many, "ms", None),
    ]


# ── all of it ─────────────────────────────────────────────────────────────────────────────

LOT_PAGES = (((80, 24), 6000), ((120, 36), 6000), ((160, 45), 8000))
SIZES = ((50, 60, 1.25, RUNS), (1000, 60, 1.4, RUNS), (5000, 60, 2.0, 3))


def measure(folder: str, *, quick: bool = False) -> list[Figure]:
    """Every figure of the screen; quick: without 5,000 lots and with a short idle time."""
    figures: list[Figure] = []
    files: dict[int, str] = {}
    for lots, weigh_ins, bar, runs in SIZES[: 2 if quick else 3]:
        files[lots] = os.path.join(folder, f"screen{lots}.db")
        build_apart(files[lots], lots, weigh_ins)
        if lots > 50:  # windows of an earlier day would be computed meanwhile
            started(rack(files[lots])).close()
        ours, bare, ours_mib, bare_mib = starts(files[lots], lots, 5 if quick else runs)
        figures.append(ratio(f"start → first full Rack, {lots} lots", ours, bare, bar))
        if lots == 50:
            figures.append(ratio("resident memory after the first frame", ours_mib, bare_mib, 1.3))
    figures.append(pane(files[50]))
    figures += [lot_pages(files[50], *size, bar) for size, bar in LOT_PAGES]
    for part in (keys, saving, syncs, elsewhere, slow_line):
        figures += part(files[50])
    figures += places(folder, files[50], 100_000 if quick else 1_000_000)
    return figures + idle(files[50], 10.0 if quick else 60.0)


def main() -> int:
    """Measure and tell."""
    with tempfile.TemporaryDirectory() as folder:
        return tell(measure(folder, quick="--quick" in sys.argv))


if __name__ == "__main__":
    sys.exit(main())
