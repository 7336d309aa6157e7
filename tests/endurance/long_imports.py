"""Exports with one value bent: each is refused, or every command reads what came of it.

    long_imports.py [IMPORTS]      400 unless told otherwise

The values are bent as a stranger would: no moments, days beyond the calendar, numbers beyond 64
bits or without end, deep JSON, paths, control characters, megabytes of text.
"""

import io
import json
import os
import random
import sys
import tempfile
import time
from contextlib import redirect_stderr, redirect_stdout
from typing import Any

from curedash.__main__ import main as curedash
from curedash.services.file.demo import build_demo
from tests.build import NOW

AT = NOW.isoformat()
READS = (
    ["lots"],
    ["lots", "--json"],
    ["check"],
    ["book"],
    ["history"],
    ["place", "list"],
    ["settings", "list"],
    ["rules", "list"],
    ["style", "list"],
    ["jar", "list"],
    ["away", "list"],
    ["handover", "2026-12-01", "2026-12-05"],
    ["calendar", "-o", "{folder}/c.ics"],
    ["label", "C1"],
    ["record", "C1"],
    ["forecast", "C1"],
    ["history", "C1"],
    ["sheet", "C1"],
    ["pack"],
    ["watch", "--once"],
    ["export", "{folder}/again.json"],
    ["weigh", "C1", "1100 g", "--yes"],
    ["note", "C1", "a note"],
    ["undo"],
)
BENT: tuple[Any, ...] = (
    "",
    "x",
    "0099-01-01T00:00:00Z",
    "99-01-01T00:00:00Z",
    "9999-12-31T23:59:59Z",
    "2026-02-30T00:00:00Z",
    "2026-11-20",
    "2026-11-20T10:00:00+01:00",
    "/etc/passwd",
    "../../x",
    "Europe/Nowhere",
    "\x1b[31m",
    "\u202e",
    "a" * 2_000_000,
    "[" * 5000 + "]" * 5000,
    "{}",
    "[]",
    "null",
    "1e400",
    '{"a": 99999999999999999999999}',
    '[["lot", 1, {"id": 1}]]',
    "NaN",
    0,
    -1,
    1,
    2**62,
    -(2**63),
    10**25,
    1e300,
    -1e300,
    {"real": "inf"},
    {"real": "nan"},
    0.5,
    None,
)


def bent(document: dict[str, Any], rng: random.Random) -> tuple[str, str]:
    """The export with one value bent, and which."""
    tables = {name: table for name, table in document["tables"].items() if table["rows"]}
    name = rng.choice(sorted(tables))
    column = rng.randrange(len(tables[name]["columns"]))
    row = rng.choice(tables[name]["rows"])
    was, value = row[column], rng.choice(BENT)
    row[column] = value
    told = json.dumps(document)
    row[column] = was
    return told, f"{name}.{tables[name]['columns'][column]} = {str(value)[:40]!r}"


def run_one(folder: str, text: str, number: int) -> list[str]:
    """Import it and run every command; what went wrong, empty if nothing did."""
    source, path = f"{folder}/{number}.json", f"{folder}/{number}.db"
    with open(source, "w", encoding="utf-8") as file:
        file.write(text)
    code, said = command(path, ["import", source])
    if code == 65:
        return [] if not os.path.exists(path) and "\n" not in said.strip() else [f"refused: {said}"]
    if code != 0:
        return [f"import ends with {code}: {said}"]
    wrong = []
    for words in READS:
        code, said = command(path, [word.format(folder=f"{folder}") for word in words])
        if code in (70, 74):
            wrong.append(f"{' '.join(words)} ends with {code}: {said[:200]}")
    os.remove(path)
    return wrong


def command(path: str, words: list[str]) -> tuple[int, str]:
    """The exit code of one command and what it said on stderr."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = curedash(["--db", path, "--now", AT, *words])
    return code, err.getvalue()


def run(imports: int, folder: str, seed: int = 1) -> tuple[dict[str, int], list[str]]:
    """So many bent exports: figures, and what went wrong."""
    rng = random.Random(seed)
    build_demo(f"{folder}/demo.db", NOW)
    command(f"{folder}/demo.db", ["export", f"{folder}/whole.json"])
    with open(f"{folder}/whole.json", encoding="utf-8") as file:
        document = json.load(file)
    figures, wrong = {"imports": 0}, []
    for number in range(imports):
        text, what = bent(document, rng)
        found = run_one(folder, text, number)
        figures["imports"] += 1
        wrong += [f"{what}: {line}" for line in found]
    return figures | {"wrong": len(wrong)}, wrong


def main() -> int:
    """Print the figures and what went wrong; 1 if anything did."""
    imports = int(sys.argv[1]) if len(sys.argv) > 1 and sys.argv[1].isdigit() else 400
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"XDG_STATE_HOME": folder, "XDG_CONFIG_HOME": folder}
        figures, wrong = run(imports, folder)
    print("\n".join(wrong))
    words = ", ".join(f"{name} {value}" for name, value in figures.items())
    print(f"imports: {words} ({time.monotonic() - start:.0f} s)")
    return int(bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
