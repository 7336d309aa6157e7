"""The source archive makes a wheel that holds everything a person needs and wants nothing else.

It is installed where nothing but its declared dependencies can be imported.
"""

import ensurepip
import json
import os
import re
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from importlib.metadata import Distribution, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

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
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
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
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(home)], check=True)
    python = home / "bin" / "python"
    (pip,) = (Path(ensurepip.__file__).parent / "_bundled").glob("pip-*.whl")
    (wheel,) = built.glob("*.whl")
    words = ["install", "--quiet", "--no-deps", "--no-index", "--no-compile", str(wheel)]
    subprocess.run([python, str(pip / "pip"), *words], check=True)
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
    return subprocess.run(
        [str(programs / "curedash"), *words], capture_output=True, text=True, env=env, cwd=programs
    )


def test_no_development_package_is_there(installed: Path) -> None:
    told = subprocess.run([installed / "python", "-c", "import pytest"], capture_output=True)
    assert told.returncode == 1
    assert b"ModuleNotFoundError" in told.stderr


def test_every_module_loads_with_the_declared_dependencies(installed: Path) -> None:
    done = subprocess.run(
        [installed / "python", "-c", LOADS_ALL], capture_output=True, text=True, cwd=installed
    )
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


def test_it_says_its_version(installed: Path, built: Path) -> None:
    """One place says it: the package; wheel, archive and program follow."""
    (told,) = re.findall(
        r'^__version__ = "(.+)"', (ROOT / "curedash/__init__.py").read_text(), re.M
    )
    assert "\nversion =" not in (ROOT / "pyproject.toml").read_text().partition("[tool")[0]
    assert run(installed, "--version").stdout == f"curedash {told}\n"
    as_module = subprocess.run(
        [installed / "python", "-m", "curedash", "--version"],
        cwd=installed,
        capture_output=True,
        text=True,
        check=True,
    )
    assert as_module.stdout == f"curedash {told}\n"
    assert {path.name for path in built.iterdir()} == {
        f"curedash-{told}.tar.gz",
        f"curedash-{told}-py3-none-any.whl",
    }


def test_what_it_needs_to_run_is_pure_python() -> None:
    """So that a 32-bit board installs it without a compiler; PDF papers are an extra."""
    compiled = {
        str(file)
        for name in needed("curedash") - {"curedash"}
        for file in distribution(name).files or ()
        if file.suffix in (".so", ".pyd", ".dylib")
    }
    assert compiled == set()


def test_the_archive_makes_the_same_wheel_as_the_checkout(built: Path, tmp_path: Path) -> None:
    words = ["-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path), "."]
    subprocess.run([sys.executable, *words], cwd=ROOT, check=True, capture_output=True)
    held = []
    for folder in (built, tmp_path):
        (wheel,) = folder.glob("*.whl")
        with zipfile.ZipFile(wheel) as files:
            held.append({name: files.read(name) for name in files.namelist()})
    assert held[0] == held[1]


def test_the_lock_pins_every_dependency_within_its_range() -> None:
    lock = (ROOT / ".dev" / "requirements.lock").read_text(encoding="utf-8")
    pinned: dict[str, set[str]] = {}
    for name, version in re.findall(r"^([\w.-]+)==([^\s;]+)", lock, re.M):
        pinned.setdefault(canonicalize_name(name), set()).add(version)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    for text in (*project["dependencies"], *extras["pdf"], *extras["dev"]):
        wanted = Requirement(text)
        versions = pinned.get(canonicalize_name(wanted.name))
        assert versions, f"{wanted.name} is not in the lock; see DEVELOPERS.md"
        assert all(wanted.specifier.contains(version) for version in versions), text
    assert "--hash=sha256:" in lock
    assert "://" not in lock


def test_the_source_archive_holds_what_the_tests_and_pages_need(built: Path) -> None:
    (archive,) = built.glob("*.tar.gz")
    with tarfile.open(archive) as held:
        names = {name.partition("/")[2] for name in held.getnames()}
    wanted = (
        "pyproject.toml",
        "README.md",
        "DEVELOPERS.md",
        ".dev/compile_hook.py",
        ".dev/check",
        "demo_db/scenario.toml",
        "docs/make.py",
        "docs/LICENSE",
        "docs/curedash.1",
        "docs/reference/json-schema.json",
        "tests/conftest.py",
    )
    assert [name for name in wanted if name not in names] == []
