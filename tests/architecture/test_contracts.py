"""The house keeps its layers, and the shell loads nothing it does not need."""

import os
import shutil
import subprocess
import sys
from datetime import UTC, datetime
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


#: a command → the most of our modules it may load on the demo household: it may only become smaller
MOST_MODULES = {"lots": 79, "lots --json": 77, "check": 72, "weigh D1 783 --yes": 88}
#: parts of Python that each cost such a command a tenth or more of its time
DEAR = {
    *("typing", "re", "enum", "contextlib", "dataclasses", "argparse", "json", "inspect"),
    *("pathlib", "warnings", "logging", "decimal", "random", "subprocess", "tempfile", "traceback"),
}


@pytest.fixture(scope="module")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The demo household: lots in every stage, one that ferments, places with readings."""
    from curedash.services.file.demo import build_demo

    path = str(tmp_path_factory.mktemp("demo") / "demo.db")
    build_demo(path, datetime(2026, 11, 25, 18, 0, tzinfo=UTC))
    return path


@pytest.mark.parametrize("words", MOST_MODULES)
def test_what_is_typed_most_loads_nothing_it_does_not_need(
    words: str, demo_file: str, tmp_path: Path
) -> None:
    """Each module is a part of the start; of Python some cost more than the rest of a command."""
    path = shutil.copy(demo_file, tmp_path / "demo.db")
    argv = ["--db", str(path), "--now", "2026-11-25T18:00Z", *words.split()]
    code = (
        "import os, sys; sys.modules.pop('site', None); before = set(sys.modules)\n"
        "from curedash.__main__ import main\n"
        f"code = main({argv!r})\n"
        "print('LOADED', *sorted(set(sys.modules) - before), code)\n"
    )
    done = subprocess.run(
        [sys.executable, "-S", "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), *sys.path])},
    )
    *loaded, exit_code = done.stdout.splitlines()[-1].split()[1:]
    assert exit_code in ("0", "1", "2"), done.stdout + done.stderr
    ours = [name for name in loaded if name.partition(".")[0] == "curedash"]
    assert not DEAR & set(loaded)
    most = MOST_MODULES[words]
    assert len(ours) <= most, f"{len(ours)} modules, at most {most}: " + " ".join(ours)
    assert len(ours) > most - 8, f"only {len(ours)} modules: lower the ceiling of {words!r}"


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
