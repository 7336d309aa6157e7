"""The curve of one lot for a small screen: weigh-ins, target, pull window and the forecast's fan.

Colours come from the style sheet of the page (classes), so that it follows light and dark.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import ceil, floor

from curedash.papers.curve_svg import Curve, ticks
from curedash.papers.curve_svg import scale_of as paper_scale
from curedash.present.drying.fan import HIGH, LOW, Spot, way_ahead
from curedash.present.numbers import number
from curedash.present.words import plain
from curedash.services.drying.lot_curve import LotCurve, while_drying

WIDTH, HEIGHT = 360.0, 230.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 10.0, 10.0, 38.0
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
        self.scale = paper_scale(Curve(tuple(every), curve.target_pct, self.window, "", ""))

    def x(self, day: float) -> float:
        """Where a day lies."""
        return LEFT + (WIDTH - LEFT - RIGHT) * day / self.scale.days

    def y(self, loss_pct: float) -> float:
        """Where a loss lies: more is lower, as the weight is."""
        span = self.scale.most_pct - self.scale.least_pct
        return TOP + (HEIGHT - TOP - BOTTOM) * (loss_pct - self.scale.least_pct) / span

    def svg(self) -> str:
        """What lies behind first."""
        lot, base = self.curve.lot, self.curve.base
        label = f"{lot.code}: loss from {base} weight against days since hanging"
        return "".join(
            [
                f'<svg viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img"',
                f' aria-label="{escape(plain(label))}">',
                *self._behind(),
                *self._grid(),
                *self._line(),
                "</svg>",
            ]
        )

    def _behind(self) -> list[str]:
        wide, high = WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM
        parts = []
        if self.curve.target_pct is not None:
            top, bottom = (self.y(loss) for loss in self.curve.target_pct)
            parts.append(_rect("target", LEFT, top, wide, max(1.5, bottom - top)))
        if self.window is not None:
            first, last = (self.x(day) for day in self.window)
            parts.append(_rect("window", first, TOP, max(2.0, last - first), high))
        if self.fan:
            parts.append(f'<polygon class="fan" points="{self._path(self.fan)}"/>')
        return parts

    def _grid(self) -> list[str]:
        bottom = HEIGHT - BOTTOM
        parts = [
            _line("axis", LEFT, TOP, LEFT, bottom),
            _line("axis", LEFT, bottom, WIDTH - RIGHT, bottom),
        ]
        losses = self._levels()
        for loss in losses:
            unit = " %" if loss == losses[-1] else ""
            parts.append(_line("grid", LEFT, self.y(loss), WIDTH - RIGHT, self.y(loss)))
            parts.append(_text(LEFT - 5, self.y(loss) + 4, number(loss) + unit, "end"))
        parts += [
            _text(self.x(day), bottom + 15, number(day), "middle")
            for day in ticks(0, self.scale.days)
        ]
        parts.append(_text(WIDTH - RIGHT, HEIGHT - 6, "days since hanging", "end"))
        if self.today is not None:
            x = self.x(self.today)
            left = x > WIDTH - RIGHT - NARROW
            parts.append(_line("today-mark", x, TOP, x, bottom))
            parts.append(
                _text(x + (-4 if left else 4), bottom - 5, "today", "end" if left else "start")
            )
        return parts

    def _levels(self) -> list[float]:
        """Round losses from end to end, at most seven [%]."""
        low, high = self.scale.least_pct, self.scale.most_pct
        step = next((s for s in (1, 2, 5, 10, 20, 50) if (high - low) / s <= 7), 100)
        return [step * n for n in range(ceil(low / step), floor(high / step) + 1)]

    def _line(self) -> list[str]:
        parts = [f'<polyline class="curve" points="{self._path(self.points)}"/>']
        parts += [
            f'<circle class="point" cx="{self.x(day):.1f}" cy="{self.y(loss):.1f}" r="3"/>'
            for day, loss in self.points
        ]
        return parts

    def _path(self, spots: Sequence[Spot]) -> str:
        return " ".join(f"{self.x(day):.1f},{self.y(loss):.1f}" for day, loss in spots)


def _rect(name: str, x: float, y: float, width: float, height: float) -> str:
    return (
        f'<rect class="{name}" x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"/>'
    )


def _line(name: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{name}" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"/>'


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
