"""The example at the foot of each command's help does what it says on the demo."""

import re
import shlex
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from curedash.__main__ import main
from curedash.cli.examples import MORE
from curedash.cli.verbs import VERBS, help_of, second_words
from curedash.services.file.demo import build_demo

NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)
#: opens the dashboard, or goes on until it is stopped
NOT_HERE = {"demo", "watch", "air listen"}
#: the codes these leave with, as `curedash --help` says
CODES = {"check": 2}
FILES = {
    "weighs.csv": "day,net_g\n0,1000\n10,870\n20,790\n",
    "weights.csv": "lot,date,weight\nD1,2026-11-24,770 g\n",
    "eye.toml": 'id = "eye"\nname = "eye"\nlike = "bresaola"\n',
}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    build_demo(str(path), NOW)
    return path


def commands(verb: str) -> list[str]:
    """The command, or each of its second words."""
    return [f"{verb} {second}" for second in second_words(verb)] or [verb]


def example_of(command: str) -> str:
    found = re.search(r"^example: (.*)", help_of(command.split()), re.DOTALL | re.MULTILINE)
    assert found is not None, command
    return " ".join(found[1].split())


def words_of(example: str) -> list[str]:
    """The words after curedash: behind a pipe, and before what the shell does with the code."""
    return shlex.split(
        example.partition("||")[0].rpartition("| ")[2].replace("source <(", "").rstrip(")")
    )[1:]


@pytest.mark.parametrize("verb", VERBS)
def test_the_example_of_the_help_runs_on_the_demo(
    verb: str,
    demo: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    shutil.copy(demo, tmp_path / "curedash.db")
    monkeypatch.setenv("CUREDASH_NOW", NOW.isoformat())
    monkeypatch.setenv("CUREDASH_DB", str(tmp_path / "curedash.db"))
    monkeypatch.chdir(tmp_path)
    for name, text in FILES.items():
        Path(name).write_text(text, encoding="utf-8")
    shutil.copy(demo, tmp_path / "curedash.db.backup-2026-11-24")
    if verb == "undo":
        assert main(["note", "D1", "something to take back"]) == 0
    for command in commands(verb):
        words = words_of(example_of(command))
        assert words[: len(command.split())] == command.split()
        if command in NOT_HERE:
            continue
        if command == "air read":  # what the pipe brings
            words += ["--sensor", "pipe"]
            read = Path("readings.txt")
            read.write_text('{"temperature": 3.5, "humidity": 78}\n', encoding="utf-8")
            monkeypatch.setattr("sys.stdin", read.open(encoding="utf-8"))
        code = main(words)
        said = capsys.readouterr().err
        assert code == CODES.get(command, 0), f"{example_of(command)}: {said}"


@pytest.mark.parametrize("command", MORE)
def test_the_second_example_is_in_the_help_and_runs_on_the_demo(
    command: str,
    demo: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    shutil.copy(demo, tmp_path / "curedash.db")
    monkeypatch.setenv("CUREDASH_NOW", NOW.isoformat())
    monkeypatch.setenv("CUREDASH_DB", str(tmp_path / "curedash.db"))
    assert f"also: {MORE[command]}\nexample: " in help_of(command.split())
    words = shlex.split(MORE[command])[1:]
    assert words[: len(command.split())] == command.split()
    assert main(words) == CODES.get(command, 0), capsys.readouterr().err
