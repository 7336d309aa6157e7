"""The figures the pull window is held to, by law, by rhythm of weighing and by share of the way.

A third of each set was left out when the weights of the laws were learned (households and pieces
whose number leaves 2 when divided by 3); only that third is scored. Three things have seen it all
the same: the prior of the drying body comes from all simulated households, the widening of the
windows was set on the thirds in turn, and settings of an earlier learning were chosen by looking at
it. Those of tests/bench/learn_layer.py were chosen on the other two thirds, each forecast without
itself; its --check prints that, the real logs among it. Here the real logs and the pairs are the
very ones the numbers were made from. Real logs are scored on the day of their own last weight, from
every prefix of 25-85 % of the way there.
"""

from __future__ import annotations

import csv
import json
import math
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import Any, Protocol

from curedash.domain.drying.forecast import (
    AirDay,
    Basis,
    FinishedPiece,
    Forecast,
    LotScore,
    forecast,
    learned,
    read_finished,
    score_lot,
)
from curedash.domain.errors import Refused
from tests.bench.humid import piece as humid_piece
from tests.bench.other_laws import pieces as other_pieces

SERIES = Path(__file__).resolve().parents[1] / "data" / "series"
CUTS = (0.3, 0.5, 0.7)
LEFT_OUT = 2
Piece = dict[str, Any]
Cells = dict[tuple[str, str], list["Scored"]]


class Window(Protocol):
    """What of a forecast is scored."""

    @property
    def as_of_day(self) -> float: ...
    @property
    def median_day(self) -> float | None: ...
    @property
    def window_day(self) -> tuple[float, float] | None: ...


class Scored:
    """One forecast against what happened."""

    def __init__(self, seen: Window, truth: float) -> None:
        self.left = truth - seen.as_of_day
        window = seen.window_day
        self.told = window is not None and seen.median_day is not None
        mid = seen.median_day if seen.median_day is not None else math.inf
        self.off = (mid - truth) / self.left
        low, high = window or (math.inf, math.inf)
        self.inside, self.early, self.late = low <= truth <= high, truth < low, truth > high
        self.width = (high - low) / self.left if self.told else math.inf


def series(name: str) -> list[Piece]:
    """Pieces of a file of the series."""
    found: list[Piece] = json.loads((SERIES / f"{name}.json").read_text(encoding="utf-8"))["pieces"]
    return found


def left_out(pieces: list[Piece]) -> list[Piece]:
    """The third that no number of the model was made from."""
    return [p for n, p in enumerate(pieces) if p.get("household", n) % 3 == LEFT_OUT]


def cuts_of(piece: Piece) -> Iterator[tuple[float, int]]:
    """Share of the way and the weigh-in a piece is cut at, where it is scored."""
    net, goal, truth = piece["net_g"], piece["target_loss_pct"] / 100, piece["reached_on_day"]
    for share in CUTS:
        at = next((i for i, g in enumerate(net) if 1 - g / net[0] >= share * goal), None)
        if at is None or truth is None or at < 2:
            continue
        if 1 - net[at] / net[0] < goal and truth > piece["day"][at]:
            yield share, at


def seen_at(piece: Piece, at: int, **more: Any) -> Forecast:
    """The forecast from the weigh-ins up to one, told all that was measured of the piece."""
    net = piece["net_g"]
    rows = [(d, g / net[0]) for d, g in zip(piece["day"][: at + 1], net, strict=False)]
    return forecast(
        Basis(
            rows,
            piece["target_loss_pct"],
            base_g=net[0],
            scale_division_g=piece.get("division_g", 1),
            diameter_mm=piece.get("diameter_mm"),
            length_mm=piece.get("length_mm"),
            in_bag=piece.get("in_bag"),
            moisture_pct=piece.get("green_moisture_pct"),
            **more,
        )
    )


def rhythm_of(piece: Piece) -> str:
    """How often a piece is weighed, in words."""
    gap = median(b - a for a, b in pairwise(piece["day"])) if len(piece["day"]) > 1 else 99.0
    return "daily" if gap < 1.6 else "2-4 days" if gap < 5 else "weekly" if gap < 8.5 else "rarer"


# ── sets ──────────────────────────────────────────────────────────────────────────────────


def air_until(piece: Piece, until: float) -> list[AirDay]:
    return [AirDay(*day) for day in piece["air"] if day[0] <= until]


def with_history(
    pieces: list[Piece], *, scored: bool = False, measured: bool = True
) -> Callable[[Piece, int], Forecast]:
    """A forecast told the place's air and the household's pieces that had ended by then.

    ``scored``: also how the windows of those pieces did, told at each share of the way without it.
    ``measured``: whether the air is known since the new piece was hung.
    """
    read: dict[int, Any] = {}
    did: dict[int, LotScore | None] = {}

    def score(old: Piece) -> LotScore | None:
        if id(old) not in did:
            told = []
            for _, at in cuts_of(old):
                now = seen(old, at, scored=False)
                if now.window_day is not None and now.median_day is not None:
                    first, last = now.window_day
                    told.append((now.as_of_day, first, now.median_day, last))
            did[id(old)] = score_lot(told, old["reached_on_day"])
        return did[id(old)]

    def fit(old: Piece) -> Any:
        if id(old) not in read:
            read[id(old)] = read_finished(
                FinishedPiece(
                    tuple(old["day"]),
                    tuple(map(float, old["net_g"])),
                    old["diameter_mm"],
                    old["length_mm"],
                    old["green_moisture_pct"],
                    old["in_bag"],
                    tuple(air_until(old, 1e9)),
                )
            )
        return read[id(old)]

    def seen(piece: Piece, at: int, scored: bool = scored) -> Forecast:
        now = piece["hung_on_day"] + piece["day"][at]
        ended = [
            old
            for old in pieces
            if old["household"] == piece["household"]
            and old is not piece
            and old["reached_on_day"] is not None
            and old["hung_on_day"] + old["day"][-1] <= now
        ]
        scores = [one for old in ended if (one := score(old)) is not None] if scored else []
        return seen_at(
            piece,
            at,
            air=air_until(piece, piece["day"][at]) if measured else (),
            history=[fit(old) for old in ended],
            own=learned(scores),
        )

    return seen


def by_law_and_rhythm(
    pieces: Iterable[Piece], way: Callable[[Piece, int], Forecast]
) -> tuple[Cells, dict[str, list[Scored]]]:
    """Scores by share of the way, and by rhythm."""
    cells: Cells = defaultdict(list)
    rhythms: dict[str, list[Scored]] = defaultdict(list)
    for piece in pieces:
        truth = piece["reached_on_day"]
        for share, at in cuts_of(piece):
            scored = Scored(way(piece, at), truth)
            cells["all", f"{100 * share:.0f} %"].append(scored)
            rhythms[rhythm_of(piece)].append(scored)
    return cells, rhythms


def line(name: str, cell: str, scored: list[Scored]) -> str:
    """One line of the table."""
    n = len(scored)
    off = [abs(s.off) for s in scored]
    return (
        f"{name:30} {cell:9} {n:4d}  {100 * median(off):5.1f} %  "
        f"{100 * sum(s.inside for s in scored) / n:4.0f} %  "
        f"{100 * sum(s.early for s in scored) / n:4.0f} %  "
        f"{100 * sum(s.late for s in scored) / n:4.0f} %  "
        f"{100 * median(s.off for s in scored):+5.0f} %  {median(s.width for s in scored):5.2f}"
    )


# ── published logs ────────────────────────────────────────────────────────────────────────


def published() -> dict[str, tuple[str, list[tuple[float, float]]]]:
    """Each log: what the piece is, and its days with the share of the first weight left."""
    logs: dict[str, tuple[str, list[tuple[float, float]]]] = {}
    with (SERIES / "published.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            _what, rows = logs.setdefault(row["id"], (row["piece"], []))
            value = float(row["value"])
            rows.append((float(row["day"]), 1 - value / 100 if row["unit"] != "g" else value))
    return {
        name: (what, [(d, v / rows[0][1] if rows[0][1] > 2 else v) for d, v in rows])
        for name, (what, rows) in logs.items()
    }


def start_g(name: str, what: str) -> float | None:
    """The hang weight that the log or its description gives [g]."""
    found = re.search(r"(?:start|hang weight) (\d+) g", what)
    known = {
        "saucisson": 380.0,
        "lamb-leg-1": 1850.0,
        "lamb-leg-3": 1850.0,
        "lamb-boned-548": 548.0,
    }
    return float(found[1]) if found else known.get(name)


def real_prefixes() -> Iterator[tuple[str, Scored]]:
    """Every prefix of three or more that has come 25-85 % of the way to the last weight."""
    for name, (what, rows) in published().items():
        base, last = start_g(name, what), rows[-1]
        if base is None or len(rows) < 4:
            continue
        goal = 1 - last[1]
        for n in range(3, len(rows)):
            if 0.25 <= (1 - rows[n - 1][1]) / goal <= 0.85:
                seen = forecast(
                    Basis(rows[:n], 100 * goal, base_g=base, in_bag=True if "bag" in what else None)
                )
                yield name, Scored(seen, last[0])


def pairs() -> Iterator[tuple[str, Scored]]:
    """Start-and-end pairs against the rule of thumb; a weight or a thickness must be known."""
    for name, (what, rows) in published().items():
        base = start_g(name, what)
        thick = re.search(r"(\d+)(?:-(\d+))? mm", what)
        mm = None if thick is None else (float(thick[1]) + float(thick[2] or thick[1])) / 2
        if len(rows) > 2 or (base is None and mm is None) or "60 weeks" in what:
            continue
        loss = 100 * (1 - rows[-1][1])
        seen = forecast(Basis([(0.0, 1.0)], loss, base_g=base or 1000.0, diameter_mm=mm))
        yield name, Scored(seen, rows[-1][0])


def second_weigh_ins(pieces: Iterable[Piece]) -> Iterator[Scored]:
    """The rule of thumb after the second weigh-in, the target ahead of it."""
    for piece in pieces:
        truth, net, goal = piece["reached_on_day"], piece["net_g"], piece["target_loss_pct"] / 100
        if truth is None or len(net) < 2 or truth <= piece["day"][1]:
            continue
        if 1 - net[1] / net[0] < goal:
            yield Scored(seen_at(piece, 1), truth)


# ── stalling and stability ────────────────────────────────────────────────────────────────


def stalling(pieces: Iterable[Piece]) -> tuple[int, float, float, float, int, int]:
    """Forecasts, share that never arrives, Brier of the base rate and ours, called right and wrong.

    Asked some four times a piece from the third weigh-in on, up to day 120 and short of the target.
    """
    asked = [
        (seen_at(piece, at).p_levels_off or 0.0, piece["reached_on_day"] is None)
        for piece in pieces
        for at in stall_cuts(piece)
    ]
    n = len(asked)
    rate = sum(never for _, never in asked) / n
    brier = sum((p - never) ** 2 for p, never in asked) / n
    called = [never for p, never in asked if p > 0.5]
    return n, rate, rate * (1 - rate), brier, sum(called), len(called) - sum(called)


def stall_cuts(piece: Piece) -> list[int]:
    """Weigh-ins at which it is asked whether a piece will get there, some four a piece."""
    goal = 1 - piece["target_loss_pct"] / 100
    net, truth = piece["net_g"], piece["reached_on_day"]
    at = [i for i in range(2, len(net)) if piece["day"][i] <= min(120.0, truth or 1e9)]
    short = [i for i in at if net[i] / net[0] > goal]
    return short[:: max(1, len(short) // 4)]


def damp() -> list[Piece]:
    """Pieces that a damp place stops short, by a model apart."""
    return [humid_piece(seed, rh) for rh in (88, 91, 94) for seed in range(12)]


def apart(pieces: Iterable[Piece]) -> tuple[int, int]:
    """Successive windows of a piece, and how many of them do not overlap at all."""
    count = jumps = 0
    for piece in pieces:
        goal = 1 - piece["target_loss_pct"] / 100
        before: tuple[float, float] | None = None
        for at in range(2, min(len(piece["net_g"]), 30)):
            if piece["net_g"][at] / piece["net_g"][0] <= goal:
                break
            now = seen_at(piece, at).window_day
            if before is not None and now is not None:
                count += 1
                jumps += now[0] > before[1] or now[1] < before[0]
            before = now
    return count, jumps


# ── the table ─────────────────────────────────────────────────────────────────────────────


def table(quick: bool = False) -> Iterator[str]:
    """Lines of the whole table; quick: a part of the left-out third."""
    simulated = series("simulated-households")
    alone, law_a, law_b = (
        left_out(some) for some in (simulated, series("other-law-a"), series("other-law-b"))
    )
    if quick:
        alone, law_a, law_b = alone[::4], law_a[::3], law_b[::3]
    sets: list[tuple[str, list[Piece], Callable[[Piece, int], Forecast]]] = [
        ("simulated, alone", alone, seen_at),
        ("simulated, air and history", alone, with_history(simulated)),
        ("simulated, and own record", alone, with_history(simulated, scored=True)),
        ("law a: rate to a limit", law_a, seen_at),
        ("law b: rim and core", law_b, seen_at),
    ]
    yield f"{'set':30} cell         n    error  inside  early   late    bias  width"
    for name, pieces, way in sets:
        cells, rhythms = by_law_and_rhythm(pieces, way)
        for (_, cell), scored in sorted(cells.items()):
            yield line(name, cell, scored)
        for cell, scored in sorted(rhythms.items()):
            yield line("  weighed", cell, scored)
    real = list(real_prefixes())
    for name in dict.fromkeys(name for name, _ in real):
        yield line(f"  {name}", "", [s for one, s in real if one == name])
    yield line("real logs, every prefix", "", [s for _, s in real])
    try:
        yield line("pairs, rule of thumb", "", [s for _, s in pairs()])
    except Refused as trouble:  # pragma: no cover
        yield str(trouble)
    for name, pieces in (("simulated", alone), ("law a", law_a), ("law b", law_b)):
        yield line("rule of thumb, two weigh-ins", name, list(second_weigh_ins(pieces)))
    yield ""
    yield "stalling                       asked  never  Brier of base rate  ours  called  wrongly"
    few = 16 if quick else 60
    for name, pieces in (
        ("limit, own", other_pieces("limit", 9, few)),
        ("rim and core, own", other_pieces("rim", 9, few)),
        ("damp places", damp()),
        ("simulated, law a, law b", alone + law_a + law_b),
    ):
        n, rate, base, ours, hits, wrong = stalling(pieces)
        yield (
            f"{name:30} {n:5d}  {100 * rate:3.0f} %  {base:18.3f}  {ours:.3f}  "
            f"{hits:5d}  {wrong:6d}"
        )
    yield ""
    for name, pieces, _ in (sets[0], *sets[3:]):
        count, jumps = apart(pieces[::2])
        yield f"successive windows that do not overlap, {name}: {jumps} of {count}"
