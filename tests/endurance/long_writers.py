"""Four processes weigh the same lots at once while a sensor writes: nothing lost, in order.

long_writers.py [WRITES]      2500 a process unless told otherwise
"""

import os
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta

from curedash.domain.errors import Changed, CuredashError
from curedash.domain.records import Reading
from curedash.services.find import lot_with_id
from curedash.services.places import places
from curedash.services.weighing.weigh import preview_at, weigh
from curedash.store.open import open_db
from curedash.store.watching import Connection
from curedash.store.work import By
from tests.endurance.household import HUNG, build, by

PROCESSES, LOTS = 4, 5


def run(writes: int, folder: str) -> dict[str, int]:
    """Let them all write; what the file holds afterwards and what any of them saw as an error."""
    path = f"{folder}/household.db"
    build(path, LOTS)
    writers = [_child(lambda n=n: _weigh(path, n, writes)) for n in range(PROCESSES)]
    sensor = _child(lambda: _measure(path, writes))
    errors = sum(_ended(child) for child in [*writers, sensor])
    return _count(path) | {"errors": errors}


def _child(do: Callable[[], int]) -> int:
    child = os.fork()
    if child == 0:
        try:
            os._exit(min(do(), 100))
        except BaseException as fault:
            print(f"fault: {fault!r}", file=sys.stderr)
            os._exit(101)
    return child


def _ended(child: int) -> int:
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _weigh(path: str, number: int, writes: int) -> int:
    """One process: the lots in turn, each weight later than its last one; errors seen."""
    errors = 0
    with closing(open_db(path)) as conn:
        for step in range(writes):
            now = HUNG + timedelta(seconds=step)
            try:
                _weigh_once(conn, by(now, f"writer-{number}"), 1 + step % LOTS, step, now)
            except CuredashError as trouble:
                print(trouble, file=sys.stderr)
                errors += 1
    return errors


def _weigh_once(conn: Connection, who: By, lot_id: int, step: int, now: datetime) -> None:
    """Preview and save; what another process changed in between is read again, as at the scale."""
    while True:
        lot, text = lot_with_id(conn, lot_id), f"{950 - step / 100:.2f} g"
        seen = preview_at(conn, lot, text, now, UTC, now)
        try:
            weigh(conn, who, lot_id, seen, keep_doubtful=True)
        except Changed:
            continue
        return


def _measure(path: str, writes: int) -> int:
    errors = 0
    with closing(open_db(path)) as conn:
        place = places.require_place(conn, "Cellar")
        for step in range(writes):
            try:
                at = int(HUNG.timestamp()) + step
                places.log_air(conn, place, [Reading(at, 12.0, 75.0)])
            except CuredashError as trouble:
                print(trouble, file=sys.stderr)
                errors += 1
    return errors


def _count(path: str) -> dict[str, int]:
    """Weigh-ins of each writer in order of its own clock, per lot; one line in the log for each."""
    out_of_order, last = 0, {}
    with closing(open_db(path)) as conn:
        rows = conn.execute(
            "SELECT c.session, w.lot_id, w.at FROM change c JOIN weigh_in w"
            " ON w.id = json_extract(c.after, '$[0][1]') WHERE c.verb = 'weigh' ORDER BY c.id"
        ).fetchall()
        for session, lot_id, at in rows:
            out_of_order += at <= last.get((session, lot_id), "")
            last[session, lot_id] = at
        kept = conn.execute("SELECT count(*) FROM weigh_in WHERE kind = 'stage'").fetchone()[0]
        readings = conn.execute("SELECT count(*) FROM reading").fetchone()[0]
        whole = conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    return {
        "weigh_ins": kept,
        "in_log": len(rows),
        "out_of_order": out_of_order,
        "readings": readings,
        "damaged": int(not whole),
    }


def main() -> int:
    """Print the figures; 1 if anything is missing, out of order, or an error was seen."""
    writes = int(sys.argv[1]) if len(sys.argv) > 1 else 2500
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        figures = run(writes, folder)
    spent = time.monotonic() - start
    words = ", ".join(f"{name} {value}" for name, value in figures.items())
    print(f"writers: {PROCESSES} × {writes}: {words} ({spent:.0f} s)")
    wanted = PROCESSES * writes
    good = figures["weigh_ins"] == figures["in_log"] == wanted and figures["readings"] == writes
    return int(not good or bool(figures["out_of_order"] or figures["errors"] or figures["damaged"]))


if __name__ == "__main__":
    sys.exit(main())
