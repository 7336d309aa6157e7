"""Whether somebody opens a file for the first time; asked at every start, so it loads little."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.store import settings
from curedash.store.work import By

SCALE_ASKED = "scale-asked"  # set once somebody was told that no scale is known
SHOWN_ONCE = "first-start"  # set when the first questions were seen; not a choice


def is_first_start(conn: Connection) -> bool:
    """Whether the first questions belong on the screen: no lot was ever kept, none was asked."""
    return settings.holds_no_lot(conn) and settings.get(conn, SHOWN_ONCE) is None


def first_start_seen(conn: Connection, _by: By) -> None:
    """The first questions are not shown again."""
    settings.mark(conn, SHOWN_ONCE)


def scale_unknown(conn: Connection) -> bool:
    """Whether nobody said how finely a scale weighs, and it was not asked yet."""
    return settings.get(conn, SCALE_ASKED) is None and not settings.scales(conn)


def scale_asked(conn: Connection, _by: By) -> None:
    """It is not asked again."""
    settings.mark(conn, SCALE_ASKED)
