"""Scores the pull window: `python tests/bench/forecast.py [--quick] [--ways]`.

First the figures it is held to (tests/bench/forecast_table.py), then ours beside an oracle of each
law (tests/bench/oracle_table.py), last its time. The oracle of our simulator is the same body
fitted to the piece's whole curve, under the air that is yet to come. With ``--ways`` other ways
beside ours, on the simulated households: lines, a first-order curve, the reference grid of Page
curves.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from curedash.domain.drying.forecast import (  # noqa: E402
    AirDay,
    Basis,
    FinishedPiece,
    Forecast,
    PieceFit,
    Posterior,
    forecast,
    read_finished,
)
from curedash.domain.drying.forecast.matrix import add, inverse, times  # noqa: E402
from curedash.domain.drying.forecast.posterior import Belief  # noqa: E402
from curedash.domain.errors import Refused  # noqa: E402
from curedash.domain.facts import forecast_prior as prior  # noqa: E402
from tests.bench.forecast_table import left_out, table  # noqa: E402
from tests.bench.humid import piece as humid_piece  # noqa: E402
from tests.bench.oracle_table import oracle_lines  # noqa: E402
from tests.bench.reference_window import page_window  # noqa: E402

SERIES = ROOT / "tests" / "data" / "series" / "simulated-households.json"
CUTS = (0.3, 0.5, 0.7)
Piece = dict[str, Any]
Answer = tuple[float | None, float | None, float | None]


def cut_at(piece: Piece, share: float) -> int | None:
    """The weigh-in a piece is cut at, None if it is not scored."""
    net, goal, truth = piece["net_g"], piece["target_loss_pct"] / 100, piece["reached_on_day"]
    for i, g in enumerate(net):
        loss = 1 - g / net[0]
        if loss >= share * goal:
            scored = truth is not None and i >= 2 and loss < goal and truth > piece["day"][i]
            return i if scored else None
    return None


def rows_of(piece: Piece, at: int) -> list[tuple[float, float]]:
    """Weigh-ins up to the cut, over the hang weight."""
    net = piece["net_g"]
    return [(d, g / net[0]) for d, g in zip(piece["day"][: at + 1], net, strict=False)]


def size_of(piece: Piece) -> dict[str, Any]:
    """What is known of a piece by measuring it."""
    return {
        "base_g": piece["net_g"][0],
        "diameter_mm": piece["diameter_mm"],
        "length_mm": piece["length_mm"],
        "moisture_pct": piece["green_moisture_pct"],
        "in_bag": piece["in_bag"],
    }


def air_days(piece: Piece, until: float = 1e9) -> list[AirDay]:
    """The place's air of a piece up to a day."""
    return [AirDay(*day) for day in piece["air"] if day[0] <= until]


def finished(piece: Piece) -> PieceFit:
    """What a finished piece says."""
    fit = read_finished(
        FinishedPiece(
            tuple(piece["day"]),
            tuple(map(float, piece["net_g"])),
            piece["diameter_mm"],
            piece["length_mm"],
            piece["green_moisture_pct"],
            piece["in_bag"],
            tuple(air_days(piece)),
        )
    )
    assert fit is not None
    return fit


class Household:
    """The earlier finished pieces of each piece's household, read once."""

    def __init__(self, pieces: list[Piece]) -> None:
        self.pieces = pieces
        self.read: dict[int, PieceFit] = {}

    def before(self, piece: Piece, at: int) -> list[PieceFit]:
        """Pieces of the same household that ended before the cut."""
        now = piece["hung_on_day"] + piece["day"][at]
        return [self.fit(p) for p in self.pieces if self._ended(p, piece, now)]

    def fit(self, piece: Piece) -> PieceFit:
        if id(piece) not in self.read:
            self.read[id(piece)] = finished(piece)
        return self.read[id(piece)]

    @staticmethod
    def _ended(old: Piece, new: Piece, now: float) -> bool:
        same = old["household"] == new["household"] and old is not new
        return (
            same
            and old["reached_on_day"] is not None
            and old["hung_on_day"] + old["day"][-1] <= now
        )


# ── ways to forecast ──────────────────────────────────────────────────────────────────────


def straight_last_two(piece: Piece, at: int) -> Answer:
    (d0, y0), (d1, y1) = rows_of(piece, at)[-2:]
    return (
        None,
        d1 + (y1 - 1 + piece["target_loss_pct"] / 100) / max((y0 - y1) / (d1 - d0), 1e-6),
        None,
    )


def straight_from_start(piece: Piece, at: int) -> Answer:
    day, ratio = rows_of(piece, at)[-1]
    return None, day * piece["target_loss_pct"] / 100 / max(1 - ratio, 1e-6), None


def first_order(piece: Piece, at: int) -> Answer:
    """Least squares of L = L∞·(1 − exp(−t/τ)) with L∞ at 0.7 of the moisture."""
    level = 0.7 * piece["green_moisture_pct"] / 100
    goal = piece["target_loss_pct"] / 100
    best = min(
        (math.exp(x / 20) for x in range(20, 140)),
        key=lambda tau: sum(
            (1 - y - level * (1 - math.exp(-d / tau))) ** 2 for d, y in rows_of(piece, at)
        ),
    )
    if level <= goal:
        return None, None, None
    now, ratio = rows_of(piece, at)[-1]
    return None, now + best * math.log((level - 1 + ratio) / (level - goal)), None


def page_grid(piece: Piece, at: int) -> Answer:
    try:
        return page_window(
            rows_of(piece, at), piece["target_loss_pct"], piece["green_moisture_pct"]
        )
    except Refused:
        return None, None, None


def answer_of(seen: Forecast) -> Answer:
    lo, hi = seen.window_day or (None, None)
    return lo, seen.median_day, hi


def ours(piece: Piece, at: int, **more: Any) -> Answer:
    return answer_of(
        forecast(Basis(rows_of(piece, at), piece["target_loss_pct"], **size_of(piece), **more))
    )


def oracle(piece: Piece, at: int) -> Answer:
    """Ours, told the piece's own whole curve as its prior and all its air, the coming days too."""
    fit = finished(piece)
    weak = [[1 / s**2 if i == j else 0.0 for j in range(5)] for i, s in enumerate(prior.WEAK_SD)]
    precision = add(fit.evidence, weak)
    pulled = [a + b for a, b in zip(fit.pull, times(weak, prior.POPULATION_MEAN), strict=True)]
    belief = Belief(tuple(times(inverse(precision), pulled)), precision)
    return to_come(piece, at, (), style_prior=belief)


def same_house(one: Piece, other: Piece) -> bool:
    """Another finished piece of the household, earlier or later."""
    return (
        one is not other
        and one["household"] == other["household"]
        and other["reached_on_day"] is not None
    )


def to_come(piece: Piece, at: int, history: Sequence[PieceFit], **more: Any) -> Answer:
    """Ours, told the air of the coming days too, which nobody can know."""
    from curedash.domain.drying.forecast import pull_forecast

    kept, pull_forecast._drying_air = pull_forecast._drying_air, lambda air, until, paused: air
    try:
        return ours(piece, at, history=history, air=air_days(piece), **more)
    finally:
        pull_forecast._drying_air = kept


# ── scores ────────────────────────────────────────────────────────────────────────────────


def score(pieces: list[Piece], share: float, way: Callable[[Piece, int], Answer]) -> str:
    errors, inside, widths, n = [], 0, [], 0
    for piece in pieces:
        at = cut_at(piece, share)
        if at is None:
            continue
        n += 1
        truth = piece["reached_on_day"]
        left = truth - piece["day"][at]
        lo, mid, hi = way(piece, at)
        errors.append(abs(mid - truth) / left if mid is not None else math.inf)
        if lo is not None and hi is not None:
            inside += lo <= truth <= hi
            widths.append((hi - lo) / left)
    tail = f"{100 * inside / n:4.0f} %  {median(widths):5.2f}" if widths else "   –       –"
    return f"{n:4d} {100 * median(errors):5.1f} %  {tail}"


def levelling(pieces: list[Piece], air: bool) -> tuple[int, int, int, int]:
    """Pieces that never arrive and those called so; pieces that do and those called so wrongly.

    Called: P(levels off) > 0.5 at any weigh-in before day 120 with the target not reached.
    """
    never = hits = arrive = wrong = 0
    for piece in pieces:
        truth = piece["reached_on_day"]
        called = _calls(piece, air)
        if not called:
            continue
        if truth is None:
            never, hits = never + 1, hits + any(called)
        else:
            arrive, wrong = arrive + 1, wrong + any(called)
    return never, hits, arrive, wrong


def _calls(piece: Piece, air: bool) -> list[bool]:
    truth, net, goal = piece["reached_on_day"], piece["net_g"], piece["target_loss_pct"]
    ends = min(120.0, truth if truth is not None else 1e9)
    called = []
    for at, day in enumerate(piece["day"]):
        if day >= ends or 100 * (1 - net[at] / net[0]) >= goal:
            break
        if at >= 2:
            more = {"air": air_days(piece, day)} if air else {}
            seen = forecast(Basis(rows_of(piece, at), goal, **size_of(piece), **more))
            called.append((seen.p_levels_off or 0.0) > 0.5)
    return called


def timing() -> str:
    rows = [(3.0 * i, 1 - 0.5 * (1 - math.exp(-((3.0 * i / 150) ** 0.85)))) for i in range(60)]
    kw: dict[str, Any] = {"base_g": 1000, "diameter_mm": 80}
    post = forecast(Basis(rows[:-1], 42, **kw)).posterior
    assert post is not None
    stored = post.to_bytes()

    def best(call: Callable[[], object]) -> float:
        spent = []
        for _ in range(15):
            start = time.perf_counter()
            call()
            spent.append(time.perf_counter() - start)
        return 1000 * min(spent)

    whole = best(lambda: forecast(Basis(rows, 42, **kw)))
    one = best(lambda: forecast(Basis(rows, 42, posterior=Posterior.from_bytes(stored), **kw)))
    many = best(lambda: [Posterior.from_bytes(stored) for _ in range(50)])
    return (
        f"60 weigh-ins from nothing {whole:.1f} ms · one more {one:.1f} ms · "
        f"50 posteriors read {many:.1f} ms"
    )


def main() -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a part of each set only")
    parser.add_argument("--ways", action="store_true", help="other ways to forecast beside ours")
    chosen = parser.parse_args()
    for line in table(chosen.quick):
        print(line, flush=True)
    print()
    for line in oracle_lines(chosen.quick):
        print(line, flush=True)
    yet_to_come(chosen.quick)
    if chosen.ways:
        print()
        other_ways(chosen.quick)
    print("\n" + timing())
    return 0


def yet_to_come(quick: bool) -> None:
    """Print the bound on our simulator: the piece's own whole curve and the air to come."""
    pieces = left_out(json.loads(SERIES.read_text())["pieces"])
    print("\noracle of the simulator                    cut     n  median   inside  width / left")
    for share in CUTS:
        print(
            f"{'its own whole curve, air to come':42} {100 * share:.0f} %  "
            f"{score(pieces[::4] if quick else pieces, share, oracle)}",
            flush=True,
        )


def other_ways(quick: bool) -> None:
    """Print straight lines, grids, bounds and ours side by side."""
    pieces = json.loads(SERIES.read_text())["pieces"]
    house = Household(pieces)
    shown = [p for p in pieces if p["household"] % 4 == 0] if quick else pieces
    ways: dict[str, Callable[[Piece, int], Answer]] = {
        "straight line, last two weigh-ins": straight_last_two,
        "straight line from the start": straight_from_start,
        "first-order curve": first_order,
        "reference grid of Page curves": page_grid,
        "ours: weigh-ins and size": ours,
        "ours: and the place's air": lambda p, i: ours(p, i, air=air_days(p, p["day"][i])),
        "ours: and the household's pieces": lambda p, i: ours(
            p, i, air=air_days(p, p["day"][i]), history=house.before(p, i)
        ),
        "bound: and the pieces and air to come": lambda p, i: to_come(
            p, i, [house.fit(q) for q in pieces if same_house(p, q)]
        ),
        "oracle: its own whole curve, air to come": oracle,
    }
    print("way                                        cut     n  median   inside  width")
    print("                                                      error     80 %  / left")
    for name, way in ways.items():
        for share in CUTS:
            print(f"{name:42} {100 * share:.0f} %  {score(shown, share, way)}", flush=True)
    damp = [humid_piece(seed, rh) for rh in (90, 92, 94) for seed in range(12 if quick else 40)]
    print("\nlevels off short of the target, called at any weigh-in before day 120")
    for name, some in (("simulated households", shown), ("damp places, a model apart", damp)):
        for air in (False, True):
            never, hits, arrive, wrong = levelling(some, air)
            told = f"never arrive {never:3d}, called {hits:3d} · arrive {arrive:3d}, called {wrong}"
            print(f"{name:28} {'with air' if air else 'no air':9} {told}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
