"""Nothing grows beyond what a person holds in mind; what is larger today may only shrink.

Lines are those of the definition without its docstring. ``CEILINGS`` names what is over the limit,
with its size: a ceiling that is no longer reached is lowered, one that is no longer needed goes.
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import curedash

ROOT = Path(__file__).resolve().parents[2]
HOUSE = Path(curedash.__file__).parent
MOST_OF_FUNCTION = 40
MOST_OF_CLASS = 300
MOST_FILES = 25
MOST_SKIPS = 25  # places the formatter is told to leave alone, in the whole tree
LAYERS = ("domain", "services", "present", "tui")
SLACK = 15  # so much smaller, and the ceiling is lowered

CEILINGS: dict[str, int] = {}

MOST_PARAMETERS = 10
#: functions with more, and how many
PARAMETERS: dict[str, int] = {}


@cache
def tree_of(path: Path) -> ast.Module:
    """A file as Python reads it."""
    return ast.parse(path.read_text(encoding="utf-8"))


def definitions(path: Path) -> Iterator[tuple[str, ast.stmt, int]]:
    """Every class and function of a file: its name, itself, its lines."""

    def within(node: ast.AST, prefix: str) -> Iterator[tuple[str, ast.stmt, int]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                yield prefix + child.name, child, lines_of(child)
                yield from within(child, f"{prefix}{child.name}.")
            else:
                yield from within(child, prefix)

    return within(tree_of(path), "")


def lines_of(node: ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) -> int:
    """Its lines without the docstring."""
    lines = (node.end_lineno or node.lineno) - node.lineno + 1
    first = node.body[0]
    if ast.get_docstring(node, clean=False) is not None:
        lines -= (first.end_lineno or first.lineno) - first.lineno + 1
    return lines


def oversized() -> dict[str, int]:
    """What is over the limit, with its lines."""
    found = {}
    for path in sorted(HOUSE.rglob("*.py")):
        for name, node, lines in definitions(path):
            if lines > (MOST_OF_CLASS if isinstance(node, ast.ClassDef) else MOST_OF_FUNCTION):
                found[f"{path.relative_to(HOUSE).as_posix()}:{name}"] = lines
    return found


def test_no_class_or_function_grows_beyond_its_limit() -> None:
    found = oversized()
    over = {name: lines for name, lines in found.items() if lines > CEILINGS.get(name, 0)}
    assert over == {}, "split it: a class has 300 lines at most, a function 40"


def test_no_function_takes_more_than_one_can_name() -> None:
    found = {}
    for path in sorted(HOUSE.rglob("*.py")):
        for name, node, _ in definitions(path):
            if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                continue
            given = node.args
            count = len([*given.posonlyargs, *given.args, *given.kwonlyargs])
            if count > MOST_PARAMETERS:
                found[f"{path.relative_to(HOUSE).as_posix()}:{name}"] = count
    assert found == PARAMETERS, "put what belongs together into a record; the list only shrinks"


def test_ceilings_follow_what_shrank() -> None:
    found = oversized()
    loose = {
        name: found.get(name, 0)
        for name, most in CEILINGS.items()
        if most - found.get(name, 0) > SLACK
    }
    assert loose == {}, "lower these ceilings to the sizes given, or take them out"


def test_no_room_has_more_doors_than_one_looks_over() -> None:
    full = {
        folder.relative_to(HOUSE).as_posix(): count
        for layer in LAYERS
        for folder in [HOUSE / layer, *(HOUSE / layer).rglob("*/")]
        if (count := len(list(folder.glob("*.py")))) > MOST_FILES
    }
    assert full == {}


def test_the_formatter_formats() -> None:
    skips = sum(
        len(re.findall(r"#\s*fmt:\s*(?:skip|off)", path.read_text(encoding="utf-8")))
        for top in ("curedash", "tests", "docs")
        for path in (ROOT / top).rglob("*.py")
        if path != Path(__file__)
    )
    assert skips <= MOST_SKIPS


# ── names ─────────────────────────────────────────────────────────────────────────────────


def retired() -> tuple[set[str], set[str]]:
    """The retired parts of names, and the retired names of files."""
    page = (ROOT / "docs" / "reference" / "nomenclature.md").read_text(encoding="utf-8")
    part = page.partition("## Retired names\n")[2]
    table, _, files = part.partition("Retired as the whole name of a file:")
    rows = [line.split("|")[1] for line in table.splitlines() if line.startswith("| `")]
    return set(re.findall(r"`(\w+)`", " ".join(rows))), set(re.findall(r"`(\w+)`", files))


def names_of(path: Path) -> Iterator[str]:
    """The file itself, its classes, functions, methods and constants; private ones too."""
    tree = tree_of(path)
    found = [path.stem]
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            found.append(node.name)
    for node in tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else []
        targets = [node.target] if isinstance(node, ast.AnnAssign) else targets
        found += [target.id for target in targets if isinstance(target, ast.Name)]
    return iter(found)


def parts_of(name: str) -> set[str]:
    """``ReadSettings`` and ``read_settings`` are made of read and settings."""
    return set(re.sub(r"(?<=[a-z])(?=[A-Z])", "_", name).lower().split("_"))


def test_no_retired_name_comes_back() -> None:
    words, files = retired()
    assert len(words) > 10 < len(files)
    found = set()
    for path in sorted(HOUSE.rglob("*.py")):
        where = path.relative_to(HOUSE).as_posix()
        found |= {f"{where}:{name}" for name in names_of(path) if words & parts_of(name)}
        if path.parent.name != "cli" and path.stem in files:
            found.add(f"{where}:{path.stem}")
    assert found == set(), "docs/reference/nomenclature.md says what it is called now"
