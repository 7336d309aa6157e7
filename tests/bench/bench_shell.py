"""Whole processes of the shell against ``python -c pass``, in turn in one run."""

import os
import shutil
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.dirname(__file__))
from figures import Figure, ratio, tell
from large_household import build_apart

RUNS = 15
CUREDASH = os.path.join(os.path.dirname(sys.executable), "curedash")
VERBS = {
    "curedash lots": ["lots"],
    "curedash lots --json": ["lots", "--json"],
    "curedash check": ["check"],
    "curedash weigh": ["weigh", "D1", "783 g", "--yes"],
}


def seconds(argv: list[str]) -> float:
    """Wall time of one process."""
    start = time.perf_counter()
    subprocess.run(argv, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
    return time.perf_counter() - start


def measure(folder: str, *, quick: bool = False) -> list[Figure]:
    """Lots, check and weigh on 50 lots × 60 weigh-ins."""
    file = os.path.join(folder, "fifty.db")
    build_apart(file, 50, 60)
    found = []
    for name, words in VERBS.items():
        copy = os.path.join(folder, "copy.db")
        shutil.copy(file, copy)
        argv = [CUREDASH, "--db", copy, *words]
        seconds(argv)
        ours, floor = [], []
        for _ in range(10 if quick else RUNS):
            ours.append(seconds(argv))
            floor.append(seconds([sys.executable, "-c", "pass"]))
        found.append(ratio(f"{name}, whole process", ours, floor, 5.0))
    return found


def main() -> int:
    """Measure and tell."""
    with tempfile.TemporaryDirectory() as folder:
        return tell(measure(folder, quick="--quick" in sys.argv))


if __name__ == "__main__":
    sys.exit(main())
