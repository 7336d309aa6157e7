"""Sentences are whole in the source: no plural by hand, no list joined by hand, no glued halves.

A reader edits a sentence where it is written, and a translator could. Counts, choices by number
and lists come from `curedash/domain/wording.py`. What is left is counted; the counts only go down.
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "curedash"
HELPERS = "domain/wording.py"
#: the findings that are left, by kind
MOST = {"plural": 0, "and-or": 0, "comma": 0, "half": 0, "grown": 0}
_WORD = re.compile(r"[A-Za-z]{2,}")
_HALF = re.compile(r"(, |; |\. |: | and | or | · )")


def text_of(node: ast.AST) -> str | None:
    """A text in the source; what is filled in is a pair of braces."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(
            str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
        )
    return None


def plurals(tree: ast.AST) -> Iterator[ast.expr]:
    """``"s" if n != 1 else ""``, ``"is" if n == 1 else "are"``, ``word + "s"``."""
    for node in ast.walk(tree):
        if isinstance(node, ast.IfExp) and _by_one(node.test):
            ways = [text_of(node.body), text_of(node.orelse)]
            if all(map(_letters, ways)) or {"s", "es"}.intersection(ways):
                yield node
        elif isinstance(node, ast.BinOp) and text_of(node.right) in ("s", "es"):
            yield node


def _by_one(test: ast.expr) -> bool:
    """``n == 1``, ``len(lots) > 1``."""
    return isinstance(test, ast.Compare) and any(
        isinstance(how, (ast.Eq, ast.NotEq, ast.Gt))
        and isinstance(side, ast.Constant)
        and type(side.value) in (int, float)
        and side.value == 1
        for how, side in zip(test.ops, test.comparators, strict=True)
    )


def _letters(text: str | None) -> bool:
    return bool(text and re.search("[A-Za-z]", text))


def joined_with(tree: ast.AST, signs: tuple[str, ...]) -> Iterator[ast.Call]:
    """``" or ".join(names)``."""
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr == "join"
            and text_of(node.func.value) in signs
        ):
            yield node


def commas(tree: ast.AST) -> Iterator[ast.expr]:
    """``f"choose one of {', '.join(names)}."``: a list in a sentence without its *and* or *or*."""
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr) and len(_WORD.findall(text_of(node) or "")) >= 2:
            for value in node.values:
                if isinstance(value, ast.FormattedValue):
                    yield from joined_with(value.value, (", ",))


def halves(tree: ast.AST) -> Iterator[ast.expr]:
    """``", still in the freezer"``: the end of a sentence whose beginning is elsewhere."""
    inside = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for part in node.values
    }
    for node in ast.walk(tree):
        text = text_of(node)
        if text and id(node) not in inside and _HALF.match(text) and len(_WORD.findall(text)) >= 2:
            yield node


def grown(tree: ast.AST) -> Iterator[ast.expr]:
    """``words += " and so on"``."""
    for node in ast.walk(tree):
        if isinstance(node, ast.AugAssign) and len(_WORD.findall(text_of(node.value) or "")) >= 2:
            yield node


FINDERS = {
    "plural": plurals,
    "and-or": lambda tree: joined_with(tree, (" and ", " or ")),
    "comma": commas,
    "half": halves,
    "grown": grown,
}


@cache
def trees() -> dict[str, ast.Module]:
    """Every file with sentences, parsed once."""
    files = {path.relative_to(PACKAGE).as_posix(): path for path in sorted(PACKAGE.rglob("*.py"))}
    return {
        file: ast.parse(path.read_text(encoding="utf-8"))
        for file, path in files.items()
        if file != HELPERS and not file.startswith("store/")
    }


@pytest.mark.parametrize("kind", FINDERS)
def test_sentences_are_whole_in_the_source(kind: str) -> None:
    found = []
    for file, tree in trees().items():
        found += [f"{file}:{node.lineno}: {ast.unparse(node)[:80]}" for node in FINDERS[kind](tree)]
    ways = "use count, by_number, listed, facts or sentences:\n"
    assert len(found) <= MOST[kind], ways + "\n".join(found)
    assert len(found) == MOST[kind], "better than the bound: lower it"


@pytest.mark.parametrize(
    ("kind", "source"),
    [
        ("plural", "f\"{n} weigh-in{'' if n == 1 else 's'}\""),
        ("plural", "'is' if len(lots) == 1 else 'are'"),
        ("plural", "'lots' if n > 1 else f'{code} alone'"),
        ("plural", "noun + 's'"),
        ("and-or", "' or '.join(names)"),
        ("comma", "f\"choose one of {', '.join(names)}.\""),
        ("half", "words + ', still in'"),
        ("half", "f', up to {n} d late'"),
        ("grown", "words += ' and the rest'"),
    ],
)
def test_each_kind_would_be_found(kind: str, source: str) -> None:
    assert list(FINDERS[kind](ast.parse(source)))


@pytest.mark.parametrize(
    ("kind", "source"),
    [
        ("plural", "names.pop() if len(names) == 1 else ''"),
        ("plural", "'1' if last == 1 else f'1–{last}'"),
        ("comma", "f\"{', '.join(names)}\""),
        ("half", "f'{code}, still in'"),
        ("grown", "total += 1"),
    ],
)
def test_what_is_whole_is_not_found(kind: str, source: str) -> None:
    assert not list(FINDERS[kind](ast.parse(source)))
