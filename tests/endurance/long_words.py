"""Random words of the shell: a documented exit code and one sentence, never a fault.

    long_words.py [--minutes N] [--seed S]      10 minutes unless told otherwise

Commands and their options come from each command's help; what stands behind them is made at
random: codes that exist and that do not, weights, dates, numbers beyond all measure, hostile
text, files of every kind. Wrong is: exit 70 or one that is not documented, a trace, an answer
that takes longer than a call may, a file that is not whole, and a file that bears the name of an
option.
"""

import io
import os
import random
import re
import shutil
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing, redirect_stderr, redirect_stdout
from datetime import UTC, datetime

from curedash.__main__ import main as shell
from curedash.cli.verbs import VERBS, help_of, second_words
from curedash.services.file.demo import build_demo
from tests.hostile import HOSTILE

NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
DOCUMENTED = {0, 1, 2, 64, 65, 66, 73, 74}
SLOWEST_S = 20.0
STAYING = ("air listen", "watch", "demo")  # run for ever, or open the dashboard
ANEW_AFTER = 300  # calls on one file
PLAIN = (
    "A1",
    "B1",
    "C1",
    "D1",
    "D2",
    "D3",
    "E1",
    "F1",
    "F2",
    "C",
    "D",
    "Z9",
    "Landing fridge",
    "Pantry fridge",
    "bresaola",
    "coppa",
    "drying",
    "in-cure",
    "keeping",
    "trimmed",
    "900",
    "1071 g",
    "2 lb 4.8 oz",
    "3.5C",
    "78%",
    "yesterday",
    "24 Dec",
    "-2d",
    "2026-11-20T18:00",
    "70mm",
    "4",
    "0",
    "-1",
    "1",
    "5.4",
    "2,5%",
    "",
    " ",
    "firm",
    "hay",
    "on",
    "off",
    "UTC",
    "Europe/Vienna",
)
BEYOND = (
    "9" * 20,
    "-" + "9" * 20,
    "1e400",
    "-1e400",
    "nan",
    "inf",
    "9" * 5000,
    "0001-01-01",
    "9999-12-31",
    "0001-01-01T00:00+14:00",
    "9999-12-31T23:59-12:00",
    "1/0",
    "½½",
    "--",
    "-",
    "=",
    "\ud800",
    "a\0b",
    "x" * 100_000,
    "../../..",
    "~",
    "/",
    "/dev/full",
    "/dev/null",
    "9e9d",
    "1..2",
    "±",
    "99:99",
    "31 Feb",
    "2026-02-30",
    "25:00",
    "0x10",
    "１０",
    "+",
    "[",
    "{",
    "'",
    '"',
)
FILES = ("deep.toml", "deep.json", "sheet.csv", "whole.json", "rubbish", "empty", "h.db", "folder")


#: options, how many words stand without one, options that take a value
Parts = tuple[list[str], int, set[str]]


def parts_of(command: str) -> Parts:
    """The options a command takes, and how many words stand without one."""
    text = help_of(command.split())
    options = sorted(set(re.findall(r"(?<![\w-])(--[a-z][a-z-]+)", text)) - {"--help"})
    taking = set(re.findall(r"(--[a-z][a-z-]+) (?=[A-Z{])", text))
    return options, len(re.findall(r"^  [a-z_]+(?=  )", text, re.MULTILINE)), taking


def commands() -> dict[str, Parts]:
    """Every command that ends by itself."""
    found = [f"{verb} {second}".strip() for verb in VERBS for second in second_words(verb) or [""]]
    return {command: parts_of(command) for command in found if command not in STAYING}


def value(rng: random.Random) -> str:
    """What stands behind an option, or without one."""
    kind = rng.random()
    if kind < 0.8:
        return rng.choice(PLAIN)
    if kind < 0.88:
        return rng.choice(BEYOND)
    if kind < 0.93:
        return rng.choice(FILES)
    if kind < 0.96:
        return rng.choice(HOSTILE)
    return "".join(rng.choice("0123456789.,-:/ gkCF%abz½±") for _ in range(rng.randrange(1, 12)))


def line(rng: random.Random, every: dict[str, Parts]) -> list[str]:
    """One command line."""
    command = rng.choice(list(every))
    options, plain, taking = every[command]
    words = command.split()
    words += [value(rng) for _ in range(rng.choice([plain] * 6 + [1, 2, rng.randrange(5)]))]
    for option in rng.sample(options, min(len(options), rng.choice([0, 0, 0, 1, 1, 1, 2, 3, 6]))):
        words.append(option)
        if (option in taking) == (rng.random() < 0.95):
            words.append(value(rng))
    if rng.random() < 0.15:
        words.append("--yes")
    if rng.random() < 0.05:
        words += [rng.choice(["--db", "--now"]), value(rng)]
    if rng.random() < 0.03:
        rng.shuffle(words)
    return words


def prepare(folder: str, demo: str) -> None:
    """The files it works on."""
    for name in os.listdir(folder):
        path = f"{folder}/{name}"
        if os.path.isdir(path) and not os.path.islink(path):
            shutil.rmtree(path)
        else:
            os.remove(path)
    shutil.copy(demo, f"{folder}/h.db")
    os.mkdir(f"{folder}/folder")
    texts = {
        "deep.toml": "a = " + "[" * 50_000,
        "deep.json": "[" * 50_000,
        "empty": "",
        "sheet.csv": "date,lot,weight\n2026-11-20,D1,800\n2026-11-20,D1\n",
    }
    for name, text in texts.items():
        with open(f"{folder}/{name}", "w") as file:
            file.write(text)
    with open(f"{folder}/rubbish", "wb") as file:
        file.write(bytes(range(256)) * 20)
    with redirect_stderr(io.StringIO()):
        shell(
            ["--db", f"{folder}/h.db", "--now", NOW.isoformat(), "export", f"{folder}/whole.json"]
        )


def call(words: list[str]) -> tuple[int, str, float]:
    """Run one line on the file in this folder: exit code, what was said, how long it took [s]."""
    out, err = io.StringIO(), io.StringIO()
    stdin, sys.stdin = sys.stdin, io.TextIOWrapper(io.BytesIO(b"3.5 78\nrubbish\n"))
    start = time.monotonic()
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code = shell(["--db", "h.db", "--now", NOW.isoformat(), *words])
    except BaseException as fault:
        code, _ = 70, err.write(f"Traceback: {fault!r}")
    finally:
        sys.stdin = stdin
    return code, err.getvalue(), time.monotonic() - start


def wrong(code: int, said: str, took_s: float) -> str:
    """What is wrong with an answer; empty if nothing is."""
    if "Traceback" in said:
        return "a trace"
    if code not in DOCUMENTED:
        return f"exit {code}"
    if took_s > SLOWEST_S:
        return f"{took_s:.0f} s"
    return ""


def run(seconds: float, seed: int, most: int = 1 << 60) -> Counter[str]:
    """Calls until the time is up; what is wrong is printed."""
    figures: Counter[str] = Counter({"calls": 0, "wrong": 0})
    every, rng = commands(), random.Random(seed)
    before, until = os.getcwd(), time.monotonic() + seconds
    with tempfile.TemporaryDirectory() as top:
        demo, folder = f"{top}/demo.db", f"{top}/work"
        os.mkdir(folder)
        build_demo(demo, NOW)
        state = os.environ.get("XDG_STATE_HOME")
        os.environ["XDG_STATE_HOME"] = top
        try:
            os.chdir(folder)
            while time.monotonic() < until and figures["calls"] < most:
                if figures["calls"] % ANEW_AFTER == 0:
                    figures["wrong"] += _odd_files(folder)
                    prepare(folder, demo)
                words = line(rng, every)
                code, said, took_s = call(words)
                figures["calls"] += 1
                figures["wrong"] += _called_like_an_option(folder, words)
                figures[f"exit {code}"] += 1
                trouble = wrong(code, said, took_s)
                if trouble:
                    figures["wrong"] += 1
                    shown = [word if len(word) < 60 else word[:20] + "…" for word in words]
                    print(f"{trouble}: {shown!r}: {said.strip()[-300:]!r}", flush=True)
                    _show_trace(f"{top}/curedash/trace.log")
            figures["wrong"] += _odd_files(folder)
        finally:
            os.chdir(before)
            if state is None:
                del os.environ["XDG_STATE_HOME"]
            else:
                os.environ["XDG_STATE_HOME"] = state
    return figures


def _show_trace(path: str) -> None:
    if os.path.exists(path):
        with open(path) as log:
            print("    " + log.read()[-900:].replace("\n", "\n    "), flush=True)
        os.remove(path)


def _called_like_an_option(folder: str, words: list[str]) -> int:
    """Files that bear the name of an option; they are removed, so that each is told once.

    Behind a lone ``--`` it is what was asked for (POSIX, Utility Syntax Guidelines, 10).
    """
    names = [name for name in os.listdir(folder) if name.startswith("--")]
    for name in names:
        os.remove(f"{folder}/{name}")
    if not names or "--" in words:
        return 0
    print(f"made: {names}: {words!r}", flush=True)
    return len(names)


def _odd_files(folder: str) -> int:
    """A household that is not whole."""
    if not os.path.exists(f"{folder}/h.db"):
        return 0
    with closing(sqlite3.connect(f"{folder}/h.db")) as conn:
        whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    if not whole:
        print("h.db is not whole", flush=True)
    return int(not whole)


def main() -> int:
    """Print the figures; 1 if anything was wrong."""
    words = sys.argv[1:]
    given = {
        name: float(words[words.index(name) + 1])
        for name in ("--minutes", "--seed")
        if name in words
    }
    seed = int(given.get("--seed", time.time()))
    figures = run(60 * given.get("--minutes", 10.0), seed)
    said = ", ".join(f"{name} {count}" for name, count in sorted(figures.items()))
    print(f"words, seed {seed}: {said}")
    return int(figures["wrong"] > 0)


if __name__ == "__main__":
    sys.exit(main())
