"""A lot as it was at a moment, and what follows when something is entered for an earlier one.

Whatever writes a weight asks :func:`lot_at` for tare, base, stage and place of its moment. Whatever
changes a primary fact (a cut, a tare, a hang weight, a stage, a weight they rest on) takes a
:func:`history_of` before and calls :func:`follow` after, inside the same change: every weigh-in,
cut and tare is then what it would be had all been entered in order.
"""

from __future__ import annotations

import json
from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import ON_THE_CURVE
from curedash.domain.record import replace
from curedash.domain.records import CurvePoint, LotState, Rebase, WeighIn
from curedash.domain.times import utc_text
from curedash.domain.weighing.rebase_reasons import REMOVED, TARE
from curedash.domain.weighing.weight_history import (
    AFTER_ALL,
    COMPUTED,
    WeightHistory,
    require_order,
    same_g,
)
from curedash.domain.weighing.weights import net_from_gross
from curedash.services.find import lot_with_id
from curedash.store import lots, places, rebases, weigh_ins
from curedash.store.work import Work

MOST_POINTS = 16  # of a curve that a lot carries with it
_CLOSE = 1e-12  # two shares that differ by less, relatively, are one share


def history_of(conn: Connection, lot_id: int) -> WeightHistory:
    """What a lot's weights rest on, in the order in which it happened."""
    lot = lot_with_id(conn, lot_id)
    every = weigh_ins.of_lot(conn, lot_id, voided=True)
    entered = weigh_ins.first_entered(conn, lot_id)
    rows = [row for row in every if row.voided_at is None]
    rows.sort(key=lambda row: (row.at, entered.get(row.id, row.id)))
    known = [r for r in rebases.of_lot(conn, lot_id) if r.kind in (REMOVED, TARE)]
    own = {change.id: _own(change, every, entered) for change in known}
    known.sort(key=lambda change: (change.at, own[change.id], change.id))
    return WeightHistory(
        hang_at=lot.hang_at,
        tare_g=lot.tare_g,
        rows=tuple(rows),
        rebases=tuple(known),
        stages=tuple(lots.stages(conn, lot_id)),
        entered=entered,
        own=own,
    ).with_unrecorded()


def _own(change: Rebase, every: list[WeighIn], entered: dict[int, int]) -> int:
    """The weight after a re-base, by the id first entered; 0 where there is none."""
    fitting = [
        row
        for row in every
        if row.at == change.at and row.kind not in COMPUTED and same_g(row.gross_g, change.after_g)
    ]
    named = [row for row in fitting if row.note == change.reason] or fitting
    return entered.get(named[-1].id, named[-1].id) if named else 0


def lot_at(conn: Connection, lot: LotState, at: datetime) -> LotState:
    """A lot as it was at a moment: tare, base, stage, place and the weights up to then.

    Parameters
    ----------
    lot : as it is now
    at : the moment (aware)
    """
    when = utc_text(at)
    known = history_of(conn, lot.id)
    past = [row for row in known.rows if row.at <= when]
    points = [CurvePoint(row.at, row.net_g, row.base_factor) for row in past if row.curve]
    newest = past[-1] if past else None
    entry = known.stage_at(when)
    hung = lot.hang_at is not None and lot.hang_at <= when
    place_id, place = place_at(conn, lot, when)
    return replace(
        lot,
        tare_g=known.tare_at((when, AFTER_ALL)),
        base_factor=known.share_at(None, when) if hung else 1.0,
        green_factor=known.green_share_at(when),
        hang_g=lot.hang_g if hung else None,
        hang_at=lot.hang_at if hung else None,
        stage=lot.stage if entry is None else entry.stage,
        stage_at=lot.stage_at if entry is None else entry.at,
        place_id=place_id,
        place=place,
        last_net_g=None if newest is None else newest.net_g,
        last_gross_g=None if newest is None else newest.gross_g,
        last_at=None if newest is None else newest.at,
        last_kind=None if newest is None else newest.kind,
        last_weigh_in_id=None if newest is None else newest.id,
        curve=tuple(reversed(points))[:MOST_POINTS],
        curve_count=len(points),
        forecast=None,
    )


def place_at(conn: Connection, lot: LotState, when: str) -> tuple[int | None, str | None]:
    """Where a lot was at a moment: by its stages and by what moved it between them."""
    entries = (entry for entry in lots.stages(conn, lot.id) if entry.at <= when)
    found: list[tuple[str, float, int | None]] = [(e.at, e.id, e.place_id) for e in entries]
    for event in lots.events(conn, lot_id=lot.id, kind="moved"):
        if event.at <= when and event.data is not None:
            found.append((event.at, float("inf"), json.loads(event.data).get("to")))
    if not found:
        return lot.place_id, lot.place
    place_id = max(found, key=lambda placed: placed[:2])[2]
    names = {place.id: place.name for place in places.all_places(conn)}
    return place_id, names.get(place_id) if place_id is not None else None


def follow(work: Work, lot_id: int, before: WeightHistory) -> None:
    """Let every weigh-in, cut and tare of a lot follow the facts that changed.

    Parameters
    ----------
    before : the lot's history before they changed

    Raises
    ------
    Refused: no order of events explains the new facts
    """
    facts = replace(history_of(work.conn, lot_id), unrecorded=before.unrecorded)
    require_order(facts)
    _rebases_follow(work, facts)
    known = replace(history_of(work.conn, lot_id), unrecorded=before.unrecorded)
    worn = before.worn()
    _weigh_ins_follow(work, known, worn)
    lot = lot_with_id(work.conn, lot_id)
    tare_g = known.tare_steps()[-1][1]
    shares = {
        "base_factor": _unless_close(lot.base_factor, known.share_at(None, "9999")),
        "green_factor": _unless_close(lot.green_factor, known.green_share_at("9999")),
    }
    still_g = lot.tare_g if same_g(lot.tare_g, tare_g) else tare_g
    lots.update(work, lot_id, tare_g=still_g, **shares)


def _rebases_follow(work: Work, known: WeightHistory) -> None:
    old = {change.id: change for change in known.rebases}
    for change in (*known.cuts(), *known.tare_changes()):
        was = old[change.id]
        before = same_g(was.tare_before_g, change.tare_before_g)
        same = before and same_g(was.tare_after_g, change.tare_after_g)
        if not same or _unless_close(was.factor, change.factor) != was.factor:
            rebases.update(work, change)


def _weigh_ins_follow(work: Work, known: WeightHistory, worn: set[int]) -> None:
    """Tare by a new row, share of the hang weight and stage in the row that counts."""
    last_at, last_id = "", 0
    for row in known.rows:
        tare_g = row.tare_g
        follows = row.kind != "hang" and not row.own_tare
        if follows and known.entered.get(row.id, row.id) in worn:
            tare_g = known.tare_at(known.order(row))
        stage, curve = _stage_of(known, row)
        share, number = row.base_factor, row.id
        if row.kind not in COMPUTED:
            share = _unless_close(share, known.share_at(row, row.at))
        if not same_g(tare_g, row.tare_g) or (row.at == last_at and row.id < last_id):
            # those of one moment are read in the order of their numbers
            number = reweigh(work, row, tare_g=tare_g, base_factor=share, stage=stage, curve=curve)
        else:
            work.update("weigh_in", row.id, base_factor=share, stage=stage, curve=int(curve))
        last_at, last_id = row.at, number


def _stage_of(known: WeightHistory, row: WeighIn) -> tuple[str, bool]:
    """Stage and curve of a weigh-in; one of the very moment of a move stays with either."""
    if row.kind != "stage":
        return row.stage, row.curve
    here = [entry.stage for entry in known.stages if entry.at == row.at]
    past = [entry.stage for entry in known.stages if entry.at < row.at]
    fitting = [*past[-1:], *here]
    stage = row.stage if row.stage in fitting or not fitting else fitting[-1]
    if stage == row.stage:
        return stage, row.curve
    hung = known.hang_at is not None and row.at >= known.hang_at
    first = known.hung()
    if hung and first is not None and known.order(row) < known.order(first):
        hung = False
    return stage, stage in ON_THE_CURVE and hung


def _unless_close(was: float, share: float) -> float:
    """The stored share, where the new one differs in its last digits only."""
    return was if abs(was - share) <= _CLOSE * abs(was) else share


AS_IT_WAS = "as it was"


def reweigh(
    work: Work,
    row: WeighIn,
    *,
    gross_g: float | None = None,
    tare_g: float | None = None,
    at: str | None = None,
    note: str | None = None,
    base_factor: float | None = None,
    stage: str | None = None,
    curve: bool | None = None,
    flagged: str | None = AS_IT_WAS,
) -> int:
    """Void a weigh-in and add it anew with what was corrected; the new one's id.

    ``flagged`` is the doubt that was overruled for the new weight, None without one.
    """
    gross = row.gross_g if gross_g is None else gross_g
    tare = row.tare_g if tare_g is None else tare_g
    net_g = net_from_gross(gross, tare)
    weigh_ins.void(work, row.id)
    new = weigh_ins.NewWeighIn(
        lot_id=row.lot_id,
        at=at or row.at,
        stage=stage or row.stage,
        kind=row.kind,
        curve=row.curve if curve is None else curve,
        gross_g=gross,
        tare_g=tare,
        base_factor=row.base_factor if base_factor is None else base_factor,
        flagged=row.flagged if flagged == AS_IT_WAS else flagged,
        note=note or row.note,
        replaces=row.id,
        own_tare=row.own_tare,
    )
    number = weigh_ins.add(work, new)
    if row.kind == "cured":
        lots.update(work, row.lot_id, cured_g=net_g)
    elif row.kind == "final":
        work.update("finish", row.lot_id, final_g=net_g)
    return number
