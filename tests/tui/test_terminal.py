"""In a real terminal: started, used, left; and the terminal that goes away."""

import errno
import os
import pty
import re
import select
import signal
import sqlite3
import struct
import subprocess
import sys
import termios
import threading
import time
from collections.abc import Callable
from fcntl import ioctl

import pyte
import pytest

from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Save, Text

COLUMNS, ROWS = 80, 24


class Terminal:
    """The program in a pseudo-terminal, its screen read back by a terminal emulator."""

    def __init__(self, path, *, size: tuple[int, int] = (COLUMNS, ROWS), **environ: str) -> None:
        columns, rows = size
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self.master, slave = pty.openpty()
        ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        words = [sys.executable, "-m", "curedash", "--db", str(path), "--now", "2026-11-25T09:00Z"]
        env = {**os.environ, "TERM": "xterm-256color", **environ}
        self.process = subprocess.Popen(
            words,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=env,
            start_new_session=True,
            preexec_fn=lambda: ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(slave)
        self.sent = bytearray()

    def read(self, seconds: float) -> bool:
        """Take what the program sends for a while; whether anything came."""
        end, before = time.monotonic() + seconds, len(self.sent)
        while (left := end - time.monotonic()) > 0:
            ready, _, _ = select.select([self.master], [], [], left)
            if not ready:
                continue
            try:
                data = os.read(self.master, 65536)
            except OSError as gone:
                if gone.errno == errno.EIO:
                    break
                raise
            if not data:
                break
            self.sent += data
            self._stream.feed(data)
        return len(self.sent) > before

    def until(self, words: str, seconds: float = 20.0) -> None:
        """Wait until these words are on the screen and nothing more of it comes."""
        self._wait(lambda: words in self.text(), words, seconds)

    def rack(self) -> None:
        """Wait until the Rack is drawn down to its foot, where the keys are drawn last."""
        self._wait(lambda: self.screen.display[-1].startswith("? keys"), "the Rack", 20.0)

    def windows(self) -> None:
        """Wait until the pull windows, computed after the start, are in their column."""
        self._wait(lambda: re.search(r"C1 .*\d (Nov|Dec)", self.text()), "a window", 20.0)
        self.quiet()

    def quiet(self, seconds: float = 0.3) -> int:
        """Take what comes until nothing came for so long; how many bytes."""
        before = len(self.sent)
        while self.read(seconds):
            pass
        return len(self.sent) - before

    def _wait(self, shown: Callable[[], object], what: str, seconds: float) -> None:
        end = time.monotonic() + seconds
        while self.read(0.1) or not shown():
            assert time.monotonic() < end, f"{what!r} never came:\n{self.text()}"

    def text(self) -> str:
        return "\n".join(self.screen.display)

    def type(self, keys: str) -> None:
        os.write(self.master, keys.encode())

    def click(self, x: int, y: int) -> None:
        """Press and let go of the left button on a cell, as a terminal says it (SGR)."""
        os.write(self.master, f"\x1b[<0;{x + 1};{y + 1}M\x1b[<0;{x + 1};{y + 1}m".encode())

    def wheel(self, x: int, y: int, *, down: bool) -> None:
        """Roll the wheel by one."""
        os.write(self.master, f"\x1b[<{65 if down else 64};{x + 1};{y + 1}M".encode())

    def ended(self, seconds: float) -> int:
        """Its exit code, within so many seconds."""
        end = time.monotonic() + seconds
        while self.process.poll() is None:
            assert time.monotonic() < end, "still running"
            self.read(0.05)
        return self.process.returncode

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        if self.master >= 0:
            os.close(self.master)
            self.master = -1


@pytest.fixture
def terminal(household):
    opened = []

    def start(**environ) -> Terminal:
        path = household()
        opened.append(Terminal(path, **environ))
        opened[-1].path = path  # type: ignore[attr-defined]
        return opened[-1]

    yield start
    for one in opened:
        one.close()


def newest(path) -> tuple:
    conn = sqlite3.connect(path)
    row = conn.execute("SELECT gross_g, voided_at FROM weigh_in ORDER BY id DESC LIMIT 1")
    found = row.fetchone()
    conn.close()
    return found


def test_esc_and_a_letter_typed_fast_leave_the_prompt_and_do_what_the_letter_does(terminal):
    seat = terminal()
    seat.rack()
    seat.type("/")
    seat.until("find ›")
    seat.type("\x1br")
    seat.until("ROUND")
    seat.type("q")
    seat.until("Round ended: nothing was weighed")
    seat.type("1181")
    seat.until("1181▏")
    seat.type("\x1bq")
    assert seat.ended(5) == 0
    assert newest(seat.path)[0] != 1181.0


def test_weigh_undo_and_leave(terminal):
    seat = terminal()
    seat.rack()
    assert re.search(r"C1 +Pork collar, thick end +22 of 30 % ", seat.text())
    seat.type("1181\r")
    seat.until("Saved C1: 1153 g net")
    assert newest(seat.path) == (1181.0, None)
    seat.type("u")
    seat.until("Undone")
    seat.type("q")
    assert seat.ended(5) == 0
    assert newest(seat.path)[1] is not None


def test_without_colour_no_colour_is_sent(terminal):
    seat = terminal(NO_COLOR="1")
    seat.rack()
    seat.type("j1181")
    seat.until("C2 thin end › 1181")
    assert b"38;2;" not in seat.sent
    assert b"48;2;" not in seat.sent
    assert b"\x1b[31" not in seat.sent


@pytest.mark.parametrize("term", ["linux", "screen"])
def test_few_colours_get_the_terminals_own(terminal, term):
    seat = terminal(TERM=term)
    seat.rack()
    assert b"38;2;" not in seat.sent


def test_a_terminal_that_goes_away_ends_the_program(terminal):
    seat = terminal()
    seat.rack()
    os.close(seat.master)
    seat.master = -1
    end = time.monotonic() + 5
    while seat.process.poll() is None and time.monotonic() < end:
        time.sleep(0.05)
    assert seat.process.poll() is not None
    assert sqlite3.connect(seat.path).execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_asked_to_end_it_gives_the_terminal_back(terminal):
    seat = terminal()
    seat.rack()
    seat.process.send_signal(signal.SIGTERM)
    assert seat.ended(5) == 143
    assert b"\x1b[?1049l" in seat.sent


MOUSE = [b"\x1b[?%d" % mode for mode in (9, 1000, 1001, 1002, 1003, 1005, 1006, 1015, 1016)]


def test_the_mouse_is_left_to_the_terminal(terminal):
    """Nothing is asked of it, and what it sends all the same does nothing."""
    seat = terminal()
    seat.rack()
    before = seat.text()
    seat.click(3, 5)
    seat.read(0.5)
    assert seat.text() == before
    seat.type("q")
    assert seat.ended(5) == 0
    assert not [mode for mode in MOUSE if mode in seat.sent]


@pytest.fixture
def with_mouse(tmp_path):
    """A view in which somebody chose the mouse."""
    folder = tmp_path / "config" / "curedash"
    folder.mkdir(parents=True)
    (folder / "view.toml").write_text('mouse = "on"\n', encoding="utf-8")
    return {"XDG_CONFIG_HOME": str(tmp_path / "config")}


def test_a_mouse_that_was_chosen_marks_opens_and_presses_keys(terminal, with_mouse):
    seat = terminal(**with_mouse)
    seat.rack()
    assert b"\x1b[?1000h" in seat.sent
    assert b"\x1b[?1006h" in seat.sent
    assert not [mode for mode in (b"?1002h", b"?1003h", b"?1016h") if mode in seat.sent]
    row = next(y for y, line in enumerate(seat.screen.display) if line[3:6].strip() == "C3")
    seat.click(30, row)
    seat.until("› C3")
    seat.click(30, row)
    seat.until(" LOG ")
    assert seat.screen.display[0].startswith("C3")
    back = seat.screen.display[-1].index("q back")
    seat.click(back + 3, ROWS - 1)
    seat.until("RACK")
    weigh = seat.screen.display[-1].index("w weigh")
    seat.click(weigh, ROWS - 1)
    seat.until("C3 middle ›")
    seat.click(30, row + 1)
    seat.read(0.4)
    assert "C3 middle ›" in seat.text(), "a click on a row never leaves what is typed"
    seat.click(seat.screen.display[-1].index("Esc"), ROWS - 1)
    seat.rack()
    seat.type("q")
    assert seat.ended(5) == 0
    assert b"\x1b[?1000l" in seat.sent
    assert b"\x1b[?1006l" in seat.sent


def test_the_wheel_scrolls_and_the_cursor_stays_in_sight(household, with_mouse):
    seat = Terminal(household(drying=60), **with_mouse)
    try:
        seat.rack()
        first = seat.screen.display[2]
        seat.wheel(40, 8, down=True)
        seat.read(0.5)
        assert seat.screen.display[2][3:6] != first[3:6]
        assert any(line[1:2] == "›" for line in seat.screen.display)
        for _ in range(3):
            seat.wheel(40, 8, down=False)
        seat.read(0.5)
        assert seat.screen.display[2][3:6] == first[3:6]
        seat.type("q")
        assert seat.ended(5) == 0
    finally:
        seat.close()


def test_the_mouse_is_taken_and_left_at_once_when_it_is_chosen(terminal, tmp_path):
    seat = terminal(XDG_CONFIG_HOME=str(tmp_path))
    seat.rack()
    seat.type("S")
    seat.until("SETTINGS")
    for _ in range(6):
        seat.type("j")
    seat.until("while on, hold Shift")
    seat.type("\r2\r")
    seat.until("on: click rows and keys")
    assert b"\x1b[?1000h" in seat.sent
    row = next(y for y, line in enumerate(seat.screen.display) if "time zone" in line)
    seat.click(10, row)
    seat.until("a zone like Europe/Vienna")
    seat.type("k" * 3 + "\r1\r")
    seat.until("off, left")
    assert b"\x1b[?1000l" in seat.sent


@pytest.mark.parametrize(("size", "most"), [((80, 24), 4500), ((120, 36), 6000), ((160, 45), 8000)])
def test_opening_a_lot_sends_at_most_six_thousand_bytes(terminal, size, most):
    """A lot with window, fan and log, one in the cure, one at its target; more on a wall screen."""
    seat = terminal(size=size)
    seat.rack()
    seat.windows()
    opened = []
    for _ in range(5):
        seat.quiet()
        before = len(seat.sent)
        seat.type("\r")
        seat.until(" LOG ")
        seat.quiet()
        opened.append(len(seat.sent) - before)
        seat.type("q")
        seat.until("RACK")
        seat.type("j")
    assert max(opened) <= most, opened
    assert min(opened) > 1000, "each was a page"


@pytest.mark.parametrize(("term", "erases"), [("xterm-256color", True), ("screen-256color", False)])
def test_blanks_are_erased_only_where_the_terminal_does_so_in_colour(terminal, term, erases):
    seat = terminal(TERM=term)
    seat.rack()
    assert (re.search(rb"\x1b\[\d+X", seat.sent) is not None) == erases
    assert "RACK" in seat.screen.display[0]


def test_what_changes_on_a_page_below_paints_nothing_on_the_page_on_top(terminal):
    """Five windows are computed while a lot is open: its own facts and curve change, once."""
    seat = terminal()
    seat.rack()
    seat.type("\r")
    seat.until(" LOG ")
    seat.read(0.3)
    before = len(seat.sent)
    seat.until("window  ")
    seat.read(2.0)
    assert len(seat.sent) - before <= 4000
    seat.type("q")
    seat.until("RACK")
    seat.windows()  # what changed below is painted now


def test_the_pane_follows_the_cursor_in_three_thousand_bytes(terminal):
    """160 × 45: curve and figures of the marked lot beside the list; down all rows and up again."""
    seat = terminal(size=(160, 45))
    seat.rack()
    seat.windows()
    moved = []
    for key in "j" * 8 + "k" * 8:
        seat.type(key)
        moved.append(seat.quiet(0.2))
    assert max(moved) <= 3000, moved
    assert min(moved) > 300, moved


def test_bytes_that_are_no_text_are_said_and_never_end_it(terminal):
    seat = terminal()
    seat.rack()
    os.write(seat.master, b"\xe9")
    seat.until("not UTF-8 text")
    seat.type("1181\r")
    seat.until("Saved C1: 1153 g net")
    seat.type("q")
    assert seat.ended(5) == 0


def test_a_long_sequence_and_a_pasted_megabyte_do_not_hold_the_keys_up(terminal):
    seat = terminal()
    seat.rack()
    writing = threading.Thread(
        target=lambda: [
            os.write(seat.master, b"\x1b[" + b"1;" * 50_000 + b"m"),
            os.write(seat.master, b"\x1b[200~" + b"x" * 1_000_000 + b"\x1b[201~"),
            os.write(seat.master, b"\x1b[201~" + b"y" * 100_000),
        ]
    )
    writing.start()
    while writing.is_alive():
        seat.read(0.05)
    seat.read(0.5)
    seat.type("1181\r")
    seat.until("Saved C1: 1153 g net", 15)
    seat.type("q")
    assert seat.ended(5) == 0


def run_without(path, words: str, **environ) -> subprocess.CompletedProcess:
    """The dashboard started by a shell that redirects something."""
    command = f"{sys.executable} -m curedash --db {path} {words}"
    env = {**os.environ, "TERM": "xterm", **environ}
    return subprocess.run(
        ["sh", "-c", command],
        env=env,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        timeout=20,
        check=False,
    )


@pytest.mark.parametrize("words", ["", "<&-", "</dev/null 2>/dev/null; echo $? >&2; exit 64"])
def test_without_a_terminal_it_is_a_sentence(household, words):
    done = run_without(household(), words)
    assert done.returncode == 64
    if "echo" in words:
        assert done.stderr.strip() == "64"
    else:
        assert "needs a terminal" in done.stderr
        assert "curedash lots" in done.stderr
        assert "Traceback" not in done.stderr


@pytest.mark.parametrize("term", ["dumb", ""])
def test_a_terminal_that_places_no_cursor_gets_a_sentence(terminal, term):
    seat = terminal(TERM=term)
    assert seat.ended(10) == 64
    assert "needs a terminal that can place its cursor" in seat.text()


def unsaved() -> str:
    """What was set aside in the person's own folder."""
    path = os.path.join(os.environ["XDG_STATE_HOME"], "curedash", "unsaved.txt")
    if not os.path.exists(path):
        return ""
    with open(path) as file:
        return file.read()


ENDINGS = {"SIGTERM": (signal.SIGTERM, 143), "SIGINT": (signal.SIGINT, 130), "Ctrl-C": (None, 130)}


@pytest.mark.parametrize("end", ENDINGS)
def test_ended_while_a_save_waits_for_another_program_the_weight_is_set_aside(terminal, end):
    seat = terminal()
    seat.rack()
    number, code = ENDINGS[end]
    other = sqlite3.connect(seat.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    seat.type("1181\r")
    seat.until("trying again")
    if number is None:
        seat.type("\x03")
    else:
        seat.process.send_signal(number)
    assert seat.ended(6) == code
    assert unsaved() == f"curedash weigh C1 1181 --at 2026-11-25T09:00:00Z --db {seat.path}\n"
    other.execute("ROLLBACK")
    other.close()
    line = unsaved().strip().replace("curedash", f"{sys.executable} -m curedash", 1)
    done = subprocess.run(line + " --yes --now 2026-11-25T09:00Z", shell=True, check=False)
    assert done.returncode == 0
    assert newest(seat.path) == (1181.0, None)


@pytest.mark.parametrize("end", ENDINGS)
def test_ended_while_half_typed_it_is_offered_at_the_next_start(terminal, end):
    seat = terminal()
    seat.rack()
    seat.type("118")
    seat.until("118▏")
    number, code = ENDINGS[end]
    if number is None:
        seat.type("\x03")
    else:
        seat.process.send_signal(number)
    assert seat.ended(6) == code
    with sqlite3.connect(seat.path) as conn:
        assert '"118"' in conn.execute("SELECT body FROM draft").fetchone()[0]
    conn.close()
    assert unsaved() == ""


def test_ended_while_a_note_waits_for_another_program_it_is_set_aside(terminal):
    seat = terminal()
    seat.rack()
    seat.type("\r")
    seat.until("q back")
    seat.type("l")
    seat.until(" › ")
    other = sqlite3.connect(seat.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    seat.type("smells of hay\r")
    seat.until("trying again")
    seat.process.send_signal(signal.SIGTERM)
    assert seat.ended(6) == 143
    other.close()
    assert unsaved().startswith(f"# not saved in {seat.path} at 2026-11-25T09:00:00Z: ")
    assert "smells of hay" in unsaved()


async def test_the_answers_before_the_line_being_typed_are_set_aside_too(household, sit):
    """Only what is not saved; a question about the value typed last changes nothing of that."""

    def steps():
        yield Text("Lot", str.strip)
        yield Save(lambda _: lambda _conn, _by: None)
        yield Text("Trimmed", str.strip)
        yield Text("Why", str.strip, doubt=lambda _: "Is that so?")
        yield Text("By whom", str.strip)

    async with sit(household()) as seat:
        page = seat.app.screen
        converse(page, steps)
        await seat.type("C1\r")
        await seat.type("30 g\r")
        await seat.type("a dry rim\r")
        assert "Is that so?" in seat.text()
        page.terminal_gone()
        assert unsaved().endswith(": Trimmed: 30 g; Why: a dry rim\n")
        await seat.press("k")
        await seat.type("an")
        page.terminal_gone()
        assert unsaved().endswith(": Trimmed: 30 g; Why: a dry rim; By whom: an\n")


def test_a_stop_from_the_terminal_stops_nothing(terminal):
    """Ctrl-Z typed while the program leaves, when the terminal is no longer raw, is SIGTSTP."""
    seat = terminal()
    seat.rack()
    seat.process.send_signal(signal.SIGTSTP)
    seat.type("1181\r")
    seat.until("Saved C1: 1153 g net")
    seat.type("q")
    assert seat.ended(5) == 0
