"""Learns the numbers of domain/facts/forecast_layer: `python tests/bench/learn_layer.py`.

Takes the first two thirds of each series, the published logs and pieces of our own; every piece is
looked at from a few of its weigh-ins. Quantile regression (10, 50, 90 %) of the logarithm of days
left, logistic regression of never arriving, both under a ridge. Prints MEANS, SPREADS and NETS as
they stand in that file; the same numbers come out each time. Three minutes.

``--same`` says instead whether those are the numbers of that file (exit code 1: they are not).
``--check`` learns three times without a third of the learned pieces (whole households, whole logs)
and prints how that third is then forecast; nothing else was looked at to choose the settings below.
"""

from __future__ import annotations

import argparse
import math
import random
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from curedash.domain.drying.forecast import Basis, forecast, layer, pull_forecast  # noqa: E402
from curedash.domain.facts import forecast_layer as facts  # noqa: E402
from tests.bench import forecast_table as table  # noqa: E402
from tests.bench.body_pieces import alike, scattered  # noqa: E402
from tests.bench.humid import piece as humid_piece  # noqa: E402
from tests.bench.other_laws import pieces as other_pieces  # noqa: E402

HIDDEN, NETS, RIDGE, STEPS, BATCH, RATE = 12, 4, 6e-4, 1300, 3000, 0.01
SHORT_COUNTS = 0.3  # what the chance of stalling counts beside the window
RARER = 0.6  # of its logit: a third of our own pieces never arrive, one in fifty of the series
#: What all pieces of a set together count
WEIGHTS = {
    "simulated": 1.6,
    "with history": 1.2,
    "with lots": 0.6,
    "law a": 1.2,
    "law b": 1.2,
    "logs": 0.25,
    "limit": 1.5,
    "rim": 1.5,
    "scattered": 1.0,
    "alike": 1.5,
    "humid": 0.3,
}
INVENTED = ("limit", "rim", "scattered", "humid")  # not of a household that is scored
Piece = dict[str, Any]
Array = Any


class Row:
    """One weigh-in of one piece, as the network sees it, and what came of it."""

    def __init__(self, of: str, piece: object, fold: int, seen: Any, left: float | None) -> None:
        self.of, self.piece, self.fold, self.left = of, piece, fold, left
        self.inputs, self.lefts = layer.inputs(*seen)
        self.share = self.inputs[15]


class _Seen(Exception):
    """Carries what the layer is handed."""


def _hand_out(*seen: Any) -> Any:
    raise _Seen(seen)


def _row(of: str, n: object, fold: int, piece: Piece, at: int, way: Any, **more: Any) -> Row:
    try:
        way(piece, at, **more)
    except _Seen as seen:
        truth = piece["reached_on_day"]
        left = None if truth is None else truth - piece["day"][at]
        return Row(of, n, fold, seen.args[0], left)
    raise AssertionError("no forecast was made")


def _some(piece: Piece, most: int, least: float, rng: random.Random) -> list[int]:
    """A few weigh-ins from the third on, from a share of the way on, the end itself left out."""
    net, goal, truth = piece["net_g"], piece["target_loss_pct"] / 100, piece["reached_on_day"]
    ok = []
    for at in range(2, len(net)):
        loss = 1 - net[at] / net[0]
        if loss >= goal or (truth is not None and piece["day"][at] >= truth):
            break
        if loss >= least * goal and (truth is not None or piece["day"][at] <= 120):
            ok.append(at)
    return sorted(rng.sample(ok, most)) if len(ok) > most else ok


def _series_rows() -> Iterator[Row]:
    """The first two thirds of each series, also at the weigh-ins that are scored."""
    rng = random.Random(5)
    simulated = table.series("simulated-households")
    ways = {
        "simulated": table.seen_at,
        "with history": table.with_history(simulated),
        "with lots": table.with_history(simulated, measured=False),
    }
    laws = {f"law {law}": table.series(f"other-law-{law}") for law in "ab"}
    for name, pieces in {"simulated": simulated, **laws}.items():
        for n, piece in enumerate(pieces):
            house = piece.get("household", n)
            if house % 3 == table.LEFT_OUT:
                continue
            cuts = {at for _, at in table.cuts_of(piece)}
            some = cuts.union(_some(piece, 7, 0.03, rng))
            for of in ways if name == "simulated" else (name,):
                for at in sorted({*cuts, min(some)} if of == "with lots" and some else some):
                    way = ways.get(of, table.seen_at)
                    yield _row(of, n, (house // 3) % 3, piece, at, way)


def _log_rows() -> Iterator[Row]:
    for name, (what, rows) in table.published().items():
        base, last = table.start_g(name, what), rows[-1]
        if base is None or len(rows) < 4:
            continue
        goal, bag = 1 - last[1], True if "bag" in what else None
        for n in range(3, len(rows)):
            if 0.05 <= (1 - rows[n - 1][1]) / goal <= 0.92:
                try:
                    forecast(Basis(rows[:n], 100 * goal, base_g=base, in_bag=bag))
                except _Seen as seen:
                    yield Row(
                        "logs",
                        name,
                        0 if name == "elk-638" else 1,
                        seen.args[0],
                        last[0] - rows[n - 1][0],
                    )


def _own_rows(of: str, pieces: Sequence[Piece], most: int, seed: int) -> Iterator[Row]:
    """A few weigh-ins a piece from 15 % of the way on; some pieces with the place's air."""
    rng = random.Random(seed)
    for n, piece in enumerate(pieces):
        for at in _some(piece, most, 0.15, rng):
            yield _own_row(of, n, piece, at, rng)


def _first_rows(of: str, pieces: Sequence[Piece]) -> Iterator[Row]:
    """The first weigh-in of a piece that is 3-17 % of the way, where it has one."""
    rng = random.Random(5)
    for n, piece in enumerate(pieces):
        early = 1 - 0.17 * piece["target_loss_pct"] / 100
        some = _some(piece, 99, 0.03, rng)
        for at in [at for at in some if piece["net_g"][at] / piece["net_g"][0] > early][:1]:
            yield _own_row(of, n, piece, at, rng)


def _own_row(of: str, n: int, piece: Piece, at: int, rng: random.Random) -> Row:
    more = {}
    if of not in ("limit", "rim") and rng.random() < 0.35:
        more["air"] = table.air_until(piece, piece["day"][at])
    return _row(of, n, (piece.get("household", 0) // 3) % 3, piece, at, table.seen_at, **more)


def gathered() -> list[Row]:
    """All rows there are to learn from."""
    pull_forecast.trust = _hand_out
    simulated = table.series("simulated-households")
    known = [p for p in simulated if p["household"] % 3 != table.LEFT_OUT]
    rim = other_pieces("rim", 1, 1500)
    damp = [humid_piece(1000 + n, random.Random(n).uniform(70, 95)) for n in range(200)]
    own = scattered(1, 900)
    return [
        *_series_rows(),
        *_log_rows(),
        *_own_rows("limit", other_pieces("limit", 1, 1500), 4, 5),
        *_own_rows("rim", rim, 4, 5),
        *_own_rows("scattered", own, 4, 5),
        *_own_rows("humid", damp, 4, 5),
        *_own_rows("alike", alike(known, 1, 5), 3, 7),
        *_first_rows("rim", rim[:900]),
        *_first_rows("scattered", own[:500]),
        *_first_rows("humid", damp),
    ]


# ── learning ──────────────────────────────────────────────────────────────────────────────


class Learned:
    """Means and spreads of the inputs, and the networks."""

    def __init__(self, rows: Sequence[Row]) -> None:
        seen = np.array([row.inputs for row in rows])
        count = Counter((row.of, row.piece) for row in rows)
        pieces = Counter(of for of, _ in count)
        weight = np.array([WEIGHTS[r.of] / pieces[r.of] / count[r.of, r.piece] for r in rows])
        weight /= weight.mean()
        self.means = np.average(seen, 0, weight)
        self.spreads = np.sqrt(np.average((seen - self.means) ** 2, 0, weight)) + 1e-6
        lefts = np.array([row.lefts for row in rows])
        wanted = np.array(
            [math.log(max(r.left, 0.25)) if r.left is not None else 0.0 for r in rows]
        )
        never = np.array([float(row.left is None) for row in rows])
        data = (self.of(seen), lefts, wanted, never, weight)
        self.nets = [_net(data, seed) for seed in range(NETS)]
        for _, outer in self.nets:
            outer[-1, -1] -= RARER

    def of(self, seen: Array) -> Array:
        """Inputs as the networks take them."""
        return np.clip((seen - self.means) / self.spreads, -3, 3)

    def __call__(self, rows: Sequence[Row]) -> tuple[Array, Array, Array, Array]:
        """Logarithm of days left, lower and upper half-width, chance of never arriving."""
        seen, lefts = self.of(np.array([r.inputs for r in rows])), np.array([r.lefts for r in rows])
        told = [_through(net, seen, lefts)[2:] for net in self.nets]
        at, low, high, short = (np.mean(one, 0) for one in zip(*told, strict=True))
        return at, np.exp(low), np.exp(high), short


def _through(net: list[Array], seen: Array, lefts: Array) -> tuple[Array, ...]:
    n = lefts.shape[1]
    hidden = np.tanh(seen @ net[0][:-1] + net[0][-1])
    out = hidden @ net[1][:-1] + net[1][-1]
    share = np.exp(out[:, :n] - out[:, :n].max(1, keepdims=True))
    share /= share.sum(1, keepdims=True)
    low, high = (np.clip(out[:, n + k], -4, 2) for k in (1, 2))
    short = 1 / (1 + np.exp(-np.clip(out[:, n + 3], -30, 30)))
    return hidden, share, out[:, n] + (share * lefts).sum(1), low, high, short


def _slope(miss: Array, quantile: float, bend: float = 0.03) -> Array:
    """Slope of the quantile loss by what was foretold, its corner rounded."""
    side = np.where(miss > 0, quantile, 1 - quantile)
    return -side * np.where(np.abs(miss) < bend, miss / bend, np.sign(miss))


def _gradient(net: list[Array], data: tuple[Array, ...]) -> list[Array]:
    seen, lefts, wanted, never, weight = data
    n, total = lefts.shape[1], weight.sum()
    hidden, share, at, low, high, short = _through(net, seen, lefts)
    low, high = np.exp(low), np.exp(high)
    arrived = weight * (1 - never) / total
    first, last = _slope(wanted - at + low, 0.1), _slope(wanted - at - high, 0.9)
    by_at = arrived * (_slope(wanted - at, 0.5) + first + last)
    by_share = by_at[:, None] * lefts
    out = np.zeros((len(wanted), n + 4))
    out[:, :n] = share * (by_share - (share * by_share).sum(1, keepdims=True))
    out[:, n], out[:, n + 1], out[:, n + 2] = by_at, -arrived * first * low, arrived * last * high
    out[:, n + 3] = SHORT_COUNTS * weight * (short - never) / total
    back = (out @ net[1][:-1].T) * (1 - hidden * hidden)
    found = [np.vstack([seen.T @ back, back.sum(0)]), np.vstack([hidden.T @ out, out.sum(0)])]
    for one, numbers in zip(found, net, strict=True):
        one[:-1] += 2 * RIDGE * numbers[:-1]
    return found


def _net(data: tuple[Array, ...], seed: int) -> list[Array]:
    """One network, by steps of Adam (Kingma and Ba 2015)."""
    rng = np.random.default_rng(seed)
    seen, lefts = data[0], data[1]
    n, ins = lefts.shape[1], seen.shape[1]
    net = [
        rng.normal(0, 1 / np.sqrt(ins), (ins + 1, HIDDEN)),
        rng.normal(0, 0.1, (HIDDEN + 1, n + 4)),
    ]
    net[0][-1], net[1][-1] = rng.normal(0, 0.3, HIDDEN), 0.0
    net[1][-1, n + 1 :] = (-0.8, -0.8, -2.0)
    mean, square = [0 * one for one in net], [0 * one for one in net]
    for step in range(1, STEPS + 1):
        some = rng.integers(0, len(seen), min(BATCH, len(seen)))
        rate = RATE * (1.0 if step < 0.6 * STEPS else 0.3 if step < 0.85 * STEPS else 0.1)
        for k, slope in enumerate(_gradient(net, tuple(part[some] for part in data))):
            mean[k] = 0.9 * mean[k] + 0.1 * slope
            square[k] = 0.999 * square[k] + 0.001 * slope**2
            size = np.sqrt(square[k] / (1 - 0.999**step)) + 1e-8
            net[k] = net[k] - rate * mean[k] / (1 - 0.9**step) / size
    return net


# ── what comes out ────────────────────────────────────────────────────────────────────────


def checked(rows: Sequence[Row]) -> Iterator[str]:
    """Each third of what was learned from, forecast without it; the logs by name."""
    found: dict[str, list[tuple[float, float, int]]] = {}
    for fold in range(3):
        learned = Learned([r for r in rows if r.fold != fold or r.of in INVENTED])
        left = [r for r in rows if r.fold == fold and r.left is not None and r.of not in INVENTED]
        if not left:
            continue
        at, low, high, _ = learned(left)
        for row, mid, below, above in zip(left, at, low, high, strict=True):
            assert row.left is not None
            wide = layer.widened(row.share)
            days = math.log(row.left)
            side = int(days > mid + wide * above) - int(days < mid - wide * below)
            off = (math.exp(mid) - row.left) / row.left
            name = f"log {row.piece}" if row.of == "logs" else row.of
            found.setdefault(name, []).append((row.share, off, side))
    yield "learned without it              n    error  inside  early   late    bias"
    for name, scored in found.items():
        if name.startswith("log "):
            yield _line(name, "", [one for one in scored if 0.25 <= one[0] <= 0.85])
            continue
        for share in table.CUTS:
            near = [one for one in scored if abs(one[0] - share) < 0.1]
            yield _line(name, f"{100 * share:.0f} %", near)


def _line(name: str, cell: str, scored: Sequence[tuple[float, float, int]]) -> str:
    n, off = len(scored), [one[1] for one in scored]
    sides = Counter(one[2] for one in scored)
    inside, early, late = (100 * sides[side] / n for side in (0, -1, 1))
    return (
        f"{name:20} {cell:6} {n:5d}  {100 * float(np.median(np.abs(off))):5.1f} %  {inside:4.0f} %"
        f"  {early:4.0f} %  {late:4.0f} %  {100 * float(np.median(off)):+5.0f} %"
    )


def written(learned: Learned) -> str:
    """MEANS, SPREADS and NETS as Python."""

    def row(values: Array, digits: str, indent: str) -> str:
        words = [format(v, digits) for v in values]
        lines, line = [], indent + "("
        for word in words:
            if len(line) + len(word) + 2 > 98:
                lines.append(line.rstrip())
                line = indent + " "
            line += word.replace("-0.000", "0.0") + ", "
        return "\n".join([*lines, line.rstrip(", ") + "),"])

    parts = [
        f"{name} = (\n" + row(v, ".4g", "   ")[4:-2].join(("    ", ",\n)"))
        for name, v in (("MEANS", learned.means), ("SPREADS", learned.spreads))
    ]
    nets = ["NETS = ("]
    for net in learned.nets:
        nets.append("    (")
        for numbers in net:
            nets.append("        (")
            nets += [row(one, ".3f", "            ") for one in numbers.T]
            nets.append("        ),")
        nets.append("    ),")
    return "\n".join([*parts, *nets, ")"])


def apart(learned: Learned) -> tuple[int, int, float]:
    """How many numbers there are, how many differ from those in use, and by how much at most."""
    scope: dict[str, Any] = {}
    exec(written(learned), scope)
    names = ("MEANS", "SPREADS", "NETS")
    new = [number for name in names for number in _flat(scope[name])]
    used = [number for name in names for number in _flat(getattr(facts, name))]
    off = [abs(a - b) for a, b in zip(new, used, strict=True)]
    return len(off), sum(one > 0 for one in off), max(off)


def _flat(numbers: Any) -> list[float]:
    if isinstance(numbers, float | int):
        return [float(numbers)]
    return [one for some in numbers for one in _flat(some)]


def main() -> int:
    """Learn; print the numbers, whether they are those in use, or how they do on what is unseen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="three times without a third")
    parser.add_argument("--same", action="store_true", help="are they the numbers in use?")
    chosen = parser.parse_args()
    rows = gathered()
    print(f"# {len(rows)} weigh-ins of {len({(r.of, r.piece) for r in rows})} pieces", flush=True)
    if chosen.check:
        for line in checked(rows):
            print(line)
        return 0
    learned = Learned(rows)
    if not chosen.same:
        print(written(learned))
        return 0
    count, differ, most = apart(learned)
    print(f"{count} numbers, {differ} other than those in use, by at most {most:g}")
    return 1 if differ else 0


if __name__ == "__main__":
    sys.exit(main())
