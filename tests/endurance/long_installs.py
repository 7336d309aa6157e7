"""Installs the wheel on every Python here, with the lowest and the newest dependencies allowed.

In each environment every module is loaded, the demo built, listed, checked, weighed and written
as a page. Wants uv; a Python that this machine does not have is named and left out.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
VERSIONS = ("3.11", "3.12", "3.13", "3.14")
RESOLUTIONS = ("lowest-direct", "highest")
NOW = "2026-11-25T18:00:00Z"
LOADS_ALL = """
import importlib, pkgutil, curedash
for module in pkgutil.walk_packages(curedash.__path__, "curedash."):
    if module.name != "curedash.__main__":
        importlib.import_module(module.name)
"""


def run(*words: str | Path, codes: tuple[int, ...] = (0,), cwd: Path | None = None) -> str:
    """One command; what it printed, and the end of the script if it went wrong."""
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True, cwd=cwd)
    if done.returncode not in codes:
        raise SystemExit(f"{' '.join(map(str, words))}: {done.returncode}\n{done.stderr[-3000:]}")
    return done.stdout


def python_of(version: str) -> str | None:
    """A Python of this version that is here already; none is fetched."""
    versions = Path(os.environ.get("PYENV_ROOT") or Path.home() / ".pyenv") / "versions"
    for here in sorted(versions.glob(f"{version}.*/bin/python")):
        return str(here)
    found = subprocess.run(
        ["uv", "python", "find", "--no-python-downloads", version], capture_output=True, text=True
    )
    return found.stdout.strip() or None


def try_out(python: str, resolution: str, wheel: Path, folder: Path) -> str:
    """Install into a new environment and use it; the versions it got."""
    home = folder / "env"
    run("uv", "venv", "--quiet", "--python", python, home)
    program, db = home / "bin" / "python", folder / "demo.db"
    run(
        "uv",
        "pip",
        "install",
        "--quiet",
        "--python",
        program,
        "--resolution",
        resolution,
        "--extra",
        "pdf",
        "-r",
        ROOT / "pyproject.toml",
    )
    run("uv", "pip", "install", "--quiet", "--python", program, "--no-deps", wheel)
    run(program, "-W", "error::DeprecationWarning:curedash", "-c", LOADS_ALL, cwd=folder)
    curedash = home / "bin" / "curedash"
    told = ("--db", db, "--now", NOW)
    run(curedash, *told, "demo", "--build", db, cwd=folder)
    lots = run(curedash, *told, "lots", cwd=folder)
    assert "D1" in lots, lots
    run(curedash, *told, "check", codes=(2,), cwd=folder)
    run(curedash, *told, "weigh", "D1", "780", cwd=folder)
    run(curedash, *told, "forecast", "D1", cwd=folder)
    run(curedash, *told, "label", "D1", "-o", folder / "d1.pdf", cwd=folder)
    run(curedash, *told, "calendar", cwd=folder)
    run(curedash, *told, "page", folder / "rack.html", cwd=folder)
    run(program, "-m", "curedash", *told, "doctor", codes=(0, 1), cwd=folder)
    frozen = run("uv", "pip", "freeze", "--python", program)
    named = ("textual", "sqlite-utils", "pint", "plotext", "aiomqtt", "icalendar")
    return ", ".join(line for line in frozen.split() if line.partition("==")[0] in named)


def main() -> int:
    """Every Python with both ends of what is allowed."""
    if shutil.which("uv") is None:
        print("uv is not installed here: nothing was tried")
        return 0
    with tempfile.TemporaryDirectory() as scratch:
        run(
            sys.executable,
            "-m",
            "build",
            "--wheel",
            "--no-isolation",
            "--outdir",
            scratch,
            ".",
            cwd=ROOT,
        )
        (wheel,) = Path(scratch).glob("*.whl")
        for version in VERSIONS:
            python = python_of(version)
            if python is None:
                print(f"Python {version}: not on this machine, not tried")
                continue
            for resolution in RESOLUTIONS:
                with tempfile.TemporaryDirectory() as folder:
                    got = try_out(python, resolution, wheel, Path(folder))
                print(f"Python {version}, {resolution}: {got}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
