"""Four plain laws of drying beside the body, weighed by how well each has foretold this piece.

Each law says that some function h of the loss grows evenly with time: the loss itself (an even
rate), its root (water diffusing to the surface), an exponential (a rim that closes as it dries),
the logarithm of what is left to a level (a limit, stretched or not). One slope is all that is
fitted, newer stretches counting for more, so no law needs more than two stretches.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from curedash.domain.drying.drying_rate import median
from curedash.domain.drying.forecast.posterior import Point
from curedash.domain.record import record

LONGEST_LEFT = 400.0  # design value [d]: further off counts as never
_SHORTEST_LEFT = 0.25
_STRETCHES = 12
_MISFIT = 0.22  # design value: share of a stretch that no law follows
_WANDER = 0.0015  # of the base per root day
_FADES = 0.6  # design value: a stretch this share of the way back counts 1/e
_SLIP = 4.0  # design value: spreads of the scale that a slip is off by
_SHORT = 0.012  # design value: a level this little above the target is not reached

Curve = Callable[[float], float]


@record
class Law:
    """What one law says: record [mean log likelihood], days left as logarithm, spread, short."""

    name: str
    record: float
    log_left: float
    spread: float
    short: float  # chance by this law that the target lies beyond its level


def _even(loss: float) -> float:
    return loss


def _root(power: float) -> Curve:
    def grown(loss: float) -> float:
        return float(max(loss, 0.0) ** power)

    return grown


def _rim(closes: float) -> Curve:
    def grown(loss: float) -> float:
        return math.exp(closes * loss) / closes

    return grown


def _limit(level: float, power: float) -> Curve:
    def grown(loss: float) -> float:
        left = max(1.0 - loss / level, 0.004)
        return float(max(-math.log(left), 0.0) ** power)

    return grown


_LEVELS = (0.20, 0.25, 0.30, 0.35, 0.40, 0.46, 0.53, 0.62)
LAWS: tuple[tuple[str, tuple[tuple[Curve, float], ...]], ...] = (
    ("an even rate", ((_even, 1.0),)),
    ("diffusion", tuple((_root(power), 1.0) for power in (1.25, 1.55, 2.0))),
    ("a closing rim", tuple((_rim(closes), 1.0) for closes in (3.0, 7.0, 13.0))),
    ("a limit", tuple((_limit(lv, p), lv) for lv in _LEVELS for p in (1.0, 1.25))),
)


def stretches(points: Sequence[Point], level: float) -> list[Point]:
    """Weigh-ins gathered into a dozen spans, so that many a day are not taken for a trend.

    A slip of the scale between two that agree is put on the line between them, one in the last
    weigh-in on the level that the body holds for true.
    """
    points = _without_slips(points, level)
    first, last = points[0], points[-1]
    span = (last.day - first.day) / _STRETCHES
    out: list[Point] = [first]
    some: list[Point] = []
    for point in points[1:]:
        some.append(point)
        if point.day - out[-1].day >= span or point is last:
            out.append(_middle(some))
            some = []
    return out


def _without_slips(points: Sequence[Point], level: float) -> list[Point]:
    out = [points[0]]
    for i in range(1, len(points) - 1):
        before, now, after = out[-1], points[i], points[i + 1]
        gain, days = after.loss - before.loss, after.day - before.day
        part = (now.day - before.day) / days if days > 0.0 else 0.5
        line = before.loss + part * gain
        far = _SLIP * now.sd + _MISFIT * max(gain, 0.0)
        out.append(Point(now.day, line, now.sd) if abs(now.loss - line) > far else now)
    last = points[-1]
    slipped = abs(last.loss - level) > _SLIP * last.sd
    out.append(Point(last.day, level, last.sd) if slipped else last)
    return out


def _middle(some: Sequence[Point]) -> Point:
    n = len(some)
    if n == 1:
        return some[0]
    mid = median([p.loss for p in some])
    return Point(sum(p.day for p in some) / n, mid, some[0].sd / math.sqrt(min(n, 4)))


def weighed(spans: Sequence[Point], level: float, target: float) -> list[Law]:
    """What each law says of a piece at one loss that is to reach another.

    Parameters
    ----------
    spans : weigh-ins gathered by ``stretches``, two or more
    level, target : loss of the hang weight [0–1] now and to be reached

    Returns
    -------
    one entry a law, in the order of LAWS

    Source
    ------
    even, diffusion, limit: constant-rate and falling-rate periods of drying; the closing rim: a
    diffusivity that falls exponentially with the loss (Crank 1975, chapter 9)

    Example
    -------
    >>> spans = [Point(day, 0.01 * day, 0.001) for day in (0.0, 5.0, 10.0, 15.0)]
    >>> even = weighed(spans, 0.15, 0.30)[0]
    >>> even.name, round(math.exp(even.log_left), 2)
    ('an even rate', 15.0)
    """
    return [_weigh(name, shapes, spans, level, target) for name, shapes in LAWS]


def _weigh(
    name: str,
    shapes: Sequence[tuple[Curve, float]],
    spans: Sequence[Point],
    level: float,
    target: float,
) -> Law:
    told: list[tuple[float, float | None]] = []
    for grown, top in shapes:
        score, slope = _record_of(grown, spans)
        if top <= max(level, target) + _SHORT:
            told.append((score, None))
            continue
        left = (grown(target) - grown(level)) / slope
        told.append((score, math.log(min(max(left, _SHORTEST_LEFT), LONGEST_LEFT))))
    count = len(spans) - 2
    best = max(score for score, _ in told)
    weights = [math.exp(max((score - best) * count, -30.0)) for score, _ in told]
    total = sum(weights)
    there = [(w, left) for w, (_, left) in zip(weights, told, strict=True) if left is not None]
    some = sum(w for w, _ in there)
    mean = sum(w * left for w, left in there) / some if there else math.log(LONGEST_LEFT)
    square = sum(w * (left - mean) ** 2 for w, left in there) / some if there else 0.0
    record = best + math.log(total / len(told)) / max(count, 1)
    return Law(name, record, mean, math.sqrt(square), 1.0 - some / total)


def _record_of(grown: Curve, spans: Sequence[Point]) -> tuple[float, float]:
    """Mean log likelihood of each stretch foretold from those before it, and the slope now."""
    heights = [grown(p.loss) for p in spans]
    last = spans[-1].day
    fade = _FADES * max(last - spans[0].day, 1e-6)
    top = bottom = score = 0.0
    for i in range(1, len(spans)):
        before, now = spans[i - 1], spans[i]
        days = max(now.day - before.day, 1e-6)
        steep = (grown(before.loss + 0.005) - heights[i - 1]) / 0.005  # h per unit of loss
        rise = heights[i] - heights[i - 1]
        noise = before.sd**2 + now.sd**2 + _WANDER**2 * days
        if i > 1:
            slope = max(top / bottom, 1e-9)
            gain = slope * days / max(steep, 1e-9)
            variance = noise + (_MISFIT * gain) ** 2 + 1e-8
            miss = (now.loss - before.loss) - gain
            ratio = miss * miss / variance
            score -= 2.5 * math.log1p(ratio / 4.0) + 0.5 * math.log(variance)
        share = noise + (_MISFIT * max(now.loss - before.loss, 0.002)) ** 2
        weight = math.exp((now.day - last) / fade) / (share * steep * steep + 1e-12)
        top += weight * days * rise
        bottom += weight * days * days
    # A tiny pull towards losing something, so that no slope is nought.
    return score / max(len(spans) - 2, 1), max(top / bottom, 1e-9)
