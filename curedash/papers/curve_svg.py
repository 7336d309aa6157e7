"""The curve of loss against days as a drawing: the same lines for SVG and for PDF."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from math import ceil, floor

from curedash.domain.record import record
from curedash.present.numbers import number
from curedash.present.words import plain

WIDTH, HEIGHT = 640.0, 300.0
TARGET_WIDE = 32.0  # of the word beside its band


@record
class Curve:
    """Loss of a base against days since hanging."""

    points: tuple[tuple[float, float], ...]  # day, loss [%]
    target_pct: tuple[float, float] | None
    window_days: tuple[float, float] | None
    base: str
    label: str


@record
class Frame:
    """A drawing, and what of it is left around the curve."""

    width: float
    height: float
    left: float
    right: float  # from the left, as the x of everything
    top: float
    bottom: float


PAPER = Frame(WIDTH, HEIGHT, 48.0, WIDTH - 12.0, 14.0, HEIGHT - 36.0)


@record
class Scale:
    """From days and percent to the units of a drawing."""

    days: float
    least_pct: float
    most_pct: float
    frame: Frame = PAPER

    def x(self, day: float) -> float:
        """Where a day lies."""
        return self.frame.left + (self.frame.right - self.frame.left) * day / self.days

    def y(self, loss_pct: float) -> float:
        """Where a loss lies: more is lower, as the weight is."""
        share = (loss_pct - self.least_pct) / (self.most_pct - self.least_pct)
        return self.frame.top + (self.frame.bottom - self.frame.top) * share

    def path(self, spots: Iterable[tuple[float, float]]) -> str:
        """Days and losses as the points of a line."""
        return " ".join(f"{self.x(day):.1f},{self.y(loss):.1f}" for day, loss in spots)


def scale_of(curve: Curve, frame: Frame = PAPER) -> Scale:
    """Round ends that hold points, target and window."""
    losses = [loss for _, loss in curve.points] + list(curve.target_pct or ())
    ends = [min(day, 400) for day in curve.window_days or ()]
    last = max([0.0, *(day for day, _ in curve.points), *ends])
    most = ceil(max(5.0, *losses) / 5) * 5 if losses else 5.0
    return Scale(max(7.0, last * 1.05), min(0.0, floor(min(losses, default=0))), most, frame)


def ticks(least: float, most: float, count: int = 6) -> list[float]:
    """Round numbers between two ends.

    Example
    -------
    >>> ticks(0, 47)
    [0, 10, 20, 30, 40]
    """
    rough = (most - least) / count
    step = next((s for s in (1, 2, 5, 7, 10, 14, 20, 28, 50, 100, 200) if s >= rough), 500)
    first = ceil(least / step) * step
    return [first + step * n for n in range(int((most - first) / step) + 1)]


def svg(curve: Curve, font: str = "sans-serif") -> str:
    """The drawing as SVG, with nothing in it that could run or be fetched; for web and paper."""
    scale = scale_of(curve)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img"'
        f' aria-label="{escape(plain(curve.label))}" font-family="{font}" font-size="11">',
        f'<rect width="{WIDTH:g}" height="{HEIGHT:g}" fill="#fff"/>',
    ]
    parts += _bands(curve, scale)
    at = scale.frame
    for loss in ticks(scale.least_pct, scale.most_pct):
        y = scale.y(loss)
        parts.append(line('stroke="#ddd"', at.left, y, at.right, y))
        parts.append(text(at.left - 6, y + 4, f"{number(loss)} %", "end"))
    for day in ticks(0, scale.days):
        x = scale.x(day)
        parts.append(line('stroke="#eee"', x, at.top, x, at.bottom))
        parts.append(text(x, at.bottom + 14, number(day), "middle"))
    parts.append(text(at.right, HEIGHT - 6, "days since hanging", "end"))
    parts.append(text(at.left, HEIGHT - 6, f"loss from {curve.base} weight", "start"))
    parts += _names(curve, scale)
    path = scale.path(curve.points)
    parts.append(f'<polyline points="{path}" fill="none" stroke="#111" stroke-width="1.5"/>')
    parts += [
        f'<circle cx="{scale.x(day):.1f}" cy="{scale.y(loss):.1f}" r="2.6"/>'
        for day, loss in curve.points
    ]
    return "".join([*parts, "</svg>"])


def _bands(curve: Curve, scale: Scale) -> list[str]:
    parts, at = [], scale.frame
    if curve.target_pct is not None:
        low, high = (scale.y(loss) for loss in curve.target_pct)
        parts.append(rect(_ink("#cfcfcf"), at.left, low, at.right - at.left, high - low))
    if curve.window_days is not None:
        first, last = (scale.x(min(day, scale.days)) for day in curve.window_days)
        wide = max(1.0, last - first)
        parts.append(rect(_ink("#999", 0.25), first, at.top, wide, at.bottom - at.top))
    return parts


def _names(curve: Curve, scale: Scale) -> list[str]:
    """What the bands are: the curve passes through them, so their names come after it."""
    parts = []
    if curve.target_pct is not None:
        right, y = scale.frame.right - 4, scale.y(curve.target_pct[0]) + 12
        parts.append(rect(_ink("#cfcfcf"), right - TARGET_WIDE, y - 10, TARGET_WIDE + 2, 13))
        parts.append(text(right, y, "target", "end"))
    if curve.window_days is not None:
        first = scale.x(min(curve.window_days[0], scale.days))
        parts.append(text(first + 3, scale.frame.top + 11, "pull window", "start"))
    return parts


def _ink(fill: str, opacity: float = 1) -> str:
    return f'fill="{fill}" fill-opacity="{opacity:g}"'


def rect(look: str, x: float, y: float, width: float, height: float) -> str:
    """A box; ``look`` is its class, or its colours."""
    return f'<rect {look} x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"/>'


def line(look: str, x1: float, y1: float, x2: float, y2: float) -> str:
    """A straight line."""
    return f'<line {look} x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"/>'


def text(x: float, y: float, words: str, anchor: str) -> str:
    """Words that begin, end or have their middle at a place."""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
