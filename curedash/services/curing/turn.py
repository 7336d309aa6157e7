"""Turning what lies in the cure."""

from collections.abc import Sequence
from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import IN_CURE, in_stage
from curedash.domain.curing.turning import turn_every_days, turn_words
from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.services.find import lot_with_id
from curedash.services.future_check import require_past
from curedash.services.one_line import one_line
from curedash.store import lots, rack
from curedash.store.work import By, at_once, change

TURN = "turn"


@at_once
def turn(
    conn: Connection,
    by: By,
    lot_ids: Sequence[int],
    at: datetime,
    *,
    note: str | None = None,
    keep_doubtful: bool = False,
) -> list[LotState]:
    """Log that lots were turned, all in one change.

    Raises
    ------
    Refused: none named, one that is not in cure, a time before it was salted;
    Doubtful: a time that has not come yet
    """
    found = [lot_with_id(conn, lot_id) for lot_id in lot_ids]
    if not found:
        raise Refused("Nothing is in cure there; name the lots that were turned.")
    when, words = utc_text(at), one_line(note, 500)
    for lot in found:
        if lot.stage != IN_CURE:
            raise Refused(f"{lot.code} is {in_stage(lot.stage)}, there is nothing to turn.")
        if when < lot.stage_at:
            raise Refused(
                f"{lot.code} has been in cure since {lot.stage_at[:10]}; give a later time."
            )
    codes = ", ".join(lot.code for lot in found)
    require_past(by, at, codes, keep_doubtful=keep_doubtful)
    with change(conn, by, "turn", subject=codes, at=when) as work:
        for lot in found:
            text = turn_words(lot.method) + (f": {words}" if words else "")
            lots.add_event(work, when, TURN, text, lot_id=lot.id)
    return found


def lying_with(conn: Connection, lot: LotState) -> list[LotState]:
    """This lot and all others in cure in its place that may be turned along.

    Raises
    ------
    Refused: nothing to turn
    """
    if not may_turn(lot):
        why = "is not in cure" if lot.stage != IN_CURE else "is in no bag, box or brine to turn"
        raise Refused(f"{lot.code} {why}: there is nothing to turn.")
    return [m for m in rack.open_lots(conn) if m.place_id == lot.place_id and may_turn(m)]


def may_turn(lot: LotState) -> bool:
    """Whether there is something to turn."""
    return lot.stage == IN_CURE and turn_every_days(lot.method) is not None
