"""Every ``$ curedash …`` line of the documents runs, page by page, on a fresh file or the demo."""

import re
import shlex
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from curedash.__main__ import main
from tests.demo import copy_demo

ROOT = Path(__file__).resolve().parents[2]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]


def commands(page: Path) -> Iterator[tuple[list[str], int]]:
    """The command lines of a page's ``console`` blocks and the exit code each is to have.

    A line that expects a code other than 0 ends in ``# exit 65``; a backslash goes on.
    """
    text = page.read_text(encoding="utf-8")
    for block in re.findall(r"^```console\n(.*?)^```", text, re.DOTALL | re.MULTILINE):
        for line in block.replace("\\\n", " ").splitlines():
            if not line.startswith("$ curedash "):
                continue
            line, _, expected = line.partition("  # exit ")
            yield shlex.split(line[2:], comments=True)[1:], int(expected or 0)


def pages_with_commands() -> list[Path]:
    return [page for page in PAGES if any(True for _ in commands(page))]


@pytest.mark.parametrize("page", pages_with_commands(), ids=lambda page: page.name)
def test_examples_run(
    page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CUREDASH_NOW", "2026-11-25T18:00:00Z")
    monkeypatch.setenv("CUREDASH_DB", str(tmp_path / "household.db"))
    monkeypatch.chdir(tmp_path)
    if "<!-- examples: demo -->" in page.read_text(encoding="utf-8"):
        copy_demo(tmp_path / "household.db", datetime(2026, 11, 25, 18, tzinfo=UTC))
    for sheet in page.parent.glob("*.csv"):  # what the page links to is there to be read
        shutil.copy(sheet, tmp_path)
    for words, expected in commands(page):
        code = main(words)
        said = capsys.readouterr().err
        assert code == expected, f"curedash {shlex.join(words)}: {said}"


def test_links_between_pages_lead_somewhere() -> None:
    broken = []
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", page.read_text(encoding="utf-8")):
            if "://" not in target and not (page.parent / target).exists():
                broken.append(f"{page.relative_to(ROOT)} → {target}")
    assert broken == []
