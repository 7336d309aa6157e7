"""A weight that changed without drying: the base follows meat taken off, the tare all else."""

import sqlite3
from collections.abc import Callable
from datetime import datetime

from curedash.domain.doubts import Doubt, asked_of
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.lot_figures import base_of, loss_on, net_now_g
from curedash.domain.rebase_reasons import MAX_REASON, REMOVED, TARE, kind_of
from curedash.domain.record import record
from curedash.domain.records import LotState, Rebase, WeighIn
from curedash.domain.said import Said, grams, say
from curedash.domain.times import days_between, utc_text
from curedash.domain.weights import net_from_gross, rebase_factor, tare_after
from curedash.services.ahead import ahead
from curedash.services.find import lot_with_id
from curedash.services.one_line import one_line
from curedash.services.weigh import ENDED, ON_THE_CURVE, doubts_of
from curedash.store import lots, rebases, weigh_ins
from curedash.store.work import By, Work, change

FRESH_DAYS = 0.5  # design value: a weight this young may stand for the one before the cut
AS_IT_WAS = "as it was"
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
    base_before_g: float
    base_after_g: float
    tare_before_g: float
    tare_after_g: float
    loss_pct: float | None


def rebase(conn: sqlite3.Connection, by: By, lot_id: int, what: Rebasing) -> Rebased:
    """Record meat taken off, or something else put on or taken off; the loss stays the same.

    Raises
    ------
    Refused: weights that cannot be; Doubtful: a question; nothing is stored then
    """
    lot = lot_with_id(conn, lot_id)
    kind, reason = kind_of(what.reason, what.kind)
    at = utc_text(what.at)
    with change(conn, by, "re-base", subject=f"{lot.code} {reason}", at=at) as work:
        before = lot_with_id(conn, lot_id)
        apply_rebase(work, before, what)
    after = lot_with_id(conn, lot_id)
    base, base_before = _base(before)
    _, base_after = _base(after)
    return Rebased(
        after, kind, reason, base, base_before, base_after, before.tare_g, after.tare_g,
        loss_on(base_after, net_now_g(after)),
    )  # fmt: skip


def apply_rebase(work: Work, lot: LotState, what: Rebasing) -> None:
    """The same inside a running change."""
    kind, reason = kind_of(what.reason, what.kind)
    at = utc_text(what.at)
    _require_possible(lot, at)
    known = rebases.of_lot(work.conn, lot.id)
    rows = weigh_ins.of_lot(work.conn, lot.id)
    tare_g, factor = tare_at(known, lot, at), _factor_at(known, lot, at)
    before_g = what.before_g if what.before_g is not None else _just_weighed(rows, lot, at)
    _ask(work.by, lot, what, before_g, tare_g)
    later = [row for row in rows if row.at > at]
    if kind == REMOVED:
        by_factor = rebase_factor(
            net_from_gross(before_g, tare_g), net_from_gross(what.after_g, tare_g)
        )
        new_tare_g = tare_g
        _follow(work, lot, later, by_factor, what.count)
    else:
        by_factor, new_tare_g = 1.0, tare_after(tare_g, before_g, what.after_g)
        net_from_gross(before_g, tare_g)
        worn = [row for row in later if row.tare_g or not tare_g]  # not those weighed bare
        _shift_tare(work, lot, known, worn, at, new_tare_g - tare_g, what.tare_what)
    rebases.add(
        work, lot_id=lot.id, at=at, kind=kind, before_g=before_g, after_g=what.after_g,
        factor=by_factor, tare_before_g=tare_g, tare_after_g=new_tare_g, reason=reason,
    )  # fmt: skip
    weigh_ins.add(
        work, lot_id=lot.id, at=at, stage=lot.stage, kind="stage",
        curve=lot.stage in ON_THE_CURVE and lot.hang_g is not None, gross_g=what.after_g,
        tare_g=new_tare_g, net_g=net_from_gross(what.after_g, new_tare_g),
        base_factor=factor * by_factor if lot.hang_g is not None else lot.base_factor,
        note=reason,
    )  # fmt: skip


def _factor_at(known: list[Rebase], lot: LotState, at: str) -> float:
    """Share of the hang weight that the base stood at then."""
    factor = 1.0
    for cut in _cuts(known, lot):
        if cut.at <= at:
            factor *= cut.factor
    return factor


def _cuts(known: list[Rebase], lot: LotState) -> list[Rebase]:
    """Meat taken off since hanging; what came off before is in the hang weight already."""
    if lot.hang_at is None:
        return []
    return [rebase for rebase in known if rebase.kind == REMOVED and rebase.at >= lot.hang_at]


def tare_at(known: list[Rebase], lot: LotState, at: str) -> float:
    """The lot's tare at a moment [g]."""
    changed = [rebase for rebase in known if rebase.kind == TARE]
    past = [rebase for rebase in changed if rebase.at <= at]
    if past:
        return past[-1].tare_after_g
    return changed[0].tare_before_g if changed else lot.tare_g


def _base(lot: LotState) -> tuple[str, float]:
    base, base_g = base_of(lot, "hang")
    return (base, base_g) if base_g is not None else ("green", lot.green_g * lot.green_factor)


def _require_possible(lot: LotState, at: str) -> None:
    if lot.stage in ENDED:
        raise Refused(f"{lot.code} is {lot.stage}; its weight is settled.")
    if lot.hang_at is not None and at < lot.hang_at:
        raise Refused(
            f"{lot.code} was hung on {lot.hang_at[:10]}: what was cut off before is in its hang"
            " weight already; give a later time."
        )


def _just_weighed(rows: list[WeighIn], lot: LotState, at: str) -> float:
    """The weight before, if it was taken just then."""
    past = [row for row in rows if row.at <= at]
    if not past or days_between(past[-1].at, at) > FRESH_DAYS:
        raise Refused(f"{lot.code}: give the weight before as well, as the scale shows it.")
    return past[-1].gross_g


def _ask(by: By, lot: LotState, what: Rebasing, before_g: float, tare_g: float) -> None:
    """Questions about the time, about the weight before and about how much came off."""
    if what.keep_doubtful:
        return
    doubts = ahead(by, what.at)
    settled = lot.last_at is None or utc_text(what.at) >= lot.last_at
    if settled and what.before_g is not None:
        doubts += tuple(
            Doubt(d.kind, say("{code}, before: {question}", code=lot.code, question=d.question))
            for d in doubts_of(lot, before_g, tare_g, what.at)
            if d.kind != "earlier"
        )
    much = much_off(lot, before_g, what.after_g)
    if much is not None:
        doubts += (Doubt("missing", much),)
    if doubts:
        raise Doubtful(asked_of(lot.code, doubts))


def much_off(lot: LotState, before_g: float, after_g: float) -> Said | None:
    """A question where more came off than is tasted or trimmed [g on the scale]."""
    if after_g >= before_g * MUCH:
        return None
    return say(
        "{code}: {off} of {before} came off; is the weight after right, or was it divided?",
        code=lot.code, off=grams(before_g - after_g), before=grams(before_g),
    )  # fmt: skip


def _follow(
    work: Work, lot: LotState, later: list[WeighIn], by_factor: float, count: int | None
) -> None:
    """Base, green base and the weigh-ins since then follow the meat taken off."""
    hanging = lot.hang_g is not None
    for row in later:
        if row.curve:
            weigh_ins.follow(work, row.id, row.base_factor * by_factor)
    lots.update(
        work, lot.id, green_factor=lot.green_factor * by_factor,
        base_factor=lot.base_factor * by_factor if hanging else lot.base_factor,
        count=lot.count if count is None else count,
    )  # fmt: skip


def _shift_tare(
    work: Work,
    lot: LotState,
    known: list[Rebase],
    later: list[WeighIn],
    at: str,
    by_g: float,
    tare_what: str | None,
) -> None:
    """The tare from then on; weights taken since are voided and added anew with it."""
    after = [rebase for rebase in known if rebase.at > at]
    follow = cuts_follow(work, lot, known, {rebase.id for rebase in after}, by_g)
    for row in later:
        reweigh(work, row, tare_g=row.tare_g + by_g, base_factor=follow(row.base_factor))
    for rebase in after:
        if rebase.kind == TARE:
            rebases.shift_tare(work, rebase, by_g)
    worn = one_line(tare_what, MAX_REASON) or lot.tare_what
    lots.update(work, lot.id, tare_g=lot.tare_g + by_g, tare_what=worn)


def cuts_follow(
    work: Work, lot: LotState, known: list[Rebase], touched: set[int], by_g: float
) -> Callable[[float], float]:
    """Cuts weighed with a tare that was put right since took off another share.

    Parameters
    ----------
    touched : ids of the re-bases weighed with that tare
    by_g : by how much the tare is higher [g]

    Returns
    -------
    what a weigh-in's share of the hang weight becomes
    """
    old, new = [1.0], [1.0]
    for cut in _cuts(known, lot):
        factor = cut.factor
        if cut.id in touched:
            tare_g = cut.tare_before_g + by_g
            factor = rebase_factor(
                net_from_gross(cut.before_g, tare_g), net_from_gross(cut.after_g, tare_g)
            )
            rebases.put_right(work, cut, factor, tare_g)
        old.append(old[-1] * cut.factor)
        new.append(new[-1] * factor)
    share = new[-1] / old[-1]
    lots.update(
        work, lot.id, base_factor=lot.base_factor * share, green_factor=lot.green_factor * share
    )
    return lambda stood: new[min(range(len(old)), key=lambda i: abs(old[i] - stood))]


def reweigh(
    work: Work,
    row: WeighIn,
    *,
    gross_g: float | None = None,
    tare_g: float | None = None,
    at: str | None = None,
    note: str | None = None,
    base_factor: float | None = None,
    flagged: str | None = AS_IT_WAS,
) -> int:
    """Void a weigh-in and add it anew with what was put right; the new one's id.

    ``flagged`` is the doubt that was overruled for the new weight, None without one.
    """
    gross = row.gross_g if gross_g is None else gross_g
    tare = row.tare_g if tare_g is None else tare_g
    weigh_ins.void(work, row.id)
    return weigh_ins.add(
        work, lot_id=row.lot_id, at=at or row.at, stage=row.stage, kind=row.kind,
        curve=row.curve, gross_g=gross, tare_g=tare, net_g=net_from_gross(gross, tare),
        base_factor=row.base_factor if base_factor is None else base_factor,
        flagged=row.flagged if flagged == AS_IT_WAS else flagged,
        note=note or row.note, replaces=row.id,
    )  # fmt: skip
