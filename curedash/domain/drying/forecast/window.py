"""From a posterior to days: when the target is reached, and the loss to expect on the way."""

from __future__ import annotations

import math
from collections.abc import Sequence

from curedash.domain.drying.forecast.drying_body import Air, Body, drier, loss_of, steps_to
from curedash.domain.drying.forecast.matrix import cholesky, inverse
from curedash.domain.drying.forecast.posterior import Posterior, moved_state
from curedash.domain.facts import forecast_prior as prior
from curedash.domain.record import record

LAST_DAY = 200.0  # design value: not there by then counts as stalled
AT_LEAST_AHEAD = 60.0
_SEEN_AHEAD = 28.0
_LEAST_LEFT = 0.0005
_PATIENCE_DAYS = 30.0  # design value, cross-validated by household
_Z90 = 1.2816  # the 90 % point of the unit normal


@record
class Window:
    """Drying days to the target and the expected loss on the way."""

    median_day: float | None
    lo_day: float | None
    hi_day: float | None
    p_levels_off: float
    curve: tuple[tuple[float, float, float, float], ...]  # day, low, middle, high loss [0–1]
    narrows: tuple[tuple[float, float], ...]  # day, correlation of a weigh-in there with the end


def window(post: Posterior, body: Body, air: Air, target: float, misfit: float) -> Window:
    """Median day and 80 % window of reaching ``target`` (loss of the hang weight, 0–1).

    ``misfit`` is the share of the way ahead that no body follows.
    """
    draws = _draws(post)
    now = post.last.day
    level = loss_of(body, post.states[0]) + post.offset
    horizon = max(LAST_DAY, now + AT_LEAST_AHEAD)
    bodies = [moved_state(post, move) for move in draws]
    driers = [drier([x + m for x, m in zip(post.mode, move, strict=True)], body) for move in draws]
    starts = [loss_of(body, state) for state in bodies]
    # The last weigh-in is short of the target, so there is something left even if it slipped.
    need = max(target - level, _LEAST_LEFT)
    ends: list[float | None] = [None] * len(draws)
    hopeless: set[int] = set()
    rises = [0.0] * len(draws)
    days, paths = [now], [tuple(rises)]
    for day in _ahead(now, horizon):
        before = days[-1]
        stride, beyond = day - before, horizon - day
        (leg,) = steps_to(before, [day], air)
        for k, onward in enumerate(driers):
            state = bodies[k] = onward(leg, bodies[k])
            risen = loss_of(body, state) - starts[k]
            if ends[k] is None:
                gained = risen - rises[k]
                if risen >= need:
                    ends[k] = before + (need - rises[k]) / max(gained, 1e-12) * stride
                # Drying only slows, so who would not get there at today's rate never does.
                elif (need - risen) * stride > gained * beyond:
                    hopeless.add(k)
            rises[k] = risen
        days.append(day)
        paths.append(tuple(rises))
        settled = all(e is not None or k in hopeless for k, e in enumerate(ends))
        if day - now >= _SEEN_AHEAD and settled:
            break
    return _summary(post, level, need, misfit, ends, days, paths)


def _draws(post: Posterior) -> list[list[float]]:
    low = cholesky(inverse(post.precision))
    draws = []
    for z in prior.NORMAL_POINTS:
        move = [sum(low[i][j] * z[j] for j in range(i + 1)) for i in range(5)]
        draws += [move, [-m for m in move]]
    return draws


def _ahead(now: float, horizon: float) -> list[float]:
    """Days to stop at: daily for a week, then wider."""
    days, day, stride = [], now, 1.0
    while day < horizon:
        if day - now >= 7.0:
            stride = 2.0 if day - now < 15.0 else 4.0 if day - now < 47.0 else 8.0
        day = min(day + stride, horizon)
        days.append(day)
    return days


def _summary(
    post: Posterior,
    level: float,
    need: float,
    misfit: float,
    ends: Sequence[float | None],
    days: Sequence[float],
    paths: Sequence[Sequence[float]],
) -> Window:
    now = post.last.day
    reached = sorted(
        now + left
        for end in ends
        if end is not None
        for left in _spread(max(end - now, 0.05), need, misfit, post)
    )
    off = sum(end is None for end in ends) / len(ends)
    if off < 1.0:
        # The first weeks say little about the end, and few pieces level off short.
        off *= now / (now + _PATIENCE_DAYS)
    curve = tuple(
        (day, *_band(level, path, misfit, day - now, post))
        for day, path in zip(days, paths, strict=True)
    )
    noises = [_reading_noise(post, day - now, path) for day, path in zip(days, paths, strict=True)]
    narrows = tuple(zip(days[1:], _correlations(paths[1:], ends, noises[1:]), strict=True))
    if not reached:
        return Window(None, None, None, off, curve, narrows)
    lo, mid, hi = (quantile(reached, q) for q in (0.1, 0.5, 0.9))
    return Window(mid, lo, hi, off, curve, narrows)


def _spread(left: float, need: float, misfit: float, post: Posterior) -> list[float]:
    """Days left as they scatter for one draw: the scale, the drift ahead, what no body follows."""
    rate = need / left
    sd = math.sqrt(_variance(left, need, misfit, post)) / rate
    return [max(left + z * sd, 0.02) for z in prior.NORMAL_SLICES]


def _variance(days: float, gained: float, misfit: float, post: Posterior) -> float:
    """Of a loss so many days ahead: its wander, the scale's offset and what no body follows."""
    wander = prior.FUTURE_WANDER_PER_ROOT_DAY**2 * days
    return wander + post.offset_var + (misfit * gained) ** 2


def _band(
    level: float, rises: Sequence[float], misfit: float, days: float, post: Posterior
) -> tuple[float, float, float]:
    ordered = sorted(rises)
    low, mid, high = (quantile(ordered, q) for q in (0.1, 0.5, 0.9))
    noise = _Z90**2 * _variance(days, mid, misfit, post)
    below, above = math.sqrt((mid - low) ** 2 + noise), math.sqrt((high - mid) ** 2 + noise)
    return level + mid - below, level + mid, level + mid + above


def _reading_noise(post: Posterior, ahead: float, path: Sequence[float]) -> float:
    """Variance of what the scale will show to have been lost by then: two readings, the wander."""
    expected = sum(path) / len(path)
    scale = 2.0 * post.last.sd**2 + prior.WANDER_PER_ROOT_DAY**2 * ahead
    return scale + (prior.MISFIT_SHARE * expected) ** 2


def _correlations(
    paths: Sequence[Sequence[float]], ends: Sequence[float | None], noises: Sequence[float]
) -> list[float]:
    """How closely the loss weighed on each day goes with the day of the end.

    A weight a day after the last is mostly the noise of two readings.
    """
    known = [(k, math.log(end)) for k, end in enumerate(ends) if end]
    if len(known) < 8:
        return [0.0] * len(paths)
    mean_e = sum(e for _, e in known) / len(known)
    apart = [(k, e - mean_e) for k, e in known]
    ee = sum(d * d for _, d in apart)
    found = []
    for path, noise in zip(paths, noises, strict=True):
        mean_r = sum([path[k] for k, _ in apart]) / len(apart)
        rr = sum([(path[k] - mean_r) ** 2 for k, _ in apart]) + noise * len(apart)
        re = sum([(path[k] - mean_r) * d for k, d in apart])
        found.append(abs(re) / math.sqrt(rr * ee) if rr > 0.0 and ee > 0.0 else 0.0)
    return found


def quantile(ordered: Sequence[float], q: float) -> float:
    """Quantile of ordered values, linear between them."""
    at = q * (len(ordered) - 1)
    low = int(at)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (at - low) * (ordered[high] - ordered[low])
