"""What the weigh-ins of a piece say about its five unknowns: a mode and a precision.

Each increment between two weigh-ins is one piece of evidence (Student-t, so a slip of the scale
does little); its spread holds the scale, the day-to-day drift of the surface and what the body
cannot follow. The mode is found by damped Gauss-Newton steps; one more weigh-in is one more
update of mode and precision, without going back to the first day.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from curedash.domain.drying.forecast.drying_body import (
    Air,
    Body,
    State,
    Step,
    drier,
    dry,
    fresh,
    loss_of,
    steps_to,
)
from curedash.domain.drying.forecast.matrix import Matrix, cholesky, solve
from curedash.domain.drying.forecast.matrix import add as sum_of
from curedash.domain.facts import forecast_prior as prior
from curedash.domain.fast_json import dumps, loads_numbers
from curedash.domain.record import as_dict, record

_NUDGE = 0.03
_UNKNOWNS = 5
VERSION = "body-2"


@record
class Belief:
    """A normal prior over the five unknowns: mean and precision."""

    mean: tuple[float, ...]
    precision: Matrix


@record
class Point:
    """A weigh-in: drying days since hanging, loss of the hang weight [0–1], its spread [0–1]."""

    day: float
    loss: float
    sd: float


@record
class Posterior:
    """Mode and precision after the last weigh-in, and the bodies that stand there.

    ``states`` holds the body at the mode and at the mode nudged in each unknown; ``offset`` is
    how far the true loss is believed to lie above that of the body, ``offset_var`` how sure.
    """

    mode: tuple[float, ...]
    precision: Matrix
    states: tuple[State, ...]
    last: Point
    offset: float
    offset_var: float
    gap: float  # measured loss less that of the body, as weighed
    count: int

    def to_bytes(self) -> bytes:
        """The posterior as JSON, to be stored beside a lot."""
        numbers = as_dict(self) | {"last": tuple(as_dict(self.last).values())}
        return dumps([VERSION, *numbers.values()]).encode()

    @staticmethod
    def from_bytes(stored: bytes) -> Posterior | None:
        """The stored posterior, None if another version of the model or something else wrote it."""
        try:
            version, mode, precision, states, last, *numbers = loads_numbers(stored.decode())
            if version != VERSION:
                return None
            bodies = tuple((a, b, c) for a, b, c in states)
            return Posterior(tuple(mode), precision, bodies, Point(*last), *numbers)
        except (ValueError, TypeError):
            return None


def fit(points: Sequence[Point], body: Body, air: Air, belief: Belief) -> Posterior:
    """Find the posterior from all weigh-ins, the first of them the hang weight."""
    legs = steps_to(points[0].day, [p.day for p in points[1:]], air)
    mean, mode = belief.mean, list(belief.mean)
    runs = _runs(mode, body, legs)
    cost = _cost(points, runs[0], mode, belief)
    damping = 1e-2
    for _ in range(12):
        a, b = _normal_equations(points, runs)
        pull = [m - x for m, x in zip(mean, mode, strict=True)]
        for i in range(_UNKNOWNS):
            row = belief.precision[i]
            b[i] += sum(row[j] * pull[j] for j in range(_UNKNOWNS))
            for j in range(_UNKNOWNS):
                a[i][j] += row[j]
            a[i][i] *= 1.0 + damping
        move = [max(-0.8, min(0.8, x)) for x in solve(cholesky(a), b)]
        tried = [x + m for x, m in zip(mode, move, strict=True)]
        moved = _losses(dry_path(tried, body, legs), body)
        new_cost = _cost(points, moved, tried, belief)
        if new_cost < cost:
            gain, mode, cost = cost - new_cost, tried, new_cost
            damping = max(damping * 0.3, 1e-4)
            runs = _runs(mode, body, legs, moved)
            if gain < 1e-3:
                break
        else:
            damping *= 6.0
            if damping > 1e3 or max(abs(m) for m in move) < 1e-4:
                break
    return _posterior_of(points, body, legs, mode, runs, belief)


def add(old: Posterior, point: Point, body: Body, air: Air) -> Posterior:
    """Take in one more weigh-in: one likelihood term, no way back to the first day."""
    (leg,) = steps_to(old.last.day, [point.day], air)
    ahead = [dry(_nudged(old.mode, k), body, leg, state) for k, state in enumerate(old.states)]
    gains = [loss_of(body, n) - loss_of(body, o) for n, o in zip(ahead, old.states, strict=True)]
    slope = [(g - gains[0]) / _NUDGE for g in gains[1:]]
    seen = point.loss - old.last.loss
    weight, miss, _ = _evidence(seen, gains[0], old.last, point)
    precision = [
        [p + weight * slope[i] * slope[j] for j, p in enumerate(row)]
        for i, row in enumerate(old.precision)
    ]
    move = solve(cholesky(precision), [weight * miss * s for s in slope])
    move = [max(-0.8, min(0.8, x)) for x in move]
    mode = tuple(x + m for x, m in zip(old.mode, move, strict=True))
    shift = _moved(ahead, move)
    states = tuple(_sum(state, shift) for state in ahead)
    gap = point.loss - loss_of(body, states[0])
    offset, variance = _follow(old.offset, old.offset_var, gap, gains[0], old.last, point)
    return Posterior(mode, precision, states, point, offset, variance, gap, old.count + 1)


def moved_state(post: Posterior, move: Sequence[float]) -> State:
    """The body now, had its unknowns differed from the mode by ``move`` all along."""
    a, b, c = _sum(post.states[0], _moved(post.states, move))
    top = 1.1 * max(post.states[0])
    return (min(max(a, 0.05), top), min(max(b, 0.05), top), min(max(c, 0.05), top))


def dry_path(mode: Sequence[float], body: Body, legs: Sequence[Sequence[Step]]) -> list[State]:
    """States at the start and after each leg."""
    path, onward = [fresh(body)], drier(mode, body)
    for leg in legs:
        path.append(onward(leg, path[-1]))
    return path


def _moved(states: Sequence[State], move: Sequence[float]) -> list[float]:
    base = states[0]
    return [
        sum((s[i] - base[i]) * m for s, m in zip(states[1:], move, strict=True)) / _NUDGE
        for i in range(3)
    ]


def _sum(state: State, shift: Sequence[float]) -> State:
    a, b, c = (max(x + moved, 0.02) for x, moved in zip(state, shift, strict=True))
    return a, b, c


def _nudged(mode: Sequence[float], k: int) -> list[float]:
    return [x + (_NUDGE if j == k - 1 else 0.0) for j, x in enumerate(mode)]


def _losses(path: Sequence[State], body: Body) -> list[float]:
    return [loss_of(body, state) for state in path]


def _runs(
    mode: Sequence[float],
    body: Body,
    legs: Sequence[Sequence[Step]],
    at_mode: list[float] | None = None,
) -> list[list[float]]:
    first = at_mode or _losses(dry_path(mode, body, legs), body)
    others = (
        _losses(dry_path(_nudged(mode, k), body, legs), body) for k in range(1, _UNKNOWNS + 1)
    )
    return [first, *others]


def _evidence(
    seen: float, expected: float, before: Point, now: Point
) -> tuple[float, float, float]:
    """Weight [1/variance], miss, and minus the log likelihood of one increment."""
    nu = prior.STUDENT_NU
    days = now.day - before.day
    scale = before.sd**2 + now.sd**2 + prior.WANDER_PER_ROOT_DAY**2 * days
    variance = scale + (prior.MISFIT_SHARE * expected) ** 2
    miss = seen - expected
    ratio = miss * miss / (variance * nu)
    weight = (1.0 + 1.0 / nu) / (1.0 + ratio) / variance
    return weight, miss, 0.5 * (nu + 1.0) * math.log1p(ratio) + 0.5 * math.log(variance)


def _cost(
    points: Sequence[Point], losses: Sequence[float], mode: Sequence[float], belief: Belief
) -> float:
    total = 0.0
    for i in range(1, len(points)):
        before, now = points[i - 1], points[i]
        expected = losses[i] - losses[i - 1]
        total += _evidence(now.loss - before.loss, expected, before, now)[2]
    away = [x - m for x, m in zip(mode, belief.mean, strict=True)]
    for x, row in zip(away, belief.precision, strict=True):
        total += 0.5 * x * sum(r * y for r, y in zip(row, away, strict=True))
    return total


def _normal_equations(
    points: Sequence[Point], runs: Sequence[Sequence[float]]
) -> tuple[Matrix, list[float]]:
    a = [[0.0] * _UNKNOWNS for _ in range(_UNKNOWNS)]
    b = [0.0] * _UNKNOWNS
    for i in range(1, len(points)):
        before, now = points[i - 1], points[i]
        gains = [run[i] - run[i - 1] for run in runs]
        expected = gains[0]
        weight, miss, _ = _evidence(now.loss - before.loss, expected, before, now)
        slope = [(g - expected) / _NUDGE for g in gains[1:]]
        for j in range(_UNKNOWNS):
            pull = weight * slope[j]
            b[j] += pull * miss
            row = a[j]
            for k in range(j + 1):
                row[k] += pull * slope[k]
    for j in range(_UNKNOWNS):
        for k in range(j + 1, _UNKNOWNS):
            a[j][k] = a[k][j]
    return a, b


def _posterior_of(
    points: Sequence[Point],
    body: Body,
    legs: Sequence[Sequence[Step]],
    mode: Sequence[float],
    runs: Sequence[Sequence[float]],
    belief: Belief,
) -> Posterior:
    a, _ = _normal_equations(points, runs)
    precision = sum_of(a, belief.precision)
    states = tuple(dry_path(_nudged(mode, k), body, legs)[-1] for k in range(_UNKNOWNS + 1))
    start = points[0].loss
    offset, variance, gap = start, points[0].sd ** 2, start
    for i in range(1, len(points)):
        before, now = points[i - 1], points[i]
        gap = now.loss - runs[0][i]
        offset, variance = _follow(offset, variance, gap, runs[0][i] - runs[0][i - 1], before, now)
    return Posterior(tuple(mode), precision, states, points[-1], offset, variance, gap, len(points))


def _follow(
    offset: float, variance: float, gap: float, expected: float, before: Point, now: Point
) -> tuple[float, float]:
    """Follow the gap between the scale and the body, a slip in the last weigh-in held back."""
    days = now.day - before.day
    variance += 4.0 * (prior.WANDER_PER_ROOT_DAY**2 * days + (prior.MISFIT_SHARE * expected) ** 2)
    noise = now.sd**2
    miss = gap - offset
    far = miss * miss / (variance + noise)
    if far > 4.0:
        noise *= (1.0 + far / 4.0) / 1.25
    share = variance / (variance + noise)
    return offset + share * miss, variance * (1.0 - share)
