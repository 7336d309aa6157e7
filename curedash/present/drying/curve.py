"""Curves of loss against dates, drawn with characters: one lot with all its marks, or several.

Every mark has its own character, so that nothing rests on colour; the tones only repeat it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime, timedelta, tzinfo
from itertools import groupby

from curedash.domain.records import ENDED
from curedash.domain.times import days_between, moment, utc_text
from curedash.present.chart import Chart, Ticks
from curedash.present.drying.fan import MIDDLE, Spot, fan_spreads, way_ahead
from curedash.present.numbers import number
from curedash.present.words import (
    MONTHS,
    Line,
    cells,
    cut,
    day,
    days,
    filled,
    fitting,
    packed,
    percent,
    stage,
)
from curedash.services.drying.lot_curve import LotCurve

WEIGH_IN, DOUBTFUL, REBASE, STAGE, FAN, CENTRE, TODAY = "•", "?", "×", "┊", "░", "+", ":"
LEAST_WIDTH, LEAST_HEIGHT = 24, 5
ROOMY = 12  # lines from which the signs may take two
LETTERS = "abcdefghij"
TONES = {
    WEIGH_IN: "strong",
    DOUBTFUL: "today",
    REBASE: "today",
    STAGE: "quiet",
    FAN: "quiet",
    CENTRE: "today",
    TODAY: "today",
}
BRACKET = "└┘"
LEGEND = (
    (BRACKET, "pull window"),
    ("─", "target"),
    (TODAY, "today"),
    (FAN, "forecast, 8 in 10"),
    (CENTRE, "middle"),
    (WEIGH_IN, "weigh-in"),
    (REBASE, "re-base"),
    (STAGE, "stage"),
    (DOUBTFUL, "doubtful"),
)
MARGIN = 0.03  # of the days of drying, behind them
SAME_DAY = 0.5  # weighed when it was taken down, a little before or after it was written down
STEPS = (1, 2, 5, 7, 14, 28, 56)
DATE_CELLS = 8  # a date on the axis with the room before the next
LONG_D = 300  # days from which the axis names months with their year
MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60)
LEAST_APART = 2  # cells between two weigh-ins that both have their sign


def lot_curve_lines(
    curve: LotCurve,
    now: datetime,
    zone: tzinfo,
    width: int,
    height: int,
    last_line: str | None = None,
) -> list[Line]:
    """The curve of one lot as lines of exactly ``width`` cells; none without a point.

    Parameters
    ----------
    curve : as read
    now : the moment that is marked as today (aware)
    zone : where its days begin
    width, height : the room there is [cells, lines]
    last_line : what is said below it in place of the stages since
    """
    if not curve.points or curve.lot.hang_at is None:
        return []
    later = later_words(curve, width) if last_line is None else last_line
    sheet = _Sheet(curve, moment(curve.lot.hang_at).astimezone(zone), now, max(LEAST_WIDTH, width))
    legend = _legend(sheet.signs, curve.target_pct, width, 2 if height >= ROOMY else 1)
    words = legend if later is None else [*legend, later]
    if height - len(words) < LEAST_HEIGHT:
        words = words[-1:]
    drawn = sheet.draw(max(LEAST_HEIGHT, height - len(words)))
    return [
        *(filled(line, width) for line in drawn),
        *(filled([(cut(text, width), "quiet")], width) for text in words),
    ]


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
    curves: Sequence[tuple[str, Sequence[Spot]]], width: int, height: int
) -> list[Line]:
    """Several curves over each other, each drawn with its letter; the legend names the lots.

    Parameters
    ----------
    curves : name and points (day since hanging [d], loss from hang weight [%]), at most ten
    width, height : the room there is [cells, lines]
    """
    shown = [(name, points) for name, points in curves[: len(LETTERS)] if points]
    if not shown:
        return [filled([("No weigh-in was taken while these hung.", "quiet")], width)]
    names = [f"{letter} {name}" for letter, (name, _) in zip(LETTERS, shown, strict=False)]
    legend = packed(names, width)[: max(1, height // 4)]
    every = [point for _, points in shown for point in points]
    last, top = max(1.0, *(at for at, _ in every)), max(5.0, *(loss for _, loss in every)) * 1.05
    room = max(LEAST_HEIGHT, height - len(legend))
    low = min(0.0, *(loss for _, loss in every))
    levels = _level_ticks((low, top), (), room)
    step = next((each for each in (*STEPS, 91, 182, 365) if last / each <= width / 9), 365)
    ticks = [(float(at), f"{at:g} d") for at in range(0, int(last) + 1, step)]
    chart = Chart(max(LEAST_WIDTH, width), room, (0.0, last), (low, top), levels, ticks)
    for letter, (_, points) in zip(LETTERS, shown, strict=False):
        chart.letters(points, letter)
    lines = [filled([(cut(text, width), "")], width) for text in chart.rows()]
    return lines + [filled([(cut(text, width), "quiet")], width) for text in legend]


def toned(text: str) -> list[tuple[str, str]]:
    """A drawn line with the tones of its marks."""
    return [("".join(run), tone) for tone, run in groupby(text, lambda ch: TONES.get(ch, ""))]


class _Sheet:
    """One lot's curve being drawn."""

    def __init__(self, curve: LotCurve, hung: datetime, now: datetime, width: int) -> None:
        self.curve, self.hung, self.width = curve, hung, width
        ended = drying_ended_day(curve)
        self.shown = [p for p in curve.points if ended is None or p.day <= ended + SAME_DAY]
        self.points = [(max(0.0, p.day), p.loss_pct) for p in self.shown]
        self.window = curve.window_days if ended is None and self.points else None
        self.today = None if ended is not None else (now - hung) / timedelta(days=1)
        self.spreads = fan_spreads(curve) if self.window is not None else []
        stored = curve.lot.forecast
        self.ahead = way_ahead(curve, MIDDLE, stored.median_day) if stored and self.spreads else ()
        far = [p[0] for p in (*self.points, *self.ahead)]
        if ended is not None:
            self.last = max(ended * (1 + MARGIN), *far, 1.0)
        else:
            self.last = max([*far, *(self.window or ()), self.today or 0.0, 1.0])
        losses = [p[1] for p in self.points]
        self.low = min([0.0, *losses])
        self.high = max([*losses, *(curve.target_pct or ()), 5.0]) * 1.04

    @property
    def signs(self) -> set[str]:
        """The signs that are drawn."""
        drawn = {
            BRACKET: self.window is not None and bool(self.spreads),
            "─": bool(self.curve.target_pct),
            STAGE: bool(self._changes()),
            FAN: bool(self.spreads),
            CENTRE: len(self.ahead) > 1,
            TODAY: self._is_today_apart(),
            DOUBTFUL: bool(self._doubtful()),
            REBASE: bool(self._cuts()),
            WEIGH_IN: True,
        }
        return {sign for sign, there in drawn.items() if there}

    def draw(self, height: int) -> list[list[tuple[str, str]]]:
        """What lies behind first: today, stages, target, fan; then the curve and its marks."""
        target = self.curve.target_pct or ()
        levels = _level_ticks((self.low, self.high), target, height)
        chart = Chart(
            self.width, height, (0.0, self.last), (self.low, self.high), levels, self._dates()
        )
        if self._is_today_apart() and self.today is not None:
            chart.column(self.today, TODAY)
        for at in self._changes():
            chart.column(at, STAGE)
        for end in target:
            chart.level(end)
        chart.area(self.spreads, FAN)
        chart.line(self.points)
        chart.line(self.ahead, every=2)
        self._marks(chart)
        if self.window is not None:
            begin, end = self.window
            chart.bracket(
                begin, begin if self._is_there() else end, self._window_words(self.window)
            )
        return self._lines(chart)

    def _lines(self, chart: Chart) -> list[list[tuple[str, str]]]:
        """The rows in their tones; of the axis the bracket is the strong part."""
        *rows, below = chart.rows()
        at, drawn = chart.spanned()
        end = at + cells(drawn)
        axis = [(below[:at], "quiet"), (below[at:end], "strong"), (below[end:], "quiet")]
        return [*(toned(row) for row in rows), axis]

    def _marks(self, chart: Chart) -> None:
        spots = [*self._apart(), *self.points[-1:]]
        for x, y in spots:
            chart.sign(x, y, WEIGH_IN)
        for x, y in self.ahead[-1:]:
            chart.sign(x, y, CENTRE)
        for sign, found in ((DOUBTFUL, self._doubtful()), (REBASE, self._cuts())):
            for x, y in found:
                chart.sign(x, y, sign)

    def _apart(self) -> list[Spot]:
        """The weigh-ins that have a sign: not nearer to each other than two cells."""
        least, found = LEAST_APART * self.last / self.width, list[Spot]()
        for spot in self.points:
            if not found or spot[0] - found[-1][0] >= least:
                found.append(spot)
        return found

    def _is_today_apart(self) -> bool:
        """Whether today has a mark of its own, ahead of the newest weigh-in."""
        if self.today is None or not self.points:
            return False
        return self.points[-1][0] + self.last / self.width < self.today <= self.last

    def _is_there(self) -> bool:
        """Whether the newest weigh-in reached the target."""
        target = self.curve.target_pct
        return target is not None and bool(self.points) and self.points[-1][1] >= target[0]

    def _date(self, at: float) -> date:
        return (self.hung + timedelta(days=at)).date()

    def _window_words(self, window: Spot) -> str:
        """The days of the window; of a lot that is there the day it got there."""
        if self.spreads:
            return days(*(self._date(end) for end in window))
        if self._is_there():
            return f"reached {day(self._date(window[0]))}"
        return days(*(self._date(end) for end in window))

    def _dates(self) -> Ticks:
        """Days on the axis, as many as have room; of long times months with their year."""
        most = max(2, self.width // DATE_CELLS)
        if self.last > LONG_D:
            return self._months(most)
        step = next((each for each in STEPS if self.last / each <= most), STEPS[-1])
        return [
            (float(at), day(self._date(at))) for at in range(0, math.floor(self.last) + 1, step)
        ]

    def _months(self, most: int) -> Ticks:
        """The first of each month, or of each second, third …"""
        step = next((n for n in MONTH_STEPS if self.last / 30.5 / n <= most), MONTH_STEPS[-1])
        month = self.hung.year * 12 + self.hung.month
        found: list[tuple[float, str]] = []
        while True:
            month += -month % step
            first = self.hung.replace(year=month // 12, month=month % 12 + 1, day=1)
            at = (first - self.hung) / timedelta(days=1)
            if at > self.last:
                return found
            found.append((max(0.0, at), f"{MONTHS[first.month - 1]} {first.year}"))
            month += step

    def _changes(self) -> list[float]:
        """Days since hanging of the changes of stage that are in the picture [d]."""
        start = self.curve.lot.hang_at
        found = [days_between(start, utc_text(span.start)) for span in self.curve.stages if start]
        return [at for at in found if 0.05 < at <= self.last]

    def _doubtful(self) -> list[Spot]:
        return [(max(0.0, p.day), p.loss_pct) for p in self.shown if p.flagged]

    def _cuts(self) -> list[Spot]:
        return [
            (at, loss)
            for at, kept in self.curve.rebases
            if kept.kind in ("removed", "tare") and (loss := self._loss_at(at)) is not None
        ]

    def _loss_at(self, on: float) -> float | None:
        return next((loss for at, loss in self.points if abs(at - on) < 1e-3), None)


def _level_ticks(losses: Spot, named: Sequence[float], height: int) -> Ticks:
    """Levels of loss beside the axis; the ends of the target are named first."""
    rise = _rise(losses[1] - losses[0], max(2, height / 2))
    first = math.ceil(losses[0] / rise)
    even = [float(rise * n) for n in range(first, int(losses[1] // rise) + 1)]
    levels = _levels(even, named, 1.5 * (losses[1] - losses[0]) / max(1, height - 2))
    return [(at, f"{at:g} %" if at == levels[-1] else f"{at:g}  ") for at in levels]


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


def _legend(used: set[str], target: Spot | None, width: int, most: int) -> list[str]:
    """The signs that are drawn, with their words; the lesser ones only where there is room."""
    words = {"─": "target" if target is None else f"target {_target_words(target)}"}
    parts = [f"{sign} {words.get(sign, word)}" for sign, word in LEGEND if sign in used]
    return packed(parts, width)[:most]


def _target_words(target: Spot) -> str:
    """``35–40 %``; one value once."""
    low, high = (f"{end:g}" for end in target)
    return f"{low} %" if low == high else f"{low}–{high} %"
