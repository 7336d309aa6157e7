"""Pieces of our own that dry by two laws apart from the forecast's body, some of them short of it.

A limit that is approached at a wandering rate, and a rim over a core whose rim lets less through
as it dries, moved, damp for weeks, in bags that let go. Invented numbers: they add what the series
lack, pieces that never arrive, and serve the prior and the score of stalling only.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

LAST_DAY = 200
_STEPS = 4  # a day
Law = Callable[[random.Random, float, bool], Callable[[float, float], float]]


def pieces(kind: str, seed: int, count: int) -> list[dict[str, Any]]:
    """Pieces of one law, "limit" or "rim", weighed daily to fortnightly until they arrive."""
    rng = random.Random(f"{kind} {seed}")
    return [_piece(rng, _LAWS[kind]) for _ in range(count)]


def _piece(rng: random.Random, law: Law) -> dict[str, Any]:
    diameter = rng.uniform(38, 115)
    grams = math.pi / 4 * diameter**2 * diameter * rng.uniform(1.6, 4.2) * 1.06e-3
    bagged = rng.random() < 0.4
    target = rng.choice((27.0, 30.0, 33.0, 35.0, 38.0))
    rate = law(rng, diameter, bagged)
    loss, path = 0.0, [0.0]
    for step in range(LAST_DAY * _STEPS):
        loss += max(rate(step / _STEPS, loss), 0.0) / _STEPS
        path.append(loss)
    goal = target / 100
    reached = next((n / _STEPS for n, x in enumerate(path) if x >= goal), None)
    division, noise = rng.choice((1, 1, 2, 5)), rng.uniform(1.0, 2.0)
    rhythm = rng.choice((1.0, 2.0, 3.0, 3.5, 7.0, 7.0, 10.0, 14.0))
    days, net, day = [0.0], [round(grams / division) * division], 0.0
    while True:
        day += max(0.5, rhythm + rng.choice((-0.5, 0.0, 0.0, 0.0, 0.5)))
        if day > min(LAST_DAY - 1, 120 if reached is None else reached):
            break
        slip = rng.choice((-8.0, 8.0)) if rng.random() < 0.02 else 0.0
        shown = grams * (1 - path[int(day * _STEPS)]) + rng.gauss(0, noise) + slip
        days.append(day)
        net.append(round(shown / division) * division)
    return {
        "diameter_mm": round(diameter) if rng.random() < 0.65 else None,
        "in_bag": bagged,
        "target_loss_pct": target,
        "division_g": division,
        "reached_on_day": reached,
        "day": days,
        "net_g": net,
    }


def _limit(rng: random.Random, diameter: float, bagged: bool) -> Callable[[float, float], float]:
    level = rng.uniform(0.26, 0.60)
    pace = math.exp(rng.gauss(0, 0.45)) * (0.7 if bagged else 1.0) * 0.040 * (70 / diameter) ** 1.4
    wet_days, wet = rng.uniform(0, 8), rng.uniform(0.5, 2.2)
    keep, spread = math.exp(-1 / (_STEPS * rng.uniform(2, 12))), rng.uniform(0.1, 0.5)
    power, now = rng.choice((1.0, 1.0, 1.5, 0.7)), [rng.gauss(0, spread)]

    def rate(day: float, loss: float) -> float:
        now[0] = keep * now[0] + rng.gauss(0, spread * math.sqrt(1 - keep * keep))
        left = max(level - loss, 0.0)
        first = wet if day < wet_days else 1.0
        return pace * float(level ** (1 - power) * left**power) * math.exp(now[0]) * first

    return rate


def _rim(rng: random.Random, diameter: float, bagged: bool) -> Callable[[float, float], float]:
    water, share = rng.uniform(0.62, 0.74), rng.uniform(0.18, 0.4)
    inward = math.exp(rng.gauss(0, 0.4)) * 0.20 * (70 / diameter) ** 1.6
    outward = math.exp(rng.gauss(0, 0.4)) * (0.6 if bagged else 1.0) * 0.085 * (70 / diameter)
    closes = rng.uniform(0.0, 1.5)
    floor = rng.uniform(0.1, 0.62) * water  # where air and meat are in balance
    moved, after = rng.uniform(5, 90), math.exp(rng.gauss(0, 0.45))
    damp, much = rng.uniform(0, 100), rng.uniform(0.0, 0.8)
    lets_go = rng.uniform(5, 60) if bagged and rng.random() < 0.4 else 1e9
    keep, spread, now = math.exp(-1 / (_STEPS * 3.0)), rng.uniform(0.05, 0.3), [0.0]
    rim = [water]

    def rate(day: float, loss: float) -> float:
        now[0] = keep * now[0] + rng.gauss(0, spread * math.sqrt(1 - keep * keep))
        core = (water - loss - share * rim[0]) / (1 - share)
        away = outward * math.exp(now[0]) * (after if day > moved else 1.0)
        away *= (1 - much if damp < day < damp + 9 else 1.0) * (0.35 if day > lets_go else 1.0)
        dry = max(rim[0] - floor, 0.0) / (water - floor)
        out = away * max(rim[0] - floor, 0.0) * dry ** (0.3 * closes)
        into = inward * (core - rim[0]) * max(dry, 0.03) ** (0.5 * closes)
        rim[0] += (into - out) / share / _STEPS
        rim[0] = min(max(rim[0], floor), water)
        return out

    return rate


_LAWS: dict[str, Law] = {"limit": _limit, "rim": _rim}
