"""The whole curve of one lot, for drawing: points, cuts, stages and the target as a band."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import StageSpan, spans
from curedash.domain.drying.lot_figures import (
    base_of,
    is_stalled,
    loss_on,
    pull_is_ahead,
    target_net_g,
)
from curedash.domain.record import record
from curedash.domain.records import LotState, Rebase, WeighIn
from curedash.domain.times import days_between, moment, utc_text
from curedash.services.find import lot_with_id
from curedash.store import lots, rebases, weigh_ins

DRIES = ("drying", "ferment")
SAME_DAY = 0.5  # a weight taken with the move is the end of the drying [d]


@record
class Point:
    """One weigh-in on the curve."""

    weigh_in_id: int
    at: str
    day: float  # since hanging
    loss_pct: float
    net_g: float
    kind: str
    flagged: str | None


@record
class LotCurve:
    """Loss against days since hanging, on one base."""

    lot: LotState
    base: str
    approx: bool
    points: tuple[Point, ...]
    rebases: tuple[tuple[float, Rebase], ...]  # day since hanging
    stages: tuple[StageSpan, ...]
    target_pct: tuple[float, float] | None  # on this base
    window_days: tuple[float, float] | None


def curve_of(conn: Connection, lot_id: int, now: datetime, *, base: str = "hang") -> LotCurve:
    """Read the curve of one lot.

    Parameters
    ----------
    base : ``hang`` or ``green``; the target stays in grams and is shown on this base
    """
    lot = lot_with_id(conn, lot_id)
    shown, base_g = base_of(lot, base)
    rows = [row for row in weigh_ins.of_lot(conn, lot_id) if row.curve]
    start, cuts = lot.hang_at, rebases.of_lot(conn, lot_id)
    entries = [(entry.stage, moment(entry.at)) for entry in lots.stages(conn, lot_id)]
    target = target_net_g(lot)
    hi_pct = None if target is None else loss_on(base_g, target[0])
    lo_pct = None if target is None else loss_on(base_g, target[1])
    stored = lot.forecast if pull_is_ahead(lot) and not is_stalled(lot) else None
    window = (None, None) if stored is None else (stored.lo_day, stored.hi_day)
    return LotCurve(
        lot=lot,
        base=shown,
        approx=lot.hang_pm_g is not None and shown == "hang",
        points=tuple(_point(lot, row, start, base_g) for row in rows if start and base_g),
        rebases=tuple((days_between(start, cut.at), cut) for cut in cuts if start),
        stages=spans(entries, now),
        target_pct=None if lo_pct is None or hi_pct is None else (lo_pct, hi_pct),
        window_days=None if window[0] is None or window[1] is None else (window[0], window[1]),
    )


def while_drying(curve: LotCurve) -> tuple[Point, ...]:
    """The points until it left the drying for good, with the weight it left it at."""
    last = max((n for n, span in enumerate(curve.stages) if span.stage in DRIES), default=None)
    if last is None or last + 1 == len(curve.stages) or curve.lot.hang_at is None:
        return curve.points
    ended = days_between(curve.lot.hang_at, utc_text(curve.stages[last].end))
    return tuple(point for point in curve.points if point.day <= ended + SAME_DAY)


def _point(lot: LotState, row: WeighIn, start: str, base_g: float) -> Point:
    """The base of today taken back to where it stood when this was weighed."""
    then_g = base_g * row.base_factor / lot.base_factor
    day, loss_pct = days_between(start, row.at), 100 * (1 - row.net_g / then_g)
    return Point(row.id, row.at, day, loss_pct, row.net_g, row.kind, row.flagged)
