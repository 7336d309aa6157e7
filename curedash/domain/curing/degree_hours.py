"""Degree-hours of a fermenting sausage: heat above 15.6 °C added up until pH 5.3 is logged."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import floor, isfinite

from curedash.domain.errors import Refused
from curedash.domain.facts.degree_hours import BASE_TEMP_F, DEGREE_HOUR_TABLE, LIMITS_F, TARGET_PH
from curedash.domain.quantity_text import celsius
from curedash.domain.record import record

C_PER_F = 5 / 9
BASE_TEMP_C = (BASE_TEMP_F - 32) * C_PER_F
# A gap between readings longer than this leaves the sum unknown [h].
LONGEST_GAP_H = 6.0
# The longest time of the table, at its lowest temperature: a pH is due by then, however cold [h].
LONGEST_H = max(row.max_hours for row in DEGREE_HOUR_TABLE)
# Readings farther apart than this count at the warmer of their ends, nearer ones by their mean [h].
CLOSE_H = 1.0
# Sensors show tenths: 32.2 °C may be the printed 90 °F, so this near a row counts as reaching it.
READ_TO_C = 0.05
# Without a pH for this long a person is asked to measure, however cold it is [h].

Reading = tuple[float, float]


@record
class DegreeHours:
    """The sum so far against its limit; ``known`` is False after a gap of more than 6 h."""

    total_c_h: float
    limit_c_h: float
    highest_hourly_c: float
    hours: float
    longest_gap_h: float

    @property
    def known(self) -> bool:
        """Whether the readings lie close enough to say anything."""
        return self.longest_gap_h <= LONGEST_GAP_H

    @property
    def over(self) -> bool:
        """Whether the sum is above its limit."""
        return self.total_c_h > self.limit_c_h * (1 + 1e-9)


def limit_c_h(highest_c: float) -> float:
    """Degree-hours allowed by the highest temperature so far.

    Parameters
    ----------
    highest_c : highest hourly mean so far [°C]

    Returns
    -------
    limit [°C·h]: 667 below 32.2 °C (90 °F), 556 up to 37.8 °C (100 °F), 500 above

    Source
    ------
    `domain/facts/degree_hours.py`

    Example
    -------
    >>> round(limit_c_h(24)), round(limit_c_h(35)), round(limit_c_h(40))
    (667, 556, 500)
    """
    if not isfinite(highest_c):
        raise Refused("A highest temperature is a number of °C, for example 24.")
    highest_f = highest_c / C_PER_F + 32
    if highest_f < LIMITS_F[0][0] - READ_TO_C / C_PER_F:
        return LIMITS_F[0][1] * C_PER_F
    if highest_f <= LIMITS_F[1][0] + 1e-9:
        return LIMITS_F[1][1] * C_PER_F
    return LIMITS_F[2][1] * C_PER_F


def degree_hours(readings: Sequence[Reading]) -> DegreeHours:
    """Add up the heat above 15.6 °C between readings.

    Parameters
    ----------
    readings : pairs of time [h since the ferment began] and temperature [°C], times rising,
        at least one; beginning and end of the ferment are readings like any other

    Returns
    -------
    the sum, its limit by the highest hourly mean, and the longest gap

    Source
    ------
    `domain/facts/degree_hours.py`; a gap counts at the warmer of its ends (design rule)

    Example
    -------
    >>> sums = degree_hours([(hour, 24.0) for hour in range(11)])
    >>> round(sums.total_c_h, 1), round(sums.limit_c_h)
    (84.4, 667)
    """
    _check(readings)
    total, gap = 0.0, 0.0
    hourly: dict[int, list[float]] = {}
    for (start_h, start_c), (end_h, end_c) in pairwise(readings):
        hours = end_h - start_h
        gap = max(gap, hours)
        if hours <= CLOSE_H:
            total += _heat_between(start_c, end_c) * hours
            temp_c = (start_c + end_c) / 2
        else:
            temp_c = max(start_c, end_c)
            total += max(0.0, temp_c - BASE_TEMP_C) * hours
        _spread(hourly, start_h, end_h, temp_c)
    means = [weighted / hours for hours, weighted in hourly.values() if hours > 0]
    highest_c = max(means) if means else readings[0][1]
    hours = readings[-1][0] - readings[0][0]
    return DegreeHours(total, limit_c_h(highest_c), highest_c, hours, gap)


def ph_reached(ph: float) -> bool:
    """Tell whether a logged pH ends the count.

    Parameters
    ----------
    ph : pH, 3–8; anything else is refused

    Returns
    -------
    True at 5.3 or below

    Source
    ------
    `domain/facts/degree_hours.py`, target pH

    Example
    -------
    >>> ph_reached(5.3), ph_reached(5.4)
    (True, False)
    """
    if not isfinite(ph) or not 3 <= ph <= 8:
        raise Refused(f"pH {ph:g} is not a reading of a sausage; give for example 5.3.")
    return ph <= TARGET_PH + 1e-9


def _heat_between(start_c: float, end_c: float) -> float:
    """Mean of max(0, T − base) along a straight line between two readings [°C]."""
    low, high = start_c - BASE_TEMP_C, end_c - BASE_TEMP_C
    if low > high:
        low, high = high, low
    if high <= 0:
        return 0.0
    if low >= 0:
        return (low + high) / 2
    return high * high / (2 * (high - low))


def _spread(hourly: dict[int, list[float]], start_h: float, end_h: float, temp_c: float) -> None:
    """Put a stretch of one temperature into the hours it covers."""
    at = start_h
    while at < end_h:
        hour = floor(at + 1e-9)
        until = min(end_h, hour + 1.0)
        slot = hourly.setdefault(hour, [0.0, 0.0])
        slot[0] += until - at
        slot[1] += (until - at) * temp_c
        at = until


def _check(readings: Sequence[Reading]) -> None:
    if not readings:
        raise Refused("Degree-hours need at least one reading; log a temperature.")
    for (before_h, _), (after_h, _) in pairwise(readings):
        if after_h < before_h:
            raise Refused("Readings must be in the order of their times; sort them first.")
    for hour, temp_c in readings:
        if not isfinite(hour) or not isfinite(temp_c) or not -60 <= temp_c <= 120:
            raise Refused(
                "{temp} at hour {hour} is not a reading; leave it out.",
                temp=celsius(temp_c),
                hour=f"{hour:g}",
            )
