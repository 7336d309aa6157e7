"""A weight that changed without drying: the base follows meat taken off, the tare all else."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.drying.lot_figures import base_of, loss_on, net_now_g
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.quantity_text import QuantityText, grams, phrase
from curedash.domain.record import record
from curedash.domain.records import ENDED, LotState, WeighIn
from curedash.domain.times import days_between, utc_text
from curedash.domain.weighing.doubts import Doubt, asked_of
from curedash.domain.weighing.rebase_reasons import MAX_REASON, REMOVED, TARE, kind_of
from curedash.domain.weighing.weight_history import COMPUTED
from curedash.domain.weighing.weights import net_from_gross, rebase_factor, tare_after
from curedash.services.find import lot_with_id
from curedash.services.future_check import ahead
from curedash.services.one_line import one_line
from curedash.services.weighing.as_of import follow, history_of, lot_at
from curedash.services.weighing.weigh import doubts_of
from curedash.store import lots, rebases, weigh_ins
from curedash.store.work import By, Work, at_once, change

FRESH_DAYS = 0.5  # design value: a weight this young may stand for the one before the cut
MUCH = 0.5  # design value: taking off more than this share is asked about


@record
class Rebasing:
    """What a person says; weights are what the scale shows [g]."""

    reason: str
    after_g: float
    at: datetime
    before_g: float | None = None  # None: the weigh-in just taken
    kind: str | None = None  # removed | tare, where the reason does not tell
    tare_what: str | None = None  # what is on it now, in words
    count: int | None = None  # pieces left of a string weighed as one
    keep_doubtful: bool = False


@record
class Rebased:
    """The lot as it goes on, and what was recorded."""

    lot: LotState
    kind: str
    reason: str
    base: str
    base_before_g: float | None  # None: nothing was weighed before
    base_after_g: float | None
    tare_before_g: float
    tare_after_g: float
    loss_pct: float | None


@at_once
def rebase(conn: Connection, by: By, lot_id: int, what: Rebasing) -> Rebased:
    """Record meat taken off, or something else put on or taken off; the loss stays the same.

    Raises
    ------
    Refused: weights that cannot be; Doubtful: a question; nothing is stored then
    """
    kind, reason = kind_of(what.reason, what.kind)
    with change(conn, by, "re-base", at=utc_text(what.at)) as work:
        before = lot_at(conn, lot_with_id(conn, lot_id), what.at)
        work.subject = f"{before.code} {reason}"
        apply_rebase(work, lot_with_id(conn, lot_id), what)
    after = lot_with_id(conn, lot_id)
    then = lot_at(conn, after, what.at)
    base, base_before = _base(before)
    _, base_after = _base(then)
    weights = (base_before, base_after, before.tare_g, then.tare_g)
    return Rebased(after, kind, reason, base, *weights, loss_on(base_after, net_now_g(then)))


def apply_rebase(work: Work, lot: LotState, what: Rebasing) -> None:
    """The same inside a running change."""
    kind, reason = kind_of(what.reason, what.kind)
    at = utc_text(what.at)
    rows = weigh_ins.of_lot(work.conn, lot.id)
    _require_possible(lot, rows, at)
    known = history_of(work.conn, lot.id)
    then = lot_at(work.conn, lot, what.at)
    before_g = what.before_g if what.before_g is not None else _just_weighed(rows, lot, at)
    _ask(work.by, lot, what, before_g, then.tare_g)
    share, tare_g = _share_and_tare(kind, then.tare_g, before_g, what.after_g)
    cut = {"before_g": before_g, "after_g": what.after_g, "factor": share, "tare_after_g": tare_g}
    rebases.add(work, then, at=at, kind=kind, reason=reason, **cut)
    factor = then.base_factor * share if then.hang_g is not None else then.base_factor
    new = weigh_ins.weighed(then, at, what.after_g, tare_g=tare_g, base_factor=factor, note=reason)
    weigh_ins.add(work, new)
    if kind == REMOVED and what.count is not None:
        lots.update(work, lot.id, count=what.count)
    if kind == TARE and (worn := one_line(what.tare_what, MAX_REASON)):
        lots.update(work, lot.id, tare_what=worn)
    follow(work, lot.id, known)


def _share_and_tare(
    kind: str, tare_g: float, before_g: float, after_g: float
) -> tuple[float, float]:
    """Share of the meat that is left [1], and the tare from then on [g]."""
    net_g = net_from_gross(before_g, tare_g)
    if kind == REMOVED:
        return rebase_factor(net_g, net_from_gross(after_g, tare_g)), tare_g
    return 1.0, tare_after(tare_g, before_g, after_g)


def _base(lot: LotState) -> tuple[str, float | None]:
    base, base_g = base_of(lot, "hang")
    return (base, base_g) if base_g is not None else base_of(lot, "green")


def _require_possible(lot: LotState, rows: list[WeighIn], at: str) -> None:
    if lot.stage in ENDED:
        raise Refused(f"{lot.code} is {lot.stage}; its weight can no longer change.")
    if lot.hang_at is not None and at < lot.hang_at:
        raise Refused(
            f"{lot.code} was hung on {lot.hang_at[:10]}: its hang weight was taken after that cut;"
            " give a later time."
        )
    whole = [row for row in rows if row.kind == "inherited"]
    first = next((row for row in rows if row.kind not in COMPUTED), None)
    if whole and first is not None and at < first.at:
        raise Refused(
            f"{lot.code} was cut off the whole on {first.at[:10]}: it was weighed after that;"
            " give a later time."
        )


def _just_weighed(rows: list[WeighIn], lot: LotState, at: str) -> float:
    """The weight before, if it was taken just then."""
    past = [row for row in rows if row.at <= at]
    if not past or days_between(past[-1].at, at) > FRESH_DAYS:
        raise Refused(f"{lot.code}: give the weight before as well, as the scale shows it.")
    if past[-1].own_tare:
        raise Refused(
            f"{lot.code} was weighed just now without its tare: give the weight before as well,"
            " as the scale shows it."
        )
    return past[-1].gross_g


def _ask(by: By, lot: LotState, what: Rebasing, before_g: float, tare_g: float) -> None:
    """Questions about the time, about the weight before and about how much came off."""
    if what.keep_doubtful:
        return
    doubts = ahead(by, what.at)
    settled = lot.last_at is None or utc_text(what.at) >= lot.last_at
    if settled and what.before_g is not None:
        doubts += tuple(
            Doubt(d.kind, phrase("{code}, before: {question}", code=lot.code, question=d.question))
            for d in doubts_of(lot, before_g, tare_g, what.at)
            if d.kind != "earlier"
        )
    much = much_off(lot, before_g, what.after_g)
    if much is not None:
        doubts += (Doubt("missing", much),)
    if doubts:
        raise Doubtful(asked_of(lot.code, doubts))


def much_off(lot: LotState, before_g: float, after_g: float) -> QuantityText | None:
    """A question where more came off than is tasted or trimmed [g on the scale]."""
    if after_g >= before_g * MUCH:
        return None
    said = "{code}: {off} of {before} came off; is the weight after right, or was it divided?"
    return phrase(said, code=lot.code, off=grams(before_g - after_g), before=grams(before_g))
