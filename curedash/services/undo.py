"""Taking a change back: its before-images as a new change, if nothing came since."""

import json
import sqlite3

from curedash.domain.errors import NotFound, Refused
from curedash.domain.records import Change
from curedash.store import lots
from curedash.store.work import By, Work, change


def undo_last(conn: sqlite3.Connection, by: By) -> str:
    """Take back this session's last change that still stands.

    Returns
    -------
    what was taken back, in words

    Raises
    ------
    NotFound: this session has changed nothing; Refused: somebody changed it since
    """
    for line in lots.changes(conn, limit=1000):
        if line.session == by.session and line.undoes is None and not _undone(conn, line):
            return undo_change(conn, by, line.id)
    raise NotFound("Nothing of this session is left to undo; the history has older changes.")


def undo_change(conn: sqlite3.Connection, by: By, change_id: int) -> str:
    """Take back one change by its number in the log.

    Raises
    ------
    NotFound: no such change; Refused: undone already, or its rows were changed since
    """
    line = lots.change_by_id(conn, change_id)
    if line is None:
        raise NotFound(f"There is no change {change_id} in the log.")
    if _undone(conn, line):
        raise Refused(f"Change {change_id} ({line.verb} {line.subject}) is undone already.")
    before, after = json.loads(line.before), json.loads(line.after)
    with change(conn, by, "undo", subject=line.subject, undoes=line.id) as work:
        for table, key, _ in after:
            _require_unchanged(conn, work, line, table, key)
        for table, key, image in reversed(before):
            work.restore(table, key, image)
    return f"{line.verb} {line.subject}".strip()


def _undone(conn: sqlite3.Connection, line: Change) -> bool:
    """True if an undo of this change still stands (that undo was not undone itself)."""
    if line.undone_by is None:
        return False
    later = lots.change_by_id(conn, line.undone_by)
    return later is not None and not _undone(conn, later)


def _require_unchanged(
    conn: sqlite3.Connection, work: Work, line: Change, table: str, key: object
) -> None:
    """The row stands as this change left it, else say who came after."""
    now = work.image(table, key)
    last = _last_image(json.loads(line.after), table, key)
    if now == last:
        return
    for later in lots.changes(conn, after_id=line.id, limit=1000)[::-1]:
        touched = {(t, k) for t, k, _ in json.loads(later.after)}
        if (table, key) in touched and not _undone(conn, later) and later.undoes is None:
            raise Refused(
                f"{later.actor} has changed it since ({later.verb} {later.subject},"
                f" {later.recorded_at}); take that back first."
            )
    raise Refused("It has been changed since; take the later changes back first.")


def _last_image(after: list[list[object]], table: str, key: object) -> object:
    """The image a change left a row with (it may have touched it twice)."""
    for found_table, found_key, image in reversed(after):
        if (found_table, found_key) == (table, key):
            return image
    return None


def newest_of(conn: sqlite3.Connection, actor: str, origin: str) -> int | None:
    """Number of the newest change of this person from there that still stands."""
    for line in lots.changes(conn, limit=1000):
        mine = line.actor == actor and line.origin == origin and line.undoes is None
        if mine and not _undone(conn, line):
            return line.id
    return None
