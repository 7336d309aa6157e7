"""Pieces of our own that dry as the forecast's drying body does, under air that wanders.

``scattered``: unknowns drawn from the prior of all households. ``alike``: drawn around those read
from the finished pieces of a series, under the air its household measured. Sizes, rhythms, slips
and scales are invented. They serve the learning only.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from typing import Any

import numpy as np

from curedash.domain.drying.forecast.drying_body import (
    Air,
    AirDay,
    Body,
    State,
    air_of,
    body_of,
    drier,
    fresh,
    loss_of,
)
from curedash.domain.drying.forecast.points import prepared, spread_of
from curedash.domain.drying.forecast.posterior import Belief, fit
from curedash.domain.facts import forecast_prior as prior

LAST_DAY = 200
Piece = dict[str, Any]


def scattered(seed: int, count: int) -> list[Piece]:
    """Pieces of households nobody has seen, some measured and some not."""
    rng, numbers = random.Random(f"body {seed}"), np.random.default_rng(seed)
    spread = np.array(prior.BETWEEN) + np.array(prior.WITHIN)
    out = []
    for _ in range(count):
        theta = numbers.multivariate_normal(prior.POPULATION_MEAN, spread).tolist()
        thick = rng.uniform(40, 115)
        long, moisture = thick * rng.uniform(1.6, 4.2), rng.uniform(64, 75)
        target = float(rng.choice(_TARGETS))
        rh, temp = min(max(rng.gauss(0.72, 0.05), 0.5), 0.9), rng.uniform(3, 14)
        keep = math.exp(-1 / rng.uniform(1.5, 8))
        much, film = rng.uniform(0.01, 0.04), rng.uniform(0, 0.25)
        path, air = _wandering(
            rng,
            Body(thick / 2000, long / 1000, moisture / 100),
            theta,
            (rh, temp),
            keep,
            much,
            film,
        )
        piece = _piece(rng, thick, long, path, target, (1, 1, 2, 5), _RHYTHMS, _LATE, 0.025)
        measured = rng.random() < 0.7
        piece |= {
            "diameter_mm": round(thick) if measured else None,
            "length_mm": round(long) if measured and rng.random() < 0.6 else None,
            "in_bag": rng.random() < 0.4,
            "air": air,
            "green_moisture_pct": round(moisture, 1) if rng.random() < 0.5 else None,
        }
        out.append(piece)
    return out


def alike(pieces: Sequence[Piece], seed: int, each: int) -> list[Piece]:
    """For each piece of a series some that are like it, in its household's air."""
    rng = random.Random(f"emp {seed}")
    read = [(old, *_read(old)) for old in pieces]
    airs: dict[int, list[Air]] = {}
    for old, _, air in read:
        airs.setdefault(old["household"], []).append(air)
    out = []
    for old, mode, _ in read:
        for _ in range(each):
            thick = old["diameter_mm"] * math.exp(rng.gauss(0, 0.15))
            long, moisture = thick * rng.uniform(1.6, 4.2), rng.uniform(65, 75)
            target = float(rng.choice(_TARGETS))
            theta = [x + rng.gauss(0, s) for x, s in zip(mode, _APART, strict=True)]
            path, air = _again(
                rng,
                Body(thick / 2000, long / 1000, moisture / 100),
                theta,
                rng.choice(airs[old["household"]]).by_day,
            )
            piece = _piece(
                rng, thick, long, path, target, (1,), (3.5, 3.5, 7, 7), (-1, *_LATE, 1), 0.03
            )
            piece |= {
                "household": old["household"],
                "diameter_mm": round(thick),
                "length_mm": round(long),
                "in_bag": old["in_bag"],
                "air": air,
                "green_moisture_pct": round(moisture, 1),
            }
            out.append(piece)
    return out


_TARGETS = (27, 30, 33, 35, 38, 40)
_RHYTHMS = (1, 2, 3, 3.5, 3.5, 7, 7, 7, 14)
_LATE = (-0.5, 0, 0, 0, 0.5)
_APART = (0.25, 0.1, 0.15, 0.12, 0.008)  # of the unknowns, from the piece they were read from


def _read(old: Piece) -> tuple[tuple[float, ...], Air]:
    """The unknowns of a finished piece by itself, and its air."""
    base = old["net_g"][0]
    body = body_of(base, old["diameter_mm"], old["length_mm"], old["green_moisture_pct"])
    rows = [(d, g / base) for d, g in zip(old["day"], old["net_g"], strict=True)]
    air = air_of([AirDay(*day) for day in old["air"]])
    weak = [[1 / s**2 if i == j else 0.0 for j in range(5)] for i, s in enumerate(prior.WEAK_SD)]
    ready = prepared(rows, [spread_of(1, base)] * len(rows), ())
    return fit(ready, body, air, Belief(prior.POPULATION_MEAN, weak)).mode, air


def _wandering(
    rng: random.Random,
    body: Body,
    theta: Sequence[float],
    mean: tuple[float, float],
    keep: float,
    much: float,
    film: float,
) -> tuple[list[float], list[list[float]]]:
    """Loss at the end of each day, and the air as measured; air and film wander by the day."""
    new = math.sqrt(1 - keep * keep)
    state, path, air = fresh(body), [0.0], []
    damp = warm = off = 0.0
    for day in range(LAST_DAY):
        damp = keep * damp + rng.gauss(0, much * new)
        warm = keep * warm + rng.gauss(0, new)
        off = keep * off + rng.gauss(0, film * new)
        rh, temp = min(max(mean[0] + damp, 0.3), 0.97), mean[1] + warm
        shown = round(temp + rng.gauss(0, 0.3), 1)
        air.append([day, shown, round(100 * rh + rng.gauss(0, 1.5), 1)])
        state = _day(body, theta, off, day, rh, temp, state)
        path.append(loss_of(body, state))
    return path, air


def _again(
    rng: random.Random, body: Body, theta: Sequence[float], by_day: dict[int, tuple[float, float]]
) -> tuple[list[float], list[list[float]]]:
    """The same in air that was measured, from any of its days on, to and fro."""
    days = sorted(by_day)
    off = rng.randrange(len(days))
    keep, film = math.exp(-1 / rng.uniform(1.5, 8)), rng.uniform(0, 0.2)
    new, wander = math.sqrt(1 - keep * keep), 0.0
    state, path, air = fresh(body), [0.0], []
    for day in range(LAST_DAY):
        wander = keep * wander + rng.gauss(0, film * new)
        at = (off + day) % (2 * len(days) - 1)
        rh, temp = by_day[days[at if at < len(days) else 2 * len(days) - 2 - at]]
        shown = round(temp + rng.gauss(0, 0.2), 1)
        air.append([day, shown, round(100 * rh + rng.gauss(0, 1.0), 1)])
        state = _day(body, theta, wander, day, rh, temp, state)
        path.append(loss_of(body, state))
    return path, air


def _day(
    body: Body, theta: Sequence[float], film: float, day: int, rh: float, temp: float, state: State
) -> State:
    warmth = math.exp(prior.WARMTH_PER_K * (temp - prior.WARMTH_AT_C))
    moved = (theta[0], theta[1] + film, theta[2], theta[3], theta[4])
    return drier(moved, body)([(1.0, day + 0.5, rh, warmth)], state)


def _piece(
    rng: random.Random,
    thick: float,
    long: float,
    path: Sequence[float],
    target: float,
    divisions: Sequence[int],
    rhythms: Sequence[float],
    late: Sequence[float],
    slips: float,
) -> Piece:
    """Weigh-ins on the way; some of them slip by 8 g."""
    base, goal = math.pi / 4 * thick * thick * long * 1.06e-3, target / 100
    there = next((d for d in range(1, LAST_DAY + 1) if path[d] >= goal), None)
    reached = None
    if there is not None:
        reached = there - 1 + (goal - path[there - 1]) / (path[there] - path[there - 1])
    division = rng.choice(divisions) if len(divisions) > 1 else 1
    noise, rhythm = rng.uniform(1, 2), rng.choice(rhythms)
    days, net, day = [0.0], [round(base / division) * division], 0.0
    while True:
        day += max(0.5, rhythm + rng.choice(late))
        if day > min(LAST_DAY - 1, 120 if reached is None else reached):
            break
        whole = int(day)
        loss = path[whole] + (day - whole) * (path[whole + 1] - path[whole])
        slip = rng.choice((-8.0, 8.0)) if rng.random() < slips else 0.0
        days.append(day)
        net.append(round((base * (1 - loss) + rng.gauss(0, noise) + slip) / division) * division)
    return {
        "target_loss_pct": target,
        "division_g": division,
        "reached_on_day": reached,
        "day": days,
        "net_g": net,
    }
