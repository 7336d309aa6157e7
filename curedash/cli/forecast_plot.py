"""The curve of a forecast in block characters; the plotting library is loaded here only."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TextIO

from curedash.domain.drying.forecast import Forecast


def plot(
    rows: Sequence[tuple[float, float]], seen: Forecast, target_pct: float, out: TextIO
) -> None:
    """Draw measured loss, median and band ahead, and the target, without colour."""
    import shutil

    import plotext

    width = min(shutil.get_terminal_size((80, 24)).columns, 100)
    plotext.clear_figure()
    plotext.theme("clear")
    plotext.plotsize(width, 20)
    step = max(1, len(rows) // 400)
    shown = [*rows[::step], *rows[-1:]]
    if shown:
        days, losses = [d for d, _ in shown], [x for _, x in shown]
        plotext.scatter(days, losses, marker="o", label="measured")
    if len(seen.curve) > 1:
        days = [point[0] for point in seen.curve]
        plotext.plot(days, [p[2] for p in seen.curve], marker="*", label="expected")
        plotext.plot(days, [p[1] for p in seen.curve], marker=".", label="80 % band")
        plotext.plot(days, [p[3] for p in seen.curve], marker=".")
    plotext.hline(target_pct)
    plotext.xlabel("day since hanging")
    plotext.ylabel("loss %")
    print(plotext.uncolorize(plotext.build()), file=out)
