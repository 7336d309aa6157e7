"""What a record looks up beside the rows of a lot: its roast, and the alerts about it."""

from sqlite3 import Connection
from typing import Any

from curedash.domain.record import record
from curedash.domain.records import StoredNeed
from curedash.store.rows import many, value


@record
class Source:
    """A roast as bought."""

    name: str
    shop: str | None
    pack_date: str | None
    bought_g: float | None
    condition: str  # fresh | frozen | wild
    use_by: str | None = None  # the day on its label


def source_of(conn: Connection, lot_id: int) -> Source | None:
    """The roast a lot, or the piece it was cut from, came from."""
    row = conn.execute(
        "WITH RECURSIVE line (parent_id, source_id) AS ("
        " SELECT parent_id, source_id FROM lot WHERE id = ?"
        " UNION ALL SELECT up.parent_id, up.source_id FROM lot up JOIN line"
        " ON up.id = line.parent_id)"
        " SELECT s.name, s.shop, s.pack_date, s.bought_g, s.condition, s.use_by FROM line"
        " JOIN source s ON s.id = line.source_id WHERE s.voided_at IS NULL LIMIT 1",
        (lot_id,),
    ).fetchone()
    return None if row is None else Source(*row)


def dose_notes(conn: Connection, lot_id: int) -> list[str]:
    """What was said of its dose."""
    return (value(conn, "SELECT dose_notes FROM lot WHERE id = ?", (lot_id,)) or "").splitlines()


def alerts_of_lot(conn: Connection, lot_id: int) -> list[StoredNeed]:
    """Every alert there was about a lot, oldest first."""
    return _needs(conn, "lot_id = ?", (lot_id,))


def alerts_of_place(conn: Connection, place_id: int, since: str, until: str) -> list[StoredNeed]:
    """Alerts about a place that stood open at some time between two moments [UTC]."""
    return _needs(
        conn,
        "lot_id IS NULL AND place_id = ? AND opened_at <= ? AND ifnull(cleared_at, '9') >= ?",
        (place_id, until, since),
    )


def _needs(conn: Connection, where: str, values: tuple[Any, ...]) -> list[StoredNeed]:
    return many(conn, StoredNeed, f"need WHERE {where} ORDER BY opened_at, id", values)
