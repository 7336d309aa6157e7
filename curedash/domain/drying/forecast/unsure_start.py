"""The pull window of a piece with an unknown hang weight: as wide as its start is unsure."""

from __future__ import annotations

from collections.abc import Sequence

from curedash.domain.drying.forecast.drying_body import body_of
from curedash.domain.drying.forecast.pull_forecast import Basis, Forecast, forecast, rule_of_thumb
from curedash.domain.record import replace

UNSURE_START = "start estimated"


def never_weighed(
    target_loss_pct: float, thickness_mm: float | None, weight_g: float | None = None
) -> Forecast:
    """Tell the window of a piece that hangs unweighed, from its thickness alone.

    Parameters
    ----------
    target_loss_pct : loss of the hang weight it is pulled at [%]
    thickness_mm : thickest spot as hung [mm], 5–400; None: guessed from the weight
    weight_g : what a piece may weigh [g], where its thickness is not known

    Returns
    -------
    a forecast that calls itself a rule of thumb; raises Refused for a thickness outside

    Source
    ------
    `rule_of_thumb`

    Example
    -------
    >>> told = never_weighed(33.0, 80.0)
    >>> round(told.median_day), [round(day) for day in told.window_day]
    (40, [17, 148])
    """
    body = body_of(weight_g or 1000.0, thickness_mm)  # the rule asks only how thick it is
    return rule_of_thumb((), target_loss_pct, body, by_weight=thickness_mm is None)


def over_starts(of: Basis, pm_g: float) -> Forecast:
    """Tell the window of a piece whose hang weight is an estimate: over all it may have been.

    Parameters
    ----------
    of : as `forecast` takes it, its base the estimate, which is the first of its points
    pm_g : the ± of the estimate [g]

    Returns
    -------
    the forecast of the estimate, its window from the earliest day (it hung heavier) to the latest
    (it hung lighter); raises Refused as `forecast`

    Source
    ------
    `forecast` three times: a target of so much of a heavier start is sooner reached

    Example
    -------
    >>> rows = [(0.0, 1.0), (14.0, 0.85), (17.0, 0.84), (20.0, 0.83)]
    >>> of = Basis(rows, 35.0, base_g=1000.0, diameter_mm=70.0)
    >>> told, sure = over_starts(of, 100.0), forecast(of)
    >>> told.window_day[0] <= sure.window_day[0] < sure.window_day[1] <= told.window_day[1]
    True
    """
    middle, points, hang_g = forecast(of), of.points, of.base_g
    spans = [middle.window_day]
    for other_g in (hang_g + pm_g, max(hang_g - pm_g, _least_g(points, hang_g))):
        share = hang_g / other_g
        rows = [points[0], *((day, left * share) for day, left in points[1:])]
        told = forecast(replace(of, points=rows, base_g=other_g, posterior=None))
        spans.append(told.window_day)
    known = [span for span in spans if span is not None]
    window = middle.window_day
    if known and middle.median_day is not None:
        window = min(span[0] for span in known), max(span[1] for span in known)
    return replace(middle, window_day=window, method=f"{middle.method}, {UNSURE_START}")


def _least_g(points: Sequence[tuple[float, float]], hang_g: float) -> float:
    """It hung with no less than it weighed later [g]."""
    return max(left for _, left in points[1:]) * hang_g if len(points) > 1 else hang_g
