"""Each set of signs draws everything, cell for cell."""

import ast
import unicodedata
from pathlib import Path

import pytest
from rich.cells import cell_len

from curedash.present import signs
from curedash.present.words import plain
from tests.hostile import HOSTILE

ROOT = Path(signs.__file__).resolve().parents[1]
FULL_WIDTH = "牛肉！％＋－＝＠～️︎﻿ⁿ"  # in what is read or refused, never drawn by us


def every_sign() -> set[str]:
    """Every sign outside ASCII in a text of the program."""
    found = set()
    for path in ROOT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= {char for char in node.value if not char.isascii()}
    return found - set(FULL_WIDTH)


def test_every_sign_has_one_of_ascii_in_as_many_cells():
    for char in sorted(every_sign()):
        shown = signs.in_set(signs.ASCII, char)
        assert shown.isascii(), char
        assert cell_len(shown) == cell_len(char), char


def test_blocks_hold_a_quarter_for_each_dot_and_nothing_else():
    """Against the names of Unicode: QUADRANT UPPER LEFT and so on, and the dots of its Braille."""
    names = {
        "UPPER LEFT": (1, 2),
        "UPPER RIGHT": (4, 5),
        "LOWER LEFT": (3, 7),
        "LOWER RIGHT": (6, 8),
    }
    for name, dots in names.items():
        for dot in dots:
            braille = unicodedata.lookup(f"BRAILLE PATTERN DOTS-{dot}")
            shown = signs.in_set(signs.BLOCKS, braille)
            assert unicodedata.name(shown) == f"QUADRANT {name}"
    assert signs.in_set(signs.BLOCKS, "\u28ff\u2800▁▂") == "█ ▁▂"


@pytest.mark.parametrize("name", HOSTILE)
def test_names_of_people_keep_their_width(name):
    shown = signs.in_set(signs.ASCII, plain(name))
    assert shown.isascii()
    assert cell_len(shown) == cell_len(plain(name))


@pytest.mark.parametrize(
    ("env", "found"),
    [
        ({"TERM": "linux", "LANG": "en_GB.UTF-8"}, "ascii"),
        ({"TERM": "xterm-256color", "LANG": "en_GB.UTF-8"}, "braille"),
        ({"TERM": "xterm-256color", "LANG": "de_DE.ISO-8859-1"}, "ascii"),
        ({"TERM": "xterm-256color", "LANG": "C", "LC_CTYPE": "C.UTF-8"}, "ascii"),
        ({"TERM": "xterm-256color", "LC_ALL": "C.UTF-8", "LANG": "C"}, "braille"),
        ({"TERM": "xterm-256color"}, "braille"),
    ],
)
def test_the_terminal_chooses_where_nobody_did(env, found):
    assert signs.set_for(None, env) == found
    assert signs.set_for("blocks", env) == "blocks"


def test_a_line_of_each_set_shows_what_a_terminal_draws():
    lines = signs.sample_lines()
    assert [line.split()[0] for line in lines] == list(signs.SETS)
    assert lines[-1].isascii()
