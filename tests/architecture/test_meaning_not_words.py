"""What a record means is a field of it: nothing is decided by how its sentence begins."""

import ast
from collections.abc import Iterator
from pathlib import Path

import curedash

ROOT = Path(curedash.__file__).parent
#: fields of our records that hold a sentence the program made
SENTENCES = ("action", "message", "messages", "question")
LOOKS_INTO = ("startswith", "endswith", "find", "index", "count", "partition")


def decided_by_words() -> Iterator[str]:
    """Every place where code looks for a text inside a sentence of a record."""
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            for text in looked_into(node):
                if isinstance(text, ast.Attribute) and text.attr in SENTENCES:
                    yield f"{path.relative_to(ROOT)}:{node.lineno}"  # type: ignore[attr-defined]


def looked_into(node: ast.AST) -> Iterator[ast.expr]:
    """What is searched for a text, by a method or by ``in``."""
    if (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in LOOKS_INTO
    ):
        yield node.func.value
    elif (
        isinstance(node, ast.Compare)
        and isinstance(node.ops[0], (ast.In, ast.NotIn))
        and isinstance(node.left, (ast.Constant, ast.JoinedStr))
    ):
        yield node.comparators[0]


def test_nothing_is_decided_by_the_words_of_a_sentence() -> None:
    assert list(decided_by_words()) == []


def test_the_search_finds_what_it_looks_for() -> None:
    for source in ('need.action.startswith("weigh")', '"bag" in need.action'):
        found = [text for node in ast.walk(ast.parse(source)) for text in looked_into(node)]
        assert any(isinstance(text, ast.Attribute) for text in found)
