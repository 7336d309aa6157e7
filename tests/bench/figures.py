"""Figures of a benchmark: medians, ratios against a floor, a table on stdout, JSON on request."""

from __future__ import annotations

import json
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

    @property
    def reached(self) -> bool:
        """Whether the bar is met (no bar: met)."""
        return self.bar is None or self.value <= self.bar


def p95(values: list[float]) -> float:
    """The value that 95 of 100 stay under."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]


def ratio(name: str, ours: list[float], floor: list[float], bar: float | None) -> Figure:
    """Ours against the floor, medians of one run."""
    return Figure(name, median(ours) / median(floor), "×", bar, p95(ours) / median(floor),
                  median(floor))  # fmt: skip


def most(name: str, values: list[float], unit: str, bar: float | None, note: str = "") -> Figure:
    """A median with its 95 % value."""
    return Figure(name, median(values), unit, bar, p95(values), note=note)


def tell(figures: list[Figure]) -> int:
    """Print the table (JSON with --json); 1 if a bar is missed."""
    if "--json" in sys.argv:
        print(json.dumps([asdict(f) | {"reached": f.reached} for f in figures], indent=1))
    else:
        print(f"{'figure':<52}{'median':>10} {'p95':>10} {'bar':>9}")
        for f in figures:
            high = "" if f.p95 is None else f"{f.p95:.2f}"
            bar = "" if f.bar is None else f"{f.bar:g}"
            sign = "" if f.reached else "  missed"
            print(f"{f.name:<52}{f.value:>7.2f} {f.unit:<3}{high:>9} {bar:>9}{sign} {f.note}")
    return 0 if all(f.reached for f in figures) else 1
