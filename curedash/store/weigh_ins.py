"""Rows of weigh-ins: added and voided, never overwritten."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.domain.curing.stages import ON_THE_CURVE
from curedash.domain.record import as_dict, field_names, record
from curedash.domain.records import LotState, WeighIn
from curedash.domain.weighing.weights import net_from_gross
from curedash.store.rows import value
from curedash.store.work import Work

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

_COLUMNS = ", ".join(field_names(WeighIn))


@record
class NewWeighIn:
    """A weight of a lot as it is written; ``own_tare`` says that the tare is of it alone."""

    lot_id: int
    at: str
    stage: str
    kind: str
    curve: bool
    gross_g: float
    tare_g: float
    base_factor: float
    flagged: str | None = None
    note: str | None = None
    replaces: int | None = None
    own_tare: bool = False


def weighed(lot: LotState, at: str, gross_g: float, **more: Any) -> NewWeighIn:
    """A weight of a lot as it is at that moment: its stage, its curve, its tare."""
    usual = {
        "lot_id": lot.id,
        "stage": lot.stage,
        "kind": "stage",
        "curve": lot.stage in ON_THE_CURVE and lot.hang_g is not None,
        "tare_g": lot.tare_g,
        "base_factor": lot.base_factor,
    }
    return NewWeighIn(**{**usual, "at": at, "gross_g": gross_g, **more})


def add(work: Work, new: NewWeighIn) -> int:
    """A new weight of a lot; its id.

    Raises
    ------
    Refused: a weight that is not above its tare
    """
    values = as_dict(new)
    values |= {"curve": int(new.curve), "own_tare": int(new.own_tare)}
    return work.insert("weigh_in", net_g=net_from_gross(new.gross_g, new.tare_g), **values)


def void(work: Work, weigh_in_id: int) -> None:
    """Mark a weigh-in as not counting; it stays in the file and the log."""
    work.update("weigh_in", weigh_in_id, voided_at=work.by.now)


def at_moment(conn: Connection, lot_id: int, at: str) -> list[WeighIn]:
    """Weigh-ins of one lot at one moment [UTC] that count."""
    return _many(conn, "lot_id = ? AND at = ? AND voided_at IS NULL", (lot_id, at))


def of_lot(conn: Connection, lot_id: int, *, voided: bool = False) -> list[WeighIn]:
    """Weigh-ins of one lot, oldest first."""
    standing = "lot_id = ? AND (voided_at IS NULL OR ?) ORDER BY at, id"
    return _many(conn, standing, (lot_id, voided))


def one(conn: Connection, weigh_in_id: int) -> WeighIn | None:
    """The weigh-in with this id."""
    return next(iter(_many(conn, "id = ?", (weigh_in_id,))), None)


def first_entered(conn: Connection, lot_id: int) -> dict[int, int]:
    """Of each weigh-in of a lot, voided ones too, the one it first replaced, else itself."""
    first: dict[int, int] = {}
    rows = conn.execute("SELECT id, replaces FROM weigh_in WHERE lot_id = ? ORDER BY id", (lot_id,))
    for weigh_in_id, replaces in rows:
        first[weigh_in_id] = first.get(replaces, replaces) if replaces else weigh_in_id
    return first


def replaced(conn: Connection, weigh_in_id: int) -> int | None:
    """The weigh-in that this one was entered instead of."""
    found: int | None = value(conn, "SELECT replaces FROM weigh_in WHERE id = ?", (weigh_in_id,))
    return found


def anything_after(conn: Connection, lot_id: int, at: str) -> bool:
    """Whether a weigh-in, re-base, stage or move of a lot happened after a moment."""
    later = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} WHERE lot_id = :lot AND at > :at AND voided_at IS NULL)"
        for table in ("weigh_in", "rebase", "stage_entry")
    )
    moved = (
        "EXISTS (SELECT 1 FROM event WHERE lot_id = :lot AND at > :at AND kind = 'moved'"
        " AND voided_at IS NULL)"
    )
    return bool(value(conn, f"SELECT {later} OR {moved}", {"lot": lot_id, "at": at}))


def _many(conn: Connection, where: str, values: tuple[Any, ...]) -> list[WeighIn]:
    rows = conn.execute(f"SELECT {_COLUMNS} FROM weigh_in WHERE {where}", values)
    return [_record(row) for row in rows]


def _record(row: tuple[Any, ...]) -> WeighIn:
    fields = [*row[:5], bool(row[5]), *row[6:-1], bool(row[-1])]
    return WeighIn(*fields)
