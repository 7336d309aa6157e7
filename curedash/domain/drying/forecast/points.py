"""Weigh-ins made ready: checked, days on hold taken out, thinned when there are thousands."""

from __future__ import annotations

import math
from collections.abc import Sequence

from curedash.domain.drying.forecast.posterior import Point
from curedash.domain.errors import Refused
from curedash.domain.facts import forecast_prior as prior

Pauses = Sequence[tuple[float, float]]
MOST_POINTS = 80  # design value: more say nothing new and cost time
MOST_DAYS = 2000.0


def checked(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Days since hanging and net weight over base, refused where they make no sense."""
    before = -math.inf
    for row, (day, ratio) in enumerate(points, 1):
        if not (math.isfinite(day) and math.isfinite(ratio)):
            raise Refused(f"Weigh-in {row} is not a number: give a day and a weight.")
        if not 0.0 <= day <= MOST_DAYS:
            raise Refused(
                f"Weigh-in {row} is on day {day:g}: days since hanging run from 0 to 2000."
            )
        if day < before:
            raise Refused(
                f"Weigh-in {row} (day {day:g}) lies before the one above it: sort by day."
            )
        if ratio <= 0.0:
            raise Refused(f"Weigh-in {row} weighs nothing: give net grams above 0.")
        before = day
    if points and points[-1][1] > 1.05 * points[0][1]:
        raise Refused("The last weigh-in is over 5 % heavier than the first: check base and tare.")
    return list(points)


def spread_of(scale_division_g: float, base_g: float) -> float:
    """Spread of one weigh-in as a share of the base, from the scale's division."""
    if not 0.0 < scale_division_g <= 0.2 * base_g:
        raise Refused(
            f"A scale with steps of {scale_division_g:g} g is too coarse for a piece of"
            f" {base_g:g} g."
        )
    return math.hypot(prior.HAND_G, prior.DIVISION_SHARE * scale_division_g) / base_g


def drying_day(day: float, pauses: Pauses) -> float:
    """Days of drying up to a calendar day since hanging: the hold days before it taken out."""
    return day - sum(max(0.0, min(day, end) - start) for start, end in pauses if start < day)


def calendar_day(drying: float, pauses: Pauses) -> float:
    """The calendar day since hanging on which that much drying has passed."""
    day = drying
    for start, end in sorted(pauses):
        if start <= day:
            day += end - start
    return day


def prepared(
    points: Sequence[tuple[float, float]], sds: Sequence[float], pauses: Pauses
) -> list[Point]:
    """Drying days and losses of the first weight, with their spreads."""
    first = points[0][1]
    out = [
        Point(drying_day(day, pauses), 1.0 - ratio / first, sd)
        for (day, ratio), sd in zip(points, sds, strict=True)
    ]
    return out if len(out) <= MOST_POINTS else _thinned(out)


def _thinned(points: Sequence[Point]) -> list[Point]:
    """First and last as they are, between them the means of equal spans of time."""
    first, last = points[0], points[-1]
    span = max(last.day - first.day, 1e-9) / (MOST_POINTS - 2)
    bins: dict[int, list[Point]] = {}
    for point in points[1:-1]:
        bins.setdefault(min(int((point.day - first.day) / span), MOST_POINTS - 3), []).append(point)
    means = [
        Point(
            sum(p.day for p in one) / len(one),
            sum(p.loss for p in one) / len(one),
            max(p.sd for p in one) / math.sqrt(min(len(one), 4)),
        )
        for _, one in sorted(bins.items())
    ]
    return [first, *means, last]
