"""``page`` and ``watch --page`` from the shell."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from tests.cli.conftest import Done

Shell = Callable[..., Done]


def test_page_writes_it_and_says_where(hanging: Shell, tmp_path: Path) -> None:
    path = tmp_path / "rack.html"
    done = hanging("page", str(path))
    assert (done.code, done.out) == (0, "")
    assert str(path) in done.err
    text = path.read_text(encoding="utf-8")
    assert 'id="lot-A1"' in text
    assert 'http-equiv="refresh"' not in text


def test_a_name_that_is_no_page_and_a_folder_that_is_not_there(
    hanging: Shell, tmp_path: Path
) -> None:
    wrong = hanging("page", str(tmp_path / "rack.pdf"))
    assert wrong.code == 64
    assert "rack.html" in wrong.err
    assert hanging("page", str(tmp_path / "none" / "rack.html")).code == 74
    assert hanging("watch", "--once", "--page", str(tmp_path / "x.txt")).code == 64
    assert hanging("watch", "--once", "--announce").code == 64


def test_without_a_broker_publishing_is_refused_before_anything_is_told(hanging: Shell) -> None:
    done = hanging("watch", "--once", "--publish")
    assert done.code == 65
    assert "air listen" in done.err
    assert done.out == ""


def test_the_watcher_keeps_it_fresh_and_goes_on_when_it_cannot(
    hanging: Shell, db_path: str, tmp_path: Path
) -> None:
    folder = tmp_path / "www"
    folder.mkdir()
    path = folder / "rack.html"
    env = {k: v for k, v in os.environ.items() if k != "CUREDASH_NOW"}
    said = open(tmp_path / "said", "w+", encoding="utf-8")  # noqa: SIM115
    watcher = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "curedash",
            "--db",
            db_path,
            "watch",
            "--every",
            "1",
            "--page",
            str(path),
        ],
        env=env,
        stdout=said,
        stderr=said,
    )

    def until(true: Callable[[], bool]) -> None:
        end = time.monotonic() + 30
        while not true():
            assert time.monotonic() < end, Path(said.name).read_text(encoding="utf-8")
            time.sleep(0.1)

    try:
        until(path.exists)
        hanging("weigh", "A1", "1001", "--at", "2026-11-24T18:00:00Z")
        until(lambda: "973 g net" in path.read_text(encoding="utf-8"))
        path.unlink()
        folder.rmdir()
        until(lambda: "Cannot write" in Path(said.name).read_text(encoding="utf-8"))
        folder.mkdir()
        until(path.exists)
    finally:
        watcher.send_signal(signal.SIGTERM)
        watcher.wait(20)
        said.close()
    words = Path(said.name).read_text(encoding="utf-8")
    assert sum("Cannot write" in line and "Before" not in line for line in words.splitlines()) == 1
    assert "Traceback" not in words
