"""Figures of a benchmark: medians, ratios against a floor, a table on stdout, JSON on request."""

from __future__ import annotations

import json
import os
import platform
import sys
from dataclasses import asdict, dataclass
from statistics import median


@dataclass
class Figure:
    """One line of the table."""

    name: str
    value: float
    unit: str
    bar: float | None
    p95: float | None = None
    floor: float | None = None
    note: str = ""
    judged: float | None = None  # what the bar is held against, where that is not the median

    @property
    def reached(self) -> bool:
        """Whether the bar is met (no bar: met)."""
        seen = self.value if self.judged is None else self.judged
        return self.bar is None or seen <= self.bar


def p95(values: list[float]) -> float:
    """The value that 95 of 100 stay under."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]


def ratio(name: str, ours: list[float], floor: list[float], bar: float | None) -> Figure:
    """Ours against the floor, medians of one run."""
    return Figure(
        name, median(ours) / median(floor), "×", bar, p95(ours) / median(floor), median(floor)
    )


def most(
    name: str,
    values: list[float],
    unit: str,
    bar: float | None,
    note: str = "",
    *,
    worst: bool = False,
) -> Figure:
    """A median with its 95 % value; ``worst``: the bar is for the latter."""
    if not values:
        return Figure(name, float("nan"), unit, bar, note="nothing was seen", judged=float("inf"))
    high = p95(values)
    return Figure(name, median(values), unit, bar, high, note=note, judged=high if worst else None)


def tell(figures: list[Figure]) -> int:
    """Print the table (JSON with --json); 1 if a bar is missed."""
    if "--json" in sys.argv:
        rows = [asdict(f) | {"reached": f.reached} for f in figures]
        print(json.dumps({"machine": machine(), "figures": rows}, indent=1))
    else:
        print(machine())
        print(f"{'figure':<52}{'median':>11}{'p95':>9}{'bar':>9}")
        for f in figures:
            high = "" if f.p95 is None else f"{f.p95:.2f}"
            bar = "" if f.bar is None else f"{f.bar:g}"
            sign = "" if f.reached else "  missed"
            line = f"{f.name:<52}{f.value:>8.2f} {f.unit:<2}{high:>9}{bar:>9}{sign}"
            print(f"{line}  {f.note}".rstrip())
    return 0 if all(f.reached for f in figures) else 1


def machine() -> str:
    """Where and under what load this was measured."""
    load = os.getloadavg()[0]
    return (
        f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} cores,"
        f" load {load:.1f}"
    )
