"""Damaged copies of a good file: each opens, or is refused in one sentence and stays as it was.

    long_bad_files.py [FILES]      1000 unless told otherwise

Each file has a few bytes flipped at random, or is cut short, or has a stretch of noise in it. The
shell then lists, checks, weighs and looks it over: a documented exit code, at most one sentence.
"""

import io
import os
import random
import sys
import tempfile
import time
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout

from curedash.__main__ import main as shell
from curedash.domain.errors import CuredashError
from curedash.services.file.demo import build_demo
from curedash.store.open import open_db
from tests.endurance.household import NOW

COMMANDS = (
    ("lots", "--json"),
    ("check", "--json"),
    ("weigh", "C1", "1 kg", "--yes"),
    ("history",),
    ("doctor", "--json"),
)
DOCUMENTED = {0, 1, 2, 65, 66, 74}


def run(files: int, folder: str, seed: int = 1) -> Counter[str]:
    """Try so many damaged files; what became of them."""
    rng = random.Random(seed)
    good = f"{folder}/good.db"
    build_demo(good, NOW)
    with open(good, "rb") as file:
        whole = file.read()
    found: Counter[str] = Counter()
    for number in range(files):
        path = f"{folder}/bad-{number}.db"
        with open(path, "wb") as file:
            file.write(_damaged(whole, rng))
        found += _tried(path)
        for ending in ("", "-wal", "-shm"):
            if os.path.exists(path + ending):
                os.remove(path + ending)
    return found


def _damaged(whole: bytes, rng: random.Random) -> bytes:
    data = bytearray(whole)
    kind = rng.random()
    if kind < 0.1:
        return bytes(data[: rng.randrange(len(data))])
    if kind < 0.2:
        at = rng.randrange(len(data))
        data[at : at + 512] = rng.randbytes(len(data[at : at + 512]))
        return bytes(data)
    # half of the flips hit the first two pages: header and schema
    reach = 8192 if kind < 0.6 else len(data)
    for _ in range(rng.choice((1, 1, 2, 8))):
        data[rng.randrange(reach)] ^= 1 << rng.randrange(8)
    return bytes(data)


def _tried(path: str) -> Counter[str]:
    with open(path, "rb") as file:
        before = file.read()
    found: Counter[str] = Counter(files=1)
    try:
        open_db(path).close()
        found["opened"] += 1
    except CuredashError as refusal:
        found["refused"] += 1
        found["more_than_a_sentence"] += "\n" in str(refusal)
        with open(path, "rb") as file:
            found["refused_and_changed"] += file.read() != before
    for words in COMMANDS:
        code, said = _said(path, *words)
        found[f"exit_{code}"] += 1
        found["undocumented"] += code not in DOCUMENTED
        found["more_than_a_sentence"] += (
            code >= 64 and said.count("\n") != 1 and words[0] != "doctor"
        )
        found["traces"] += "Traceback" in said
    return found


def _said(path: str, *words: str) -> tuple[int, str]:
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = shell(["--db", path, "--now", NOW.isoformat(), *words])
    return code, err.getvalue()


def main() -> int:
    """Print the figures; 1 if a refused file changed or a fault showed."""
    files = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_STATE_HOME"] = folder
        found = run(files, folder)
        trace = f"{folder}/curedash/trace.log"
        if os.path.exists(trace):
            with open(trace) as log:
                print(log.read()[-4000:], file=sys.stderr)
    words = ", ".join(f"{name} {value}" for name, value in sorted(found.items()))
    print(f"bad files: {words} ({time.monotonic() - start:.0f} s)")
    wrong = ("refused_and_changed", "more_than_a_sentence", "undocumented", "traces")
    return int(any(found[name] for name in wrong))


if __name__ == "__main__":
    sys.exit(main())
