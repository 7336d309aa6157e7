"""Many lots at once, for measuring: a batch copied row by row, its lines in the log as well.

Nothing a person does comes here; the copies are as if each of their weigh-ins had been made.
"""

import json
import sqlite3
from collections.abc import Iterator
from typing import Any

from curedash.store.work import quiet

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
