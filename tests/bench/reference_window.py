"""The reference forecast: a posterior on a grid of Page curves, for comparison.

It knows only the weigh-ins of one piece, under one fixed prior. The drying body beats it; it stays
as the yardstick of the benchmark and as a check against golden values.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from curedash.domain.errors import Refused

_N = tuple(0.6 + 0.1 * i for i in range(7))
_LEVEL = tuple(0.36 + 0.04 * i for i in range(8))
_TAU = tuple(math.exp(math.log(6.0) + i * math.log(400.0 / 6.0) / 59.0) for i in range(60))
_PRIOR_N, _PRIOR_LEVEL = (0.90, 0.15), (0.52, 0.06)
_MOISTURE = 0.73
_SIGMA, _WANDER, _MISFIT, _AHEAD_MISFIT = 0.002, 0.0025, 0.20, 0.14
_SPREAD = (-1.5, -0.9, -0.5, -0.16, 0.16, 0.5, 0.9, 1.5)


def page_window(
    points: Sequence[tuple[float, float]], target_loss_pct: float, moisture_pct: float = 73.0
) -> tuple[float, float, float]:
    """Window of the reference forecast: ``L = L∞·(1 − exp(−(t/τ)ⁿ))`` on a grid.

    Parameters
    ----------
    points : (day [d], net weight over hang weight [1]), the hang weight first, three or more
    target_loss_pct : target [%], 1–60
    moisture_pct : moisture as hung [%], 40–80

    Returns
    -------
    low, median and high day of an 80 % window [d]; raises Refused where no curve of the grid gets
    there

    Source
    ------
    Page curve as the best of seven for a traditional sausage, Fleischwirtschaft/FFR 41:71, 2014
    (quoted); grid, prior and noise are design values of the reference

    Example
    -------
    >>> net_g = (379, 356, 338, 330, 320, 310)
    >>> window = page_window([(2.0 * i, g / 379) for i, g in enumerate(net_g)], 28)
    >>> [round(day, 2) for day in window]
    [17.35, 20.72, 26.08]
    """
    target, now = target_loss_pct / 100.0, points[-1][0]
    loss_now = 1.0 - points[-1][1]
    drawn: list[tuple[float, float]] = []
    for n in _N:
        for plain in _LEVEL:
            level = plain * moisture_pct / 100.0 / _MOISTURE
            if level <= max(target, loss_now) + 0.03:
                continue
            before = _log_prior(n, plain)
            for tau in _TAU:
                weight = before + _log_likelihood(points, n, level, tau)
                left = _day(target, n, level, tau) - _day(max(loss_now, 0.0), n, level, tau)
                drawn += [(weight, x) for x in _scatter(left, target - loss_now)]
    if not drawn:
        raise Refused("No curve of the reference grid reaches that target.")
    return tuple(now + x for x in _quantiles(drawn, (0.1, 0.5, 0.9)))  # type: ignore[return-value]


def _log_prior(n: float, level: float) -> float:
    a, b = (n - _PRIOR_N[0]) / _PRIOR_N[1], (level - _PRIOR_LEVEL[0]) / _PRIOR_LEVEL[1]
    return -0.5 * (a * a + b * b)


def _log_likelihood(
    points: Sequence[tuple[float, float]], n: float, level: float, tau: float
) -> float:
    total, before = 0.0, 0.0
    for (d0, y0), (d1, y1) in itertools.pairwise(points):
        after = level * (1.0 - math.exp(-((d1 / tau) ** n)))
        step = after - before
        variance = 2 * _SIGMA**2 + _WANDER**2 * (d1 - d0) + (_MISFIT * step) ** 2
        miss = (y0 - y1) - step
        total -= 2.5 * math.log1p(miss * miss / variance / 4.0) + 0.5 * math.log(variance)
        before = after
    return total


def _day(loss: float, n: float, level: float, tau: float) -> float:
    return tau * float((-math.log(1.0 - loss / level)) ** (1.0 / n))


def _scatter(left: float, need: float) -> list[float]:
    rate = need / max(left, 1e-9)
    sd = math.sqrt(_WANDER**2 * left + _SIGMA**2 + (_AHEAD_MISFIT * need) ** 2) / rate
    return [max(left + z * sd, 0.0) for z in _SPREAD]


def _quantiles(drawn: list[tuple[float, float]], at: Sequence[float]) -> list[float]:
    top = max(weight for weight, _ in drawn)
    ordered = sorted((x, math.exp(weight - top)) for weight, x in drawn)
    total = math.fsum(weight for _, weight in ordered)
    out, passed, wanted = [], 0.0, list(at)
    for x, weight in ordered:
        passed += weight
        while wanted and passed >= wanted[0] * total:
            out.append(x)
            wanted.pop(0)
    return out + [ordered[-1][0]] * len(wanted)
