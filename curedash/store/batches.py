"""Rows of batches and their sources."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.domain.record import record
from curedash.domain.records import Batch
from curedash.store.rows import many, value
from curedash.store.rows import one as first
from curedash.store.work import Work

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


#: a lot, and the roast it came from
_OF_LOT = "FROM lot JOIN source ON source.id = lot.source_id WHERE lot.id = ?"


def add(work: Work, **values: Any) -> int:
    """A new batch; its id."""
    return work.insert("batch", **values)


def update(work: Work, batch_id: int, **values: Any) -> None:
    """Change columns of one batch."""
    work.update("batch", batch_id, **values)


def add_source(work: Work, **values: Any) -> int:
    """A roast as bought; its id."""
    return work.insert("source", **values)


def use_by_of(conn: Connection, lot_id: int) -> str | None:
    """The use-by date of a lot's meat, where it came unfrozen and has one."""
    found: str | None = value(
        conn, f"SELECT source.use_by {_OF_LOT} AND source.condition <> 'frozen'", (lot_id,)
    )
    return found


def condition(conn: Connection, lot_id: int) -> str | None:
    """How the meat of a lot came: fresh, frozen or wild; None where nobody said."""
    found: str | None = value(conn, f"SELECT source.condition {_OF_LOT}", (lot_id,))
    return found


def codes(conn: Connection) -> set[str]:
    """Every batch code in use, taken-back ones from the log excluded."""
    return {row[0] for row in conn.execute("SELECT code FROM batch WHERE voided_at IS NULL")}


def one(conn: Connection, batch_id: int) -> Batch | None:
    """The batch with this id."""
    return first(conn, Batch, "batch WHERE id = ?", (batch_id,))


def is_there(conn: Connection, batch_id: int) -> bool:
    """Whether a batch was saved and not undone."""
    found = "SELECT 1 FROM batch WHERE id = ? AND voided_at IS NULL"
    return value(conn, found, (batch_id,)) is not None


def by_code(conn: Connection, code: str) -> Batch | None:
    """The batch with this code."""
    return first(conn, Batch, "batch WHERE code = ? AND voided_at IS NULL", (code,))


def all_batches(conn: Connection) -> list[Batch]:
    """Every batch, newest first."""
    return many(conn, Batch, "batch WHERE voided_at IS NULL ORDER BY id DESC")


def created_at(conn: Connection, batch_id: int) -> str:
    """When a batch was entered [UTC text]."""
    return str(value(conn, "SELECT created_at FROM batch WHERE id = ?", (batch_id,)))


def next_position(conn: Connection) -> float:
    """The place in the hanging order behind every other lot."""
    last = "SELECT max(position) FROM lot WHERE voided_at IS NULL"
    return float(value(conn, last) or 0.0) + 1.0


@record
class Roast:
    """What a roast cost."""

    id: int
    name: str
    price: float | None
    currency: str | None
    bought_g: float | None  # as bought [g]


def roast_of(conn: Connection, lot_id: int) -> Roast | None:
    """The roast a lot, or the piece it was cut from, came from."""
    row = conn.execute(
        "WITH RECURSIVE line (parent_id, source_id) AS ("
        " SELECT parent_id, source_id FROM lot WHERE id = ?"
        " UNION ALL SELECT up.parent_id, up.source_id FROM lot up JOIN line"
        " ON up.id = line.parent_id)"
        " SELECT s.id, s.name, s.price, s.currency, s.bought_g FROM line"
        " JOIN source s ON s.id = line.source_id"
        " WHERE line.parent_id IS NULL AND s.voided_at IS NULL",
        (lot_id,),
    ).fetchone()
    return None if row is None else Roast(*row)


def source_ids(conn: Connection, batch_id: int) -> dict[int, int | None]:
    """Which roast each lot of a batch came from, None where nobody said."""
    return dict(conn.execute("SELECT id, source_id FROM lot WHERE batch_id = ?", (batch_id,)))


def change_source(work: Work, source_id: int, **values: Any) -> None:
    """Change columns of one roast."""
    work.update("source", source_id, **values)
