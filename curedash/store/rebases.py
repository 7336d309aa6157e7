"""Rows of re-bases: meat taken off, tare changed, divided, start weight corrected."""

from sqlite3 import Connection
from typing import Any

from curedash.domain.records import LotState, Rebase
from curedash.store.rows import many
from curedash.store.work import Work


def add(
    work: Work, then: LotState, *, tare_after_g: float | None = None, factor: float = 1.0, **of: Any
) -> int:
    """A new re-base; its id.

    Parameters
    ----------
    then : the lot as it was before
    tare_after_g : the tare from then on [g]; None: as before
    factor : share of the base that is left
    of : its other columns
    """
    after_g = then.tare_g if tare_after_g is None else tare_after_g
    tares = {"tare_before_g": then.tare_g, "tare_after_g": after_g}
    return work.insert("rebase", lot_id=then.id, factor=factor, **tares, **of)


def update(work: Work, rebase: Rebase) -> None:
    """Write what a re-base comes to once the facts before it were corrected."""
    follows = ("at", "before_g", "after_g", "factor", "tare_before_g", "tare_after_g")
    work.update("rebase", rebase.id, **{name: getattr(rebase, name) for name in follows})


def of_lot(conn: Connection, lot_id: int) -> list[Rebase]:
    """Re-bases of one lot that stand, oldest first."""
    standing = "rebase WHERE lot_id = ? AND voided_at IS NULL ORDER BY at, id"
    return many(conn, Rebase, standing, (lot_id,))
