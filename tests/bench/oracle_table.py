"""Ours beside the oracles of each law, on the same pieces at the same weigh-ins."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from tests.bench.forecast_table import (
    LEFT_OUT,
    Scored,
    cuts_of,
    left_out,
    line,
    seen_at,
    series,
    stall_cuts,
)
from tests.bench.oracles import fitted, knowing, pool_of
from tests.bench.other_laws import pieces as own_pieces

Piece = dict[str, Any]
OURS, FITTED, KNOWING = "ours", "its law, fitted", "all but its future"


def oracle_lines(quick: bool = False) -> Iterator[str]:
    """Lines by law and share of the way; then the Brier scores of stalling beside the oracles'."""
    few = 16 if quick else 60
    yield f"{'oracle of a law':30} cell         n    error  inside  early   late    bias  width"
    own = {kind: own_pieces(kind, 9, few) for kind in ("limit", "rim")}
    for kind, pieces in own.items():
        yield from _beside(f"{kind}, own", pieces, kind, None)
    for name, kind in (("law a", "limit"), ("law b", "rim")):
        every = series(f"other-law-{name[-1]}")
        known = [p for n, p in enumerate(every) if n % 3 != LEFT_OUT]
        pool = pool_of(known[::4] if quick else known, kind, 1 if quick else 2)
        some = left_out(every)
        yield from _beside(name, some[::3] if quick else some, kind, pool)
    yield ""
    yield "stalling                       asked  Brier: base rate   ours  its law, fitted"
    for kind, pieces in own.items():
        yield _brier(f"{kind}, own", pieces, kind)


def _beside(name: str, pieces: Sequence[Piece], kind: str, pool: Any) -> Iterator[str]:
    found: dict[str, dict[float, list[Scored]]] = defaultdict(lambda: defaultdict(list))
    for piece in pieces:
        truth, cuts = piece["reached_on_day"], list(cuts_of(piece))
        if not cuts:
            continue
        told = dict(fitted(piece, kind, sorted({at for _, at in cuts}), pool))
        for share, at in cuts:
            found[OURS][share].append(Scored(seen_at(piece, at), truth))
            found[FITTED][share].append(Scored(told[at], truth))
            if "path" in piece:
                found[KNOWING][share].append(Scored(knowing(piece, at), truth))
    for way, cells in found.items():
        for share, scored in sorted(cells.items()):
            yield line(f"{name}: {way}", f"{100 * share:.0f} %", scored)


def _brier(name: str, pieces: Sequence[Piece], kind: str) -> str:
    asked: list[tuple[bool, float, float]] = []
    for piece in pieces:
        cuts = stall_cuts(piece)
        told = dict(fitted(piece, kind, cuts, None)) if cuts else {}
        for at in cuts:
            ours = seen_at(piece, at).p_levels_off or 0.0
            asked.append((piece["reached_on_day"] is None, ours, told[at].p_levels_off))
    n = len(asked)
    rate = sum(never for never, _, _ in asked) / n

    def brier(chance: Callable[[tuple[bool, float, float]], float]) -> float:
        return sum((chance(one) - one[0]) ** 2 for one in asked) / n

    return (
        f"{name:30} {n:5d}  {rate * (1 - rate):16.3f}  {brier(lambda a: a[1]):5.3f}  "
        f"{brier(lambda a: a[2]):15.3f}"
    )
