"""The curve of a lot on a PDF page, in the same frame as its picture for the web."""

from __future__ import annotations

from itertools import pairwise

from curedash.papers import curve_svg
from curedash.papers.curve_svg import Curve
from curedash.papers.pdf import Canvas
from curedash.present.numbers import number

SMALL_PT = 8.0
GROUND = 215  # grey of the target band, 0 black to 255 white
LEFT, RIGHT = curve_svg.LEFT, curve_svg.WIDTH - curve_svg.RIGHT
TOP, BOTTOM = curve_svg.TOP, curve_svg.HEIGHT - curve_svg.BOTTOM


def draw_curve(canvas: Canvas, curve: Curve, left_mm: float, top_mm: float, factor: float) -> None:
    """Draw a curve with its corner there, ``factor`` millimetres a unit of the picture."""
    page = _CurveOnPage(canvas, curve, left_mm, top_mm, factor)
    page.under_the_grid()
    page.grid()
    page.over_the_grid()


class _CurveOnPage:
    def __init__(
        self, canvas: Canvas, curve: Curve, left_mm: float, top_mm: float, factor: float
    ) -> None:
        self.canvas, self.curve, self.scale = canvas, curve, curve_svg.scale_of(curve)
        self.left, self.top, self.factor = left_mm, top_mm, factor

    def x(self, units: float) -> float:
        return self.left + units * self.factor

    def y(self, units: float) -> float:
        return self.top + units * self.factor

    def under_the_grid(self) -> None:
        """The target band and the pull window."""
        scale, canvas = self.scale, self.canvas
        if self.curve.target_pct is not None:
            low, high = (scale.y(loss) for loss in self.curve.target_pct)
            wide, tall = (RIGHT - LEFT) * self.factor, (high - low) * self.factor
            self._ground(self.x(LEFT), self.y(low), wide, tall)
        if self.curve.window_days is not None:
            first, last = (scale.x(min(day, scale.days)) for day in self.curve.window_days)
            wide = max(0.4, (last - first) * self.factor)
            canvas.pdf.set_dash_pattern(1, 1)
            canvas.box(self.x(first), self.y(TOP), wide, (BOTTOM - TOP) * self.factor, 0.2)
            canvas.pdf.set_dash_pattern()
            canvas.write(self.x(first) + 0.8, self.y(TOP) + 0.4, "pull window", SMALL_PT)

    def grid(self) -> None:
        """A line and its number for each tick."""
        scale, canvas = self.scale, self.canvas
        for loss in curve_svg.ticks(scale.least_pct, scale.most_pct):
            at = self.y(scale.y(loss))
            canvas.line(self.x(LEFT), at, self.x(RIGHT), at, 0.05)
            wide = LEFT * self.factor - 1.5
            words = f"{number(loss)} %"
            canvas.write(self.left, at - 1.7, words, SMALL_PT, align="R", width=wide)
        for day in curve_svg.ticks(0, scale.days):
            at, foot = self.x(scale.x(day)), self.y(BOTTOM)
            canvas.line(at, self.y(TOP), at, foot, 0.05)
            canvas.write(at - 6, foot + 0.6, number(day), SMALL_PT, align="C", width=12)

    def over_the_grid(self) -> None:
        """The word at the target on a ground of its own, the axes' names, the weigh-ins."""
        scale, canvas = self.scale, self.canvas
        if self.curve.target_pct is not None:
            right, low = self.x(RIGHT), self.y(scale.y(self.curve.target_pct[0])) + 0.5
            self._ground(right - 11, low, 10, 3.4)
            canvas.write(right - 20, low, "target", SMALL_PT, align="R", width=19)
        foot, wide = self.y(BOTTOM) + 5, RIGHT * self.factor
        canvas.write(self.x(LEFT), foot, f"loss of {self.curve.base} weight", SMALL_PT)
        canvas.write(self.left, foot, "days since hanging", SMALL_PT, align="R", width=wide)
        placed = [(self.x(scale.x(day)), self.y(scale.y(loss))) for day, loss in self.curve.points]
        for (x1, y1), (x2, y2) in pairwise(placed):
            canvas.line(x1, y1, x2, y2, 0.4)
        for px, py in placed:
            canvas.pdf.ellipse(px - 0.7, py - 0.7, 1.4, 1.4, style="F")

    def _ground(self, x: float, y: float, wide: float, high: float) -> None:
        self.canvas.pdf.set_fill_color(GROUND)
        self.canvas.pdf.rect(x, y, wide, high, style="F")
        self.canvas.pdf.set_fill_color(0)
