"""The way of a lot from its hang weight to its target, by time, one cell a week."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from curedash.present.numbers import on_way

WEEK_D = 7.0  # design value: what one cell stands for, so that rows compare
STEPS = "▁▂▃▄▅▆▇"
REACHED = "█"
TARGET = "▔"  # at the height of the target, where no bar is yet

Way = Sequence[tuple[float, float]]


def trend(way: Way, width: int) -> str:
    """How far, how fast: full height is its target, a cell is a week.

    Where more weeks have passed than there are cells, a cell is two weeks, or four. The cells
    behind the bars show how high the target is.

    Parameters
    ----------
    way : (day since hanging [d], share of the way to the target [1]), oldest first, from (0, 0)
    width : cells there are

    Example
    -------
    >>> trend([(0, 0), (28, 0.6)], 8), trend([(0, 0), (28, 1.02)], 8), trend([(0, 0)], 8)
    ('▂▃▄▅ ▔▔▔', '▂▄▆█ ▔▔▔', '')
    >>> trend([(0, 0), (21, 0.5), (42, 0.5)], 8)
    '▂▃▄▄▄▄ ▔'
    """
    if len(way) < 2 or way[-1][0] <= 0:
        return ""
    last_d, share = way[-1]
    step_d = step_of(last_d, width)
    count = ceil(last_d / step_d - 1e-9)
    shares = [on_way(way, step_d * n) for n in range(1, count)] + [share]
    drawn = "".join([_cell(each) for each in shares])
    rest = width - len(drawn)
    return drawn + (" " + TARGET * (rest - 1) if rest else "")


def step_of(last_d: float, width: int) -> float:
    """Days a cell stands for [d]: a week, doubled until the whole way fits."""
    step_d = WEEK_D
    while last_d / step_d > width + 1e-9:
        step_d *= 2
    return step_d


def _cell(share: float) -> str:
    if share >= 1 - 1e-9:
        return REACHED
    return STEPS[max(0, min(len(STEPS) - 1, int(share * len(STEPS))))]
