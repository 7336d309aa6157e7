"""Each verb of the shell is killed at random moments: it was saved as a whole, or not at all.

long_verb_kills.py [KILLS]      1000 over all verbs unless told otherwise
"""

import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

from curedash.cli import dispatch
from curedash.store.open import open_db
from tests.endurance.long_verbs import VERBS, begin, ended, fresh, held, template, words_of

#: beside the verbs that change a lot: a whole copy brought back, and a sheet of weigh-ins
OTHERS = (("restore", "copy.db"), ("import", "sheet.csv", "--yes"))
SHEET = "date,lot,weight\n2026-11-25,D1,1091 g\n2026-11-26,D1,1089 g\n2026-11-26,F1,905 g\n"


def prepared(folder: str) -> Path:
    """The demo to begin each round with; beside it a copy that differs, and a sheet."""
    start = template(folder)
    copy = fresh(start, f"{folder}/copy.db")
    assert ended(begin(copy, ["note", "D1", "a", "copy"], folder, 0, None))[0] == 0
    with closing(open_db(copy)) as conn:
        conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
    Path(folder, "sheet.csv").write_text(SHEET)
    return start


def saved(path: str) -> dict[str, object]:
    """What the file holds, but for which cautions were shown: those are noted after the save."""
    found = held(path)
    settings = found["setting"]
    assert isinstance(settings, list)
    return found | {"setting": [row for row in settings if "'told." not in row]}


def whole_run(path: str, words: list[str], folder: str) -> tuple[dict[str, object], float]:
    """What the verb leaves when nobody kills it, and how long it takes [s]."""
    began = time.monotonic()
    code, said = ended(begin(path, words, folder, 0, None))
    assert code == 0, (words, code, said)
    return saved(path), time.monotonic() - began


def one_kill(path: str, words: list[str], folder: str, after_s: float) -> int:
    """The exit code of the verb; -9 where it was killed before it ended."""
    child = begin(path, words, folder, 0, None)
    time.sleep(after_s)
    os.kill(child[0], signal.SIGKILL)
    return ended(child)[0]


def run(kills: int, folder: str, seed: int = 1) -> dict[str, int]:
    """So many kills over all verbs; what was neither whole nor absent, and what was lost."""
    start, chance, found = prepared(folder), random.Random(seed), Counter[str]()
    assert dispatch.VERBS  # loaded before the processes part
    before = saved(str(start))
    verbs = [*VERBS, *OTHERS]
    path = f"{folder}/household.db"
    expected = {}
    for number in range(kills):
        verb = verbs[number % len(verbs)]
        words = [
            f"{folder}/{word}" if word in ("copy.db", "sheet.csv") else word
            for word in words_of(start, verb)
        ]
        if verb not in expected:
            expected[verb] = whole_run(fresh(start, path), words, folder)
        after, takes_s = expected[verb]
        code = one_kill(fresh(start, path), words, folder, chance.uniform(0, 1.1 * takes_s))
        open_db(path).close()  # whatever lies there opens
        left = saved(path)
        found["killed" if code == -signal.SIGKILL else "acknowledged"] += 1
        if left == after:
            found["saved"] += 1
        if left["whole"] != ("ok",):
            found["damaged"] += 1
        elif (left != after if code == 0 else left not in (before, after)) or code not in (0, -9):
            found["half"] += 1
            print(f"{' '.join(words)}: exit {code}", file=sys.stderr)
    names = ("killed", "acknowledged", "saved", "half", "damaged")
    return {"verbs": len(verbs), "kills": kills} | {name: found[name] for name in names}


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        told = run(int(sys.argv[1]) if len(sys.argv) > 1 else 1000, made)
    print(told)
    sys.exit(1 if told["half"] or told["damaged"] else 0)
