"""Shared by all tests: a fixed clock, a real temporary file, the rule for outside programs."""

import compileall
import os
import re
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pytest
from hypothesis import settings as hypothesis_settings

import curedash
from curedash.domain.times import utc_text
from curedash.present.display_units import show_in
from curedash.store.open import open_db
from curedash.store.work import By
from tests.collecting import pytest_collect_file, pytest_collection  # noqa: F401 (hooks)
from tests.shape import made_from_a_copy  # noqa: F401 (a fixture)

CI = os.environ.get("CI") == "true"
#: program → the Debian package that brings it
OUTSIDE = {
    "mosquitto": "mosquitto",
    "pdftotext": "poppler-utils",
    "zbarimg": "zbar-tools",
    "tmux": "tmux",
    "man": "man-db",
    "openssl": "openssl",
    "zsh": "zsh",
    "fish": "fish",
    "chromium": "chromium",
    "curl": "curl",
    "gcc": "gcc",
    "systemd-analyze": "systemd",
}

hypothesis_settings.register_profile("ci", derandomize=True, deadline=None)
hypothesis_settings.register_profile("here", deadline=None)
hypothesis_settings.load_profile("ci" if CI else "here")

MEMORY = "/dev/shm"
ROOM = 4 * 1024**3  # what a run leaves there until it ends, with as much to spare [bytes]

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
#: files of few tests that take long and compute: begun first
LONG = ("tui/test_new_batch.py", "papers/test_whole.py", "domain/test_dose_random.py")
#: files that mostly wait, for a terminal, a broker or another program, and about how long [s]
WAITING = {
    "tui/test_terminal.py": 80,
    "store/test_endurance.py": 60,
    "store/test_one_file.py": 30,
    "tui/test_nothing_lost.py": 25,
    "tui/test_form_in_terminal.py": 20,
    "docs/test_made.py": 20,
    "tui/test_scanner.py": 20,
    "architecture/test_wheel.py": 20,
    "feeds/test_broker.py": 25,
    "feeds/test_tls.py": 10,
    "feeds/test_scale.py": 10,
}
SCREEN = 6  # a test with keys on a screen takes as long as so many others
_left_out: list[str] = []


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Three processes for the whole suite, as each collects every test; none for a few files."""
    return 3 if _is_whole(config) else 0


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Compile the package once before the whole suite: hundreds of tests start it as a program.

    Thousands of files are written, each forced to the disk: into memory where there is room.
    """
    if _is_whole(config) and not hasattr(config, "workerinput"):
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        compileall.compile_dir(os.path.dirname(curedash.__file__), quiet=2, workers=2)
        if config.option.basetemp is None and has_room(MEMORY):
            config.option.basetemp = tempfile.mkdtemp(prefix="curedash-tests-", dir=MEMORY)
            config.add_cleanup(lambda: shutil.rmtree(config.option.basetemp, ignore_errors=True))


def has_room(folder: str) -> bool:
    """Whether the files of the whole suite fit there and programs among them may run."""
    if not os.access(folder, os.W_OK):
        return False
    found = os.statvfs(folder)
    return found.f_bavail * found.f_frsize > ROOM and not found.f_flag & os.ST_NOEXEC


def _is_whole(config: pytest.Config) -> bool:
    return all(os.path.isdir(name) for name in config.args) and not config.option.keyword


def begins_at(items: list[pytest.Item]) -> dict[Path, float]:
    """When each file is begun, as a share of the whole.

    One process waits while the others compute: the files that wait are spread over the whole, each
    begun about when the one before it is through.
    """
    begins: dict[Path, float] = {}
    whole = sum(_work(item) for item in items)
    done = waited = 0.0
    for item in sorted(items, key=lambda item: not item.path.as_posix().endswith(LONG)):
        begins.setdefault(item.path, done / whole)
        done += _work(item)
    for ending, wait_s in WAITING.items():
        begins |= {path: waited for path in begins if path.as_posix().endswith(ending)}
        waited += wait_s / (sum(WAITING.values()) * 1.1)  # the last one begun before the end
    return begins


def _work(item: pytest.Item) -> int:
    return SCREEN if item.get_closest_marker("asyncio") else 1


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Files in the order of :func:`begins_at`; outside CI without tests that lack a program."""
    begins = begins_at(items)
    items.sort(key=lambda item: begins[item.path])
    if CI:
        return
    missing = [program for program in OUTSIDE if shutil.which(program) is None]
    kept, left = [], []
    for item in items:
        marks = [arg for mark in item.iter_markers("external") for arg in mark.args]
        (left if any(program in missing for program in marks) else kept).append(item)
    if left:
        _left_out.extend(item.nodeid for item in left)
        config.hook.pytest_deselected(items=left)
        items[:] = kept


def pytest_sessionfinish(session: pytest.Session) -> None:
    """A worker tells the process that started it what was left out."""
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left_out"] = _left_out


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: object) -> None:
    """Every worker left out the same tests: each is named once."""
    for name in getattr(node, "workeroutput", {}).get("left_out", ()):
        if name not in _left_out:
            _left_out.append(name)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name what was left out, and the packages that would let it run."""
    if _left_out:
        packages = sorted({p for n, p in OUTSIDE.items() if shutil.which(n) is None})
        terminalreporter.write_line(f"left out, for want of {', '.join(packages)}:")
        for name in _left_out:
            terminalreporter.write_line(f"  {name}")


@pytest.fixture(scope="session")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Makes folders, each its own; pytest would list all of thousands to find the next number."""
    top, numbers = tmp_path_factory.mktemp("each"), count()

    def make(name: str) -> Path:
        made = top / f"{name}{next(numbers)}"
        made.mkdir(mode=0o700)
        return made

    return make


@pytest.fixture
def tmp_path(folders: Callable[[str], Path], request: pytest.FixtureRequest) -> Path:
    """A folder of the test, called after it as pytest calls it."""
    return folders(re.sub(r"\W", "_", request.node.name)[:30])


@pytest.fixture(autouse=True)
def own_home(folders: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes the person's own folders, file or clock."""
    home = folders("home")
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(home / name.lower()))
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("TZ", "UTC")
    show_in()  # the usual units, whatever a test before chose
    for name in ("CUREDASH_DB", "CUREDASH_NOW", "COLUMNS", "LINES", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def db_path(tmp_path: object) -> str:
    """A path for a household file."""
    return f"{tmp_path}/household.db"


@pytest.fixture
def conn(db_path: str) -> Iterator[sqlite3.Connection]:
    """A fresh household file, open."""
    connection = open_db(db_path, create=True)
    yield connection
    connection.close()


@pytest.fixture
def now() -> datetime:
    """The fixed moment of the tests."""
    return NOW


@pytest.fixture
def by() -> By:
    """Who changes something in a test."""
    return By(utc_text(NOW), "tester", "shell", "session-1")
