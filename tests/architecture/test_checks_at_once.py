"""What a service checks and what it changes are one transaction."""

import ast
from collections.abc import Iterator
from pathlib import Path

import curedash.cli
import curedash.services

SERVICES = Path(curedash.services.__file__).parent
#: (module, function) → why it does not begin its transaction before it reads
ON_ITS_OWN = {
    ("cautions", "cautions_once"): "derived: a caution said twice does no harm",
    ("outage", "follow"): "one change for each failure, each checked in its own transaction",
    ("roll_up", "thin"): "a million readings in many short transactions",
    ("watch", "look"): "reads everything, remembers needs",
}


def services() -> Iterator[tuple[str, ast.FunctionDef]]:
    """Every public function that is told who changes something."""
    for path in sorted(SERVICES.rglob("*.py")):
        for node in ast.parse(path.read_text()).body:
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            if [arg.arg for arg in node.args.args[:2]] == ["conn", "by"]:
                yield path.stem, node


def test_every_service_that_changes_begins_before_it_reads() -> None:
    found = list(services())
    assert len(found) > 60
    late = [
        f"{module}.{node.name}"
        for module, node in found
        if not any(isinstance(d, ast.Name) and d.id == "at_once" for d in node.decorator_list)
        and (module, node.name) not in ON_ITS_OWN
    ]
    assert late == []


def test_a_change_is_opened_by_a_service_or_for_one() -> None:
    """A change anywhere else is in a helper, which only functions of its own module call."""
    named = {f"{module}.{node.name}" for module, node in services()}
    for path in sorted(SERVICES.rglob("*.py")):
        tree = ast.parse(path.read_text())
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef) and opens_change(node):
                known = f"{path.stem}.{node.name}" in named or node.name.startswith("_")
                assert known, f"{path.stem}.{node.name} opens a change"


def opens_change(node: ast.FunctionDef) -> bool:
    """Whether ``with change(…)`` stands in a function."""
    calls = (
        item.context_expr
        for child in ast.walk(node)
        if isinstance(child, ast.With)
        for item in child.items
    )
    return any(
        isinstance(call, ast.Call) and getattr(call.func, "id", "") == "change" for call in calls
    )


#: command → why it does not rest on the file as it was opened
READS_INSIDE = {
    "weigh": "compares the lot that was previewed, and reads it again once",
    "tick": "compares the line of the sheet",
    "watch": "goes on for months",
    "air": "readings that arrive rest on nothing that is stored",
    "air_listen": "goes on for months",
    "backup": "the copy is made by then",
}


def test_a_command_rests_on_the_file_as_it_was_opened() -> None:
    """``by_now`` compares nothing: each command that takes it says why."""
    commands = Path(curedash.cli.__file__).parent
    found = {path.stem for path in commands.glob("*.py") if ".by_now()" in path.read_text()}
    assert found == set(READS_INSIDE)
