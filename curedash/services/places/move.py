"""Hanging a lot in another place."""

import sqlite3
from datetime import datetime

from curedash.domain.curing.stages import CLOSED, DISCARDED, notes_needed, stated, word
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.quantity_text import phrase
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.services.find import lot_with_id
from curedash.services.places import places
from curedash.store import lots
from curedash.store.work import By, at_once, change


@record
class Hung:
    """The lot where it hangs now, and what was overruled."""

    lot: LotState
    messages: tuple[str, ...]


@at_once
def move_to(
    conn: sqlite3.Connection,
    by: By,
    lot_id: int,
    place_name: str,
    at: datetime,
    *,
    note: str | None = None,
    keep_doubtful: bool = False,
) -> Hung:
    """Move a lot to another place; its stage and its days go on.

    Raises
    ------
    NotFound: no such place; Refused: it is there already, or closed; Doubtful: a sealed bag in a
    warm place, unless a note says why
    """
    lot = lot_with_id(conn, lot_id)
    place = places.require_place(conn, place_name)
    if lot.stage in (CLOSED, DISCARDED):
        raise Refused(f"{lot.code} is {word(lot.stage)}; it no longer hangs in a place.")
    if place.id == lot.place_id:
        raise Refused(f"{lot.code} is in {place.name} already.")
    read_c, band_c = places.temp_of(conn, place, at)
    reasons = notes_needed(lot.stage, place_temp_c=read_c, place_band_c=band_c)
    if reasons and not note and not keep_doubtful:
        raise Doubtful(phrase("{code}: {reason}", code=lot.code, reason=reasons[0]))
    text = f"moved from {lot.place or 'nowhere named'} to {place.name}"
    when = utc_text(at)
    with change(conn, by, "move", subject=f"{lot.code} to {place.name}", at=when) as work:
        lots.update(work, lot_id, place_id=place.id)
        lots.add_event(
            work,
            at=when,
            kind="moved",
            lot_id=lot_id,
            place_id=place.id,
            text=text + (f": {note}" if note else ""),
            data={"from": lot.place_id, "to": place.id},
        )
    return Hung(lot_with_id(conn, lot_id), tuple(stated(reason) for reason in reasons))
