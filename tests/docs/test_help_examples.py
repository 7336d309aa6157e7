"""The two examples at the foot of each command's help do what they say on the demo."""

import re
import shlex
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from curedash.__main__ import main
from curedash.cli.examples import MORE
from curedash.cli.verbs import VERBS, help_of, parser_of, second_words
from tests.demo import copy_demo

NOW = datetime(2026, 11, 25, 18, tzinfo=UTC)
#: opens the dashboard, or goes on until it is stopped
NOT_HERE = {"demo", "watch", "air listen"}
#: the codes these leave with, as `curedash --help` says
CODES = {"check": 2}
#: what has to be there first
BEFORE = {
    "jar label": ["jar add 'pink jar' 6.25/0"],
    "jar remove": ["jar add 'pink jar' 6.25/0"],
    "style remove": ["style copy coppa mine"],
    "sensor offset": ["sensor add 'Landing fridge' 'top shelf'"],
    "sensor salt-test": ["sensor add 'Landing fridge' 'top shelf'"],
    "sensor retire": ["sensor add Cellar floor"],
    "settings forget-scale": ["settings scale 'kitchen 1 g 5 kg'"],
}
FILES = {
    "pieces.csv": "style,stage,since\nbresaola,drying,2026-11-01\n",
    "weighs.csv": "day,net_g\n0,1000\n10,870\n20,790\n",
    "weights.csv": "lot,date,weight\nD1,2026-11-24,770 g\n",
    "eye.toml": 'id = "eye"\nname = "eye"\nlike = "bresaola"\n',
}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    copy_demo(path, NOW)
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


def household(demo: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo as a household of its own, with the files the examples read beside it."""
    shutil.copy(demo, folder / "curedash.db")
    monkeypatch.setenv("CUREDASH_NOW", NOW.isoformat())
    monkeypatch.setenv("CUREDASH_DB", str(folder / "curedash.db"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(folder))
    monkeypatch.chdir(folder)
    for name, text in FILES.items():
        Path(name).write_text(text, encoding="utf-8")
    (folder / "www").mkdir()
    shutil.copy(demo, folder / "curedash.db.backup-2026-11-24")


@pytest.mark.parametrize("verb", VERBS)
def test_the_example_of_the_help_runs_on_the_demo(
    verb: str,
    demo: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    household(demo, tmp_path, monkeypatch)
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


def test_every_command_has_two_examples() -> None:
    assert sorted(MORE) == sorted(command for verb in VERBS for command in commands(verb))


@pytest.mark.parametrize("command", MORE)
def test_the_second_example_is_in_the_help_and_runs_on_the_demo(
    command: str,
    demo: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    household(demo, tmp_path, monkeypatch)
    for before in BEFORE.get(command, ()):
        assert main(shlex.split(before)) == 0, before
    help_shown = " ".join(help_of(command.split()).split())
    assert f"also: {MORE[command]} example: " in help_shown
    assert MORE[command] != example_of(command)
    words = [word.replace("~", str(tmp_path)) for word in words_of(MORE[command])]
    depth = len(command.split())
    assert words[:depth] == command.split()
    if command in NOT_HERE - {"demo", "watch"}:
        parser_of(words).parse_args(words[depth:])
        return
    if command == "air read":  # what the pipe brings
        lines = Path("readings.txt")
        lines.write_text('{"temperature": 3.5, "humidity": 78}\n', encoding="utf-8")
        monkeypatch.setattr("sys.stdin", lines.open(encoding="utf-8"))
    assert main(words) == CODES.get(command, 0), capsys.readouterr().err
