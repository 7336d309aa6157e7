"""Putting an entry right: nothing is overwritten, the old row is voided and a new one added."""

from collections.abc import Sequence
from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import DRYING, FERMENT, word
from curedash.domain.errors import Doubtful, NotFound, Refused
from curedash.domain.record import record, replace
from curedash.domain.records import LotState, Rebase, StageEntry, WeighIn
from curedash.domain.times import days_between, moment, utc_text
from curedash.domain.weighing.doubts import (
    Doubt,
    WeighInContext,
    WeighInEntry,
    asked_of,
    cured_shares,
    green_doubt,
    weigh_in_doubts,
)
from curedash.domain.weighing.weight_history import COMPUTED, WeightHistory, relative, same_g
from curedash.domain.weighing.weights import net_from_gross
from curedash.services.dosing.recipe import FIGURES
from curedash.services.drying.finish import Finishing, apply_finish, sum_up_again
from curedash.services.find import lot_with_id
from curedash.services.future_check import ahead
from curedash.services.household import household
from curedash.services.weighing.as_of import follow, history_of, reweigh
from curedash.services.weighing.begin_curve import follow_start
from curedash.services.weighing.rebase import FRESH_DAYS
from curedash.store import lots, rebases, weigh_ins
from curedash.store.work import By, Work, at_once, change

_BESIDE_THE_LAST = ("slip", "heavier", "too-fast", "far-off")  # doubts that compare with it


@record
class Right:
    """What a weigh-in should have been; None stays; the weight is what the scale showed [g]."""

    gross_g: float | None = None
    tare_g: float | None = None
    at: datetime | None = None
    note: str | None = None
    keep_doubtful: bool = False


def weigh_in_of(conn: Connection, lot: LotState, number: int | None) -> WeighIn | None:
    """A lot's weigh-in with this number, or its newest; None if there is none."""
    rows = weigh_ins.of_lot(conn, lot.id)
    if number is None:
        return rows[-1] if rows else None
    return next((row for row in rows if row.id == number), None)


@at_once
def void_weigh_in(conn: Connection, by: By, weigh_in_id: int) -> LotState:
    """Let a weigh-in count no more; it stays in the file and the log.

    Raises
    ------
    Refused: a start weight, an inherited or a final one
    """
    ways_out = {
        "hang": "the loss is counted from the hang weight; correct it instead",
        "inherited": "it belongs to the piece this one was cut from",
        "final": "it is the final weight; undo the finish, or finish it again",
    }
    with change(conn, by, "void") as work:
        row = _standing(conn, weigh_in_id)
        lot = lot_with_id(conn, row.lot_id)
        work.subject = f"{lot.code} {row.gross_g:g} g"
        if row.kind in ways_out:
            raise Refused(f"{lot.code}: that weigh-in cannot be voided: {ways_out[row.kind]}.")
        weigh_ins.void(work, row.id)
        follow_start(work, lot.id)
        _doubt_no_more(work, lot, row.at)
        if row.kind == "cured":
            lots.update(work, lot.id, cured_g=None)
    return lot_with_id(conn, lot.id)


@at_once
def correct_weigh_in(conn: Connection, by: By, weigh_in_id: int, right: Right) -> LotState:
    """Void a weigh-in and add what it should have been; a cut that rests on it follows.

    Raises
    ------
    Refused: an inherited one, one that was corrected already, or a weight that cannot be;
    Doubtful: a question
    """
    with change(conn, by, "correct weigh-in") as work:
        row = _standing(conn, weigh_in_id)
        lot = lot_with_id(conn, row.lot_id)
        if row.kind == "inherited":
            raise Refused(f"{lot.code}: that weight belongs to the piece this one was cut from.")
        gross_g = row.gross_g if right.gross_g is None else right.gross_g
        tare_g = row.tare_g if right.tare_g is None else right.tare_g
        at = row.at if right.at is None else utc_text(right.at)
        work.subject = f"{lot.code} {row.gross_g:g} g to {gross_g:g} g"
        doubts: Sequence[Doubt] = ()
        entry = WeighInEntry(gross_g, tare_g, moment(at).timestamp())
        if row.kind in ("stage", "final"):
            doubts = _doubts(conn, lot, row, entry)
        elif row.kind in ("hang", "cured"):
            doubts = _start_doubts(lot, entry)
        if right.at is not None:
            doubts = (*ahead(by, right.at), *doubts)
        _ask(lot, doubts, right)
        flagged = doubts[0].kind if doubts else None
        if row.kind == "hang":
            _start(work, lot, gross_g, tare_g, lot.hang_pm_g, at=at, flagged=flagged)
        elif row.kind == "final":
            _final(work, lot, gross_g, tare_g)
        else:
            apply_right(work, lot, row, replace(right, gross_g=gross_g, tare_g=tare_g), at, flagged)
            follow_start(work, lot.id)
        _doubt_no_more(work, lot, min(at, row.at))
    return lot_with_id(conn, lot.id)


def apply_right(
    work: Work, lot: LotState, row: WeighIn, right: Right, at: str, flagged: str | None = None
) -> int:
    """The same for a weigh-in between start and end, inside a running change; its new id.

    Parameters
    ----------
    right : what it should have been, weights given
    flagged : the doubt that was overruled, if there was one
    """
    assert right.gross_g is not None  # the caller filled it in
    conn = work.conn
    before = history_of(conn, lot.id)
    _rebases_rest_on(work, before, row, right.gross_g, at)
    tare_g = row.tare_g if right.tare_g is None else right.tare_g
    own = row.own_tare
    if not same_g(tare_g, row.tare_g):
        own = not same_g(tare_g, before.tare_at((at, before.order(row)[1])))
    own_row, gross_g, note = replace(row, own_tare=own), right.gross_g, right.note
    number = reweigh(
        work, own_row, gross_g=gross_g, tare_g=tare_g, at=at, note=note, flagged=flagged
    )
    follow(work, lot.id, before)
    sum_up_again(work, lot_with_id(conn, lot.id), household.zone(conn))
    return number


def _rebases_rest_on(
    work: Work, known: WeightHistory, row: WeighIn, gross_g: float, at: str
) -> None:
    """A re-base whose weight before or after is this weigh-in has the corrected one."""
    entered = known.entered.get(row.id, row.id)
    for old in known.rebases:
        new = old
        if known.own[old.id] == entered:
            new = replace(old, after_g=gross_g, at=at)
        elif row.id == _weighed_before(known, old) and same_g(row.gross_g, old.before_g):
            new = replace(old, before_g=gross_g)
        if new == old:
            continue
        if relative(old):
            tare_g = old.tare_before_g + new.after_g - new.before_g
            new = replace(new, tare_after_g=tare_g)
        rebases.update(work, new)


def _weighed_before(known: WeightHistory, change: Rebase) -> int | None:
    """The weigh-in a re-base began from, if it was taken just then."""
    past = [row for row in known.rows if known.order(row) < known.order_of(change)]
    if not past or days_between(past[-1].at, change.at) > FRESH_DAYS:
        return None
    return past[-1].id


@at_once
def correct_start(
    conn: Connection,
    by: By,
    lot_id: int,
    weight_g: float,
    *,
    plus_minus_g: float | None = None,
    keep_doubtful: bool = False,
) -> LotState:
    """Put the hang weight right (what the scale showed); every percentage is recomputed.

    Parameters
    ----------
    plus_minus_g : it is an estimate, give or take this [g]; None: it was weighed
    keep_doubtful : store it although it is far from the green weight

    Raises
    ------
    Refused: not hung yet, or a weight that cannot be; Doubtful: far from the green weight
    """
    words = f"to {weight_g:g} g" + (f" ± {plus_minus_g:g}" if plus_minus_g else "")
    with change(conn, by, "correct start weight") as work:
        now = lot_with_id(conn, lot_id)
        work.subject = f"{now.code} {words}"
        tare_g = _first_point(conn, now).tare_g
        hung_at = moment(now.hang_at or by.now).timestamp()
        doubts = _start_doubts(now, WeighInEntry(weight_g, tare_g, hung_at))
        _ask(now, doubts, Right(keep_doubtful=keep_doubtful))
        flagged = doubts[0].kind if doubts else None
        _start(work, now, weight_g, tare_g, plus_minus_g, flagged=flagged)
    return lot_with_id(conn, lot_id)


@at_once
def correct_green(
    conn: Connection, by: By, lot_id: int, green_g: float, *, keep_doubtful: bool = False
) -> LotState:
    """Put the green weight right; what went in per kilogram follows from the same grams.

    Parameters
    ----------
    keep_doubtful : store it although it is far from what the lot weighed since

    Raises
    ------
    Refused: nothing, or not a weight of meat; Doubtful: far from the hang weight, or, before it
    was hung, from the green weight known so far
    """
    if not 0 < green_g < 1e6:
        raise Refused("A green weight is more than 0 g.")
    with change(conn, by, "correct green weight") as work:
        lot = lot_with_id(conn, lot_id)
        work.subject = f"{lot.code} to {green_g:g} g"
        known_g = lot.green_now_g
        doubt = green_doubt(green_g, known_g, lot.base_g, cured_shares(lot))
        _ask(lot, () if doubt is None else (doubt,), Right(keep_doubtful=keep_doubtful))
        share = 1.0 if known_g is None else known_g / green_g

        went_in = {name: getattr(lot, name) for name in FIGURES}
        per_kg = {name: had and had * share for name, had in went_in.items()}
        lots.update(work, lot_id, green_g=green_g / lot.green_factor, green_pm_g=None, **per_kg)
        sum_up_again(work, lot_with_id(conn, lot_id), household.zone(conn))
    return lot_with_id(conn, lot_id)


@at_once
def put_tare_right(
    conn: Connection, by: By, lot_id: int, tare_g: float, *, what: str | None = None
) -> LotState:
    """Put the tare right since it last changed; every net weight taken with it follows.

    Weights taken without tare stay. If the tare is the one it was hung with, the hang weight
    follows too; of a part cut off later, its share of the whole's curve.

    Raises
    ------
    Refused: a tare that is negative or more than a weight
    """
    if not tare_g >= 0:
        raise Refused("A tare cannot be negative; type what the hook, net and bag weigh.")
    with change(conn, by, "correct tare") as work:
        lot = lot_with_id(conn, lot_id)
        work.subject = f"{lot.code} {lot.tare_g:g} g to {tare_g:g} g"
        known = history_of(conn, lot_id)
        since, _, changed = known.tare_steps()[-1]
        hung = known.hung()
        lots.update(work, lot_id, tare_g=tare_g, tare_what=what or lot.tare_what)
        if changed is not None:
            rebases.update(work, replace(changed, tare_after_g=tare_g))
        elif known.unrecorded and known.unrecorded[-1][0] == since:
            known = replace(known, unrecorded=(*known.unrecorded[:-1], (since, tare_g)))
        elif hung is not None:
            _hung_with(work, lot, known, hung, tare_g)
        elif lot.parent_id is not None:
            _cut_off_with(work, lot, known, tare_g)
        follow(work, lot_id, known)
        sum_up_again(work, lot_with_id(conn, lot_id), household.zone(conn))
    return lot_with_id(conn, lot_id)


@at_once
def correct_stage_time(
    conn: Connection, by: By, lot_id: int, entry_id: int, at: datetime
) -> LotState:
    """Put right when a lot entered a stage; it stays between its neighbours.

    Raises
    ------
    NotFound: no such entry; Refused: a time before or after its neighbours
    """
    text = utc_text(at)
    with change(conn, by, "correct date") as work:
        lot = lot_with_id(conn, lot_id)
        entries = lots.stages(conn, lot_id)
        place = next((i for i, entry in enumerate(entries) if entry.id == entry_id), None)
        if place is None:
            raise NotFound(f"{lot.code} has no such stage entry.")
        entry = entries[place]
        work.subject = f"{lot.code} {word(entry.stage)}"
        _require_between(lot, entries, place, text)
        known = history_of(conn, lot_id)
        work.update("stage_entry", entry.id, voided_at=by.now)
        lots.add_stage(work, lot_id, entry.stage, text, entry.place_id, entry.note)
        if place == len(entries) - 1:
            lots.update(work, lot_id, stage_at=text)
        if entry.stage in (DRYING, FERMENT) and entry.at == lot.hang_at:
            _hang_time(work, lot, text)
        follow(work, lot_id, known)
        sum_up_again(work, lot_with_id(conn, lot_id), household.zone(conn))
    return lot_with_id(conn, lot_id)


def _standing(conn: Connection, weigh_in_id: int) -> WeighIn:
    row = weigh_ins.one(conn, weigh_in_id)
    if row is None:
        raise NotFound(f"There is no weigh-in {weigh_in_id}.")
    if row.voided_at is not None:
        rows = weigh_ins.of_lot(conn, row.lot_id)
        again = next((w for w in rows if weigh_ins.replaced(conn, w.id) == row.id), None)
        if again is not None:
            raise Refused(f"That weigh-in was corrected already; it is {again.gross_g:g} g now.")
        raise Refused("That weigh-in is voided already; undo the change that voided it.")
    return row


def _ask(lot: LotState, doubts: Sequence[Doubt], right: Right) -> None:
    if doubts and not right.keep_doubtful:
        raise Doubtful(asked_of(lot.code, doubts))


def _doubt_no_more(work: Work, lot: LotState, since: str) -> None:
    """The next weight loses its mark if it was in doubt only beside the one that was wrong."""
    later = (row for row in weigh_ins.of_lot(work.conn, lot.id) if row.at > since)
    row = next((row for row in later if row.kind == "stage"), None)
    if row is None or row.flagged not in _BESIDE_THE_LAST:
        return
    entry = WeighInEntry(row.gross_g, row.tare_g, moment(row.at).timestamp())
    if not _doubts(work.conn, lot, row, entry):
        work.update("weigh_in", row.id, flagged=None)


def _doubts(conn: Connection, lot: LotState, row: WeighIn, entry: WeighInEntry) -> Sequence[Doubt]:
    """The questions a weigh-in raises, against the one before it."""
    rows = weigh_ins.of_lot(conn, lot.id)
    earlier = [r for r in rows if r.id != row.id and r.curve == row.curve and r.at <= row.at]
    last = earlier[-1] if earlier else None
    context = WeighInContext(
        stage=row.stage,
        green_g=lot.green_g,
        thickness_mm=lot.thickness_mm,
        last_net_g=None if last is None else last.net_g * row.base_factor / last.base_factor,
        last_at=None if last is None else moment(last.at).timestamp(),
        base_g=None if lot.hang_g is None else lot.hang_g * row.base_factor,
        shares=cured_shares(lot),
    )
    return weigh_in_doubts(entry, context)


def _start_doubts(lot: LotState, entry: WeighInEntry) -> Sequence[Doubt]:
    """The questions a hang weight raises beside the green weight it had by then."""
    hung_factor = lot.green_factor / lot.base_factor
    green_g = None if lot.green_g is None else lot.green_g * hung_factor
    spread_g = lot.green_pm_g or 0.0
    context = WeighInContext(
        stage="in-cure", green_g=green_g, shares=cured_shares(lot), spread_g=spread_g
    )
    return weigh_in_doubts(entry, context)


def _first_point(conn: Connection, lot: LotState) -> WeighIn:
    rows = weigh_ins.of_lot(conn, lot.id)
    first = next((r for r in rows if r.curve and r.kind in ("hang", "inherited")), None)
    if first is None or lot.hang_g is None:
        raise Refused(f"{lot.code} is not hung yet; its hang weight is asked for when it is.")
    return first


def _start(
    work: Work,
    lot: LotState,
    gross_g: float,
    tare_g: float,
    pm_g: float | None,
    *,
    at: str | None = None,
    flagged: str | None = None,
) -> None:
    """The hang weight and the first point of the curve, with a line among the re-bases."""
    first = _first_point(work.conn, lot)
    known = history_of(work.conn, lot.id)
    if at is not None:
        _require_first(work.conn, lot, first, at)
    net_g = net_from_gross(gross_g, tare_g)
    hang_g = net_g / first.base_factor
    if pm_g is not None and not 0 <= pm_g < net_g:
        raise Refused("The ± of an estimate must lie between 0 and the estimate itself.")
    reweigh(work, first, gross_g=gross_g, tare_g=tare_g, at=at, flagged=flagged)
    cured_g = hang_g if lot.cured_g == lot.hang_g else lot.cured_g
    start = {"hang_g": hang_g, "hang_pm_g": pm_g, "hang_at": at or lot.hang_at}
    lots.update(work, lot.id, start_from=None, cured_g=cured_g, **start)
    rebases.add(
        work,
        replace(lot, tare_g=first.tare_g),
        at=at or first.at,
        kind="start",
        before_g=first.gross_g,
        after_g=gross_g,
        factor=hang_g / (lot.hang_g or net_g),
        tare_after_g=tare_g,
        reason="start weight estimated" if pm_g is not None else "start weight corrected",
    )
    if not same_g(tare_g, first.tare_g):  # of this one weight; those since keep theirs
        when, entered = known.order(first)
        kept = ((when, entered + 0.5), first.tare_g)
        known = replace(known, unrecorded=(kept, *known.unrecorded))
    follow(work, lot.id, known)
    sum_up_again(work, lot_with_id(work.conn, lot.id), household.zone(work.conn))


def _final(work: Work, lot: LotState, gross_g: float, tare_g: float) -> None:
    what = Finishing(moment(lot.stage_at), gross_g, tare_g)
    apply_finish(work, lot, what, household.zone(work.conn))


def _hung_with(
    work: Work, lot: LotState, known: WeightHistory, hung: WeighIn, tare_g: float
) -> None:
    """The hang weight was weighed with this tare, and what was weighed with the same before it."""
    for row in known.rows:
        earlier = known.order(row) < known.order(hung) and row.kind not in COMPUTED
        if earlier and not row.own_tare and row.tare_g and same_g(row.tare_g, hung.tare_g):
            reweigh(work, row, tare_g=tare_g)
    reweigh(work, hung, tare_g=tare_g)
    hang_g = net_from_gross(hung.gross_g, tare_g)
    cured_g = hang_g if lot.cured_g == lot.hang_g else lot_with_id(work.conn, lot.id).cured_g
    lots.update(work, lot.id, hang_g=hang_g, cured_g=cured_g)


def _cut_off_with(work: Work, lot: LotState, known: WeightHistory, tare_g: float) -> None:
    """A part's share of the whole's curve was weighed with this tare."""
    own = next((row for row in known.rows if row.kind not in (*COMPUTED, "cured")), None)
    if lot.hang_g is None or own is None or not same_g(own.tare_g, lot.tare_g):
        return
    share = net_from_gross(own.gross_g, tare_g) / own.net_g
    for row in known.rows:
        if row.kind == "inherited":
            reweigh(work, row, gross_g=row.gross_g * share)
    green_g = None if lot.green_g is None else lot.green_g * share
    lots.update(work, lot.id, hang_g=lot.hang_g * share, green_g=green_g)


def _require_between(lot: LotState, entries: Sequence[StageEntry], place: int, text: str) -> None:
    before = entries[place - 1].at if place else ""
    after = entries[place + 1].at if place + 1 < len(entries) else "9999"
    if not before <= text <= after:
        raise Refused(
            f"{lot.code} can only have entered {word(entries[place].stage)} between"
            f" {before[:10] or 'its start'} and {after[:10] if after != '9999' else 'now'};"
            " give a time in between."
        )


def _hang_time(work: Work, lot: LotState, at: str) -> None:
    """The hang weight was taken when it was hung; no weigh-in may lie before it."""
    if lot.hang_g is not None:
        first = _first_point(work.conn, lot)
        _require_first(work.conn, lot, first, at)
        reweigh(work, first, at=at)
    lots.update(work, lot.id, hang_at=at)
    follow_start(work, lot.id)


def _require_first(conn: Connection, lot: LotState, first: WeighIn, at: str) -> None:
    rows = weigh_ins.of_lot(conn, lot.id)
    if any(row.curve and row.id != first.id and row.at < at for row in rows):
        raise Refused(
            f"{lot.code} has an earlier weigh-in; give the time it was hung, before that one."
        )
