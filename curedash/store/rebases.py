"""Rows of re-bases: meat taken off, tare changed, divided, start weight corrected."""

from sqlite3 import Connection
from typing import Any

from curedash.domain.records import Rebase
from curedash.store.rows import many
from curedash.store.work import Work


def add(work: Work, **values: Any) -> int:
    """A new re-base; its id."""
    return work.insert("rebase", **values)


def update(work: Work, rebase: Rebase) -> None:
    """Write what a re-base comes to once the facts before it were corrected."""
    work.update(
        "rebase",
        rebase.id,
        at=rebase.at,
        before_g=rebase.before_g,
        after_g=rebase.after_g,
        factor=rebase.factor,
        tare_before_g=rebase.tare_before_g,
        tare_after_g=rebase.tare_after_g,
    )


def of_lot(conn: Connection, lot_id: int) -> list[Rebase]:
    """Re-bases of one lot that stand, oldest first."""
    return many(
        conn, Rebase, "rebase WHERE lot_id = ? AND voided_at IS NULL ORDER BY at, id", (lot_id,)
    )
