"""Random lives of a lot, each entered in three orders: the same curve, weights, cuts and tares.

long_orders.py [LIVES]      2000 unless told otherwise
"""

import sys
import tempfile
from pathlib import Path

from curedash.domain.errors import CuredashError
from curedash.store.open import open_db
from tests.services.lives import differing


def run(lives: int, folder: str) -> dict[str, int]:
    """How many lives were entered, and how many showed another curve in another order."""
    template = Path(folder) / "template.db"
    open_db(str(template), create=True).close()
    other = 0
    for seed in range(lives):
        try:
            order = differing(template, seed)
        except CuredashError as refusal:  # what was possible in order is so in any other
            order = [str(refusal)]
        if order is not None:
            print(f"life {seed}, entered as {order}", file=sys.stderr, flush=True)
            other += 1
    return {"lives": lives, "other": other}


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        found = run(int(sys.argv[1]) if len(sys.argv) > 1 else 2000, made)
    print(found)
    sys.exit(1 if found["other"] else 0)
