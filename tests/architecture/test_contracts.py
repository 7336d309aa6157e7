"""The house keeps its layers, and the shell loads nothing it does not need."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def test_import_contracts_hold() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([str(lint), "--no-cache"], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout[-2000:]


@pytest.mark.parametrize("verb", ["lots", "check", "weigh", "note", "stage", "dose", "batch"])
def test_the_shell_loads_neither_screen_library_nor_heavy_packages(verb: str, db_path: str) -> None:
    code = (
        "import sys; from curedash.__main__ import main\n"
        f"main(['--db', {db_path!r}, 'place', 'add', 'Cellar'])\n"
        f"main([{verb!r}, '--db', {db_path!r}, '--help'])\n"
        f"main([{verb!r}, '--db', {db_path!r}])\n"
        "heavy = {'textual', 'rich', 'pint', 'plotext', 'icalendar', 'segno', 'aiomqtt', 'fpdf'}\n"
        "print('LOADED', sorted(heavy & {m.partition('.')[0] for m in sys.modules}))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert "LOADED []" in done.stdout, done.stdout + done.stderr


def test_a_list_and_a_weigh_in_load_nothing_that_costs_more_than_they_do(db_path: str) -> None:
    """Each of these is as long as the rest of the command."""
    from tests.endurance.household import build

    build(db_path)
    words = ["--db", db_path, "--now", "2026-11-25T18:00Z"]
    code = (
        "import sys; from curedash.__main__ import main\n"
        f"main([*{words!r}, 'weigh', 'A1', '900', '--yes'])\n"
        f"main([*{words!r}, 'lots'])\n"
        "slow = {'typing', 're', 'enum', 'contextlib', 'dataclasses', 'argparse', 'json'}\n"
        "print('LOADED', sorted(slow & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-S", "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), *sys.path])},
    )
    assert "LOADED []" in done.stdout, done.stdout + done.stderr


def test_top_level_is_exactly_the_house() -> None:
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "curedash",
        "tests",
        "demo_db",
        "docs",
    }
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True)
    if listed.returncode == 0 and listed.stdout:
        found = {line.partition("/")[0] for line in listed.stdout.splitlines()}
    else:
        found = {entry.name for entry in ROOT.iterdir()}
    assert {name for name in found if not name.startswith(".")} <= allowed


def test_no_module_of_the_domain_reads_the_clock() -> None:
    for path in (ROOT / "curedash" / "domain").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        for word in ("datetime.now(", "date.today(", "time.time(", "utcnow("):
            assert word not in text, f"{path.name} asks the clock"
