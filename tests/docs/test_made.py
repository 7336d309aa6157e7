"""What is made by script is what the program says today."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def test_pages_and_pictures_are_not_stale() -> None:
    done = subprocess.run(
        [sys.executable, "docs/make.py", "--check"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr[-2000:]


def test_every_command_and_key_is_documented() -> None:
    from curedash.cli.verbs import VERBS
    from curedash.tui.chassis.commands import COMMANDS

    commands = (ROOT / "docs/reference/commands.md").read_text(encoding="utf-8")
    keys = (ROOT / "docs/reference/keys.md").read_text(encoding="utf-8")
    assert [verb for verb in VERBS if f"## curedash {verb}" not in commands] == []
    assert [command.id for command in COMMANDS if command.help not in keys] == []


@pytest.mark.external("man")
def test_the_manual_page_is_read_without_a_warning() -> None:
    done = subprocess.run(
        ["man", "--warnings", "-l", str(ROOT / "docs" / "curedash.1")],
        capture_output=True,
        text=True,
        env={"MANWIDTH": "80", "LC_ALL": "C.UTF-8", "PATH": "/usr/bin:/bin"},
    )
    assert done.returncode == 0
    assert done.stderr == ""
    assert "curedash weigh" in done.stdout
