"""Which evidence moved the window how far: the forecast again, one kind of evidence at a time."""

from __future__ import annotations

from collections.abc import Sequence

from curedash.domain.drying.forecast.pull_forecast import Forecast, forecast
from curedash.domain.record import record
from curedash.domain.wording import count

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


@record
class Evidence:
    """One kind of evidence: the forecast with it and all before it, and how far it moved."""

    what: str
    median_day: float | None
    window_day: tuple[float, float] | None
    moved_days: float | None  # of the median; None for the first, or where there was none


def evidence(
    points: Sequence[tuple[float, float]], target_loss_pct: float, **more: Any
) -> list[Evidence]:
    """Forecast with ever more evidence: thickness, weigh-ins, the place's air, finished
    lots, what windows said before.

    Parameters
    ----------
    points, target_loss_pct, more : as `forecast` takes them; what is not there is no step

    Returns
    -------
    the steps in that order, days since hanging; raises Refused as `forecast` does

    Source
    ------
    as for `forecast`

    Example
    -------
    >>> rows = [(7.0 * i, g / 1000) for i, g in enumerate((1000, 935, 888, 852, 823))]
    >>> [one.what for one in evidence(rows, 30, base_g=1000)]
    ['thickness', 'weigh-ins']
    """
    air, history, own = more.pop("air", ()), more.pop("history", ()), more.pop("own", None)
    alone = {key: value for key, value in more.items() if key not in ("posterior", "sds")}
    told = [("thickness", forecast(points[:1], target_loss_pct, **alone))]
    whole = {key: value for key, value in more.items() if key != "posterior"}
    if len(points) > 1:
        told.append(("weigh-ins", forecast(points, target_loss_pct, **whole)))
    if air:
        seen = forecast(points, target_loss_pct, air=air, **whole)
        told.append(("the place's air", seen))
    if history:
        seen = forecast(points, target_loss_pct, air=air, history=history, **whole)
        told.append((count(len(history), "finished lot"), seen))
    if own is not None and own.lots:
        seen = forecast(points, target_loss_pct, air=air, history=history, own=own, **whole)
        told.append((f"earlier windows of {count(own.lots, 'lot')}", seen))
    out: list[Evidence] = []
    before: Forecast | None = None
    for what, seen in told:
        moved = None
        if before is not None and None not in (before.median_day, seen.median_day):
            moved = (seen.median_day or 0.0) - (before.median_day or 0.0)
        out.append(Evidence(what, seen.median_day, seen.window_day, moved))
        before = seen
    return out
