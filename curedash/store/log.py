"""Reading the append-only log of changes: whose, what still stands, what it touched."""

from collections.abc import Iterator
from sqlite3 import Connection

from curedash.domain.records import Change
from curedash.store.open import FIRST_LINE
from curedash.store.rows import value

_LINE = (
    "SELECT c.id, c.at_utc, c.recorded_at, c.session, c.actor, c.origin, c.verb, c.undoes,"
    " (SELECT max(u.id) FROM change u WHERE u.undoes = c.id), c.subject, c.before, c.after"
    " FROM change c "
)


def first_line(conn: Connection) -> str:
    """What a household is known by: when and by which run its log was begun; empty before that."""
    return value(conn, FIRST_LINE) or ""


def one(conn: Connection, change_id: int) -> Change | None:
    """One line of the log."""
    row = conn.execute(_LINE + "WHERE c.id = ?", (change_id,)).fetchone()
    return None if row is None else Change(*row)


def since(conn: Connection, change_id: int) -> Iterator[Change]:
    """The lines beyond an id, oldest first."""
    for row in conn.execute(_LINE + "WHERE c.id > ? ORDER BY c.id", (change_id,)):
        yield Change(*row)


def newest(
    conn: Connection,
    *,
    session: str | None = None,
    actor: str | None = None,
    origin: str | None = None,
    before_id: int | None = None,
) -> Iterator[Change]:
    """Lines newest first, of one run, one person or one front if named."""
    rows = conn.execute(
        _LINE + "WHERE (:session IS NULL OR c.session = :session)"
        " AND (:actor IS NULL OR c.actor = :actor) AND (:origin IS NULL OR c.origin = :origin)"
        " AND (:before IS NULL OR c.id < :before) ORDER BY c.id DESC",
        {"session": session, "actor": actor, "origin": origin, "before": before_id},
    )
    for row in rows:
        yield Change(*row)


def last_change_id(conn: Connection) -> int:
    """Id of the newest line of the log, 0 before the first."""
    return int(value(conn, "SELECT max(id) FROM change") or 0)


def newest_recorded_at(conn: Connection) -> str | None:
    """When the newest change was written [ISO-8601 UTC], for the clock rule."""
    newest_first = "SELECT recorded_at FROM change ORDER BY id DESC LIMIT 1"
    found: str | None = value(conn, newest_first)
    return found


def taken_back(conn: Connection) -> set[int]:
    """Ids of the changes that an undo took back which itself still stands."""
    gone: set[int] = set()
    rows = conn.execute("SELECT id, undoes FROM change WHERE undoes IS NOT NULL ORDER BY id DESC")
    for change_id, undoes in rows:
        if change_id not in gone:
            gone.add(undoes)
    return gone
