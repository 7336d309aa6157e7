"""Each short caution once to each person, at the moment it belongs to."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.domain.curing.stages import CLOSED, EQUALISING, FERMENT, IN_CURE, KEEPING, ON_HOLD
from curedash.domain.facts.cautions import CAUTIONS
from curedash.store import batches, settings
from curedash.store.work import By

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import datetime

    from curedash.domain.dosing import Dose

IN_A_BAG = ("equilibrium", "pack")
_OF_STAGE = {
    IN_CURE: ("in-cure",),
    FERMENT: ("ferment",),
    EQUALISING: ("equalising",),
    ON_HOLD: ("equalising",),
    KEEPING: ("equalising", "slicing"),
    CLOSED: ("slicing",),
}


def cautions_once(
    conn: Connection, by: By, *moments: str, batch_id: int | None = None
) -> tuple[str, ...]:
    """The cautions of these moments that this person has not seen yet; seen from now on.

    Parameters
    ----------
    moments : words of the ``where`` of :mod:`curedash.domain.facts.cautions`
    batch_id : the batch they are shown for; once it is undone they count as not seen

    Returns
    -------
    the sentences in their order, empty where all were shown before
    """
    marks = {mark for mark in settings.cautions_seen(conn, by.actor) if _counts(conn, mark)}
    seen = {mark.partition("@")[0] for mark in marks}
    fresh = [c for moment in moments for c in CAUTIONS if c.where == moment and c.id not in seen]
    if fresh:
        of_batch = "" if batch_id is None else f"@{batch_id}"
        marks |= {f"{caution.id}{of_batch}" for caution in fresh}
        settings.mark_cautions_seen(conn, by.actor, marks)
    return tuple(caution.text for caution in fresh)


def _counts(conn: Connection, mark: str) -> bool:
    """Whether the batch that a caution was shown for is still there; of no batch always."""
    batch_id = mark.partition("@")[2]
    return not batch_id or batches.is_there(conn, int(batch_id))


def moments_of_batch(dose: Dose, salted_at: datetime | None) -> tuple[str, ...]:
    """What a new batch is the moment for; the bag comes up once it is in the cure."""
    moments = ["new-batch"]
    if any(item.kind in ("curing-salt", "pack") for item in dose.ingredients):
        moments.append("curing-salt")
    if salted_at is not None and dose.request.method in IN_A_BAG:
        moments.append(IN_CURE)
    if dose.request.rule_set is not None:
        moments.append("rule-set")
    return tuple(moments)


def moments_of_stage(stage: str, method: str) -> tuple[str, ...]:
    """What a stage is the moment for."""
    if stage == IN_CURE and method not in IN_A_BAG:
        return ()
    return _OF_STAGE.get(stage, ())
