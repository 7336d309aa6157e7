"""The source archive makes a wheel that holds everything a person needs and wants nothing else.

It is installed where nothing but its declared dependencies can be imported.
"""

import json
import os
import re
import subprocess
import sys
import tarfile
from importlib.metadata import Distribution, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
LOADS_ALL = """
import importlib, pkgutil, curedash
for module in pkgutil.walk_packages(curedash.__path__, "curedash."):
    if module.name != "curedash.__main__":
        importlib.import_module(module.name)
"""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A source archive, and the wheel made from that archive."""
    folder = tmp_path_factory.mktemp("dist")
    subprocess.run(
        [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), "."],
        cwd=ROOT, check=True, capture_output=True,
    )  # fmt: skip
    return folder


def needed(wanted: str, extra: str = "") -> set[str]:
    """A package's names with all it depends on, by what each declares."""
    found = {wanted}
    for text in distribution(wanted).requires or ():
        requirement = Requirement(text)
        marker = requirement.marker
        if marker is None or marker.evaluate({"extra": extra}):
            for more in requirement.extras or {""}:
                found |= needed(requirement.name, more)
    return found


def link(package: Distribution, folder: Path) -> None:
    """Make one installed package, and nothing beside it, importable from a folder."""
    for file in package.files or ():
        top = file.parts[0]
        here = Path(str(package.locate_file(top)))
        if top not in ("..", "__pycache__") and here.exists() and not (folder / top).exists():
            (folder / top).symlink_to(here)


@pytest.fixture(scope="module")
def installed(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The programs of a new environment with the wheel and its declared dependencies in it."""
    home = tmp_path_factory.mktemp("installed")
    subprocess.run([sys.executable, "-m", "venv", str(home)], check=True)
    python = home / "bin" / "python"
    (wheel,) = built.glob("*.whl")
    subprocess.run(
        [python, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", str(wheel)],
        check=True,
    )
    others = home / "others"
    others.mkdir()
    for name in needed("curedash") - {"curedash"}:
        link(distribution(name), others)
    (site,) = home.glob("lib/python*/site-packages")
    (site / "others.pth").write_text(f"{others}\n")
    return home / "bin"


def run(programs: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The installed program, away from the checkout."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    return subprocess.run([str(programs / "curedash"), *words], capture_output=True, text=True,
                          env=env, cwd=programs)  # fmt: skip


def test_no_development_package_is_there(installed: Path) -> None:
    told = subprocess.run([installed / "python", "-c", "import pytest"], capture_output=True)
    assert told.returncode == 1
    assert b"ModuleNotFoundError" in told.stderr


def test_every_module_loads_with_the_declared_dependencies(installed: Path) -> None:
    done = subprocess.run([installed / "python", "-c", LOADS_ALL], capture_output=True, text=True,
                          cwd=installed)  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]


def test_the_demo_runs_from_the_wheel(installed: Path, tmp_path: Path) -> None:
    file = str(tmp_path / "demo.db")
    built = run(installed, "demo", "--build", file)
    assert built.returncode == 0, built.stderr
    listed = run(installed, "--db", file, "lots", "--json")
    assert listed.returncode == 0, listed.stderr
    assert "D2" in {lot["code"] for lot in json.loads(listed.stdout)}
    assert run(installed, "--db", file, "check").returncode == 2


def test_a_pdf_without_its_extra_falls_back_to_text(installed: Path, tmp_path: Path) -> None:
    file = str(tmp_path / "demo.db")
    run(installed, "demo", "--build", file)
    done = run(installed, "--db", file, "label", "D1", "--output", str(tmp_path / "d1.pdf"))
    assert done.returncode == 65
    assert "curedash[pdf]" in done.stderr
    assert "D1" in done.stdout


def test_the_wheel_carries_scenario_schema_styles_fonts_and_manual(installed: Path) -> None:
    (package,) = installed.parent.glob("lib/python*/site-packages/curedash")
    assert (package / "_demo_db" / "scenario.toml").exists()
    assert json.loads(run(installed, "--json-schema").stdout)["title"]
    assert list((package / "tui").rglob("*.tcss"))
    assert list((package / "papers").rglob("*.ttf"))
    assert (installed.parent / "share" / "man" / "man1" / "curedash.1").exists()
    assert not list(package.parent.rglob("tests/conftest.py"))


def test_it_says_its_version(installed: Path) -> None:
    told = re.search(r'^version = "(.+)"', (ROOT / "pyproject.toml").read_text(), re.MULTILINE)
    assert told is not None
    assert run(installed, "--version").stdout == f"curedash {told[1]}\n"


def test_the_source_archive_holds_what_the_tests_and_pages_need(built: Path) -> None:
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as held:
        names = {name.partition("/")[2] for name in held.getnames()}
    wanted = ("pyproject.toml", "README.md", "DEVELOPERS.md", ".dev/compile_hook.py", ".dev/check",
              "demo_db/scenario.toml", "docs/make.py", "docs/LICENSE", "docs/curedash.1",
              "docs/reference/json-schema.json", "tests/conftest.py")  # fmt: skip
    assert [name for name in wanted if name not in names] == []
