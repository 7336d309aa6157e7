"""Half-typed forms: kept by name, listed, dropped. They bypass the log of changes."""

import json
from sqlite3 import Connection
from typing import Any

from curedash.domain.fast_json import dumps
from curedash.store.work import quiet


def put(conn: Connection, name: str, at: str, body: dict[str, Any] | None) -> None:
    """Keep what a form holds, or drop it (None)."""
    with quiet(conn):
        if body is None:
            conn.execute("DELETE FROM draft WHERE name = ?", (name,))
        else:
            conn.execute("INSERT OR REPLACE INTO draft VALUES (?, ?, ?)", (name, at, dumps(body)))


def every(conn: Connection) -> list[tuple[str, str, dict[str, Any]]]:
    """Name, when it was kept [UTC] and content of every draft, newest first."""
    rows = conn.execute("SELECT name, at, body FROM draft ORDER BY at DESC, name")
    return [(name, at, json.loads(body)) for name, at, body in rows]
