"""Finding a lot by what a person types."""

from collections.abc import Sequence
from sqlite3 import Connection

from curedash.domain.errors import NotFound, Refused
from curedash.domain.household.codes import parse_lot_code
from curedash.domain.records import LotState
from curedash.domain.wording import no_such
from curedash.store import batches, rack

MOST_NAMED = 8  # lots in a refusal


def lot_with_id(conn: Connection, lot_id: int) -> LotState:
    """The lot with this id.

    Raises
    ------
    NotFound: it was taken back meanwhile
    """
    lot = rack.one_lot(conn, lot_id)
    if lot is None:
        raise NotFound("That lot is gone; nothing was saved.")
    return lot


def require_lot(conn: Connection, code: str) -> LotState:
    """The lot with this code as typed: ``C2``, ``c2``, ``C 2``.

    Raises
    ------
    NotFound: names the lots there are
    """
    try:
        lot = rack.lot_by_code(conn, parse_lot_code(code))
    except Refused:
        lot = None
    if lot is not None:
        return lot
    known = [row.code for row in rack.open_lots(conn)]
    if len(known) > MOST_NAMED:
        known = [*known[:MOST_NAMED], "another open one"]
    raise NotFound(no_such("lot", code[:20], known))


def lots_named(conn: Connection, names: Sequence[str]) -> list[LotState]:
    """The lots with these codes; a batch code stands for all its lots, no name for every open lot.

    Raises
    ------
    NotFound: one of the names fits nothing
    """
    if not names:
        return rack.open_lots(conn)
    found: dict[int, LotState] = {}
    for name in names:
        batch = batches.by_code(conn, name.strip().upper())
        members = [require_lot(conn, name)] if batch is None else []
        if batch is not None:
            members = rack.lots_of_batch(conn, batch.id)
        found |= {lot.id: lot for lot in members}
    return list(found.values())
