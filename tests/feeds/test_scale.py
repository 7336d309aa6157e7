"""A scale that writes lines: their forms, what settles, a pseudo-terminal as the port, a pipe.

The forms of lines are common practice of laboratory and counter scales, written from memory. An
ounce is 28.349523125 g and a pound 453.59237 g (NIST SP 811, Appendix B.8).
"""

import os
import pty
import termios
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.domain.errors import Refused, UsageError
from curedash.feeds.scale import ScaleFeed, ScaleReading, SteadyWeight, parse_line


@pytest.mark.parametrize(
    ("line", "grams", "steady"),
    [
        ("ST,+00784.0  g", 784.0, True),
        ("US,+00784.0  g", 784.0, False),
        ("ST,GS,+  1.071kg", 1071.0, True),
        ("S S     784.00 g", 784.0, True),
        ("S D     784.00 g", 784.0, False),
        ("N     +  784.0 g", 784.0, None),
        ("   784.0 g ?", 784.0, False),
        ("784", 784.0, None),
        ("  784,5 g", 784.5, None),
        ("-  3.2 g", -3.2, None),
        ("27.65 oz", 783.864, None),
        ("1.5 lb", 680.389, None),
        ("\x02 784.0 g\x03", 784.0, None),
    ],
)
def test_a_line_is_read(line: str, grams: float, steady: bool | None) -> None:
    reading = parse_line(line)
    assert reading is not None
    assert reading.grams == pytest.approx(grams, abs=0.001)
    assert reading.steady is steady


@pytest.mark.parametrize(
    "line",
    [
        "",
        "hello",
        "ST,",
        "12 ct",
        "84.0 g 784.0 g",
        "\ufffd784.0 g",
        "OL",
        "1e5 g",
        "99999999 g",
        "S I",
    ],
)
def test_noise_and_other_units_are_no_weight(line: str) -> None:
    assert parse_line(line) is None


@given(st.text(max_size=60))
def test_no_line_breaks_it(line: str) -> None:
    reading = parse_line(line)
    assert reading is None or abs(reading.grams) <= 100_000


def settled(values: list[tuple[float, float, bool | None]]) -> list[float]:
    settling = SteadyWeight()
    found = [settling.take(ScaleReading(grams, steady), at) for at, grams, steady in values]
    return [grams for grams in found if grams is not None]


def test_a_steady_line_settles_at_once_and_a_moving_one_never() -> None:
    assert settled([(0, 700, False), (0.1, 784, True), (0.2, 784, True)]) == [784]
    assert settled([(n / 2, 784, False) for n in range(20)]) == []


def test_lines_without_a_word_settle_when_three_agree_for_most_of_a_second() -> None:
    assert settled([(0, 700, None), (0.5, 760, None), (1, 784, None), (1.2, 784, None)]) == []
    assert settled([(0, 784, None), (0.4, 784.2, None), (0.9, 784.1, None)]) == [784.1]
    assert settled([(n / 100, 784, None) for n in range(50)]) == []


def test_the_same_weight_is_told_again_only_after_the_scale_was_empty() -> None:
    on, off = (784.0, True), (0.0, True)
    assert settled([(n, *what) for n, what in enumerate([on, on, off, on])]) == [784, 784]
    assert settled([(0, 784.0, True), (1, 700.0, True)]) == [784, 700]


# ── a port ────────────────────────────────────────────────────────────────────────────────


class Port:
    """A pseudo-terminal with a scale at its other end, and what came of it."""

    feed: ScaleFeed

    def __init__(self, link: Path) -> None:
        self.link, self.weights, self.said = link, list[float](), list[str]()
        self.plug()

    def plug(self) -> None:
        self.scale, other = pty.openpty()
        self.link.unlink(missing_ok=True)
        self.link.symlink_to(os.ttyname(other))
        self.other = other

    def is_open(self) -> bool:
        """Whether somebody made it a raw line, as a reader of a port does."""
        return not termios.tcgetattr(self.other)[3] & termios.ICANON

    def pull(self) -> None:
        self.link.unlink()
        os.close(self.scale)
        os.close(self.other)

    def write(self, *chunks: bytes) -> None:
        for chunk in chunks:
            os.write(self.scale, chunk)
            time.sleep(0.03)


def until(true: Callable[[], bool], seconds: float = 15) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.02)


@pytest.fixture
def port(tmp_path: Path) -> Iterator[Port]:
    made = Port(tmp_path / "ttyUSB0")
    made.feed = feed = ScaleFeed(str(made.link), made.weights.append, made.said.append)
    feed.start()
    until(made.is_open)
    yield made
    feed.stop()


def test_half_lines_and_noise_between_lose_no_weight(port: Port) -> None:
    port.write(b"\xff\x00\xfe0 g\r\n", b"US,+0079", b"0.0  g\r\nST,+00", b"784.0  g\r", b"\n")
    until(lambda: port.weights == [784.0])
    port.write(b"x" * 5000, b"\r\n", b"ST,+00000.0  g\r\n", b"ST,+027.650 oz\r\n")
    until(lambda: len(port.weights) == 2)
    assert port.weights[1] == pytest.approx(783.864, abs=0.001)
    assert port.said == []


def test_what_was_written_before_it_is_opened_is_read(tmp_path: Path) -> None:
    for text in (b"ST,+00784.0  g\r\n", b"ST,+00000.0  g\r\nST,+00784.0  g\r\nST,+0"):
        made = Port(tmp_path / "ttyUSB0")
        made.write(text)
        feed = ScaleFeed(str(made.link), made.weights.append, made.said.append)
        feed.start()
        try:
            until(made.is_open)
            made.write(b"0000.0  g\r\n")
            until(lambda: made.weights == [784.0])  # noqa: B023 - asked in this round
            assert made.said == []
        finally:
            feed.stop()
            made.pull()


def test_a_line_that_another_reader_took_is_no_pulled_cable(tmp_path: Path) -> None:
    path, weights, said = tmp_path / "scale", list[float](), list[str]()
    os.mkfifo(path)
    feeds = [ScaleFeed(str(path), weights.append, said.append) for _ in range(4)]
    for feed in feeds:
        feed.start()
    time.sleep(0.3)
    with open(path, "w", encoding="ascii", buffering=1) as pipe:
        for _ in range(100):
            pipe.write("ST,+00784.0  g\nST,+00000.0  g\n")
            time.sleep(0.01)
    for feed in feeds:
        feed.stop()
    assert said == []
    assert weights


def test_once_it_is_stopped_it_reads_no_further_line(port: Port) -> None:
    port.feed.stop()
    port.write(b"ST,+00784.0  g\r\n")
    assert os.read(port.other, 100) == b"ST,+00784.0  g\r\n"
    assert port.weights == []


def test_a_pulled_cable_is_said_once_and_a_plugged_one_goes_on(port: Port) -> None:
    port.write(b"ST,+00784.0  g\r\n")
    until(lambda: port.weights == [784.0])
    port.pull()
    until(lambda: len(port.said) == 1)
    assert "type the weights by hand" in port.said[0]
    time.sleep(1.5)
    assert len(port.said) == 1
    port.plug()
    until(lambda: len(port.said) == 2)
    assert "is back" in port.said[1]
    until(port.is_open)
    port.write(b"ST,+00700.0  g\r\n")
    until(lambda: port.weights == [784.0, 700.0])


def test_a_named_pipe_serves_one_writer_after_the_other(tmp_path: Path) -> None:
    path, weights, said = tmp_path / "scale", list[float](), list[str]()
    os.mkfifo(path)
    feed = ScaleFeed(str(path), weights.append, said.append, r"W=(?P<weight>[0-9.]+)")
    feed.start()
    try:
        for text in ("W=784.0\n" * 3, "ignored\n"):
            with open(path, "w", encoding="ascii", buffering=1) as pipe:
                for line in text.splitlines(keepends=True):
                    pipe.write(line)
                    time.sleep(0.5)
        for _ in range(50):  # one comes as soon as the other went: none is cut off
            with open(path, "w", encoding="ascii", buffering=1) as pipe:
                pipe.write("ignored\n")
        until(lambda: weights == [784.0])
        assert said == []
    finally:
        feed.stop()


def test_what_is_no_port_speed_or_expression_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "household.db"
    file.write_text("mine")
    for path, form, kind in (
        (str(file), None, Refused),
        ("/dev/null,12345", None, UsageError),
        ("/dev/null", "(", UsageError),
        ("/dev/null", "x", UsageError),
    ):
        with pytest.raises(kind):
            ScaleFeed(path, print, print, form)
