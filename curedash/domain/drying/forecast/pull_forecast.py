"""The pull window of one piece: what every front shows and every lot stores."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from curedash.domain.drying.forecast.drying_body import (
    FROM_NOW_ON,
    Air,
    AirDay,
    Body,
    air_from_now,
    air_of,
    body_of,
)
from curedash.domain.drying.forecast.household_prior import (
    FinishedPiece,
    PieceFit,
    belief_for,
    place_of,
    read_piece,
)
from curedash.domain.drying.forecast.layer import Known, Trust, elsewhere, moved, trust
from curedash.domain.drying.forecast.own_record import OwnRecord, corrected
from curedash.domain.drying.forecast.points import (
    Pauses,
    calendar_day,
    checked,
    drying_day,
    prepared,
    spread_of,
)
from curedash.domain.drying.forecast.posterior import Belief, Point, Posterior, add, fit
from curedash.domain.drying.forecast.window import Window, window
from curedash.domain.errors import Refused
from curedash.domain.facts import forecast_prior as prior
from curedash.domain.quantity_text import grams
from curedash.domain.record import record
from curedash.domain.wording import count

LEAST_WEIGH_INS = 3
RULE_OF_THUMB = "rule of thumb: by thickness"
RULE_BY_WEIGHT = "rule of thumb: by weight"  # no thickness was measured
APART_D = 0.5  # design value: weights taken sooner after another tell no rate of their own
REACHED = "target reached"


@record
class Forecast:
    """When a piece reaches its target, in calendar days since hanging, and the way there.

    ``curve`` holds day, and low, middle and high loss of the base [%]: 80 % of the pieces like
    this one lie between low and high. ``narrows`` tells how much a weigh-in on a day would tell
    about the end (0–1).
    """

    median_day: float | None
    window_day: tuple[float, float] | None
    p_levels_off: float | None
    method: str
    weigh_ins_used: int
    as_of_day: float
    loss_now_pct: float
    curve: tuple[tuple[float, float, float, float], ...] = ()
    narrows: tuple[tuple[float, float], ...] = ()
    posterior: Posterior | None = None
    trust: Trust | None = None

    def loss_on(self, day: float) -> tuple[float, float, float] | None:
        """Low, middle and high loss [% of base] on a day ahead [d since hanging].

        None before the last weigh-in, beyond the end of the curve, or where a rule of thumb
        stands in for a forecast.
        """
        curve = self.curve
        if not curve or not curve[0][0] <= day <= curve[-1][0]:
            return None
        for before, after in itertools.pairwise(curve):
            if day <= after[0]:
                span = after[0] - before[0]
                part = (day - before[0]) / span if span > 0.0 else 0.0
                lo, mid, hi = (before[i] + part * (after[i] - before[i]) for i in (1, 2, 3))
                return lo, mid, hi
        return curve[-1][1:]


@record
class Basis:
    """What the forecast of one piece rests on; `forecast` says what each may be."""

    points: Sequence[tuple[float, float]]
    target_loss_pct: float
    base_g: float
    scale_division_g: float = 1.0
    diameter_mm: float | None = None
    length_mm: float | None = None
    in_bag: bool | None = None
    moisture_pct: float | None = None
    style_prior: Belief | None = None
    history: Sequence[FinishedPiece | PieceFit] = ()
    air: Sequence[AirDay] = ()
    sds: Sequence[float] | None = None
    paused: Pauses = ()
    own: OwnRecord | None = None
    posterior: Posterior | None = None

    @property
    def body(self) -> Body:
        """The piece as it hangs; refused where a size makes no sense."""
        return body_of(self.base_g, self.diameter_mm, self.length_mm, self.moisture_pct)


def forecast(of: Basis) -> Forecast:
    """Forecast when a piece reaches its target loss.

    Parameters
    ----------
    points : (day since hanging [d], net weight over base [1]), in order of time, the hang weight
        first; the days are calendar days
    target_loss_pct : loss of the base it is pulled at [%], 1–75
    base_g : the base [g], above 0
    scale_division_g : division of the scale [g]
    diameter_mm, length_mm : size as hung [mm]; None: guessed from the weight
    in_bag : hangs in a vapour-permeable bag; only finished pieces hung alike are looked at
    moisture_pct : moisture as hung [%], 20–85; None: 72
    style_prior : prior of the style instead of that of all households
    history : the household's finished pieces, or what was read from them before
    air : the place's air by calendar day since hanging; a day of `FROM_NOW_ON` is the air from the
        last weigh-in on, as if it hung in another place
    sds : spread of each weigh-in as a share of the base, where one scale or base is worse
    paused : (from, to) calendar days since hanging that were no drying days
    own : what the household's own windows of before say
    posterior : the stored one of all these weigh-ins, or of all but the last: that one is added

    Returns
    -------
    the forecast, in calendar days since hanging; raises Refused for days that run backwards, what
    is not a number, or a value outside its range

    Source
    ------
    A drying body in three shells (Crank 1975, chapter 5, by implicit steps) fitted to the
    weigh-ins, its constants and priors from domain/facts/forecast_prior; beside it four plain laws
    (`laws`), all weighed on this piece by numbers from domain/facts/forecast_layer

    Example
    -------
    >>> net_g = (1000, 935, 888, 852, 823)
    >>> rows = [(7.0 * i, g / 1000) for i, g in enumerate(net_g)]
    >>> seen = forecast(Basis(rows, 30, base_g=1000))
    >>> seen.method, seen.weigh_ins_used
    ('weigh-ins', 5)
    >>> 55 < seen.window_day[0] < seen.median_day < seen.window_day[1] < 130
    True
    """
    rows, target_pct = checked(of.points), of.target_loss_pct
    if not 1.0 <= target_pct <= 75.0:
        raise Refused(f"A target of {target_pct:g} % loss makes no sense: give 1 to 75 %.")
    body = of.body
    spread = of.sds or [spread_of(of.scale_division_g, of.base_g)] * len(rows)
    if (there := _reached(rows, target_pct)) is not None:
        return there
    if _apart(rows) < LEAST_WEIGH_INS:
        return rule_of_thumb(rows, target_pct, body, by_weight=of.diameter_mm is None)
    ready = prepared(rows, spread, of.paused)
    fits = [_read(one, of.scale_division_g) for one in of.history]
    so_far = [one for one in of.air if one.day != FROM_NOW_ON]
    about = _air_about(so_far, fits, rows[-1][0], of.paused)
    known = _taken_in(of.posterior, ready, body, about)
    if known is None:
        usual = belief_for(
            fits, has_air=bool(so_far), guessed_size=of.diameter_mm is None, in_bag=of.in_bag
        )
        known = fit(ready, body, about, of.style_prior or usual)
    target = 1.0 - (1.0 - of.target_loss_pct / 100.0) / rows[0][1]
    misfit = _future_misfit(about, of.diameter_mm)
    found = window(known, body, about, target, misfit)
    seen = Known(of.base_g, of.diameter_mm, of.in_bag, bool(about.by_day), len(fits))
    weighed = corrected(trust(ready, found, target, seen), of.own)
    for ahead in (one for one in of.air if one.day == FROM_NOW_ON):
        then = window(known, body, air_from_now(about, ahead), target, misfit)
        weighed, found = elsewhere(weighed, found, then, known.last.day), then
    found = moved(found, known.last.day, weighed)
    return _as_forecast(found, known, weighed, rows, of.paused, _method(so_far, fits))


def _apart(rows: Sequence[tuple[float, float]]) -> int:
    """How many weigh-ins tell a rate: one that follows another at once tells none."""
    days = [day for day, _share in rows]
    return len(days[:1]) + sum(b - a >= APART_D for a, b in itertools.pairwise(days))


def _air_about(
    air: Sequence[AirDay], fits: Sequence[PieceFit], until: float, paused: Pauses
) -> Air:
    """The place's air so far; without any, that of the finished pieces that had some."""
    ours = fits if air else [f for f in fits if f.place]
    return air_of(_drying_air(air, until, paused), place_of(ours))


def _taken_in(
    stored: Posterior | None, ready: Sequence[Point], body: Body, about: Air
) -> Posterior | None:
    """The stored posterior with the last weigh-in taken in; None where it is of other weigh-ins."""
    if stored is None or stored.count not in (len(ready) - 1, len(ready)):
        return None
    return stored if stored.count == len(ready) else add(stored, ready[-1], body, about)


def _future_misfit(about: Air, diameter_mm: float | None) -> float:
    """Share of the way ahead that no body follows: more where less is known."""
    if about.by_day:
        return prior.FUTURE_MISFIT_SHARE
    return prior.FUTURE_MISFIT_NO_SIZE if diameter_mm is None else prior.FUTURE_MISFIT_NO_AIR


def rule_of_thumb(
    rows: Sequence[tuple[float, float]],
    target_loss_pct: float,
    body: Body,
    *,
    by_weight: bool = False,
) -> Forecast:
    """Tell the window of a piece that was weighed too seldom for a forecast.

    Parameters
    ----------
    rows : (day since hanging, net weight over base), two at most count
    target_loss_pct : loss of the base it is pulled at [%]
    body : the piece's size
    by_weight : whether that was taken from its weight, as no thickness was measured

    Returns
    -------
    a forecast that calls itself a rule of thumb, without a chance of stalling

    Source
    ------
    days grow with the loss and with the square of the thickness, as diffusion has it; the factor
    and its band from published logs and pairs, domain/facts/forecast_prior

    Example
    -------
    >>> told = rule_of_thumb([(0.0, 1.0)], 33.0, Body(0.04, 0.2, 0.72))
    >>> round(told.median_day), [round(day) for day in told.window_day]
    (40, [17, 148])
    """
    now = rows[-1][0] if rows else 0.0
    square = (2000.0 * body.radius_m) ** 2 * target_loss_pct / 100.0
    low, days, high = (square * factor for factor in prior.RULE_DAYS_PER_MM2)
    lost = 1.0 - rows[-1][1] / rows[0][1] if len(rows) > 1 else 0.0
    if lost > prior.RULE_LEAST_LOSS and now > rows[0][0]:
        # A first stretch tells the pace; the curve it begins is bent as most are.
        goal = 1.0 - (1.0 - target_loss_pct / 100.0) / rows[0][1]
        pace = (now - rows[0][0]) * prior.RULE_BENT * (goal / lost) ** prior.RULE_BEND
        share = prior.RULE_PACE_SHARE
        days = days ** (1.0 - share) * pace**share
        sooner, later = prior.RULE_PACE_BAND
        low, high = days / sooner, days * later
    low = max(now + 1.0, low)
    high = max(low + 1.0, high)
    loss = 100.0 * (1.0 - rows[-1][1]) if rows else 0.0
    method = RULE_BY_WEIGHT if by_weight else RULE_OF_THUMB
    return Forecast(min(max(days, low), high), (low, high), None, method, len(rows), now, loss)


def read_finished(piece: FinishedPiece, scale_division_g: float = 1.0) -> PieceFit | None:
    """Read what a finished piece says, to be kept beside it.

    Parameters
    ----------
    piece : days since hanging and net weights [g], size, air
    scale_division_g : division of the scale [g]

    Returns
    -------
    what it says, or None for fewer than three weigh-ins; raises Refused for nonsense

    Source
    ------
    as for `forecast`

    Example
    -------
    >>> read_finished(FinishedPiece((0.0, 7.0), (1000.0, 930.0))) is None
    True
    """
    if len(piece.day) != len(piece.net_g):
        raise Refused("A finished piece has as many days as weights: give one weight for each day.")
    if len(piece.day) < LEAST_WEIGH_INS:
        return None
    base = piece.net_g[0]
    if not 0.0 < base < math.inf:
        raise Refused(
            "A finished piece hung at {base} makes no sense: give the net weight.", base=grams(base)
        )
    rows = checked([(d, g / base) for d, g in zip(piece.day, piece.net_g, strict=True)])
    body = body_of(base, piece.diameter_mm, piece.length_mm, piece.moisture_pct)
    ready = prepared(rows, [spread_of(scale_division_g, base)] * len(rows), ())
    return read_piece(ready, body, piece.air, piece.in_bag)


def _read(one: FinishedPiece | PieceFit, scale_division_g: float) -> PieceFit:
    if isinstance(one, PieceFit):
        return one
    return read_finished(one, scale_division_g) or PieceFit(
        [[0.0] * 5 for _ in range(5)], (0.0,) * 5, None, one.in_bag
    )


def _drying_air(air: Sequence[AirDay], until: float, paused: Pauses) -> Sequence[AirDay]:
    """Air of the drying days so far, by drying day."""
    known = [a for a in air if 0.0 <= a.day <= until]
    if not paused:
        return known
    return [
        AirDay(drying_day(a.day, paused), a.temp_c, a.rh_pct)
        for a in known
        if not any(start < a.day < end for start, end in paused)
    ]


def _reached(rows: Sequence[tuple[float, float]], target_loss_pct: float) -> Forecast | None:
    goal = 1.0 - target_loss_pct / 100.0
    if not rows or rows[-1][1] > goal:
        return None
    day = rows[0][0]
    for (d0, y0), (d1, y1) in itertools.pairwise(rows):
        if y1 <= goal < y0:
            day = d0 + (d1 - d0) * (y0 - goal) / (y0 - y1)
            break
    loss = 100.0 * (1.0 - rows[-1][1])
    return Forecast(day, (day, day), 0.0, REACHED, len(rows), rows[-1][0], loss)


def _method(air: Sequence[AirDay], fits: Sequence[PieceFit]) -> str:
    parts = ["weigh-ins"]
    if air:
        parts.append("the place's air")
    if fits:
        parts.append(f"{count(len(fits), 'lot')} dried here")
    return ", ".join(parts)


def _as_forecast(
    found: Window,
    known: Posterior,
    weighed: Trust,
    rows: Sequence[tuple[float, float]],
    paused: Pauses,
    method: str,
) -> Forecast:
    first = rows[0][1]

    def pct(loss: float) -> float:
        return 100.0 * (1.0 - first * (1.0 - min(max(loss, -0.5), 0.99)))

    def day(drying: float) -> float:
        return calendar_day(drying, paused)

    inside = found.lo_day is not None and found.hi_day is not None
    return Forecast(
        median_day=None if found.median_day is None else day(found.median_day),
        window_day=(day(found.lo_day), day(found.hi_day)) if inside else None,  # type: ignore[arg-type]
        p_levels_off=found.p_levels_off,
        method=method,
        weigh_ins_used=len(rows),
        as_of_day=rows[-1][0],
        loss_now_pct=100.0 * (1.0 - rows[-1][1]),
        curve=tuple((day(d), pct(lo), pct(mid), pct(hi)) for d, lo, mid, hi in found.curve),
        narrows=tuple((day(d), tells) for d, tells in found.narrows),
        posterior=known,
        trust=weighed,
    )
