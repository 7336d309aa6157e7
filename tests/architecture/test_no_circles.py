"""No file imports itself by way of others.

An edge is any import of one file of the package by another: at the top, inside a function, or for
types only. ``from package import name`` is an edge to the file ``package/name.py`` where there is
one, else to the package's own file. What Python loads besides (the packages above) is none.
"""

import ast
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import curedash

ROOT = Path(curedash.__file__).parent


def name_of(path: Path) -> str:
    """A file's dotted name."""
    parts = path.relative_to(ROOT.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(text: str, files: set[str]) -> set[str]:
    """The files of the package that a file names in its imports, wherever they stand."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written in full"
            module = node.module or ""
            for one in node.names:
                inner = f"{module}.{one.name}"
                found.add(inner if inner in files else module)
    return found & files


def circle(graph: dict[str, set[str]]) -> list[str]:
    """The files of one circle, in the order of their imports; empty without one."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as found:
        return list(reversed(found.args[1]))
    return []


def test_a_circle_is_found_wherever_its_imports_stand() -> None:
    files = {"curedash.a", "curedash.b", "curedash.c"}
    texts = {
        "curedash.a": "from curedash import b",
        "curedash.b": "def f():\n    from curedash.c import g",
        "curedash.c": "if TYPE_CHECKING:\n    import curedash.a",
    }
    graph = {name: imports(text, files) for name, text in texts.items()}
    assert set(circle(graph)) == files
    assert circle(graph | {"curedash.c": set()}) == []


def test_no_circle_of_files() -> None:
    paths = {name_of(path): path for path in ROOT.rglob("*.py")}
    assert len(paths) > 300
    graph = {
        name: imports(path.read_text(encoding="utf-8"), set(paths)) - {name}
        for name, path in paths.items()
    }
    assert circle(graph) == []
