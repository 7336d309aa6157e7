"""Hanging a lot in another place."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import (
    CLOSED,
    DISCARDED,
    DRIES_MOST_C,
    DRYING,
    in_stage,
    notes_needed,
    stated,
)
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.quantity_text import celsius, phrase
from curedash.domain.record import record
from curedash.domain.records import LotState, Place
from curedash.domain.times import utc_text
from curedash.services.find import lot_with_id
from curedash.services.places import places
from curedash.store import lots, rack
from curedash.store.work import By, Work, at_once, change


@record
class Hung:
    """The lot where it hangs now, and what was overruled."""

    lot: LotState
    messages: tuple[str, ...]


@at_once
def move_to(
    conn: Connection,
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
        raise Refused(f"{lot.code} is {in_stage(lot.stage)}; it no longer hangs in a place.")
    if place.id == lot.place_id:
        raise Refused(f"{lot.code} is in {place.name} already.")
    read_c, band_c = places.temp_of(conn, place, at)
    reasons = notes_needed(lot.stage, place_temp_c=read_c, place_band_c=band_c)
    if reasons and not note and not keep_doubtful:
        raise Doubtful(phrase("{code}: {reason}", code=lot.code, reason=reasons[0]))
    with change(conn, by, "move", subject=f"{lot.code} to {place.name}", at=utc_text(at)) as work:
        _hang_in(work, lot, place, at, note)
    return Hung(lot_with_id(conn, lot_id), tuple(stated(reason) for reason in reasons))


@at_once
def move_to_new(
    conn: Connection, by: By, warm: Place, new: places.NewPlace, at: datetime
) -> tuple[LotState, ...]:
    """Add a place, and move there all that dries in another one, in one change.

    Returns
    -------
    the lots that moved, as they were

    Raises
    ------
    Refused: nothing dries there, or the new place is no cooler
    """
    inside = (lot for lot in rack.open_lots(conn) if lot.place_id == warm.id)
    drying = [lot for lot in inside if lot.stage == DRYING]
    if not drying:
        raise Refused(f"Nothing dries in {warm.name} any more.")
    require_cool(new)
    with change(conn, by, "move", subject=f"to {new.name}", at=utc_text(at)) as work:
        place, _ = places.place_for(work, new.name, new)
        if place.id == warm.id:
            raise Refused(f"They are in {warm.name}; type another place.")
        for lot in drying:
            _hang_in(work, lot, place, at, None)
    return tuple(drying)


def require_cool(new: places.NewPlace) -> None:
    """Refuse a new place that is too warm to dry in as well.

    Raises
    ------
    Refused: its band is too warm
    """
    if new.temp_c is not None and sum(new.temp_c) / 2 > DRIES_MOST_C:
        said = "That place is too warm to dry in as well: give {most} or less."
        raise Refused(phrase(said, most=celsius(DRIES_MOST_C)))


def _hang_in(work: Work, lot: LotState, place: Place, at: datetime, note: str | None) -> None:
    """A lot in another place from this moment on."""
    text = f"moved from {lot.place or 'nowhere named'} to {place.name}"
    text += f": {note}" if note else ""
    lots.update(work, lot.id, place_id=place.id)
    of = {"lot_id": lot.id, "place_id": place.id}
    data = {"from": lot.place_id, "to": place.id}
    lots.add_event(work, utc_text(at), "moved", text, data=data, **of)
