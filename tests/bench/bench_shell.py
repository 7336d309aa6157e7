"""Whole processes of the shell against ``python -c pass``, in turn in one run."""

import os
import shutil
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.dirname(__file__))
from figures import Figure, ratio, tell

RUNS = 15
CUREDASH = os.path.join(os.path.dirname(sys.executable), "curedash")


def seconds(argv: list[str]) -> float:
    """Wall time of one process."""
    start = time.perf_counter()
    subprocess.run(argv, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
    return time.perf_counter() - start


def main() -> int:
    """Measure lots, check and weigh on 50 lots × 60 weigh-ins."""
    figures: list[Figure] = []
    with tempfile.TemporaryDirectory() as folder:
        file = os.path.join(folder, "fifty.db")
        size = ["--lots", "50", "--weigh-ins", "60"]
        subprocess.run([CUREDASH, "demo", "--build", file, *size], check=True)
        verbs = {
            "curedash lots": ["lots"],
            "curedash lots --json": ["lots", "--json"],
            "curedash check": ["check"],
            "curedash weigh": ["weigh", "D1", "783 g", "--yes"],
        }
        for name, words in verbs.items():
            copy = os.path.join(folder, "copy.db")
            shutil.copy(file, copy)
            argv = [CUREDASH, "--db", copy, *words]
            seconds(argv)
            ours, floor = [], []
            for _ in range(RUNS):
                ours.append(seconds(argv))
                floor.append(seconds([sys.executable, "-c", "pass"]))
            figures.append(ratio(f"{name}, whole process", ours, floor, 5.0))
    return tell(figures)


if __name__ == "__main__":
    sys.exit(main())
