"""A sentence that names a key names the one this person has bound."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import curedash
from curedash.tui.chassis.commands import COMMANDS, key_of, use_keys

ROOT = Path(curedash.__file__).parent
#: one letter, then what it does; k keeps, n changes and y takes the fix answer a question and
#: cannot be bound
DOES = "takes|brings|makes|salts|moves|opens|goes|adds|puts|on the Rack|on a lot|on one"
NAMED = re.compile(rf"(?:^|[\s;,.(])([a-jl-mo-xzA-Z]) ({DOES})\b")
#: what no person can bind: an answer to a question of this kind
ANSWERS = ("then b takes them together",)
#: sentences that begin with an article, and the sheet of all keys itself
OTHER = {"commands.py", "keys.py"}


def sentences() -> Iterator[tuple[str, int, str]]:
    """Every text of the screens that is not a docstring."""
    for path in sorted([*ROOT.glob("tui/**/*.py"), *ROOT.glob("present/**/*.py")]):
        tree = ast.parse(path.read_text())
        docs = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef))
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        if path.name in OTHER:
            continue
        for node in ast.walk(tree):
            text = node.value if isinstance(node, ast.Constant) else None
            if isinstance(text, str) and id(node) not in docs:
                yield path.name, node.lineno, text  # type: ignore[attr-defined]


def test_no_sentence_of_the_screens_names_a_key_by_its_letter() -> None:
    found = [
        f"{name}:{line}: {text}"
        for name, line, text in sentences()
        if (named := NAMED.search(text))
        and named[1] not in "aAI"
        and not any(answer in text for answer in ANSWERS)
    ]
    assert found == []


def test_every_key_that_is_named_belongs_to_a_command() -> None:
    known = {command.id for command in COMMANDS}
    named = re.compile(r"""key_of\(["']([^"']+)["']\)""")
    found = [m[1] for path in ROOT.glob("tui/**/*.py") for m in named.finditer(path.read_text())]
    assert len(found) > 10
    assert set(found) <= known


@pytest.mark.parametrize("command", [c.id for c in COMMANDS if c.id.endswith(".undo")])
def test_a_key_is_named_as_it_is_bound(command: str) -> None:
    use_keys({command: ("X",)})
    try:
        assert key_of(command) == "X"
    finally:
        use_keys({})
