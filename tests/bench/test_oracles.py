"""The oracles the forecast is measured by: what their docstrings say of them holds."""

import math

import numpy as np
import pytest

from tests.bench.oracles import fitted, knowing
from tests.bench.other_laws import LAWS, STEPS, pieces


@pytest.mark.parametrize("kind", ["limit", "rim"])
def test_a_law_steps_an_array_of_pieces_as_it_steps_each(kind: str) -> None:
    one, two = pieces(kind, 3, 2)
    law = LAWS[kind].__new__(LAWS[kind])
    for name, value in vars(one["law"]).items():
        setattr(law, name, np.array([value, getattr(two["law"], name)]))
    alone = [(piece["law"], piece["law"].start()) for piece in (one, two)]
    together = law.start()
    for step in range(40 * STEPS):
        law.step(step / STEPS, together, np.array([0.3, -0.4]), np.exp)
        for (single, state), gauss in zip(alone, (0.3, -0.4), strict=True):
            single.step(step / STEPS, state, gauss, math.exp)
    assert together["loss"] == pytest.approx([state["loss"] for _, state in alone], rel=1e-9)


@pytest.mark.parametrize("kind", ["limit", "rim"])
def test_who_knows_all_but_the_future_is_off_by_noise_alone(kind: str) -> None:
    piece = next(p for p in pieces(kind, 3, 20) if p["reached_on_day"] and len(p["day"]) > 6)
    piece["law"].spread = 0.0  # nothing wanders from here on
    at = 4
    state, day = dict(piece["path"][int(piece["day"][at] * STEPS)]), piece["day"][at]
    state["wander"] = piece["path"][int(day * STEPS)]["wander"] = 0.0
    goal, step = piece["target_loss_pct"] / 100, round(day * STEPS)
    while state["loss"] < goal:
        piece["law"].step(step / STEPS, state, 0.0, math.exp)
        step += 1
    told = knowing(piece, at)
    assert told.median_day == pytest.approx(step / STEPS)
    assert told.p_levels_off == 0.0


def test_who_knows_the_law_is_surer_the_more_was_weighed() -> None:
    piece = next(p for p in pieces("limit", 3, 20) if p["reached_on_day"] and len(p["day"]) > 9)
    told = dict(fitted(piece, "limit", [3, 8]))
    (low, high), (first, last) = (told[at].window_day or (0.0, 0.0) for at in (3, 8))
    assert last - first < high - low
    assert dict(fitted(piece, "limit", [3, 8])) == told, "the same each time"
