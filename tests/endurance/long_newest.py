"""Runs what rests on private parts of libraries against their newest versions, bounds or not.

    long_newest.py [LIBRARY …]      Textual, aiomqtt, sqlite-utils and fpdf2 unless named

The bounds of ``pyproject.toml`` keep a person's program from a version nobody looked at; here is
looked. The names are taken first, so that a part that has gone is said by its name. Wants uv.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LIBRARIES = ("textual", "aiomqtt", "sqlite-utils", "fpdf2")
#: the private parts that are used: module, and what is taken from it
PARTS = {
    "textual": (
        ("textual._styles_cache", "StylesCache.get_inner_outer.cache_clear"),
        ("textual._xterm_parser", "XTermParser._sequence_to_key_events"),
        ("textual.app", "App._handle_exception"),
        ("textual.app", "App._close_messages_no_wait"),
        ("textual.app", "App._message_queue"),
        ("textual.screen", "Screen._dispatch_message"),
        ("textual.drivers.linux_driver", "LinuxDriver._run_input_thread"),
    ),
    "aiomqtt": (("paho.mqtt.client", "Client.ack"), ("paho.mqtt.client", "Client.manual_ack_set")),
    "sqlite-utils": (("sqlite_utils.migrations", "Migrations.apply"),),
    "fpdf2": (("fpdf", "FPDF.image"),),
}
TESTS = (
    "tests/tui/test_driver.py",
    "tests/tui/test_terminal.py",
    "tests/tui/test_typing.py",
    "tests/tui/test_spoiled.py",
    "tests/tui/test_rack_screen.py",
    "tests/feeds/test_broker.py",
    "tests/store/test_migrations.py",
    "tests/papers/test_sheets.py",
)
TAKE = """
import importlib, sys
module, *names = sys.argv[1], *sys.argv[2].split(".")
part = importlib.import_module(module)
for name in names:
    part = getattr(part, name)
"""


def run(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """One command, whatever comes of it, in the checkout."""
    given = os.environ | {"PYTHONPATH": str(ROOT)}
    words = tuple(str(word) for word in words)
    return subprocess.run(words, capture_output=True, text=True, cwd=ROOT, env=given)


def wanted(done: subprocess.CompletedProcess[str]) -> str:
    """What it printed; the end of the script if it went wrong."""
    if done.returncode:
        raise SystemExit(f"{done.args}: {done.returncode}\n{done.stderr[-3000:]}")
    return done.stdout


def gone(python: Path, library: str) -> list[str]:
    """Private parts that the installed version has no more."""
    return [
        f"{module}: {name}"
        for module, name in PARTS[library]
        if run(python, "-c", TAKE, module, name).returncode
    ]


def main() -> int:
    """All parts, then the tests; 1 if one has gone or fails."""
    libraries = sys.argv[1:] or LIBRARIES
    if shutil.which("uv") is None:
        print("newest: uv is not installed here, nothing was tried")
        return 0
    with tempfile.TemporaryDirectory() as scratch:
        python = Path(scratch) / "env" / "bin" / "python"
        wanted(run("uv", "venv", "-q", "--python", sys.executable, python.parents[1]))
        install = ("uv", "pip", "install", "-q", "--python", python)
        wanted(run(*install, "--extra", "pdf", "--extra", "dev", "-r", ROOT / "pyproject.toml"))
        wanted(run(*install, "--upgrade", *libraries))
        frozen = wanted(run("uv", "pip", "freeze", "--python", python)).split()
        print("newest:", ", ".join(x for x in frozen if x.partition("==")[0] in libraries))
        missing = [part for library in libraries for part in gone(python, library)]
        done = run(python, "-m", "pytest", "-q", "-n0", *TESTS)
    for part in missing:
        print(f"newest: {part} is gone")
    print("newest:", done.stdout.strip().splitlines()[-1])
    if done.returncode:
        print(done.stdout[-3000:])
    return int(bool(missing or done.returncode))


if __name__ == "__main__":
    sys.exit(main())
