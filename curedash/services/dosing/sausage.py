"""A sausage that is stuffed on the evening it is mixed: batch, weight, pH and place in one change.

What is stored is what the shell stores with ``batch add``, ``stage`` and ``ph``, one after another.
"""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import DRYING, FERMENT
from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.times import moment
from curedash.services.curing.change_stage import Move, apply_move
from curedash.services.curing.log_ph import add_ph
from curedash.services.dosing.add_batch import AddedBatch, BatchSpec, add_into, added
from curedash.services.find import lot_with_id
from curedash.store.work import By, at_once, change


@record
class Stuffed:
    """What is known once the casing is filled; weights are what the scale shows [g]."""

    weights_g: tuple[float, ...]  # one for each string
    tare_g: float = 0.0
    tare_what: str = ""
    ph: float | None = None
    why: str | None = None  # the reason for what is done against a rule


@at_once
def add_stuffed(conn: Connection, by: By, spec: BatchSpec, stuffed: Stuffed) -> AddedBatch:
    """Store a batch of sausages that is stuffed already; it ferments, or hangs, since it was mixed.

    Its pH is measured now.

    Raises
    ------
    as `add_batch` and :func:`curedash.services.curing.change_stage.change_stage`; Refused also
    where there are more or fewer weights than strings
    """
    strings, weights = len(spec.pieces), len(stuffed.weights_g)
    if strings != weights:
        raise Refused(f"Strings: {strings}, stuffed weights: {weights}. Give one for each.")
    with change(conn, by, "add batch") as work:
        adding = add_into(work, spec)
        for lot_id, weight_g in zip(adding.lot_ids, stuffed.weights_g, strict=True):
            apply_move(work, lot_with_id(conn, lot_id), _move(by, spec, stuffed, weight_g))
            if stuffed.ph is not None:
                add_ph(work, lot_with_id(conn, lot_id), stuffed.ph, moment(by.now))
    return added(conn, adding)


def _since(by: By, spec: BatchSpec) -> datetime:
    """When its salt went in, as its dose sheet says too; it was stuffed then."""
    now = moment(by.now)
    return now if spec.salted_at is None else min(spec.salted_at, now)


def _move(by: By, spec: BatchSpec, stuffed: Stuffed, weight_g: float) -> Move:
    """Into its ferment, or to dry where it does not ferment."""
    plan = spec.plan
    place = None
    if plan is not None:
        place = (plan.ferment_in if spec.style.fermented else plan.hang_in) or None
    return Move(
        stage=FERMENT if spec.style.fermented else DRYING,
        at=_since(by, spec),
        weight_g=weight_g,
        tare_g=stuffed.tare_g,
        tare_what=stuffed.tare_what or None,
        place=place,
        note=stuffed.why,
        keep_doubtful=stuffed.why is not None,
    )
