"""The wheel holds everything a person needs and wants nothing that only developers have."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEVELOPERS_ONLY = ("pytest", "hypothesis", "scipy", "numpy", "pyte", "psychrolib", "periodictable",
                   "ruff", "mypy", "ics", "hatchling")  # fmt: skip


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), "."],
        cwd=ROOT, check=True, capture_output=True,
    )  # fmt: skip
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def run(site: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the unpacked program where no development package can be imported."""
    blocked = site / "blocked"
    blocked.mkdir(exist_ok=True)
    for name in DEVELOPERS_ONLY:
        (blocked / f"{name}.py").write_text("raise ImportError('for developers only')\n")
    env = {**os.environ, "PYTHONPATH": f"{site}{os.pathsep}{blocked}"}
    return subprocess.run(
        [sys.executable, "-m", "curedash", *words],
        capture_output=True,
        text=True,
        env=env,
        cwd=site,
    )


def test_the_demo_runs_from_the_wheel(unpacked: Path) -> None:
    file = str(unpacked / "demo.db")
    built = run(unpacked, "demo", "--build", file)
    assert built.returncode == 0, built.stderr
    listed = run(unpacked, "--db", file, "lots", "--json")
    assert listed.returncode == 0, listed.stderr
    assert '"code": "D2"' in listed.stdout
    assert run(unpacked, "--db", file, "check").returncode == 2


def test_the_wheel_carries_scenario_styles_fonts_and_manual(unpacked: Path) -> None:
    assert (unpacked / "curedash" / "_demo_db" / "scenario.toml").exists()
    assert list(unpacked.rglob("curedash.1"))
    assert list((unpacked / "curedash" / "tui").rglob("*.tcss"))
    assert list((unpacked / "curedash" / "papers").rglob("*.ttf"))
    assert not list(unpacked.rglob("tests"))


def test_it_says_its_version(unpacked: Path) -> None:
    assert run(unpacked, "--version").stdout == "curedash 0.1.0\n"
