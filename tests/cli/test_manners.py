"""How a program of the shell behaves: help, examples, exit codes, pipes, folders, no colour."""

import os
import pty
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from curedash.cli.dispatch import BUG, USAGE, help_text
from curedash.cli.verbs import VERBS, help_of, second_words
from tests.cli.conftest import Done
from tests.demo import copy_demo

Shell = Callable[..., Done]
ROOT = Path(__file__).resolve().parents[2]
COMMANDS = [f"{verb} {second}".strip() for verb in VERBS for second in second_words(verb) or [""]]
#: run for ever, or open the dashboard
STAYING = ("air listen", "watch", "demo", "completion")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "household.db"
    copy_demo(path, datetime(2026, 11, 25, 18, tzinfo=UTC))
    return path


def run(*words: str, **env: str) -> subprocess.CompletedProcess[str]:
    """The program as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "curedash", *words],
        capture_output=True,
        text=True,
        env={**os.environ, **env},
    )


# ── help ──────────────────────────────────────────────────────────────────────────────────


def example_of(command: str) -> str:
    """The example at the end of a command's help."""
    return help_of(command.split()).rpartition("\nexample: ")[2].strip()


@pytest.mark.parametrize("command", COMMANDS)
def test_every_help_ends_in_an_example_of_that_command(shell: Shell, command: str) -> None:
    done = shell(*command.split(), "--help")
    assert (done.code, done.err) == (0, "")
    assert f"curedash {command}" in example_of(command)


@pytest.mark.parametrize("command", [c for c in COMMANDS if c not in STAYING])
def test_every_example_is_understood(
    demo: Path,
    shell: Shell,
    db_path: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    command: str,
) -> None:
    """It need not fit the demo's lots, but no example may be a mistake in itself."""
    shutil.copy(demo, db_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", open(os.devnull, encoding="utf-8"))  # noqa: SIM115
    line = " ".join(example_of(command).split()).partition(" || ")[0].rpartition("| ")[2]
    done = shell(*shlex.split(line)[1:])
    assert done.code not in (USAGE, BUG), done.err


@pytest.mark.parametrize("verb", [verb for verb in VERBS if second_words(verb)])
def test_help_of_a_command_of_several_tells_each(shell: Shell, verb: str) -> None:
    done = shell(verb, "--help")
    assert (done.code, done.err) == (0, "")
    assert [f"  {verb} {word}\n" in done.out for word in second_words(verb)].count(False) == 0
    assert shell("help", verb).out == done.out


def test_help_may_stand_before_the_command(shell: Shell) -> None:
    assert shell("help", "weigh").out == shell("weigh", "--help").out
    assert shell("help").out == shell("--help").out == help_text() + "\n"


def test_what_was_probably_meant_is_said(shell: Shell) -> None:
    for typed, meant in (
        (["jar", "lst"], "jar list"),
        (["lots", "--jsn"], "--json"),
        (["--verson"], "--version"),
        (["weigh", "D1", "700", "--nett=1"], "--net"),
        (["ls"], "lots"),
    ):
        done = shell(*typed)
        assert (done.code, done.err.count("\n")) == (USAGE, 1)
        assert done.err.endswith(f"did you mean “{meant}”?\n")
    assert "choose jar add," in shell("jar", "brew").err


# ── exit codes ────────────────────────────────────────────────────────────────────────────


def test_exit_codes_are_documented_as_they_are(shell: Shell) -> None:
    from curedash.cli import dispatch

    codes = {
        getattr(dispatch, n)
        for n in ("OK", "USAGE", "DOUBT", "MISSING", "BUG", "STORED", "FILE", "INTERRUPTED")
    }
    manual = (ROOT / "docs/curedash.1").read_text(encoding="utf-8")
    for text in (help_text(), manual.partition(".SH EXIT STATUS")[2].partition(".SH")[0]):
        assert {int(code) for code in re.findall(r"\b\d{1,3}\b", text)} - {1, 2} == codes


def test_exit_codes_of_each_kind(hanging: Shell, tmp_path: Path) -> None:
    (tmp_path / "text.db").write_text("no database " * 100)
    for words, code in (
        (["lots"], 0),
        (["--version"], 0),
        (["brew"], 64),
        (["weigh"], 64),
        (["weigh", "A1", "10430 g"], 65),
        (["weigh", "A1", "two spoons"], 65),
        (["weigh", "Z9", "1 kg"], 66),
        (["air", "add", "Shed", "3C"], 66),
        (["import", "nothing.csv"], 66),
        (["--db", str(tmp_path / "text.db"), "lots"], 74),
        (["backup", "/proc/no/copy.db"], 74),
    ):
        done = hanging(*words)
        assert done.code == code, (words, done.err)
        assert done.err.count("\n") == (0 if code == 0 else 1)


# ── pipes, width, colour ──────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("words", ["lots", "export", "history --json", "--help", "style list"])
def test_a_reader_that_leaves_is_no_trouble(demo: Path, words: str) -> None:
    line = f"{shlex.quote(sys.executable)} -m curedash --db {demo} {words} | head -n 1"
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {line}"], capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("\n") == 1


def test_lines_into_a_pipe_are_the_same_in_every_window(demo: Path) -> None:
    made = {run("--db", str(demo), "lots", COLUMNS=width).stdout for width in ("40", "80", "200")}
    assert len(made) == 1


def test_nothing_is_coloured_even_in_a_terminal(demo: Path) -> None:
    ours, theirs = pty.openpty()
    running = subprocess.Popen(
        [sys.executable, "-m", "curedash", "--db", str(demo), "lots"],
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm-256color"},
    )
    os.close(theirs)
    seen = b""
    try:
        while piece := os.read(ours, 65536):
            seen += piece
    except OSError:  # the other end is closed
        pass
    os.close(ours)
    assert running.wait() == 0
    assert b"C1" in seen
    assert b"\x1b" not in seen


# ── folders ───────────────────────────────────────────────────────────────────────────────


def test_files_lie_where_xdg_says(tmp_path: Path) -> None:
    folders = {
        name: str(tmp_path / name)
        for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME")
    }
    empty = tmp_path / "home"
    empty.mkdir()
    env = {**folders, "HOME": str(empty)}
    assert run("place", "add", "Shed", **env).returncode == 0
    assert run("settings", "set", "weights", "lb", **env).returncode == 0
    assert (tmp_path / "XDG_DATA_HOME/curedash/curedash.db").exists()
    assert (tmp_path / "XDG_CONFIG_HOME/curedash/view.toml").exists()
    assert list(empty.iterdir()) == []


def test_without_xdg_they_lie_in_the_usual_places(tmp_path: Path) -> None:
    env = dict.fromkeys(("XDG_DATA_HOME", "XDG_CONFIG_HOME"), "")
    assert run("place", "add", "Shed", HOME=str(tmp_path), **env).returncode == 0
    assert run("settings", "set", "weights", "lb", HOME=str(tmp_path), **env).returncode == 0
    assert (tmp_path / ".local/share/curedash/curedash.db").exists()
    assert (tmp_path / ".config/curedash/view.toml").exists()


def test_the_version_is_the_packages(shell: Shell) -> None:
    import tomllib

    told = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert told["project"]["dynamic"] == ["version"]  # said once, where the build looks for it
    source = (ROOT / told["tool"]["hatch"]["version"]["path"]).read_text(encoding="utf-8")
    (version,) = re.findall(r'^__version__ = "(.+)"$', source, re.MULTILINE)
    assert shell("--version").out == shell("-V").out == f"curedash {version}\n"


def test_help_is_the_same_under_every_python() -> None:
    """Python 3.13 writes an option with a value otherwise than 3.11; the pages are made from it."""
    assert "\n  -o, --output FILE  " in help_of(["label"])
    assert "\n  -h, --help  " in help_of(["label"])
    assert "\n  --size SIZE " in help_of(["label"])
