"""A larger household for measuring: the demo, filled up with drying lots.

    large_household.py FILE LOTS WEIGH_INS      a new file; weigh-ins a lot

A few batches are made as a person would, the others are copied from them row by row, their lines in
the log as well: the copies are as if each of their weigh-ins had been made.
"""

import itertools
import json
import math
import random
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from typing import Any

from curedash.domain.dosing import DoseRequest, resolve_curing_salt
from curedash.domain.household.codes import next_batch_code
from curedash.domain.household.styles import Style
from curedash.domain.household.styles import style as style_of
from curedash.domain.times import utc_text
from curedash.services.curing.change_stage import Move, change_stage
from curedash.services.dosing.add_batch import BatchSpec, PieceSpec, add_batch
from curedash.services.drying import forecasts
from curedash.services.file.demo import build_demo
from curedash.services.find import lot_with_id
from curedash.services.weighing.weigh import preview, weigh
from curedash.store import batches, rack
from curedash.store.open import open_db
from curedash.store.work import By, quiet

PATTERNS = 8  # so many batches are made; the others are copies of them


def build(path: str, now: datetime, lots: int, weigh_ins: int) -> int:
    """Build it into a new file, dated from ``now``; the number of open lots."""
    build_demo(path, now)
    with closing(open_db(path)) as conn:
        conn.execute("PRAGMA synchronous = OFF")
        _multiply(conn, now, lots, weigh_ins)
        conn.execute("PRAGMA synchronous = FULL")
        conn.execute("PRAGMA wal_checkpoint (TRUNCATE)")
        return len(rack.open_lots(conn))


def build_apart(path: str, lots: int, weigh_ins: int) -> None:
    """The same by a process of its own: the one that measures stays as it was."""
    words = [sys.executable, __file__, path, str(lots), str(weigh_ins)]
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL)


def by(at: datetime, who: str) -> By:
    """Somebody of the household."""
    return By(utc_text(at), who, "screen", f"demo-{who}")


def _measuring(rng: random.Random, pieces: int, style: Style, salted_at: datetime) -> BatchSpec:
    """A batch of so many pieces of any weight and thickness."""
    dose = DoseRequest(
        green_g=1.0,
        salt_pct=2.75,
        curing_salt=resolve_curing_salt("no2"),
        cure_pct=0.25,
        scale_division_g=0.1,
        rule_set="us",
        product_class="dry-cured",
    )
    made = tuple(
        PieceSpec(float(rng.randrange(700, 1900)), f"piece {n + 1}", float(rng.randrange(55, 95)))
        for n in range(pieces)
    )
    place = rng.choice(("Cellar", "Pantry fridge"))
    return BatchSpec("Measuring", "beef", style, made, dose, place=place, salted_at=salted_at)


def _multiply(conn: sqlite3.Connection, now: datetime, lots: int, weigh_ins: int) -> None:
    """Fill up with drying lots until there are ``lots`` open ones; each has ``weigh_ins``."""
    rng = random.Random(lots * 1000 + weigh_ins)
    missing = lots - len(rack.open_lots(conn))
    first = now - timedelta(days=weigh_ins + 14.0)
    style = style_of("bresaola")
    patterns: list[Pattern] = []
    while missing > 0 and len(patterns) < PATTERNS:
        spec = _measuring(rng, min(missing, 8), style, first)
        added = add_batch(conn, by(first, "mara"), spec)
        for lot in added.lots:
            _dry(conn, rng, lot.id, now, weigh_ins)
            forecasts.refresh(conn, lot_with_id(conn, lot.id), now)
            missing -= 1
        patterns.append(Pattern(conn, added.lots[0].batch_id))
    for pattern in itertools.cycle(patterns):
        if missing <= 0:
            break
        count = min(missing, len(pattern.lots))
        pattern.copy(conn, next_batch_code(batches.codes(conn)), count)
        missing -= count


def _dry(
    conn: sqlite3.Connection, rng: random.Random, lot_id: int, now: datetime, weigh_ins: int
) -> None:
    """Hang one lot and weigh it daily along a slowing curve."""
    hung = now - timedelta(days=weigh_ins)
    lot = rack.one_lot(conn, lot_id)
    assert lot is not None  # just added
    hang_g = round((lot.green_g or 0.0) * 0.97)
    limit, tau, power = rng.uniform(0.4, 0.5), rng.uniform(25, 70), rng.uniform(0.75, 0.95)
    change_stage(
        conn,
        by(hung, "jon"),
        lot_id,
        Move(
            "drying",
            hung,
            weight_g=hang_g + 28,
            tare_g=28,
            tare_what="hook and net",
            keep_doubtful=True,
        ),
    )
    for day in range(1, weigh_ins):
        at = hung + timedelta(days=day)
        lost = limit * (1 - math.exp(-((day / tau) ** power)))
        gross_g = round(hang_g * (1 - lost) + 28 + rng.gauss(0, 1))
        state = rack.one_lot(conn, lot_id)
        assert state is not None  # just added
        seen = preview(state, f"{gross_g} g", at, UTC)
        weigh(conn, by(at, "jon"), lot_id, seen, keep_doubtful=True)


# ── copies ────────────────────────────────────────────────────────────────────────────────

#: tables whose rows belong to a lot, with their own ids
OF_A_LOT = ("weigh_in", "stage_entry", "dose_line")

Rows = list[dict[str, Any]]


class Pattern:
    """A batch with everything that belongs to it, read once and copied as often as wanted."""

    def __init__(self, conn: sqlite3.Connection, batch_id: int) -> None:
        self.batch = _rows(conn, "SELECT * FROM batch WHERE id = ?", batch_id)[0]
        self.lots = _rows(conn, "SELECT * FROM lot WHERE batch_id = ? ORDER BY id", batch_id)
        mine = "SELECT * FROM {} WHERE lot_id IN (SELECT id FROM lot WHERE batch_id = ?)"
        self.parts = {table: _rows(conn, mine.format(table), batch_id) for table in OF_A_LOT}
        self.forecasts = _rows(conn, mine.format("forecast"), batch_id)
        self.changes = [
            (line, json.loads(line["after"])) for line in _changes(conn, self.batch, self.lots)
        ]

    def copy(self, conn: sqlite3.Connection, code: str, count: int) -> None:
        """Write one more batch of this kind with this code and so many of its lots."""
        lots = self.lots[:count]
        with quiet(conn):
            batch_id = _next_id(conn, "batch")
            ids: dict[str, dict[Any, int]] = {"batch": {self.batch["id"]: batch_id}}
            ids["lot"] = _new_ids(conn, "lot", lots)
            codes = {lot["code"]: f"{code}{number}" for number, lot in enumerate(lots, 1)}
            _put(conn, "batch", [self.batch | {"id": batch_id, "code": code}])
            _put(conn, "lot", [self._lot(lot, ids, codes) for lot in lots])
            for table, rows in self.parts.items():
                mine = [row for row in rows if row["lot_id"] in ids["lot"]]
                ids[table] = _new_ids(conn, table, mine)
                _put(conn, table, [_moved(table, row, ids) for row in mine])
            _put(conn, "forecast", list(self._forecasts(ids)))
            _put(conn, "change", list(self._log(ids, codes | {self.batch["code"]: code})))

    def _lot(
        self, lot: dict[str, Any], ids: dict[str, dict[Any, int]], codes: dict[str, str]
    ) -> dict[str, Any]:
        number = ids["lot"][lot["id"]]
        moved = {"id": number, "batch_id": ids["batch"][lot["batch_id"]], "position": number}
        return lot | moved | {"code": codes[lot["code"]]}

    def _forecasts(self, ids: dict[str, dict[Any, int]]) -> Iterator[dict[str, Any]]:
        for row in self.forecasts:
            if row["lot_id"] in ids["lot"]:
                newest = ids["weigh_in"].get(row["weigh_in_id"])
                yield row | {"lot_id": ids["lot"][row["lot_id"]], "weigh_in_id": newest}

    def _log(
        self, ids: dict[str, dict[Any, int]], codes: dict[str, str]
    ) -> Iterator[dict[str, Any]]:
        for line, after in self.changes:
            images = [
                [table, ids[table][key], _moved(table, image, ids)]
                for table, key, image in after
                if table in ids and key in ids[table]
            ]
            if images and (line["subject"] in codes):
                before = [[table, key, None] for table, key, _ in images]
                yield line | {
                    "id": None,
                    "subject": codes[line["subject"]],
                    "before": json.dumps(before),
                    "after": json.dumps(images),
                }


def _changes(conn: sqlite3.Connection, batch: dict[str, Any], lots: Rows) -> Rows:
    subjects = [batch["code"], *(lot["code"] for lot in lots)]
    marks = ", ".join("?" * len(subjects))
    return _rows(
        conn,
        f"SELECT * FROM change WHERE undoes IS NULL AND subject IN ({marks}) ORDER BY id",
        *subjects,
    )


def _rows(conn: sqlite3.Connection, sql: str, *given: Any) -> Rows:
    cursor = conn.execute(sql, given)
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor]


def _next_id(conn: sqlite3.Connection, table: str) -> int:
    return int(conn.execute(f"SELECT ifnull(max(id), 0) + 1 FROM {table}").fetchone()[0])


def _new_ids(conn: sqlite3.Connection, table: str, rows: Rows) -> dict[Any, int]:
    first = _next_id(conn, table)
    return {row["id"]: first + number for number, row in enumerate(rows)}


def _moved(table: str, row: dict[str, Any], ids: dict[str, dict[Any, int]]) -> dict[str, Any]:
    """The row under its new numbers."""
    moved = row | {"id": ids[table][row["id"]]} if "id" in row else dict(row)
    if "lot_id" in moved:
        moved["lot_id"] = ids["lot"][moved["lot_id"]]
    return moved


def _put(conn: sqlite3.Connection, table: str, rows: Rows) -> None:
    if rows:
        names = ", ".join(rows[0])
        marks = ", ".join("?" * len(rows[0]))
        conn.executemany(
            f"INSERT INTO {table} ({names}) VALUES ({marks})", [tuple(row.values()) for row in rows]
        )


if __name__ == "__main__":
    print(build(sys.argv[1], datetime.now(UTC), int(sys.argv[2]), int(sys.argv[3])), "open lots")
