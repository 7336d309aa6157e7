"""Rows of days away."""

from sqlite3 import Connection

from curedash.domain.record import record
from curedash.store.rows import many
from curedash.store.work import Work


@record
class StoredAway:
    """Days nobody is at home, both included [ISO days]."""

    id: int
    from_day: str
    to_day: str
    note: str | None


def add(work: Work, from_day: str, to_day: str, note: str | None) -> int:
    """New days away; their id."""
    return work.insert("away", from_day=from_day, to_day=to_day, note=note)


def void(work: Work, away_id: int) -> None:
    """These days nobody goes away after all; the row stays in the log."""
    work.update("away", away_id, voided_at=work.by.now)


def all_away(conn: Connection, since: str = "") -> list[StoredAway]:
    """Days away that end on a day or later, in order."""
    ahead = "away WHERE voided_at IS NULL AND to_day >= ? ORDER BY from_day, id"
    return many(conn, StoredAway, ahead, (since,))
