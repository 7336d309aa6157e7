"""Where the loss of a lot is expected ahead of its last weigh-in: the ways to its window."""

from __future__ import annotations

from curedash.domain.fast_json import loads
from curedash.present.numbers import on_way

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.services.drying.lot_curve import LotCurve

Spot = tuple[float, float]  # day since hanging [d], loss [%]
Spread = tuple[float, float, float]  # day since hanging [d], least and most loss then [%]
LOW, MIDDLE, HIGH = 1, 2, 3  # columns of the days just ahead, as they are stored


def way_ahead(curve: LotCurve, column: int, end_day: float | None) -> tuple[Spot, ...]:
    """One way from the last weigh-in to the target: near days as forecast, then straight.

    Empty where there is no window, or where the target is reached already.

    Parameters
    ----------
    column : `LOW`, `MIDDLE` or `HIGH`, the least or the most loss that is likely
    end_day : when this way reaches the target [d since hanging]
    """
    if end_day is None or curve.window_days is None or curve.target_pct is None:
        return ()
    if not curve.points or curve.points[-1].loss_pct >= curve.target_pct[0]:
        return ()
    last, target, stored = curve.points[-1], curve.target_pct[0], curve.lot.forecast
    if curve.window_days[1] <= last.day:
        return ()
    near = loads(stored.near) if stored is not None and stored.near and curve.base == "hang" else []
    rows = [(row[0], max(row[column], last.loss_pct)) for row in near]
    between = [(day, loss) for day, loss in rows if last.day < day < end_day and loss < target]
    return ((last.day, last.loss_pct), *between, (max(end_day, last.day), target))


def fan_spreads(curve: LotCurve) -> list[Spread]:
    """Least and most loss on each day ahead until the window ends; empty without a window."""
    if curve.window_days is None:
        return []
    first, last = curve.window_days
    quick, slow = way_ahead(curve, HIGH, first), way_ahead(curve, LOW, last)
    if not quick or not slow:
        return []
    days = sorted({day for day, _ in (*quick, *slow)})
    return [(day, on_way(slow, day), on_way(quick, day)) for day in days]
