"""Which change ended a lot, so that an end by mistake can be taken back however long ago."""

from sqlite3 import Connection

from curedash.domain.curing.stages import CLOSED, DISCARDED
from curedash.domain.errors import NotFound
from curedash.services.find import lot_with_id
from curedash.services.household.history import HistoryLine, details, history

MOST_CHANGES = 10_000  # of one lot


def ending_of(conn: Connection, lot_id: int) -> HistoryLine:
    """The change that closed or discarded a lot and stands; taken back, the lot goes on.

    Raises
    ------
    NotFound: it goes on, or the log does not know what ended it
    """
    lot = lot_with_id(conn, lot_id)
    if lot.stage in (CLOSED, DISCARDED):
        for line in history(conn, limit=MOST_CHANGES, lot_id=lot_id):
            if not line.undone and _set_stage(conn, line.id, lot_id, lot.stage):
                return line
    raise NotFound(f"The log has no entry that ended {lot.code}; look at its history.")


def _set_stage(conn: Connection, change_id: int, lot_id: int, stage: str) -> bool:
    return any(
        (detail.table, detail.key, detail.column, detail.after) == ("lot", lot_id, "stage", stage)
        for detail in details(conn, change_id)
    )
