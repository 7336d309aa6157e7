"""A model of our own that makes pieces level off short: a damp place, a fine round.

Independent of the forecast's body: ten equal shells, explicit steps, another sorption curve and
another law of diffusion, humidity that wanders from day to day. Invented numbers, for the
benchmark only.
"""

from __future__ import annotations

import math
import random
from itertools import pairwise
from typing import Any

SHELLS = 10


def piece(seed: int, rh_pct: float) -> dict[str, Any]:
    """One piece as in the simulated households, hung at a mean humidity [%]."""
    rng = random.Random(seed)
    diameter, moisture = rng.uniform(45, 95), rng.uniform(66, 74)
    length = diameter * rng.uniform(1.8, 3.2)
    target = rng.choice((30, 35, 40))
    air = _air(rng, rh_pct)
    losses = _losses(rng, diameter / 2000, length / 1000, moisture / 100, air)
    base = 1060 * math.pi / 4 * diameter**2 * length * 1e-6
    reached = next((d for d, x in enumerate(losses) if x >= target / 100), None)
    days = [float(d) for d in range(0, 200, rng.choice((4, 7)))]
    net = [round(base * (1 - losses[int(d)]) + rng.gauss(0, 1.2)) for d in days]
    return {
        "household": seed,
        "hung_on_day": 0,
        "diameter_mm": diameter,
        "length_mm": length,
        "in_bag": False,
        "green_moisture_pct": moisture,
        "target_loss_pct": target,
        "reached_on_day": reached,
        "day": days,
        "net_g": net,
        "air": [[d, t, r] for d, (t, r) in enumerate(air)],
    }


def _air(rng: random.Random, rh_pct: float) -> list[tuple[float, float]]:
    warm, wander, out = rng.uniform(3, 15), 0.0, []
    for _ in range(201):
        wander = 0.7 * wander + rng.gauss(0, 2.0)
        out.append((warm + rng.gauss(0, 0.4), min(rh_pct + wander, 98.0)))
    return out


def _losses(
    rng: random.Random,
    radius: float,
    length: float,
    moisture: float,
    air: list[tuple[float, float]],
) -> list[float]:
    start = moisture / (1 - moisture)
    water, losses = [start] * SHELLS, [0.0]
    edge = [i / SHELLS for i in range(SHELLS + 1)]
    volume = [b * b - a * a for a, b in pairwise(edge)]
    d0 = math.exp(rng.gauss(0.1, 0.5)) * 1e-10 * 86_400 / radius**2 * (1 + radius / length)
    film = math.exp(rng.gauss(0.4, 0.4)) * 2e-3 / radius * (1 + radius / length) / (1 - moisture)
    step = 1 / 24
    for temp, rh in air[1:]:
        warm = math.exp(0.03 * (temp - 8))
        for _ in range(24):
            flux = [0.0] * (SHELLS + 1)
            for i in range(1, SHELLS):
                d = d0 * warm * (0.5 * (water[i - 1] + water[i]) / start) ** 1.5
                flux[i] = d * 2 * edge[i] * (water[i - 1] - water[i]) * SHELLS
            # Sorption by Oswin's form: aw = 1 / (1 + (0.26 / X)^1.6).
            aw = 1 / (1 + (0.26 / water[-1]) ** 1.6)
            flux[-1] = film * warm * (aw - rh / 100)
            for i in range(SHELLS):
                water[i] = max(water[i] + step * (flux[i] - flux[i + 1]) / volume[i], 0.02)
        mean = sum(w * v for w, v in zip(water, volume, strict=True))
        losses.append(moisture - (1 - moisture) * mean)
    return losses
