"""The form in a real terminal: typed, cut off by a hang-up, offered and finished afterwards."""

import os
import signal
import sqlite3
import time

from tests.tui.test_terminal import Terminal


def test_a_half_typed_batch_survives_the_terminal(tmp_path):
    path = tmp_path / "h.db"
    terminal = Terminal(path)
    terminal.until("salt the first batch")
    os.write(terminal.master, b"ncoppa\x1b[BCollar\x1b[B\x1b[B900 800")
    terminal.until("2 pieces, 1700 g green")
    terminal.process.send_signal(signal.SIGHUP)
    terminal.process.wait(10)
    again = Terminal(path)
    again.until("is unfinished since")
    os.write(again.master, b"n")
    again.until("unfinished, is saved from")
    again.until("2 pieces, 1700 g green")
    os.write(again.master, b"no2\t\t\t\t\t0.1\tun")
    again.until("can be saved")
    os.write(again.master, b"\x1b[21~")
    again.until("Thickness not given: how thick is it at its thickest spot?")
    os.write(again.master, b"unknown: no ruler here\r")
    again.until("DOSE SHEET A")
    with sqlite3.connect(path) as conn:
        assert conn.execute("SELECT code, green_g FROM lot ORDER BY id").fetchall() == [
            ("A1", 900.0),
            ("A2", 800.0),
        ]
        assert conn.execute("SELECT count(*) FROM draft").fetchone() == (0,)
    os.write(again.master, b"q")
    again.until("RACK")
    os.write(again.master, b"jq")  # a key between: the second q is not a held one
    assert again.process.wait(10) == 0


def kept_by(path, *words: str) -> bool:
    """Whether the draft in the file holds these words within two seconds."""
    for _ in range(40):
        with sqlite3.connect(path) as conn:
            row = conn.execute("SELECT body FROM draft").fetchone()
        if row is not None and all(word in row[0] for word in words):
            return True
        time.sleep(0.05)
    return False


def test_a_power_cut_takes_the_field_being_typed_at_most(tmp_path):
    """Killed without a last word: the fields left before are offered at the next start."""
    path = tmp_path / "h.db"
    terminal = Terminal(path)
    terminal.until("salt the first batch")
    os.write(terminal.master, b"ncoppa\x1b[BCollar\x1b[B\x1b[B900 800\t80")
    terminal.until("2 pieces, 1700 g green")
    assert kept_by(path, "Collar", "coppa", "900 800")
    terminal.process.kill()
    terminal.process.wait(10)
    again = Terminal(path)
    again.until("is unfinished since")
    os.write(again.master, b"n")
    again.until("unfinished, is saved from")
    again.until("2 pieces, 1700 g green")
    again.process.kill()
    again.process.wait(10)


def test_opening_the_form_costs_little_on_a_slow_line(tmp_path):
    """Under 15 kB to open and under 2 kB a key, 80×24 (a bound of this project)."""
    terminal = Terminal(tmp_path / "h.db")
    terminal.until("salt the first batch")
    terminal.quiet()
    before = len(terminal.sent)
    os.write(terminal.master, b"n")
    terminal.until("NEW BATCH A")
    terminal.quiet()
    assert 1_000 < len(terminal.sent) - before < 15_000
    os.write(terminal.master, b"B")
    assert 20 < terminal.quiet() < 2_000
    os.write(terminal.master, b"\x15\x1b[21~")
    terminal.until("Still missing")
    terminal.process.kill()
    terminal.process.wait(10)


def test_taking_a_style_costs_little_on_a_slow_line(tmp_path):
    """Under 3 kB at 80×24, of whole meat and of a sausage, whose fields are others."""
    for style in (b"bre\t", b"thin sal\t"):
        terminal = Terminal(tmp_path / f"{style[:3].decode()}.db")
        terminal.until("salt the first batch")
        os.write(terminal.master, b"n")
        terminal.until("NEW BATCH A")
        os.write(terminal.master, style[:-1])
        terminal.until(style[:-1].decode())
        terminal.quiet()
        os.write(terminal.master, style[-1:])
        taken = terminal.quiet(0.5)
        terminal.process.kill()
        assert 200 < taken < 3_000, (style, taken)
