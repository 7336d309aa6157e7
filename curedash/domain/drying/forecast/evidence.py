"""Which evidence moved the window how far: the forecast again, one kind of evidence at a time."""

from __future__ import annotations

from curedash.domain.drying.forecast.pull_forecast import Basis, Forecast, forecast
from curedash.domain.record import record, replace
from curedash.domain.wording import count


@record
class Evidence:
    """One kind of evidence: the forecast with it and all before it, and how far it moved."""

    what: str
    median_day: float | None
    window_day: tuple[float, float] | None
    moved_days: float | None  # of the median; None for the first, or where there was none


def evidence(of: Basis) -> list[Evidence]:
    """Forecast with ever more evidence: thickness, weigh-ins, the place's air, finished
    lots, what windows said before.

    Parameters
    ----------
    of : as `forecast` takes it; what is not there is no step

    Returns
    -------
    the steps in that order, days since hanging; raises Refused as `forecast` does

    Source
    ------
    as for `forecast`

    Example
    -------
    >>> rows = [(7.0 * i, g / 1000) for i, g in enumerate((1000, 935, 888, 852, 823))]
    >>> [one.what for one in evidence(Basis(rows, 30, base_g=1000))]
    ['thickness', 'weigh-ins']
    """
    bare = replace(of, air=(), history=(), own=None, posterior=None)
    told = [("thickness", replace(bare, points=of.points[:1], sds=None))]
    if len(of.points) > 1:
        told.append(("weigh-ins", bare))
    if of.air:
        told.append(("the place's air", replace(bare, air=of.air)))
    if of.history:
        words = count(len(of.history), "finished lot")
        told.append((words, replace(bare, air=of.air, history=of.history)))
    if of.own is not None and of.own.lots:
        words = f"earlier windows of {count(of.own.lots, 'lot')}"
        told.append((words, replace(of, posterior=None)))
    out: list[Evidence] = []
    before: Forecast | None = None
    for what, some in told:
        seen = forecast(some)
        moved = None
        if before is not None and None not in (before.median_day, seen.median_day):
            moved = (seen.median_day or 0.0) - (before.median_day or 0.0)
        out.append(Evidence(what, seen.median_day, seen.window_day, moved))
        before = seen
    return out
