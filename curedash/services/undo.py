"""Taking a change back: its before-images as a new change, if nothing came since.

Nothing is erased: a weigh-in is voided, a batch or lot leaves every list, and both changes stay
in the log. Taking an undo back does the change again.
"""

import json
import sqlite3
from collections.abc import Iterator
from typing import Any

from curedash.domain.errors import NotFound, Refused
from curedash.domain.records import Change
from curedash.domain.times import moment
from curedash.services import household
from curedash.store import log
from curedash.store.work import By, Work, change

#: columns that point at a row, and the table they point into
POINTERS = {
    "lot_id": "lot", "parent_id": "lot", "batch_id": "batch", "source_id": "source",
    "place_id": "place", "replaces": "weigh_in", "mixed_with": "pack",
}  # fmt: skip


def undo_last(conn: sqlite3.Connection, by: By) -> str:
    """Take back this session's last change that still stands.

    Returns
    -------
    what was taken back, in words

    Raises
    ------
    NotFound: this session has changed nothing; Refused: somebody changed it since
    """
    number = _newest_standing(conn, log.newest(conn, session=by.session))
    if number is None:
        raise NotFound("Nothing of this session is left to undo; the history has older changes.")
    return undo_change(conn, by, number)


def redo_last(conn: sqlite3.Connection, by: By) -> str:
    """Do again what this session took back last, as long as it changed nothing else since.

    Raises
    ------
    NotFound: nothing was taken back, or something new was done since
    """
    number = _newest_undo(conn, log.newest(conn, session=by.session))
    if number is None:
        raise NotFound("Nothing was taken back that could be done again.")
    undo_change(conn, by, number)
    undone = log.one(conn, number)
    return "" if undone is None else undone.subject


def newest_of(conn: sqlite3.Connection, actor: str, origin: str) -> int | None:
    """Number of the newest change of this person from there that still stands."""
    return _newest_standing(conn, log.newest(conn, actor=actor, origin=origin))


def undo_change(conn: sqlite3.Connection, by: By, change_id: int) -> str:
    """Take back one change by its number in the log; that of an undo does the change again.

    Raises
    ------
    NotFound: no such change; Refused: undone already, or something came since that rests on it
    """
    line = log.one(conn, change_id)
    if line is None:
        raise NotFound(f"There is no change {change_id} in the log.")
    what = f"{line.verb} {line.subject}".strip()
    with change(conn, by, "undo", subject=what, undoes=line.id) as work:
        gone = log.taken_back(conn)
        if line.id in gone:
            raise Refused(f"Change {change_id} ({what}) is undone already.")
        _require_last(work, by, line, gone)
        try:
            for table, key, image in reversed(json.loads(line.before)):
                work.restore(table, key, image)
        except sqlite3.IntegrityError:
            raise Refused(
                f"{what} no longer fits what was done since; take the later changes back first."
            ) from None
    return what


def _newest_standing(conn: sqlite3.Connection, lines: Iterator[Change]) -> int | None:
    """The first of these lines that is a change and was not taken back."""
    gone = log.taken_back(conn)
    return next((line.id for line in lines if line.undoes is None and line.id not in gone), None)


def _newest_undo(conn: sqlite3.Connection, lines: Iterator[Change]) -> int | None:
    """The first of these lines that is a standing undo, unless something new stands before it."""
    gone = log.taken_back(conn)
    for line in lines:
        if line.id in gone:
            continue
        if line.undoes is None and line.undone_by is None:
            return None
        undone = None if line.undoes is None else log.one(conn, line.undoes)
        if undone is not None and undone.undoes is None:
            return line.id
    return None


def _require_last(work: Work, by: By, line: Change, gone: set[int]) -> None:
    """Every row stands as this change left it and nothing later rests on one it made."""
    after = _last_images(line)
    before = json.loads(line.before)
    made = {(table, key) for table, key, image in before if image is None}
    for later in log.since(work.conn, line.id):
        stands = later.undoes is None and later.id not in gone
        if stands and any(_rests_on(row, set(after), made) for row in json.loads(later.after)):
            who = "You have" if later.session == by.session else f"{later.actor} has"
            then = moment(later.recorded_at).astimezone(household.zone(work.conn))
            raise Refused(
                f"{who} changed it since ({later.verb} {later.subject}, {then.day} {then:%b %H:%M},"
                f" change {later.id}); take that back first."
            )
    for (table, key), image in after.items():
        if work.image(table, key) != image:
            raise Refused("It has been changed since; take the later changes back first.")


def _rests_on(row: list[Any], touched: set[tuple[str, Any]], made: set[tuple[str, Any]]) -> bool:
    table, key, image = row
    if (table, key) in touched:
        return True
    pointing = ((POINTERS[name], to) for name, to in (image or {}).items() if name in POINTERS)
    return any(pair in made for pair in pointing)


def _last_images(line: Change) -> dict[tuple[str, Any], Any]:
    """The image a change left each row with (it may have touched it twice)."""
    return {(table, key): image for table, key, image in json.loads(line.after)}
