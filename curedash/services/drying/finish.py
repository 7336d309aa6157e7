"""The end of a lot: final weight, what came of it, what it cost, how it was liked."""

from datetime import datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.curing.stages import CLOSED, DISCARDED, drying_days, in_stage
from curedash.domain.drying.inspections import CUT_FACES, chosen, require_as_felt, require_decided
from curedash.domain.drying.lot_figures import base_of, loss_on, net_now_g
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.record import record, replace
from curedash.domain.records import Finish, LotState, Pack
from curedash.domain.times import calendar_days, moment, utc_text
from curedash.domain.weighing.doubts import Doubt, asked_of
from curedash.domain.weighing.rebase_reasons import EATEN, REMOVED
from curedash.domain.weighing.weights import net_from_gross
from curedash.services.curing.change_stage import leak_words
from curedash.services.find import lot_with_id
from curedash.services.future_check import ahead
from curedash.services.household import household
from curedash.services.household.packs import NewPack, apply_packs
from curedash.services.one_line import one_line
from curedash.services.weighing.as_of import lot_at, reweigh
from curedash.services.weighing.weigh import doubts_of, finest_division_g
from curedash.store import finishes, lots, rebases, weigh_ins
from curedash.store.work import By, Work, at_once, change


@record
class Finishing:
    """What a person says at the end; the weight is what the scale shows [g]."""

    at: datetime
    weight_g: float | None = None  # None: the last weigh-in
    tare_g: float | None = None  # None: the lot's tare
    cut_face: str | None = None
    liked: int | None = None
    liked_at_pct: float | None = None  # None: the loss it was finished at
    note: str | None = None
    packs: tuple[NewPack, ...] = ()
    keep_doubtful: bool = False


@record
class Finished:
    """The closed lot, how it ended, its packs, and what there is to say."""

    lot: LotState
    finish: Finish
    packs: tuple[Pack, ...]
    messages: tuple[str, ...]


@at_once
def finish(conn: Connection, by: By, lot_id: int, what: Finishing) -> Finished:
    """Close a lot with its final weight; a lot finished already is put right instead.

    Raises
    ------
    Refused: no weight, a liking that is not 1–5, a discarded lot; Doubtful: a question
    """
    with change(conn, by, "finish", at=utc_text(what.at)) as work:
        lot = lot_with_id(conn, lot_id)
        work.subject = lot.code
        require_as_felt(lot, what.cut_face, sure=what.keep_doubtful)
        apply_finish(work, lot, what, household.zone(conn))
    kept = finishes.of_lot(conn, lot_id)
    assert kept is not None  # put above
    packs = tuple(finishes.packs(conn, lot_id))
    leak: tuple[str, ...] = ()
    if kept.final_g is not None:
        leak = leak_words(conn, lot, what.weight_g or kept.final_g, kept.final_g)
    return Finished(lot_with_id(conn, lot_id), kept, packs, leak)


def apply_finish(work: Work, lot: LotState, what: Finishing, zone: tzinfo) -> None:
    """The same inside a running change."""
    known = finishes.of_lot(work.conn, lot.id)
    _require_possible(lot, what, known)
    at = utc_text(what.at)
    final_g = _keep_weight(work, lot, what, known)
    if lot.stage != CLOSED:
        lots.add_stage(work, lot.id, CLOSED, at, lot.place_id, one_line(what.note))
        lots.update(work, lot.id, stage=CLOSED, stage_at=at, stage_until=None)
    summed = _summed(work.conn, lot, final_g, at if known is None else known.at, zone)
    finishes.put(work, _judged(summed, what, known))
    apply_packs(work, lot, what.packs, sure=what.keep_doubtful)


def _require_possible(lot: LotState, what: Finishing, known: Finish | None) -> None:
    if lot.stage == DISCARDED:
        raise Refused(f"{lot.code} is {in_stage(lot.stage)}; undo that first.")
    if known is None:
        require_decided(lot)
    if what.liked is not None and what.liked not in range(1, 6):
        raise Refused("Rate it from 1 to 5.")
    if what.liked_at_pct is not None and not 0 <= what.liked_at_pct < 90:
        raise Refused("Give the loss it tasted best at: 0 to 90 %.")
    if known is None and utc_text(what.at) < lot.stage_at:
        raise Refused(
            f"{lot.code} has been {in_stage(lot.stage)} since {lot.stage_at[:10]};"
            " give a later time."
        )


def _keep_weight(work: Work, lot: LotState, what: Finishing, known: Finish | None) -> float | None:
    """Record the final weight [g net]; on a finished lot replace it."""
    then = lot_at(work.conn, lot, what.at if known is None else moment(known.at))
    final_g = _final_g(then, what, known)
    old = [row for row in weigh_ins.of_lot(work.conn, lot.id) if row.kind == "final"]
    doubts = () if old else ahead(work.by, what.at) + _doubts(work.conn, lot, what)
    if doubts and not what.keep_doubtful:
        raise Doubtful(asked_of(lot.code, doubts))
    if what.weight_g is None or final_g is None:
        return final_g
    tare_g = then.tare_g if what.tare_g is None else what.tare_g
    if old:
        reweigh(work, old[-1], gross_g=what.weight_g, tare_g=tare_g, flagged=None)
        return final_g
    odd = doubts[0].kind if doubts else None
    end = {"stage": CLOSED, "kind": "final", "curve": then.hang_g is not None, "tare_g": tare_g}
    new = weigh_ins.weighed(then, utc_text(what.at), what.weight_g, flagged=odd, **end)
    weigh_ins.add(work, new)
    return final_g


def _final_g(lot: LotState, what: Finishing, known: Finish | None) -> float | None:
    """The weight it ends with [g net]: what was typed, else what is known.

    None for a lot that was never weighed, from its green weight to its end.
    """
    if what.weight_g is not None:
        tare_g = lot.tare_g if what.tare_g is None else what.tare_g
        return net_from_gross(what.weight_g, tare_g)
    if known is not None:
        return known.final_g
    last_g = net_now_g(lot) if lot.curve else lot.last_net_g
    if last_g is None and lot.green_g is not None:
        raise Refused(f"{lot.code}: give its final weight, as the scale shows it.")
    return last_g


def _doubts(conn: Connection, lot: LotState, what: Finishing) -> tuple[Doubt, ...]:
    if what.weight_g is None:
        return ()
    then = lot_at(conn, lot, what.at)
    tare_g = then.tare_g if what.tare_g is None else what.tare_g
    finest_g = finest_division_g(conn, what.weight_g)
    return doubts_of(then, what.weight_g, tare_g, what.at, finest_g, newest_at=lot.last_at)


def doubt_of(conn: Connection, lot: LotState, what: Finishing) -> Doubt | None:
    """What is odd about the final weight of a lot that still hangs, as it will be asked."""
    doubts = () if finishes.of_lot(conn, lot.id) else _doubts(conn, lot, what)
    return doubts[0] if doubts else None


def outcome(
    conn: Connection, lot: LotState, what: Finishing
) -> tuple[float | None, str, float | None]:
    """What an end will come to: final weight [g net; None: never weighed], base, loss of it [%].

    Raises
    ------
    Refused: no weight is known, or less than the tare
    """
    then = lot_at(conn, lot, what.at)
    final_g = _final_g(then, what, finishes.of_lot(conn, lot.id))
    base, base_g = _base(then)
    return final_g, base, loss_on(base_g, final_g)


def _base(lot: LotState) -> tuple[str, float | None]:
    base, base_g = base_of(lot, lot.target_base)
    return (base, base_g) if base_g is not None else base_of(lot, "green")


def _summed(
    conn: Connection, lot: LotState, final_g: float | None, at: str, zone: tzinfo
) -> Finish:
    """Loss, days, yield and cost at the end."""
    base, base_g = _base(lot)
    green_g = lot.green_now_g
    cost_in, currency = finishes.cost(conn, lot.id)
    out_g = None if final_g is None else final_g + _eaten_g(conn, lot.id)
    entries = [(entry.stage, moment(entry.at)) for entry in lots.stages(conn, lot.id)]
    since = lot.salted_at or lot.hang_at
    return Finish(
        lot_id=lot.id,
        at=at,
        final_g=final_g,
        base=base,
        loss_pct=loss_on(base_g, final_g),
        days=None if since is None else calendar_days(since, moment(at), zone),
        drying_days=drying_days(entries, moment(at), zone) if lot.hang_at is not None else None,
        yield_pct=None if green_g is None or final_g is None else 100 * final_g / green_g,
        cost_in=cost_in,
        cost_per_kg=None if cost_in is None or out_g is None else 1000 * cost_in / out_g,
        currency=currency,
        cut_face=None,
        liked=None,
        liked_at_pct=None,
        note=None,
    )


def _eaten_g(conn: Connection, lot_id: int) -> float:
    """What was eaten on the way; it came out too, so it carries its part of the cost."""
    return sum(
        rebase.before_g - rebase.after_g
        for rebase in rebases.of_lot(conn, lot_id)
        if rebase.kind == REMOVED and rebase.reason in EATEN
    )


def _judged(summed: Finish, what: Finishing, known: Finish | None) -> Finish:
    """What a person thought of it; what is not said now stays as it was."""
    face = None if what.cut_face is None else chosen(what.cut_face, CUT_FACES, "cut face")
    liked_at = what.liked_at_pct
    if liked_at is None and what.liked is not None and summed.loss_pct is not None:
        liked_at = round(summed.loss_pct, 1)
    old = known or summed
    return replace(
        summed,
        cut_face=old.cut_face if face is None else face,
        liked=old.liked if what.liked is None else what.liked,
        liked_at_pct=old.liked_at_pct if liked_at is None else liked_at,
        note=old.note if what.note is None else one_line(what.note),
    )


def sum_up_again(work: Work, lot: LotState, zone: tzinfo) -> None:
    """After a start weight, tare or date was put right: a finished lot's sums follow."""
    known = finishes.of_lot(work.conn, lot.id)
    if known is not None:
        summed = _summed(work.conn, lot, known.final_g, known.at, zone)
        finishes.put(work, _judged(summed, Finishing(moment(known.at)), known))
