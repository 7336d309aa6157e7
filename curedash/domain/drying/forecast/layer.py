"""From the body and the plain laws to one window: which law to trust on this piece, and how far.

A small network with one hidden layer, its numbers learned offline (domain/facts/forecast_layer). It
sees what each law says, how well each has foretold the piece, how often and how finely it was
weighed and what is known of its size, and gives a weight to each law, a shift, the two half-widths
of an 80 % window in logarithms of the days left, and the chance that the target is never reached.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from curedash.domain.drying.forecast.laws import LAWS, Law, stretches, weighed
from curedash.domain.drying.forecast.posterior import Point
from curedash.domain.drying.forecast.window import Window
from curedash.domain.facts import forecast_layer as facts
from curedash.domain.record import record

BODY = "the drying body"
NAMES = (BODY, *(name for name, _ in LAWS))
_NEVER_LEFT = 300.0  # design value: days that stand for a body that does not get there
_LEAST_LEFT = 0.0005
_FAR = 3.0  # inputs count up to three spreads from their mean


@record
class Known:
    """What is known of a piece besides its weigh-ins."""

    base_g: float
    diameter_mm: float | None
    in_bag: bool | None
    has_air: bool
    finished: int  # lots dried here that the body has heard of


@record
class Trust:
    """What the laws together say: logarithm of days left, half-widths, chance, and who said it."""

    log_left: float
    below: float
    above: float
    short: float
    weights: tuple[float, ...]  # of NAMES, together 1
    lefts: tuple[float, ...]  # days left by each of NAMES


def trust(points: Sequence[Point], body: Window, target: float, known: Known) -> Trust:
    """Weigh the body and the plain laws on one piece.

    Parameters
    ----------
    points : the weigh-ins made ready, three or more
    body : the window of the drying body
    target : loss of the hang weight to be reached [0–1]
    known : what is known besides

    Returns
    -------
    what they say together

    Source
    ------
    domain/facts/forecast_layer

    Example
    -------
    >>> points = [Point(7.0 * n, 0.05 * n, 0.002) for n in range(4)]
    >>> curve = ((21.0, 0.15, 0.15, 0.15),)
    >>> body = Window(50.0, 40.0, 65.0, 0.0, curve, ())
    >>> seen = trust(points, body, 0.30, Known(1000.0, 75.0, None, False, 0))
    >>> round(sum(seen.weights), 6), 15 < math.exp(seen.log_left) < 40
    (1.0, True)
    """
    seen, lefts = inputs(points, body, target, known)
    at, low, high, short, *weights = _mean_of_nets(seen, lefts)
    if known.finished:
        # Lots that dried here move the middle and narrow either side; they widen neither.
        _, alone_low, alone_high, *_ = _mean_of_nets([*seen[:-1], 0.0], lefts)
        low, high = min(low, alone_low), min(high, alone_high)
    wide, days = widened(_level(body, target) / target), tuple(math.exp(left) for left in lefts)
    below, above = wide * math.exp(low), wide * math.exp(high)
    return Trust(at, below, above, short, tuple(weights), days)


#: design value: how far off the change of the days may be in other air, as a share of that change
AIR_MISFIT = 0.5


def elsewhere(at: Trust, here: Window, there: Window, now: float) -> Trust:
    """What the laws say of a piece that goes on in other air: changed as the body's days change.

    Parameters
    ----------
    at : what they say where it hangs
    here, there : the window of the drying body in either air
    now : day of the last weigh-in since hanging [d]

    Returns
    -------
    the same in the other air, wider the more it differs

    Source
    ------
    the drying body of `drying_body`; the widening is a design value

    Example
    -------
    >>> here = Window(50.0, 40.0, 65.0, 0.0, (), ())
    >>> there = Window(80.0, 60.0, 110.0, 0.1, (), ())
    >>> at = Trust(math.log(30.0), 0.3, 0.3, 0.0, (), ())
    >>> moved_on = elsewhere(at, here, there, 20.0)
    >>> round(math.exp(moved_on.log_left)), moved_on.below > 0.3, moved_on.short
    (60, True, 0.1)
    """
    change = _of_body(there, now)[0] - _of_body(here, now)[0]
    unsure = AIR_MISFIT * abs(change)
    short = min(1.0, max(0.0, at.short + there.p_levels_off - here.p_levels_off))
    below, above = math.hypot(at.below, unsure), math.hypot(at.above, unsure)
    lefts = tuple(left * math.exp(change) for left in at.lefts)
    return Trust(at.log_left + change, below, above, short, at.weights, lefts)


def _mean_of_nets(seen: Sequence[float], lefts: Sequence[float]) -> list[float]:
    told = [_through(net, seen, lefts) for net in facts.NETS]
    return [sum(column) / len(told) for column in zip(*told, strict=True)]


def inputs(
    points: Sequence[Point], body: Window, target: float, known: Known
) -> tuple[list[float], tuple[float, ...]]:
    """What the network sees, in the order of its INPUTS, and log days left by each of NAMES."""
    level = _level(body, target)
    spans = stretches(points, level)
    laws = weighed(spans, level, target)
    base, below, above = _of_body(body, points[-1].day)
    seen = _signs(
        points, spans, laws, (base, below, above, body.p_levels_off), level, target, known
    )
    return seen, (base, *(law.log_left for law in laws))


def widened(share: float) -> float:
    """What half-widths are multiplied by at a share of the way to the target [0–1]."""
    early = min(max(0.7 - share, 0.0), 0.5) / 0.4
    return facts.WIDEN + facts.WIDEN_EARLY * early


def _level(body: Window, target: float) -> float:
    return min(body.curve[0][2], target - _LEAST_LEFT)


def _of_body(body: Window, now: float) -> tuple[float, float, float]:
    if body.median_day is None or body.lo_day is None or body.hi_day is None:
        return math.log(_NEVER_LEFT), 1.0, 1.0
    at = math.log(max(body.median_day - now, 0.25))
    return (
        at,
        at - math.log(max(body.lo_day - now, 0.1)),
        math.log(max(body.hi_day - now, 0.3)) - at,
    )


def _signs(
    points: Sequence[Point],
    spans: Sequence[Point],
    laws: Sequence[Law],
    body: tuple[float, float, float, float],
    level: float,
    target: float,
    known: Known,
) -> list[float]:
    """Inputs of the network, in the order of domain/facts/forecast_layer.INPUTS."""
    base, below, above, off = body
    return [
        *_signs_of_laws(laws, base, max(len(spans) - 2, 1)),
        off,
        _within(below, 0.0, 2.0),
        _within(above, 0.0, 2.0),
        level / target,
        target,
        level,
        *_signs_of_weighing(points, level, target),
        _within(base, 0.0, 6.0),
        _sign_of_rate(points, spans, level),
        *_signs_of_piece(known),
    ]


def _signs_of_laws(laws: Sequence[Law], base: float, count: int) -> list[float]:
    best = max(law.record for law in laws)
    return [
        *(_within(law.log_left - base, -2.0, 2.0) for law in laws),
        *(_within((law.record - best) * count, -10.0, 0.0) for law in laws),
        *(law.spread for law in laws[1:]),
        laws[3].short,
    ]


def _signs_of_weighing(points: Sequence[Point], level: float, target: float) -> list[float]:
    log, elapsed, sd = math.log, _elapsed(points), points[-1].sd
    return [
        log(elapsed),
        log(len(points)),
        log(elapsed / (len(points) - 1)),
        _within(log(sd / max(level, 0.005)), -6.0, 0.0),
        _within(log(sd / max(target - level, 0.002)), -6.0, 1.0),
    ]


def _sign_of_rate(points: Sequence[Point], spans: Sequence[Point], level: float) -> float:
    """Logarithm of the recent rate over that of all the days."""
    elapsed, today, last = _elapsed(points), points[-1].day, spans[-1]
    back = next((p for p in reversed(spans[:-1]) if today - p.day >= 0.3 * elapsed), spans[0])
    recent = (last.loss - back.loss) / max(last.day - back.day, 0.3)
    return _within(math.log(max(recent, 1e-5) / max(level / elapsed, 1e-5)), -2.0, 1.0)


def _signs_of_piece(known: Known) -> list[float]:
    round_of = known.base_g / 1060e3 * 4.0 / (24.0 * math.pi)
    thick = known.diameter_mm or 2000.0 * round_of ** (1 / 3)
    return [
        float(known.diameter_mm is not None),
        math.log(thick / 70.0),
        1.0 if known.in_bag else 0.0,
        float(known.has_air),
        math.log1p(known.finished),
    ]


def _elapsed(points: Sequence[Point]) -> float:
    return max(points[-1].day - points[0].day, 0.5)


def _within(value: float, low: float, high: float) -> float:
    return low if value < low else high if value > high else value


def _through(
    net: tuple[Sequence[Sequence[float]], Sequence[Sequence[float]]],
    seen: Sequence[float],
    lefts: Sequence[float],
) -> list[float]:
    """One network: log of days left, logs of the half-widths, chance, weights of the laws."""
    inner, outer = net
    x = [
        _within((v - m) / s, -_FAR, _FAR)
        for v, m, s in zip(seen, facts.MEANS, facts.SPREADS, strict=True)
    ]
    hidden = [
        math.tanh(row[-1] + sum(w * v for w, v in zip(row[:-1], x, strict=True))) for row in inner
    ]
    out = [row[-1] + sum(w * h for w, h in zip(row[:-1], hidden, strict=True)) for row in outer]
    n = len(lefts)
    top = max(out[:n])
    weights = [math.exp(v - top) for v in out[:n]]
    total = sum(weights)
    weights = [w / total for w in weights]
    at = out[n] + sum(w * left for w, left in zip(weights, lefts, strict=True))
    low, high = (_within(v, -4.0, 2.0) for v in out[n + 1 : n + 3])
    return [at, low, high, 1.0 / (1.0 + math.exp(-_within(out[n + 3], -30.0, 30.0))), *weights]


def moved(body: Window, now: float, at: Trust) -> Window:
    """The window by what all laws say, and the body's curve with its days drawn out to fit it.

    The nearest days follow by half of the factor only: what the body says of them is better.
    """
    left = math.exp(at.log_left)
    low, mid, high = (
        now + max(math.exp(at.log_left + by), least)
        for by, least in ((-at.below, 0.02), (0.0, 0.03), (at.above, 0.04))
    )
    ahead = math.exp(_of_body(body, now)[0])
    factor = left / ahead
    near = math.sqrt(factor) if factor > 0.3 else factor

    def day(old: float) -> float:
        since = old - now
        part = min(since / ahead, 1.0)
        return now + since * (near + (factor - near) * part)

    curve = tuple((day(d), lo, middle, hi) for d, lo, middle, hi in body.curve)
    return Window(mid, low, high, at.short, curve, body.narrows)
