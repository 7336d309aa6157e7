"""Pieces of our own that dry by two laws apart from the forecast's body, some of them short of it.

A limit that is approached at a wandering rate, and a rim over a core whose rim lets less through
as it dries, moved, damp for weeks, in bags that let go. Invented numbers: they add what the series
lack, pieces that never arrive, and serve the learning, the score of stalling and the oracles.

A law is drawn once for a piece and then stepped through the days. It takes numbers, or arrays of
them where many pieces are stepped at once (tests/bench/oracles.py).
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

LAST_DAY = 200
STEPS = 4  # a day
Values = Any  # a number, or an array of numbers
State = dict[str, Values]


class Limit:
    """A rate that wanders by the day, towards a limit; a first wet phase."""

    def __init__(self, rng: random.Random, diameter: float, bagged: bool) -> None:
        self.level: Values = rng.uniform(0.26, 0.60)
        self.pace: Values = math.exp(rng.gauss(0, 0.45))
        self.by_size: Values = (0.7 if bagged else 1.0) * 0.040 * (70 / diameter) ** 1.4
        self.wet_days: Values = rng.uniform(0, 8)
        self.wet: Values = rng.uniform(0.5, 2.2)
        self.memory: Values = rng.uniform(2, 12)
        self.spread: Values = rng.uniform(0.1, 0.5)
        self.power: Values = rng.choice((1.0, 1.0, 1.5, 0.7))
        self.shock: Values = rng.gauss(0, self.spread)

    def start(self) -> State:
        """The state at hanging: what was lost, how the rate wanders."""
        return {"loss": 0.0 * self.level, "wander": self.shock}

    def step(
        self, day: float, state: State, gauss: Values, exp: Callable[[Values], Values]
    ) -> None:
        """Go on by a step of a quarter of a day; ``gauss`` is a draw of the unit normal."""
        keep = exp(-1 / (STEPS * self.memory))
        state["wander"] = keep * state["wander"] + gauss * self.spread * (1 - keep * keep) ** 0.5
        left = _least(self.level - state["loss"], 0.0)
        first = 1.0 + (self.wet - 1.0) * (day < self.wet_days)
        rate = self.pace * self.by_size * self.level ** (1 - self.power) * left**self.power
        state["loss"] = state["loss"] + rate * exp(state["wander"]) * first / STEPS


class Rim:
    """A core and a rim exchanging water; moved, damp for some days, in bags that let go."""

    def __init__(self, rng: random.Random, diameter: float, bagged: bool) -> None:
        self.water: Values = rng.uniform(0.62, 0.74)
        self.share: Values = rng.uniform(0.18, 0.4)
        self.inward: Values = math.exp(rng.gauss(0, 0.4))
        self.outward: Values = math.exp(rng.gauss(0, 0.4))
        self.by_size: Values = 0.20 * (70 / diameter) ** 1.6
        self.by_surface: Values = (0.6 if bagged else 1.0) * 0.085 * (70 / diameter)
        self.closes: Values = rng.uniform(0.0, 1.5)
        self.floor: Values = rng.uniform(0.1, 0.62) * self.water  # air and meat in balance
        self.moved: Values = rng.uniform(5, 90)
        self.after: Values = math.exp(rng.gauss(0, 0.45))
        self.damp: Values = rng.uniform(0, 100)
        self.much: Values = rng.uniform(0.0, 0.8)
        self.lets_go: Values = rng.uniform(5, 60) if bagged and rng.random() < 0.4 else 1e9
        self.spread: Values = rng.uniform(0.05, 0.3)

    def start(self) -> State:
        """The state at hanging: what was lost, how the rate wanders, the water of the rim."""
        return {"loss": 0.0 * self.water, "wander": 0.0 * self.water, "rim": 1.0 * self.water}

    def step(
        self, day: float, state: State, gauss: Values, exp: Callable[[Values], Values]
    ) -> None:
        """Go on by a step of a quarter of a day; ``gauss`` is a draw of the unit normal."""
        keep, rim = math.exp(-1 / (STEPS * 3.0)), state["rim"]
        state["wander"] = keep * state["wander"] + gauss * self.spread * (1 - keep * keep) ** 0.5
        core = (self.water - state["loss"] - self.share * rim) / (1 - self.share)
        away = self.outward * self.by_surface * exp(state["wander"])
        away = away * (1.0 + (self.after - 1.0) * (day > self.moved))
        away = away * (1.0 - self.much * ((day > self.damp) & (day < self.damp + 9)))
        away = away * (1.0 - 0.65 * (day > self.lets_go))
        free = _least(rim - self.floor, 0.0)
        dry = free / (self.water - self.floor)
        out = away * free * dry ** (0.3 * self.closes)
        into = self.inward * self.by_size * (core - rim) * _least(dry, 0.03) ** (0.5 * self.closes)
        rim = _least(rim + (into - out) / self.share / STEPS, self.floor)
        state["rim"] = -_least(-rim, -self.water)
        state["loss"] = state["loss"] + _least(out, 0.0) / STEPS


LAWS: dict[str, type[Limit] | type[Rim]] = {"limit": Limit, "rim": Rim}


def _least(value: Values, least: Values) -> Values:
    """The value, nowhere below the least; numbers and arrays alike."""
    if isinstance(value, float):
        return value if value > least else least
    return value + (least - value) * (value < least)


def pieces(kind: str, seed: int, count: int) -> list[dict[str, Any]]:
    """Pieces of one law, "limit" or "rim", weighed daily to fortnightly until they arrive."""
    rng = random.Random(f"{kind} {seed}")
    return [_piece(rng, kind) for _ in range(count)]


def _piece(rng: random.Random, kind: str) -> dict[str, Any]:
    diameter = rng.uniform(38, 115)
    grams = math.pi / 4 * diameter**2 * diameter * rng.uniform(1.6, 4.2) * 1.06e-3
    bagged = rng.random() < 0.4
    target = rng.choice((27.0, 30.0, 33.0, 35.0, 38.0))
    law = LAWS[kind](rng, diameter, bagged)
    state = law.start()
    path = [dict(state)]
    for step in range(LAST_DAY * STEPS):
        law.step(step / STEPS, state, rng.gauss(0, 1), math.exp)
        path.append(dict(state))
    goal = target / 100
    reached = next((n / STEPS for n, s in enumerate(path) if s["loss"] >= goal), None)
    division, noise = rng.choice((1, 1, 2, 5)), rng.uniform(1.0, 2.0)
    rhythm = rng.choice((1.0, 2.0, 3.0, 3.5, 7.0, 7.0, 10.0, 14.0))
    days, net, day = [0.0], [round(grams / division) * division], 0.0
    while True:
        day += max(0.5, rhythm + rng.choice((-0.5, 0.0, 0.0, 0.0, 0.5)))
        if day > min(LAST_DAY - 1, 120 if reached is None else reached):
            break
        slip = rng.choice((-8.0, 8.0)) if rng.random() < 0.02 else 0.0
        shown = grams * (1 - path[int(day * STEPS)]["loss"]) + rng.gauss(0, noise) + slip
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
        "law": law,
        "path": path,
        "true_diameter_mm": diameter,
    }
