"""Rows of re-bases: meat taken off, tare changed, divided, start weight corrected."""

import sqlite3

from curedash.domain.record import field_names
from curedash.domain.records import Rebase
from curedash.store.work import Work

_COLUMNS = ", ".join(field_names(Rebase))


def add(
    work: Work,
    *,
    lot_id: int,
    at: str,
    kind: str,
    before_g: float,
    after_g: float,
    factor: float,
    tare_before_g: float,
    tare_after_g: float,
    reason: str,
) -> int:
    """A new re-base; its id."""
    return work.insert(
        "rebase",
        lot_id=lot_id,
        at=at,
        kind=kind,
        before_g=before_g,
        after_g=after_g,
        factor=factor,
        tare_before_g=tare_before_g,
        tare_after_g=tare_after_g,
        reason=reason,
    )


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


def of_lot(conn: sqlite3.Connection, lot_id: int) -> list[Rebase]:
    """Re-bases of one lot that stand, oldest first."""
    rows = conn.execute(
        f"SELECT {_COLUMNS} FROM rebase WHERE lot_id = ? AND voided_at IS NULL ORDER BY at, id",
        (lot_id,),
    )
    return [Rebase(*row) for row in rows]
