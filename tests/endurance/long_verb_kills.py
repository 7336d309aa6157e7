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

from curedash.cli import dispatch
from curedash.store.open import open_db
from tests.endurance.long_verbs import VERBS, begin, ended, fresh, held, prepared, words_of


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
    assert dispatch.dispatch  # loaded before the processes part
    before = saved(str(start))
    verbs = [verb for verb in VERBS if verb[-1] != "whole.json"]  # that one makes a file
    path = f"{folder}/household.db"
    expected = {}
    for number in range(kills):
        verb = verbs[number % len(verbs)]
        words = words_of(start, verb)
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
