"""The test command on a machine that lacks the programs from outside Python."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_what_needs_a_missing_program_is_named_at_the_end_and_the_rest_passes(
    tmp_path: Path,
) -> None:
    around = {name: value for name, value in os.environ.items() if name != "CI"}
    run = subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-n0",
            "-p",
            "no:cacheprovider",
            f"--basetemp={tmp_path / 'inner'}",
            "tests/papers/test_page.py",
        ],
        cwd=ROOT,
        env=around | {"PATH": str(tmp_path)},
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stdout[-2000:]
    _, _, named = run.stdout.partition("left out, for want of ")
    assert "chromium" in named.partition(":")[0]
    assert "test_page.py" in named
