"""The curve of one lot for a small screen: weigh-ins, target, pull window and the forecast's fan.

Colours come from the style sheet of the page (classes), so that it follows light and dark.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import ceil, floor

from curedash.papers.curve_svg import Curve, Frame, line, rect, scale_of, text, ticks
from curedash.present.drying.fan import HIGH, LOW, Spot, way_ahead
from curedash.present.numbers import number
from curedash.present.words import plain
from curedash.services.drying.lot_curve import LotCurve, while_drying

WIDTH, HEIGHT = 360.0, 230.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, WIDTH - 10.0, 10.0, HEIGHT - 38.0
FRAME = Frame(WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM)
MOST_AHEAD_DAYS = 200.0  # a window further off is drawn to here
NARROW = 34.0  # a mark this near the right end has its word at its left


def svg_of(curve: LotCurve, today: float | None) -> str:
    """The drawing as inline SVG, empty where fewer than two weights are known.

    Parameters
    ----------
    today : days since hanging now [d]; None leaves its mark out
    """
    points = [(max(0.0, point.day), point.loss_pct) for point in while_drying(curve)]
    if len(points) < 2:
        return ""
    dries = curve.points[-1].day <= points[-1][0] + 1e-9 and curve.lot.stage in (
        "drying",
        "ferment",
    )
    reached = curve.target_pct is not None and points[-1][1] >= curve.target_pct[0]
    window = curve.window_days if dries and not reached else None
    fan = fan_of(curve) if dries else ()
    if today is not None and not dries:
        today = None
    return _Drawing(curve, points, window, fan, today).svg()


def fan_of(curve: LotCurve) -> tuple[Spot, ...]:
    """The outline of where the loss is expected, from the last weigh-in to the target.

    The near days as they were forecast (80 %), then straight to the ends of the pull window.
    Empty where there is no window or the target is reached.
    """
    if curve.window_days is None or not curve.points:
        return ()
    most = curve.points[-1].day + MOST_AHEAD_DAYS
    first, latest = (min(day, most) for day in curve.window_days)
    quick, slow = way_ahead(curve, HIGH, first), way_ahead(curve, LOW, latest)
    if not quick or not slow:
        return ()
    return (*quick, *reversed(slow[1:]))


class _Drawing:
    """One curve being drawn."""

    def __init__(
        self,
        curve: LotCurve,
        points: Sequence[Spot],
        window: Spot | None,
        fan: Sequence[Spot],
        today: float | None,
    ) -> None:
        self.curve, self.points, self.window = curve, points, window
        self.fan, self.today = fan, today
        if window is not None:
            most = points[-1][0] + MOST_AHEAD_DAYS
            self.window = min(window[0], most), min(window[1], most)
        every = (*points, *fan, *([(today, points[-1][1])] if today is not None else []))
        self.scale = scale_of(Curve(tuple(every), curve.target_pct, self.window, "", ""), FRAME)

    def svg(self) -> str:
        """What lies behind first."""
        lot, base = self.curve.lot, self.curve.base
        label = f"{lot.code}: loss from {base} weight against days since hanging"
        named = f'role="img" aria-label="{escape(plain(label))}"'
        head = f'<svg viewBox="0 0 {WIDTH:g} {HEIGHT:g}" {named}>'
        return "".join([head, *self._behind(), *self._grid(), *self._line(), "</svg>"])

    def _behind(self) -> list[str]:
        parts = []
        if self.curve.target_pct is not None:
            top, bottom = (self.scale.y(loss) for loss in self.curve.target_pct)
            parts.append(rect('class="target"', LEFT, top, RIGHT - LEFT, max(1.5, bottom - top)))
        if self.window is not None:
            first, last = (self.scale.x(day) for day in self.window)
            parts.append(rect('class="window"', first, TOP, max(2.0, last - first), BOTTOM - TOP))
        if self.fan:
            parts.append(f'<polygon class="fan" points="{self.scale.path(self.fan)}"/>')
        return parts

    def _grid(self) -> list[str]:
        parts = [
            line('class="axis"', LEFT, TOP, LEFT, BOTTOM),
            line('class="axis"', LEFT, BOTTOM, RIGHT, BOTTOM),
        ]
        losses = self._levels()
        for loss in losses:
            unit = " %" if loss == losses[-1] else ""
            parts.append(line('class="grid"', LEFT, self.scale.y(loss), RIGHT, self.scale.y(loss)))
            parts.append(text(LEFT - 5, self.scale.y(loss) + 4, number(loss) + unit, "end"))
        parts += [
            text(self.scale.x(day), BOTTOM + 15, number(day), "middle")
            for day in ticks(0, self.scale.days)
        ]
        parts.append(text(RIGHT, HEIGHT - 6, "days since hanging", "end"))
        if self.today is not None:
            x = self.scale.x(self.today)
            left = x > RIGHT - NARROW
            parts.append(line('class="today-mark"', x, TOP, x, BOTTOM))
            parts.append(
                text(x + (-4 if left else 4), BOTTOM - 5, "today", "end" if left else "start")
            )
        return parts

    def _levels(self) -> list[float]:
        """Round losses from end to end, at most seven [%]."""
        low, high = self.scale.least_pct, self.scale.most_pct
        step = next((s for s in (1, 2, 5, 10, 20, 50) if (high - low) / s <= 7), 100)
        return [step * n for n in range(ceil(low / step), floor(high / step) + 1)]

    def _line(self) -> list[str]:
        parts = [f'<polyline class="curve" points="{self.scale.path(self.points)}"/>']
        spots = ((self.scale.x(day), self.scale.y(loss)) for day, loss in self.points)
        parts += [f'<circle class="point" cx="{x:.1f}" cy="{y:.1f}" r="3"/>' for x, y in spots]
        return parts
