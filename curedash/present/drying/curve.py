"""Curves of loss against days, drawn with characters: one lot with all its marks, or several.

Every mark has its own character, so that nothing rests on colour; the tones only repeat it.
"""

import json
import math
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from typing import Any

from curedash.domain.records import ENDED, LotState
from curedash.domain.times import days_between, utc_text
from curedash.present.numbers import number
from curedash.present.words import Line, cut, filled, fitting, packed, percent, stage
from curedash.services.drying.lot_curve import LotCurve

WEIGH_IN, DOUBTFUL, REBASE, STAGE, WINDOW, AHEAD, MIDDLE = "•", "?", "×", "┊", "░", "·", "+"
LEAST_WIDTH, LEAST_HEIGHT = 24, 5
ROOMY = 12  # lines from which the signs may take two
LETTERS = "abcdefghij"
TONES = {
    WEIGH_IN: "strong",
    DOUBTFUL: "today",
    REBASE: "today",
    STAGE: "quiet",
    WINDOW: "quiet",
    AHEAD: "quiet",
    MIDDLE: "today",
}
LEGEND = (
    (WINDOW, "pull window"),
    ("─", "target"),
    (REBASE, "re-base"),
    (STAGE, "stage"),
    (DOUBTFUL, "doubtful"),
    (WEIGH_IN, "weigh-in"),
    (AHEAD, "forecast"),
    (MIDDLE, "its middle"),
)
MARGIN = 0.03  # of the days of drying, behind them
SAME_DAY = 0.5  # weighed when it was taken down, a little before or after it was written down
STEPS = (1, 2, 5, 7, 14, 28, 56, 91, 182, 365)

Point = tuple[float, float]


def lot_curve_lines(
    curve: LotCurve, today_day: float | None, width: int, height: int
) -> list[Line]:
    """The curve of one lot as lines of exactly ``width`` cells.

    Parameters
    ----------
    curve : as read; without a point there is nothing to draw and a sentence says why
    today_day : days since hanging today, None before it hung
    width, height : the room there is [cells, lines]
    """
    if not curve.points:
        return _no_curve(curve.lot, width, height)
    later = later_words(curve, width)
    sheet = _Sheet(curve, today_day, width, height)
    legend = _legend(sheet.signs, curve.target_pct, width, 2 if height >= ROOMY else 1)
    words = legend if later is None else [*legend, later]
    if height - len(words) < LEAST_HEIGHT:
        words = words[-1:]
    sheet.height = max(LEAST_HEIGHT, height - len(words))
    lines = [toned(text, width) for text in sheet.draw()]
    return [*lines, *(filled([(cut(text, width), "quiet")], width) for text in words)]


def drying_ended_day(curve: LotCurve) -> float | None:
    """Days since hanging when it left the drying for good [d]; None while it dries, or never did.

    Example
    -------
    >>> from curedash.domain.curing.stages import spans
    >>> from curedash.domain.times import moment
    >>> stays = spans([("drying", moment("2026-01-01T12:00:00Z")),
    ...                ("closed", moment("2026-02-10T12:00:00Z"))], moment("2026-11-01T12:00:00Z"))
    >>> from types import SimpleNamespace as Made
    >>> drying_ended_day(Made(lot=Made(hang_at="2026-01-01T12:00:00Z"), stages=stays))
    40.0
    """
    start, last = curve.lot.hang_at, _last_drying(curve)
    if start is None or last is None or last + 1 == len(curve.stages):
        return None
    return days_between(start, utc_text(curve.stages[last].end))


def later_words(curve: LotCurve, width: int) -> str | None:
    """``then equalising 12 d, keeping 246 d, closed on day 299``: as much as fits; None while
    it dries."""
    ended, last = drying_ended_day(curve), _last_drying(curve)
    if ended is None or last is None or curve.lot.hang_at is None:
        return None
    parts = []
    for span in curve.stages[last + 1 :]:
        if span.stage in ENDED:
            on = days_between(curve.lot.hang_at, utc_text(span.start))
            parts.append(f"{stage(span.stage)} on day {number(on)}")
        else:
            length = days_between(utc_text(span.start), utc_text(span.end))
            parts.append(f"{stage(span.stage)} {number(length)} d")
    lost = curve.points[-1].loss_pct if curve.points[-1].day > ended + SAME_DAY else None
    if lost is not None:
        parts.append(f"{percent(lost)} lost by then")
    return fitting([f"then {parts[0]}", *parts[1:]], width, ", ")


def _last_drying(curve: LotCurve) -> int | None:
    """Which stay was the last one in the drying."""
    found = [at for at, span in enumerate(curve.stages) if span.stage == "drying"]
    return found[-1] if found else None


def laid_over_lines(
    curves: Sequence[tuple[str, Sequence[Point]]], width: int, height: int
) -> list[Line]:
    """Several curves over each other, each drawn with its letter; the legend names the lots.

    Parameters
    ----------
    curves : name and points (day since hanging [d], loss of hang weight [%]), at most ten
    width, height : the room there is [cells, lines]
    """
    shown = [(name, points) for name, points in curves[: len(LETTERS)] if points]
    if not shown:
        return [filled([("No weigh-in was taken while these hung.", "quiet")], width)]
    names = [f"{letter} {name}" for letter, (name, _) in zip(LETTERS, shown, strict=False)]
    legend = packed(names, width)[: max(1, height // 4)]
    last = max(point[0] for _, points in shown for point in points)
    top = max(point[1] for _, points in shown for point in points)
    paper = _paper(width, height - len(legend), (0.0, max(last, 1.0)), (0.0, max(top, 5.0) * 1.05))
    for letter, (_, points) in zip(LETTERS, shown, strict=False):
        _line(paper.plot, list(points), letter)
    texts = _built(paper)
    lines = [filled([(cut(text, width), "")], width) for text in texts]
    return lines + [filled([(cut(text, width), "quiet")], width) for text in legend]


def toned(text: str, width: int) -> Line:
    """A drawn line with the tones of its marks."""
    spans = [
        ("".join(run), tone)
        for tone, run in groupby(cut(text, width), lambda ch: TONES.get(ch, ""))
    ]
    return filled(spans, width)


class _Sheet:
    """One lot's curve being drawn."""

    def __init__(self, curve: LotCurve, today: float | None, width: int, height: int) -> None:
        self.curve = curve
        self.width, self.height = max(LEAST_WIDTH, width), max(LEAST_HEIGHT, height)
        ended = drying_ended_day(curve)
        self.shown = [p for p in curve.points if ended is None or p.day <= ended + SAME_DAY]
        self.points = [(max(0.0, p.day), p.loss_pct) for p in self.shown]
        self.ahead = [] if ended is not None else _ahead(curve)
        self.window = None if ended is not None else curve.window_days
        days = [p[0] for p in (*self.points, *self.ahead)]
        if ended is not None:
            self.last = max(ended * (1 + MARGIN), *days, 1.0)
        else:
            self.last = max([*days, *(self.window or ()), today or 0.0, 1.0])
        losses = [p[1] for p in self.points]
        self.low = min([0.0, *losses])
        self.high = max([*losses, *(curve.target_pct or ()), 5.0]) * 1.04

    @property
    def signs(self) -> set[str]:
        """The signs that are drawn."""
        drawn = {
            WINDOW: self.window is not None,
            "─": bool(self.curve.target_pct),
            STAGE: bool(self._changes()),
            AHEAD: len(self.ahead) > 1,
            MIDDLE: len(self.ahead) > 1,
            DOUBTFUL: bool(self._doubtful()),
            REBASE: bool(self._cuts()),
            WEIGH_IN: True,
        }
        return {sign for sign, there in drawn.items() if there}

    def draw(self) -> list[str]:
        """What lies behind first: band, window, stages, then the curve and its marks."""
        target = self.curve.target_pct or ()
        paper = _paper(self.width, self.height, (0.0, self.last), (self.low, self.high), target)
        if self.window is not None:
            self._fill(paper.scatter, self.window)
        for end in target:
            paper.horizontal_line(end)
        self._stages(paper.scatter)
        if len(self.points) > 1:
            paper.plot(*_split(self.points), marker="braille")
        self._forecast(paper.plot, paper.scatter)
        self._marks(paper.scatter)
        return _built(paper)

    def _fill(self, scatter: Callable[..., Any], window: Point) -> None:
        """The pull window between the ends of the target."""
        low, high = self.curve.target_pct or (self.low, self.high)
        across = max(1, round((window[1] - window[0]) / self.last * self.width * 1.5))
        up = max(1, round((high - low) / (self.high - self.low) * self.height * 2))
        spots = [
            (window[0] + i * (window[1] - window[0]) / across, low + j * (high - low) / up)
            for i in range(across + 1)
            for j in range(up + 1)
        ]
        _line(scatter, spots, WINDOW)

    def _stages(self, scatter: Callable[..., Any]) -> None:
        """A line up at each change of stage after hanging."""
        step = (self.high - self.low) / (2 * self.height)
        for day in self._changes():
            _line(scatter, [(day, self.low + i * step) for i in range(2 * self.height)], STAGE)

    def _changes(self) -> list[float]:
        """Days since hanging of the changes of stage that are in the picture [d]."""
        start = self.curve.lot.hang_at
        days = [days_between(start, utc_text(span.start)) for span in self.curve.stages if start]
        return [day for day in days if 0.05 < day <= self.last]

    def _forecast(self, plot: Callable[..., Any], scatter: Callable[..., Any]) -> None:
        if len(self.ahead) > 1:
            _line(plot, self.ahead, AHEAD)
            _line(scatter, self.ahead[-1:], MIDDLE)

    def _marks(self, scatter: Callable[..., Any]) -> None:
        marks = (WEIGH_IN, self.points), (DOUBTFUL, self._doubtful()), (REBASE, self._cuts())
        for marker, spots in marks:
            if spots:
                _line(scatter, spots, marker)

    def _doubtful(self) -> list[Point]:
        return [(max(0.0, p.day), p.loss_pct) for p in self.shown if p.flagged]

    def _cuts(self) -> list[Point]:
        return [
            (day, loss)
            for day, kept in self.curve.rebases
            if kept.kind in ("removed", "tare") and (loss := self._loss_at(day)) is not None
        ]

    def _loss_at(self, day: float) -> float | None:
        return next((loss for at, loss in self.points if abs(at - day) < 1e-3), None)


def _ahead(curve: LotCurve) -> list[Point]:
    """From the last weigh-in to the middle of the forecast, the days just ahead between."""
    stored = curve.lot.forecast
    if stored is None or stored.median_day is None or not curve.points:
        return []
    if curve.target_pct is None or curve.window_days is None:
        return []
    last, target = curve.points[-1], curve.target_pct[0]
    if last.loss_pct >= target:
        return []
    near = json.loads(stored.near) if stored.near and curve.base == "hang" else []
    way = [(row[0], row[2]) for row in near if last.day < row[0] < stored.median_day]
    between = [(day, loss) for day, loss in way if last.loss_pct < loss < target]
    return [(last.day, last.loss_pct), *between, (stored.median_day, target)]


def _paper(width: int, height: int, days: Point, losses: Point, named: Sequence[float] = ()) -> Any:
    """An empty sheet with axes for these days and losses; the named losses stand on the axis."""
    import plotext

    plotext.clear_figure()
    plotext.theme("clear")
    plotext.limit_size(False, False)  # the size is given, not that of a terminal
    plotext.plot_size(max(LEAST_WIDTH, width), max(LEAST_HEIGHT, height))
    plotext.xaxes(True, False)
    plotext.yaxes(True, False)
    plotext.xlim(*days)
    plotext.ylim(*losses)
    step = _step(days[1] - days[0], max(2, width // 9))
    marks = [step * n for n in range(int(days[1] // step) + 1)]
    unit = " d" if len(marks) > 1 else ""
    plotext.xticks(marks, [f"{at:g}" + (unit if at == marks[-1] else "") for at in marks])
    rise = _rise(losses[1] - losses[0], max(2, height / 2))
    first = math.ceil(losses[0] / rise)
    even = [float(rise * n) for n in range(first, int(losses[1] // rise) + 1)]
    levels = _levels(even, named, 1.5 * (losses[1] - losses[0]) / max(1, height - 2))
    plotext.yticks(levels, [f"{at:g}" + (" %" if at == levels[-1] else "") for at in levels])
    return plotext


def _levels(even: Sequence[float], named: Sequence[float], near: float) -> list[float]:
    """Levels for the axis: the named ones, and of the even ones those that are not near them.

    Example
    -------
    >>> _levels([0.0, 10.0, 20.0, 30.0, 40.0], (33.0, 38.0), 4.0)
    [0.0, 10.0, 20.0, 33.0, 38.0]
    """
    shown = [at for n, at in enumerate(named) if all(abs(at - b) >= near for b in named[:n])]
    return sorted([*shown, *(at for at in even if all(abs(at - b) >= near for b in shown))])


def _rise(span: float, most: float) -> int:
    """Points of loss between two levels; a weight ten times off, kept, draws a curve as well.

    Example
    -------
    >>> _rise(30, 5), _rise(700, 5)
    (10, 200)
    """
    size = 1
    while True:
        for step in (2 * size, 5 * size, 10 * size):
            if span / step <= most:
                return step
        size *= 10


def _step(span: float, most: int) -> int:
    return next((step for step in STEPS if span / step <= most), STEPS[-1])


def _line(draw: Callable[..., Any], spots: Iterable[Point], marker: str) -> None:
    draw(*_split(spots), marker=marker)


def _split(spots: Iterable[Point]) -> tuple[list[float], list[float]]:
    pairs = list(spots)
    return [x for x, _ in pairs], [y for _, y in pairs]


def _built(paper: Any) -> list[str]:
    """The lines without the colour codes the library ends them with."""
    return str(paper.build()).replace("\x1b[0m", "").splitlines()


def _legend(used: set[str], target: Point | None, width: int, most: int) -> list[str]:
    """The signs that are drawn, with their words; the lesser ones only where there is room."""
    words = {"─": "target" if target is None else f"target {_target_words(target)}"}
    parts = [f"{sign} {words.get(sign, word)}" for sign, word in LEGEND if sign in used]
    rows = packed(parts, width)
    return rows[:most] if len(rows) <= most else [fitting(parts, width, "  ")]


def _target_words(target: Point) -> str:
    """``35–40 %``; one value once."""
    low, high = (f"{end:g}" for end in target)
    return f"{low} %" if low == high else f"{low}–{high} %"


def _no_curve(lot: LotState, width: int, height: int) -> list[Line]:
    words = "It begins with the hang weight." if lot.hang_g is None else "No weigh-in counts yet."
    lines = [("No curve yet.", ""), (words, "quiet")]
    room = [filled([(cut(text, width), tone)], width) for text, tone in lines]
    return room[: max(1, height)]
