"""Stopping the clock and going on; throwing a lot away with a reason."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import DISCARDED, DRYING, ON_HOLD, in_stage
from curedash.domain.errors import Refused
from curedash.domain.record import replace
from curedash.services.curing.change_stage import Move, Moved, change_stage
from curedash.services.find import lot_with_id
from curedash.services.one_line import one_line
from curedash.store import lots
from curedash.store.work import By, at_once

MAX_REASON = 500


@at_once
def hold(conn: Connection, by: By, lot_id: int, how: Move) -> Moved:
    """Put a lot on hold, vacuum-packed and cold; its weight now shows a leaking bag later.

    Parameters
    ----------
    how : weight, tare, place, note; its stage does not count
    """
    return change_stage(conn, by, lot_id, replace(how, stage=ON_HOLD))


@at_once
def resume(conn: Connection, by: By, lot_id: int, how: Move) -> Moved:
    """Go on where the lot was before it was put on hold.

    Raises
    ------
    Refused: it is not on hold
    """
    lot = lot_with_id(conn, lot_id)
    if lot.stage != ON_HOLD:
        raise Refused(f"{lot.code} is {in_stage(lot.stage)}, not on hold.")
    before = [entry.stage for entry in lots.stages(conn, lot_id) if entry.stage != ON_HOLD]
    return change_stage(conn, by, lot_id, replace(how, stage=before[-1] if before else DRYING))


@at_once
def discard(
    conn: Connection,
    by: By,
    lot_id: int,
    reason: str,
    at: datetime,
    *,
    weight_g: float | None = None,
) -> Moved:
    """Throw a lot away; the reason stays with it, and undo brings it back.

    Raises
    ------
    Refused: no reason
    """
    clean = one_line(reason, MAX_REASON)
    if clean is None:
        raise Refused("Say in a few words why it is thrown away, e.g. smelled rotten.")
    move = Move(DISCARDED, at, weight_g=weight_g, note=clean, keep_doubtful=True)
    return change_stage(conn, by, lot_id, move)
