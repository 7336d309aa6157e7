"""A pH of a lot, written down; what reads a ferment needs nothing of this."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.degree_hours import ph_reached
from curedash.domain.curing.ferment import FermentState
from curedash.domain.curing.stages import CLOSED, DISCARDED, in_stage
from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.times import moment, utc_text
from curedash.services.curing.ferment import PH, ferment_of
from curedash.services.find import lot_with_id
from curedash.services.future_check import require_past
from curedash.services.one_line import one_line
from curedash.store import lots
from curedash.store.work import By, Work, at_once, change


@record
class KeptPh:
    """A pH as kept, and the ferment after it."""

    lot: LotState
    ph: float
    state: FermentState | None


@at_once
def log_ph(
    conn: Connection,
    by: By,
    lot_id: int,
    ph: float,
    at: datetime,
    *,
    note: str | None = None,
    keep_doubtful: bool = False,
) -> KeptPh:
    """Keep a pH; at 5.3 or below the count of degree-hours ends.

    Raises
    ------
    Refused: a number that is not a pH of a sausage, a lot that is closed; Doubtful: a time that
    has not come yet
    """
    lot = lot_with_id(conn, lot_id)
    ph_reached(ph)  # refuses what is not a pH
    if lot.stage in (CLOSED, DISCARDED):
        raise Refused(f"{lot.code} is {in_stage(lot.stage)}; its pH log has ended.")
    require_past(by, at, lot.code, keep_doubtful=keep_doubtful)
    with change(conn, by, "pH", subject=f"{lot.code} {ph:g}", at=utc_text(at)) as work:
        add_ph(work, lot, ph, at, note)
    return KeptPh(lot, ph, ferment_of(conn, lot, max(at, moment(by.now))))


def add_ph(work: Work, lot: LotState, ph: float, at: datetime, note: str | None = None) -> None:
    """Add a pH inside a running change.

    Raises
    ------
    Refused: a number that is not a pH of a sausage
    """
    ph_reached(ph)
    words = one_line(note, 500)
    text = f"pH {ph:g}" + (f": {words}" if words else "")
    lots.add_event(work, utc_text(at), PH, text, lot_id=lot.id, data={"ph": ph})
