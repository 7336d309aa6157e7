"""Whether somebody opens a file for the first time; asked at every start, so it loads little."""

from __future__ import annotations

import sqlite3

from curedash.store import settings
from curedash.store.work import By

SHOWN_ONCE = "first-start"  # set when the first questions were seen; not a choice


def is_first_start(conn: sqlite3.Connection) -> bool:
    """Whether the first questions belong on the screen: no lot was ever kept, none was asked."""
    return settings.holds_no_lot(conn) and settings.get(conn, SHOWN_ONCE) is None


def first_start_seen(conn: sqlite3.Connection, _by: By) -> None:
    """The first questions are not shown again."""
    settings.mark(conn, SHOWN_ONCE)
