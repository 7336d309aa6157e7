"""Forecasters that know what nobody can: how far any forecast of a law could get.

Two a law of tests/bench/other_laws.py. One knows the law, its numbers for this piece and where the
piece is now, and not the days ahead: what it misses is noise. One knows the law and how its pieces
scatter and is fitted to the same weigh-ins as ours, by particles: what it misses beside the first
is what the weigh-ins do not say. On pieces whose law we only know by description (the series) the
second is an estimate, not a bound.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np

from tests.bench.other_laws import LAST_DAY, LAWS, STEPS

Piece = dict[str, Any]
Pool = dict[bool, dict[str, Any]]  # numbers of a law over many pieces, in a bag or not
PARTICLES = 3000
FUTURES = 300
_HOLDS = 0.985  # of a particle's number when it is drawn again; the rest is the mean of all
_OF_THE_SIZE = {"by_size", "by_surface"}
_FIXED = _OF_THE_SIZE | {"power", "moved", "damp", "lets_go", "wet_days", "water", "shock"}
_NU = 6.0


class Told(NamedTuple):
    """What an oracle says of a piece after a weigh-in, as far as a score looks at it."""

    as_of_day: float
    median_day: float | None
    window_day: tuple[float, float] | None
    p_levels_off: float


def knowing(piece: Piece, at: int) -> Told:
    """The law, its numbers and the state at a weigh-in known; 300 futures from there."""
    day, goal = piece["day"][at], piece["target_loss_pct"] / 100
    rng = np.random.default_rng(round(1000 * day))
    law, here = piece["law"], piece["path"][int(day * STEPS)]
    state = {name: np.full(FUTURES, value) for name, value in here.items()}
    return _told(law, state, day, goal, rng)


def fitted(
    piece: Piece, kind: str, cuts: Sequence[int], pool: Pool | None = None
) -> Iterator[tuple[int, Told]]:
    """The law known and fitted to the weigh-ins up to each cut, the cuts in order of time."""
    goal = piece["target_loss_pct"] / 100
    for at, law, state, rng in _followed(piece, kind, cuts, pool):
        yield at, _told(law, state, piece["day"][at], goal, rng)


def pool_of(pieces: Sequence[Piece], kind: str, rounds: int = 2) -> Pool:
    """How the numbers of a law scatter over pieces, read from their whole curves.

    Each round fits every piece under what the round before found of all of them.
    """
    pool: Pool | None = None
    for _ in range(rounds):
        found: dict[bool, list[Any]] = {False: [], True: []}
        for piece in pieces:
            if len(piece["net_g"]) > 3:
                (one,) = _followed(piece, kind, [len(piece["net_g"]) - 1], pool)
                found[bool(piece.get("in_bag"))].append(one[1])
        pool = {
            bagged: {
                name: np.concatenate([getattr(law, name) for law in laws]) for name in vars(laws[0])
            }
            for bagged, laws in found.items()
        }
    assert pool is not None
    return pool


def _followed(
    piece: Piece, kind: str, cuts: Sequence[int], pool: Pool | None
) -> Iterator[tuple[int, Any, dict[str, Any], np.random.Generator]]:
    rng = np.random.default_rng(7)
    law = _drawn(piece, kind, pool)
    state = law.start()
    base, division = piece["net_g"][0], piece.get("division_g", 1)
    spread = math.hypot(1.5, 0.3 * division) * math.sqrt(1.5) / base
    step, wanted = 0, set(cuts)
    weight = np.zeros(PARTICLES)
    for at in range(1, max(cuts) + 1):
        while step < round(piece["day"][at] * STEPS):
            law.step(step / STEPS, state, rng.standard_normal(PARTICLES), np.exp)
            step += 1
        lost = 1 - piece["net_g"][at] / base
        miss = (state["loss"] - lost) / spread
        weight -= 0.5 * (_NU + 1) * np.log1p(miss * miss / _NU)
        if at in wanted:
            some = _again(weight, FUTURES, rng)
            ahead = {name: value[some] for name, value in state.items()}
            yield at, _picked(law, kind, some), ahead, rng
        share = np.exp(weight - weight.max())
        if share.sum() ** 2 / (share * share).sum() < PARTICLES / 3:
            some = _again(weight, PARTICLES, rng)
            law = _picked(law, kind, some)
            state = {name: value[some] for name, value in state.items()}
            _scattered(law, rng)
            weight = np.zeros(PARTICLES)


def _drawn(piece: Piece, kind: str, pool: Pool | None) -> Any:
    """Pieces of the law as thick and as heavy as this one, all numbers in arrays."""
    rng = random.Random(11)
    draws = []
    for _ in range(PARTICLES):
        thick = piece.get("diameter_mm")
        if thick is None:
            ratio = rng.uniform(1.6, 4.2)
            thick = (piece["net_g"][0] * 4 / (math.pi * ratio * 1.06e-3)) ** (1 / 3)
        draws.append(LAWS[kind](rng, thick, bool(piece.get("in_bag"))))
    law = LAWS[kind].__new__(LAWS[kind])
    for name in vars(draws[0]):
        setattr(law, name, np.array([getattr(one, name) for one in draws]))
    if pool is not None:
        known = pool[bool(piece.get("in_bag"))]
        some = np.array([rng.randrange(len(known["by_size"])) for _ in draws])
        for name in vars(law):
            if name not in _OF_THE_SIZE:
                setattr(law, name, known[name][some])
    return law


def _picked(law: Any, kind: str, some: Any) -> Any:
    out = LAWS[kind].__new__(LAWS[kind])
    for name, value in vars(law).items():
        setattr(out, name, value[some])
    return out


def _scattered(law: Any, rng: np.random.Generator) -> None:
    """Move the numbers apart again, mean and variance unchanged (Liu and West 2001)."""
    for name, value in vars(law).items():
        if name in _FIXED:
            continue
        logs = np.log(np.maximum(value, 1e-6))
        noise = rng.standard_normal(len(logs)) * logs.std() * math.sqrt(1 - _HOLDS**2)
        setattr(law, name, np.exp(_HOLDS * logs + (1 - _HOLDS) * logs.mean() + noise))


def _again(weight: Any, count: int, rng: np.random.Generator) -> Any:
    """Indices drawn by weight, systematically."""
    share = np.cumsum(np.exp(weight - weight.max()))
    marks = (np.arange(count) + rng.random()) / count * share[-1]
    return np.minimum(np.searchsorted(share, marks), len(weight) - 1)


def _told(law: Any, state: dict[str, Any], day: float, goal: float, rng: Any) -> Told:
    """Step futures until each is there or the last day has come."""
    ends = np.full(len(state["loss"]), np.inf)
    step = round(day * STEPS)
    while step < LAST_DAY * STEPS:
        law.step(step / STEPS, state, rng.standard_normal(len(ends)), np.exp)
        step += 1
        ends[(state["loss"] >= goal) & ~np.isfinite(ends)] = step / STEPS
        if np.isfinite(ends).all():
            break
    there = ends[np.isfinite(ends)]
    if not len(there):
        return Told(day, None, None, 1.0)
    low, mid, high = np.quantile(there, (0.1, 0.5, 0.9))
    return Told(day, float(mid), (float(low), float(high)), 1.0 - len(there) / len(ends))
