"""A drying round in three shells: water moves outward, the surface gives it to the air.

Diffusion falls as the meat dries (a dry rim holds the core's water back), the surface gives off
water as its own activity exceeds the place's humidity, and the film at the surface may weaken in
the first weeks: a crust, or a bag that loses contact. Implicit steps, so a step of days holds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from curedash.domain.errors import Refused
from curedash.domain.facts import forecast_prior as prior
from curedash.domain.quantity_text import grams, millimetres
from curedash.domain.record import record

Theta = Sequence[float]
State = tuple[float, float, float]
# days, middle of the step since hanging [d], humidity [0–1], warmth factor
Step = tuple[float, float, float, float]

# Shells of 4 : 2 : 1 of the radius from the axis outward: share of the volume, and what couples
# neighbouring centres and the outer centre with the surface.
_INNER, _MIDDLE, _OUTER = 16 / 49, 20 / 49, 13 / 49
_PER_INNER, _PER_MIDDLE, _PER_OUTER = 49 / 16, 49 / 20, 49 / 13
_COUPLE_IN, _COUPLE_OUT, _COUPLE_SURFACE = 8 / 3, 8.0, 28.0
_TWO_THIRDS = 2.0 / 3.0


@record
class Body:
    """Size and water of a piece as hung: radius and length [m], moisture [0–1]."""

    radius_m: float
    length_m: float
    moisture: float


#: by definition: the day of the air to come, later than any calendar day
FROM_NOW_ON = math.inf


@record
class AirDay:
    """Mean air of one day since hanging: temperature [°C], relative humidity [%]."""

    day: float
    temp_c: float
    rh_pct: float


@record
class Air:
    """Air by whole day since hanging, and what to expect on days that have no reading."""

    by_day: dict[int, tuple[float, float]]
    rh: float
    temp_c: float


def body_of(
    base_g: float,
    diameter_mm: float | None = None,
    length_mm: float | None = None,
    moisture_pct: float | None = None,
) -> Body:
    """Build the body of a piece, guessing what was not measured.

    Parameters
    ----------
    base_g : weight as hung [g], above 0
    diameter_mm : diameter as hung [mm], 5–400; None: a round three times as long as thick
    length_mm : length as hung [mm]; None: from weight and diameter
    moisture_pct : moisture as hung [%], 20–85; None: 72

    Returns
    -------
    the body; raises Refused outside a range

    Source
    ------
    geometry, density from domain/facts/forecast_prior

    Example
    -------
    >>> round(2000 * body_of(1000.0).radius_m)
    74
    """
    moisture = prior.DEFAULT_MOISTURE_PCT if moisture_pct is None else moisture_pct
    if not 20.0 <= moisture <= 85.0:
        raise Refused(f"{moisture:g} % moisture is not raw meat: give 20 to 85 %.")
    if not 0.0 < base_g < math.inf:
        raise Refused("A base of {base} makes no sense: give a weight above 0.", base=grams(base_g))
    volume = base_g / 1000.0 / prior.MEAT_DENSITY_KG_M3
    if diameter_mm is None:
        diameter = float((volume * 4.0 / (3.0 * math.pi)) ** (1.0 / 3.0))
    else:
        diameter = _measured_m("diameter", diameter_mm, 400.0)
    if length_mm is None:
        length = max(volume * 4.0 / (math.pi * diameter**2), 0.6 * diameter)
    else:
        length = _measured_m("length", length_mm, 5000.0)
    return Body(diameter / 2.0, length, moisture / 100.0)


def _measured_m(what: str, measured_mm: float, most_mm: float) -> float:
    if 5.0 <= measured_mm <= most_mm:
        return measured_mm / 1000.0
    raise Refused(
        "A {what} of {size} makes no sense: give {least} to {most}.",
        what=what,
        size=millimetres(measured_mm),
        least=millimetres(5, "5"),
        most=millimetres(most_mm),
    )


def air_of(days: Sequence[AirDay], place: tuple[float, float, float] | None = None) -> Air:
    """Gather the air since hanging; ``place`` is (days, mean humidity, mean temperature) before."""
    by_day: dict[int, tuple[float, float]] = {}
    for one in days:
        if math.isfinite(one.day) and 1.0 <= one.rh_pct <= 100.0 and -30.0 <= one.temp_c <= 60.0:
            by_day[int(one.day)] = (min(one.rh_pct, 99.0) / 100.0, one.temp_c)
    n, before = float(len(by_day)), 0.0
    rh = sum(v[0] for v in by_day.values())
    temp = sum(v[1] for v in by_day.values())
    if place is not None:
        before = min(prior.PLACE_DAYS, place[0])
        rh, temp = rh + before * place[1], temp + before * place[2]
    if n + before <= 0.0:
        return Air({}, prior.NO_AIR_RH_PCT / 100.0, prior.NO_AIR_TEMP_C)
    return Air(by_day, rh / (n + before), temp / (n + before))


def air_from_now(air: Air, ahead: AirDay) -> Air:
    """The air as it was so far, and another from here on."""
    if not (1.0 <= ahead.rh_pct <= 100.0 and -30.0 <= ahead.temp_c <= 60.0):
        raise Refused(
            f"Air of {ahead.rh_pct:g} % and {ahead.temp_c:g} °C makes no sense in a place."
        )
    return Air(air.by_day, min(ahead.rh_pct, 99.0) / 100.0, ahead.temp_c)


def steps_to(start: float, marks: Iterable[float], air: Air) -> list[list[Step]]:
    """Steps from ``start`` to each mark in turn: a day long at first, up to four days later."""
    out = []
    for mark in marks:
        span = mark - start
        longest = 1.0 if start < 20.0 else 2.0 if start < 60.0 else 4.0
        count = max(1, math.ceil(span / longest - 1e-9)) if span > 0.0 else 0
        out.append([_step(start + i * span / count, span / count, air) for i in range(count)])
        start = mark
    return out


def _step(start: float, days: float, air: Air) -> Step:
    first, last = int(start), int(start + days - 1e-9)
    rh = temp = 0.0
    for day in range(first, last + 1):
        known = air.by_day.get(day)
        rh += known[0] if known else air.rh
        temp += known[1] if known else air.temp_c
    n = last + 1 - first
    warmth = math.exp(prior.WARMTH_PER_K * (temp / n - prior.WARMTH_AT_C))
    return (days, start + 0.5 * days, rh / n, warmth)


def fresh(body: Body) -> State:
    """Water in kg per kg of dry matter, the same in all three shells."""
    x = body.moisture / (1.0 - body.moisture)
    return (x, x, x)


def loss_of(body: Body, state: State) -> float:
    """Loss since hanging [0–1] of a body in a state."""
    dry = 1.0 - body.moisture
    return body.moisture - dry * (_INNER * state[0] + _MIDDLE * state[1] + _OUTER * state[2])


def dry(theta: Theta, body: Body, steps: Iterable[Step], state: State) -> State:
    """State after the steps. Five unknowns: see domain/facts/forecast_prior."""
    return drier(theta, body)(steps, state)


def drier(theta: Theta, body: Body) -> Callable[[Iterable[Step], State], State]:
    """``dry`` for one set of unknowns, what depends on them alone worked out once."""
    exp, fall, activity = math.exp, prior.DIFFUSION_FALL, prior.WATER_ACTIVITY
    solids = 1.0 - body.moisture
    dry_a, dry_b, dry_c = solids * _INNER, solids * _MIDDLE, solids * _OUTER
    film, left, weaken, off = _surface(theta, body)
    stays = 1.0 - left
    inward, outward, surface = _couplings(theta, body)

    def through(steps: Iterable[Step], state: State) -> State:
        a, b, c = state
        for days, middle, rh, warmth in steps:
            # Surface shrinks with volume to the power ⅔, and the radius with its half.
            shrink = (solids + dry_a * a + dry_b * b + dry_c * c) ** _TWO_THIRDS
            free = warmth / shrink
            paced = days * free
            ab, bc = a + b, b + c
            k1 = paced * inward * exp(fall * ab / (2.0 + ab))
            k2 = paced * outward * exp(fall * bc / (2.0 + bc))
            outside = film * warmth * shrink * (left + stays * exp(-middle * weaken))
            aw = exp(-activity / c)
            steep = outside * aw * activity / (c * c)
            series = 1.0 + steep / (free * surface * exp(fall * c / (1.0 + c)))
            change = steep / series
            up = -k1 * _PER_INNER
            first = 1.0 - up
            in_b, out_b = k1 * _PER_MIDDLE, k2 * _PER_MIDDLE
            f = -in_b / first
            second = 1.0 + in_b + out_b - f * up
            right = b - f * a
            g = -k2 * _PER_OUTER / second
            third = 1.0 + (k2 + days * change) * _PER_OUTER - g * -out_b
            flux = outside * (aw - rh - off) / series
            c = (c - days * (flux - change * c) * _PER_OUTER - g * right) / third
            if c < 0.02:
                c = 0.02
            b = (right + out_b * c) / second
            a = (a - up * b) / first
        return (a, b, c)

    return through


def _surface(theta: Theta, body: Body) -> tuple[float, float, float, float]:
    """Film at first, share of it that stays, how fast it weakens, what is added to humidity."""
    ends = 1.0 + body.radius_m / body.length_m
    film = math.exp(theta[1]) * 2e-3 / body.radius_m * ends / (1.0 - body.moisture)
    return film, math.exp(-math.exp(theta[2])), math.exp(-theta[3]), theta[4]


def _couplings(theta: Theta, body: Body) -> tuple[float, float, float]:
    """Diffusion from the inner to the middle shell, to the outer, to the surface, when fresh."""
    radius = body.radius_m
    ends = 1.0 + radius / body.length_m
    fresh_d = math.exp(theta[0] - prior.DIFFUSION_FALL * body.moisture)
    per_day = fresh_d * 86_400e-10 * ends / (radius * radius)
    return per_day * _COUPLE_IN, per_day * _COUPLE_OUT, per_day * _COUPLE_SURFACE
