"""Private parts of a library are used in one module each, where a new version is looked at."""

import ast
import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import curedash
import curedash.tui

HOUSE = Path(curedash.__file__).parent
#: the module that may use them → of which library
INSIDE = {
    "tui/chassis/textual_inside.py": "Textual",
    "feeds/broker.py": "aiomqtt: an acknowledgement of our own, after the reading is stored",
    "store/migrations.py": "sqlite-utils: the steps up to a version",
    "cli/parser.py": "argparse: help that is the same under every Python",
}
PRIVATE_MODULE = re.compile(r"^\s*(?:from|import) (?!curedash)\w+(?:\.\w+)*\._\w+", re.MULTILINE)
OF_THE_LANGUAGE = {"_asdict", "_exit", "_fields", "_make"}  # documented: namedtuple, os


def own_names(trees: list[ast.Module]) -> set[str]:
    """Every name the program gives to something of its own."""
    nodes = [node for tree in trees for node in ast.walk(tree)]
    named = {
        node.name
        for node in nodes
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
    }
    stored = {
        node.attr if isinstance(node, ast.Attribute) else node.id
        for node in nodes
        if isinstance(node, ast.Attribute | ast.Name) and isinstance(node.ctx, ast.Store)
    }
    return named | stored


def test_private_attributes_of_others_are_read_in_one_module_each() -> None:
    trees = {
        path.relative_to(HOUSE).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for path in HOUSE.rglob("*.py")
    }
    own = own_names([tree for name, tree in trees.items() if name not in INSIDE])
    own |= OF_THE_LANGUAGE
    found, used = [], set()
    for name, tree in trees.items():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Attribute) or not re.match(r"_[a-z]", node.attr):
                continue
            mine = own_names([tree]) if name in INSIDE else set()
            if node.attr not in own | mine:
                used.add(name)
                if name not in INSIDE:
                    found.append(f"{name}:{node.lineno} {ast.unparse(node)}")
    assert found == []
    assert used == set(INSIDE), "no private part is used there any more: take it out"


def test_private_modules_of_others_are_imported_in_one_module() -> None:
    found = {
        path.relative_to(HOUSE).as_posix()
        for path in HOUSE.rglob("*.py")
        if PRIVATE_MODULE.search(path.read_text(encoding="utf-8"))
    }
    assert found == {"tui/chassis/textual_inside.py"}


def test_no_class_of_the_dashboard_overrides_a_private_part_by_chance() -> None:
    """A method of ours that bears a private name of the library would be called by it."""
    found = set()
    for module in pkgutil.walk_packages(curedash.tui.__path__, "curedash.tui."):
        for _, kind in inspect.getmembers(importlib.import_module(module.name), inspect.isclass):
            if not kind.__module__.startswith("curedash.tui"):
                continue
            theirs = [base for base in kind.__mro__ if base.__module__.startswith("textual")]
            known = {name for base in theirs for name in vars(base) if re.match(r"_[a-z]", name)}
            ours = {name for name, value in vars(kind).items() if inspect.isfunction(value)} & known
            found |= {f"{kind.__module__}.{name}" for name in ours}
    inside = "curedash.tui.chassis.textual_inside."
    assert {name for name in found if not name.startswith(inside)} == set()
