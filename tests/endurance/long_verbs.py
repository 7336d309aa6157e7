"""Each verb of the shell against itself: two processes at once leave what two in turn leave.

long_verbs.py [ROUNDS [VERB …]]      200 a verb unless told otherwise, all unless named
"""

import os
import random
import shutil
import sqlite3
import sys
import tempfile
import time
from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from curedash.__main__ import main
from curedash.cli import dispatch
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.times import moment
from curedash.services.file.demo import build_demo
from curedash.services.needs.check import current_needs, snooze
from curedash.store.log import last_change_id
from curedash.store.open import open_db
from curedash.store.work import By

NOW = "2026-11-28T12:00:00Z"
#: what is computed again, and the log, whose lines name the process
NOT_COMPARED = ("change", "forecast", "forecast_told", "need", "heard", "draft")
#: the words of each verb that changes something, on the lots of the demo
VERBS: tuple[tuple[str, ...], ...] = (
    ("weigh", "D1", "1090", "--yes"),
    ("weigh", "F1", "900 g", "--at", "2026-11-20", "--yes"),
    (
        "batch",
        "add",
        "--name",
        "Beef eye",
        "--species",
        "beef",
        "--style",
        "bresaola",
        "--green",
        "1134 g",
        "--salt",
        "2.75",
        "--curing-salt",
        "no2",
        "--cure",
        "0.25",
        "--rules",
        "us",
        "--class",
        "dry-cured",
        "--scale",
        "0.1",
        "--thickness",
        "60mm",
        "--place",
        "New fridge",
    ),
    ("jar", "add", "red jar", "6.25/0"),
    ("jar", "premix", "no1", "--parts", "4", "--weight", "200g", "--name", "weak"),
    ("tick", "L1", "--all"),
    ("tick", "L1", "sugar"),
    ("misdose", "G1", "--given", "salt=44g"),
    ("turn", "G1", "K1"),
    ("ph", "J1", "5.2"),
    ("freeze", "L1", "--from", "2026-11-20", "--warmest", "-18C", "--thickness", "60mm"),
    ("style", "set", "bresaola", "--loss", "33..38"),
    ("style", "copy", "bresaola", "lean", "--loss", "33..38"),
    ("style", "remove", "mine"),
    ("stage", "H1", "drying", "--weight", "1108 g", "--tare", "28g", "--yes"),
    ("stage", "D2", "equalising", "--yes"),
    ("note", "D1", "a", "spot", "on", "the", "rim"),
    ("look", "D1", "--rim", "slight", "--firmness", "springy", "--smell", "clean"),
    ("look", "D1", "--mould", "white", "powdery", "patches", "left"),
    ("rebase", "D1", "end tasted", "--before", "1090 g", "--after", "1060 g", "--yes"),
    ("rebase", "D1", "larded", "--before", "1090 g", "--after", "1290 g", "--yes"),
    ("divide", "D2", "400 g", "300 g", "--yes"),
    ("opened", "D2", "even", "equalise", "--yes"),
    ("hold", "D1", "--yes", "--note", "away"),
    ("hold", "E1", "--end", "--yes"),
    ("move", "D1", "Pantry fridge", "--yes"),
    ("discard", "F2", "slime"),
    ("finish", "B1", "400 g", "--yes"),
    ("pack", "B1", "120"),
    ("pack", "B1", "120", "A1", "15"),
    ("void", "D1"),
    ("void", "D1", "--weigh-in", "{D1}"),
    ("correct", "D1", "1100 g", "--weigh-in", "{D1}", "--yes"),
    ("correct", "D1", "1100 g", "--yes"),
    ("correct", "D1", "--start", "1600 g", "--yes"),
    ("correct", "D1", "--green", "1700 g", "--yes"),
    ("correct", "D1", "--tare", "35 g"),
    ("place", "add", "Shed"),
    ("place", "set", "Cellar", "--temp", "8..13C"),
    ("air", "add", "Landing fridge", "3.5C", "78%"),
    (
        "air",
        "outage",
        "Cellar",
        "--from",
        "2026-11-27T22:00",
        "--to",
        "2026-11-28T07:30",
        "--highest",
        "17C",
    ),
    ("sensor", "add", "Landing fridge", "top shelf"),
    ("rules", "set", "sensor-silent", "6"),
    ("rules", "reset", "sensor-silent"),
    ("settings", "set", "keep-days", "90"),
    ("settings", "scale", "fine 0.1 g 500 g"),
    ("settings", "forget-scale", "kitchen scale"),
    ("away", "add", "2026-12-12", "2026-12-19"),
    ("undo",),
    ("undo", "{last}"),
    ("swap", "D1", "D3"),
    ("swap", "D1", "F1"),
    ("restore", "copy.db"),
    ("import", "sheet.csv", "--yes"),
    ("import", "whole.json"),
    ("snooze", "Cellar"),
)

#: what lies beside the file for a restore and for imports
BESIDE = ("copy.db", "sheet.csv", "whole.json")
SHEET = "date,lot,weight\n2026-11-25,D1,1091 g\n2026-11-26,D1,1089 g\n2026-11-26,F1,905 g\n"

Ended = tuple[int, str]


def template(folder: str) -> Path:
    """The demo, as each round begins with it."""
    path = Path(folder) / "template.db"
    build_demo(str(path), datetime(2026, 11, 28, 12, tzinfo=UTC))
    child = begin(str(path), ["style", "copy", "bresaola", "mine"], folder, 0, None)
    assert ended(child)[0] == 0  # the newest change of this person, for undo
    with closing(sqlite3.connect(path)) as conn:
        conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
    return path


def prepared(folder: str) -> Path:
    """The demo to begin each round with; beside it a copy that differs, a sheet and an export."""
    start = template(folder)
    copy = fresh(start, f"{folder}/copy.db")
    assert ended(begin(copy, ["note", "D1", "a", "copy"], folder, 0, None))[0] == 0
    assert ended(begin(copy, ["export", f"{folder}/whole.json"], folder, 0, None))[0] == 0
    with closing(open_db(copy)) as conn:
        conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
    Path(folder, "sheet.csv").write_text(SHEET)
    return start


def words_of(path: Path, verb: tuple[str, ...]) -> list[str]:
    """The words of a verb with the numbers of this file."""
    with closing(sqlite3.connect(path)) as conn:
        (weigh_in,) = conn.execute(
            "SELECT max(w.id) FROM weigh_in w JOIN lot ON lot.id = w.lot_id WHERE lot.code = 'D1'"
        ).fetchone()
        (last,) = conn.execute("SELECT max(id) FROM change").fetchone()
    return [
        f"{path.parent}/{word}" if word in BESIDE else word.format(D1=weigh_in, last=last)
        for word in verb
    ]


Left = tuple[list[int], dict[str, object]]


def may_leave(start: Path, words: list[str], folder: str) -> tuple[Left, ...]:
    """The codes and the file of two processes in turn, and of one where the other is refused.

    A verb that means "the newest" may do it twice in turn; at once both mean the same one, and the
    second is told so.
    """
    path = fresh(start, f"{folder}/turn.db", words)
    first, _ = ended(begin(path, words, folder, 0, None))
    alone = held(path)
    second, _ = ended(begin(path, words, folder, 1, None))
    return (sorted((first, second)), held(path)), ([0, 65], alone), ([0, 66], alone)


def at_once(
    start: Path, words: list[str], folder: str, late_s: float
) -> tuple[list[Ended], dict[str, object]]:
    """How two processes that begin together ended, and their file."""
    path = fresh(start, f"{folder}/once.db", words)
    children = []
    for number in range(2):
        read, write = os.pipe()
        child = begin(path, words, folder, number, (read, late_s * number))
        os.close(read)
        children.append((child, write))
    for _, write in children:
        os.write(write, b"!")
        os.close(write)
    ends = [ended(child) for child, _ in children]
    return ends, held(path)


def fresh(start: Path, path: str, words: Sequence[str] = ()) -> str:
    """The file as a round begins with it; none for a whole import, which makes one."""
    for end in ("", "-wal", "-shm"):
        Path(path + end).unlink(missing_ok=True)
    for left in Path(path).parent.glob(Path(path).name + ".*"):
        left.unlink()  # what a restore kept beside it
    makes_it = words[:1] == ["import"] and words[1].endswith(".json")
    return path if makes_it else shutil.copy(start, path)


def begin(
    path: str, words: list[str], folder: str, number: int, at: tuple[int, float] | None
) -> tuple[int, Path]:
    """A process that runs these words, once it is told to."""
    errors = Path(folder) / f"errors-{number}"
    child = os.fork()
    if child:
        return child, errors
    code = 99
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        os.dup2(os.open(errors, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 2)
        sys.stdout, sys.stderr = os.fdopen(1, "w"), os.fdopen(2, "w")
        if at is not None:
            os.read(at[0], 1)
            time.sleep(at[1])
        if words[0] == "snooze":
            code = snoozing(path, words[1], f"{os.getpid()}", REASONS[number])
        else:
            code = main(["--db", path, "--now", NOW, *words])
        sys.stderr.flush()
    finally:
        os._exit(code)


#: why each of the two keeps it quiet; compared as one, for either may be the first
REASONS = ("guests", "market")


def snoozing(path: str, place: str, session: str, reason: str) -> int:
    """What the screen does for a snooze: the need as it is shown, then snoozed."""
    now = moment(NOW)
    with closing(open_db(path)) as conn:
        by = By(NOW, "anna", "screen", session, seen=last_change_id(conn))
        due = [
            n for n in current_needs(conn, now) if n.place == place and n.cause == "weigh-in-due"
        ]
        try:
            if not due:
                raise Refused("That need is gone.")
            snooze(conn, by, due[0], now + timedelta(days=2), reason, now)
        except CuredashError as refusal:
            print(refusal, file=sys.stderr)
            return 65
    return 0


def ended(child: tuple[int, Path]) -> Ended:
    """Its exit code, and what it said of an error."""
    _, status = os.waitpid(child[0], 0)
    return os.waitstatus_to_exitcode(status), child[1].read_text()


def held(path: str) -> dict[str, object]:
    """What the file holds, table by table, and the verbs of its log."""
    with closing(sqlite3.connect(path)) as conn:
        names = [
            name
            for (name,) in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            if name not in NOT_COMPARED and not name.startswith(("kept_", "sqlite_", "_"))
        ]
        conn.row_factory = sqlite3.Row
        found: dict[str, object] = {
            name: sorted(_row(row) for row in conn.execute(f"SELECT * FROM {name}"))
            for name in names
        }
        conn.row_factory = None
        found["log"] = conn.execute(
            "SELECT verb, replace(subject, ?, ?), undoes FROM change", REASONS
        ).fetchall()
        found["asleep"] = sorted(
            conn.execute(
                "SELECT cause, lot_id, place_id, snoozed_until, replace(reason, ?, ?) FROM need"
                " WHERE snoozed_until IS NOT NULL",
                REASONS,
            ).fetchall(),
            key=repr,
        )
        found["whole"] = conn.execute("PRAGMA integrity_check").fetchone()
    return found


def _row(row: sqlite3.Row) -> str:
    """A row without what is odd about a weight: that is judged by a window computed afterwards."""
    return repr([(name, row[name]) for name in row.keys() if name != "flagged"])  # noqa: SIM118


def fault_of(start: Path, verb: tuple[str, ...], rounds: int, folder: str) -> str | None:
    """What two at once did otherwise than two in turn, in words; None if nothing."""
    words = words_of(start, verb)
    ways = may_leave(start, words, folder)
    chance = random.Random(" ".join(verb))
    for number in range(rounds):
        ends, found = at_once(start, words, folder, chance.choice([0, 0, 0.001, 0.003, 0.01]))
        at = f"round {number}: {[(code, said.strip()) for code, said in ends]}"
        if (sorted(code for code, _ in ends), found) not in ways:
            in_turn = ways[0][1]
            tables = [name for name in in_turn if found.get(name) != in_turn[name]]
            return f"{at}; in turn {ways[0][0]}, other {', '.join(tables)}"
        for code, said in ends:
            if "Traceback" in said or (code and len(said.strip().splitlines()) != 1):
                return at
    return None


def run(rounds: int, folder: str, verbs: tuple[tuple[str, ...], ...] = VERBS) -> dict[str, int]:
    """Every verb so many times against itself; some alone where they are named."""
    start, faults = prepared(folder), 0
    assert dispatch.dispatch  # loaded before the processes part
    for verb in verbs:
        fault = fault_of(start, verb, rounds, folder)
        if fault is not None:
            print(f"{' '.join(verb)}: {fault}", file=sys.stderr)
            faults += 1
    return {"verbs": len(verbs), "rounds": rounds, "faults": faults}


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as made:
        named = tuple(verb for verb in VERBS if verb[0] in sys.argv[2:]) or VERBS
        told = run(int(sys.argv[1]) if len(sys.argv) > 1 else 200, made, named)
    print(told)
    sys.exit(1 if told["faults"] else 0)
