"""What the calendar files told so far, and the file's own name; measured, not decided, so it has
no line in the log.
"""

from __future__ import annotations

import json
from sqlite3 import Connection
from typing import Any

from curedash.store.file_trouble import is_read_only
from curedash.store.settings import get, remember
from curedash.store.work import quiet

FILE_ID, TOLD = "file-id", "calendar-told"


def file_id(conn: Connection) -> str:
    """A name no other file has, made once and kept through export and import."""
    known = get(conn, FILE_ID)
    if known is not None:
        return known
    from uuid import uuid4

    made = uuid4().hex
    if not is_read_only(conn):
        with quiet(conn):
            conn.execute("INSERT OR IGNORE INTO setting VALUES (?, ?)", (FILE_ID, made))
        return get(conn, FILE_ID) or made
    return "unnamed"


def stored_events(conn: Connection) -> dict[str, dict[str, Any]]:
    """The events of the last calendar file by their UID."""
    known = get(conn, TOLD)
    return {} if known is None else dict(json.loads(known))


def store_events(conn: Connection, events: dict[str, dict[str, Any]]) -> None:
    """Remember what was told; a file that can only be read remembers nothing."""
    body = json.dumps(events, ensure_ascii=False, sort_keys=True)
    if is_read_only(conn) or body == get(conn, TOLD):
        return
    remember(conn, TOLD, body)
