"""Readings that are a sensor's fault and not weather."""

from collections.abc import Sequence

from curedash.domain.facts.air import (
    FLAT_H,
    FLAT_READINGS,
    NO_AIR_BELOW_RH_PCT,
    NOT_CONNECTED_C,
    POWER_ON_C,
    SENSOR_RANGE_C,
    STUCK_AT_END_H,
    STUCK_AT_END_READINGS,
)

AirPoint = tuple[float, float | None, float | None]  # epoch s, °C, % relative humidity


def bad_reason(temp_c: float | None, rh_pct: float | None) -> str | None:
    """Say why a single reading cannot be weather.

    Parameters
    ----------
    temp_c : temperature [°C] or None
    rh_pct : relative humidity [%] or None

    Returns
    -------
    ``empty``, ``not-a-number``, ``power-on``, ``not-connected``, ``out-of-range`` or
    ``zero-humidity``; None when it may be weather

    Source
    ------
    `POWER_ON_SOURCE`, `NOT_CONNECTED_SOURCE`, `SENSOR_RANGE_C` in domain/facts/air.py

    Example
    -------
    >>> bad_reason(85.0, None), bad_reason(3.5, 78)
    ('power-on', None)
    """
    if temp_c is None and rh_pct is None:
        return "empty"
    values = [value for value in (temp_c, rh_pct) if value is not None]
    if any(value != value or value in (float("inf"), float("-inf")) for value in values):
        return "not-a-number"
    if temp_c == POWER_ON_C:
        return "power-on"
    if temp_c == NOT_CONNECTED_C:
        return "not-connected"
    if temp_c is not None and not SENSOR_RANGE_C[0] <= temp_c <= SENSOR_RANGE_C[1]:
        return "out-of-range"
    if rh_pct is not None and not 0 <= rh_pct <= 100:
        return "out-of-range"
    return "zero-humidity" if rh_pct is not None and rh_pct < NO_AIR_BELOW_RH_PCT else None


def stuck_reason(points: Sequence[AirPoint]) -> str | None:
    """Say whether a sensor repeats itself: the last readings are too alike to be weather.

    Parameters
    ----------
    points : readings in order of time [epoch s, °C, %]

    Returns
    -------
    ``humidity-at-end`` (exactly 100 or 0 % for hours), ``flat`` (the same temperature and humidity
    again and again); None when neither, or when there are too few readings to tell

    Source
    ------
    design values in domain/facts/air.py

    Example
    -------
    >>> stuck_reason([(n * 3600, 4.0, 100.0) for n in range(8)])
    'humidity-at-end'
    """
    if not points:
        return None
    last_at, last_temp_c, last_rh_pct = points[-1]
    if last_rh_pct in (0, 100):
        first_at, count = last_at, 0
        for at, _, rh_pct in reversed(points):
            if rh_pct != last_rh_pct:
                break
            first_at, count = at, count + 1
        if count >= STUCK_AT_END_READINGS and last_at - first_at >= STUCK_AT_END_H * 3600:
            return "humidity-at-end"
    if last_temp_c is None or last_rh_pct is None:
        return None  # a coarse thermometer alone may well stand still
    first_at, count = last_at, 0
    for at, temp_c, rh_pct in reversed(points):
        if (temp_c, rh_pct) != (last_temp_c, last_rh_pct):
            break
        first_at, count = at, count + 1
    flat = count >= FLAT_READINGS and last_at - first_at >= FLAT_H * 3600
    return "flat" if flat else None
