"""Seeing what another process wrote: the file's version, then the log beyond the last line read."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from curedash.store.file_trouble import translate_error
from curedash.store.log import last_change_id

Connection = sqlite3.Connection


@contextmanager
def reading(path: str) -> Iterator[None]:
    """Put what the driver says while reading into one sentence (FileTrouble or Busy)."""
    try:
        yield
    except sqlite3.Error as trouble:
        raise translate_error(trouble, path) from None


def data_version(conn: sqlite3.Connection) -> int:
    """A number that differs after any other connection has committed."""
    return int(conn.execute("PRAGMA data_version").fetchone()[0])


def lots_changed_since(conn: sqlite3.Connection, change_id: int) -> tuple[int, set[int]]:
    """The newest line of the log, and the lots touched by the lines beyond ``change_id``.

    A log that ends earlier than that is the one of a copy somebody went back to.
    """
    newest, touched = min(change_id, last_change_id(conn)), set()
    rows = conn.execute("SELECT id, after FROM change WHERE id > ? ORDER BY id", (change_id,))
    for line_id, after in rows:
        newest = line_id
        for table, key, image in json.loads(after):
            lot_id = key if table in ("lot", "finish") else (image or {}).get("lot_id")
            if lot_id is not None:
                touched.add(int(lot_id))
    return newest, touched
