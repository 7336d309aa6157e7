"""Long blanks are erased instead of sent, and the picture is the same."""

import pyte
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curedash.present.terminal_signals import shortened

STYLES = ("", "0", "1;38;5;188;48;5;233", "38;2;7;4;9;48;2;24;23;20", "7", "4;38;5;7", "48;5;187")
COLUMNS, ROWS = 60, 4


def picture(sent: str) -> list:
    """Signs, grounds and whether they are reversed or underlined, of each cell."""
    screen = pyte.Screen(COLUMNS, ROWS)
    pyte.Stream(screen).feed(sent)
    cells = [screen.buffer[y][x] for y in range(ROWS) for x in range(COLUMNS)]
    return [(cell.data, cell.bg, cell.reverse, cell.underscore) for cell in cells]


segments = st.tuples(
    st.sampled_from(STYLES), st.sampled_from((" ", "ham", "█")), st.integers(1, 19)
)


@given(st.lists(st.lists(segments, max_size=3), min_size=1, max_size=ROWS))
def test_the_picture_is_the_same(lines) -> None:
    sent = ""
    for y, line in enumerate(lines):
        sent += f"\x1b[{y + 1};1H"
        for style, text, many in line:
            text = text * many if text == " " else text
            sent += f"\x1b[{style}m{text}\x1b[0m" if style else text
        sent += "\r\n"
    short = shortened(sent)
    assert picture(short) == picture(sent)
    assert len(short) <= len(sent)


def test_the_bar_of_the_cursor_keeps_its_blanks_where_it_is_reversed() -> None:
    assert shortened("\x1b[7m" + 40 * " ") == "\x1b[7m" + 40 * " "


def test_a_title_is_left_as_it_is() -> None:
    title = "\x1b]2;ham" + 20 * " " + "leg\x1b\\"
    assert shortened(title) == title


@pytest.mark.parametrize(("ground", "blanks"), [("48;5;233", 12), ("48;2;7;4;9", 100)])
def test_blanks_are_erased_in_the_colour_of_the_ground(ground, blanks) -> None:
    short = shortened(f"\x1b[1;1H\x1b[{ground}m{blanks * ' '}\x1b[0m\r\n\x1b[2;1Hham")
    assert short == f"\x1b[1;1H\x1b[{ground}m\x1b[{blanks}X\x1b[0m\x1b[2;1Hham"
