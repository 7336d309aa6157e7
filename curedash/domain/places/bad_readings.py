"""Readings that are a sensor's fault and not weather."""

from curedash.domain.facts import air as facts
from curedash.domain.record import record

HOUR_S = 3600.0
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
    if temp_c == facts.POWER_ON_C:
        return "power-on"
    if temp_c == facts.NOT_CONNECTED_C:
        return "not-connected"
    if temp_c is not None and not facts.SENSOR_RANGE_C[0] <= temp_c <= facts.SENSOR_RANGE_C[1]:
        return "out-of-range"
    if rh_pct is not None and not 0 <= rh_pct <= 100:
        return "out-of-range"
    return "zero-humidity" if rh_pct is not None and rh_pct < facts.NO_AIR_BELOW_RH_PCT else None


@record
class Run:
    """How long one sensor has repeated itself, up to its newest reading."""

    at: float
    temp_c: float | None
    rh_pct: float | None
    since: float  # first reading with this temperature and humidity [epoch s]
    count: int
    rh_since: float  # first reading with this humidity [epoch s]
    rh_count: int

    @property
    def verdict(self) -> str | None:
        """Whether it repeats itself: the last readings are too alike to be weather.

        ``humidity-at-end`` (exactly 100 or 0 % for hours), ``flat`` (the same temperature and
        humidity again and again); None when neither, or when there are too few to tell.
        """
        if self.rh_pct is None:
            return None  # a coarse thermometer alone may well stand still
        alike_h = (self.at - self.since) / HOUR_S
        if (
            self.temp_c is not None
            and self.count >= facts.FLAT_READINGS
            and alike_h >= facts.FLAT_H
        ):
            return "flat"
        at_end_h = (self.at - self.rh_since) / HOUR_S
        at_end = self.rh_count >= facts.STUCK_AT_END_READINGS and at_end_h >= facts.STUCK_AT_END_H
        return "humidity-at-end" if at_end and self.rh_pct in (0, 100) else None

    @property
    def began(self) -> float:
        """First of the readings the verdict is about [epoch s]."""
        return self.rh_since if self.verdict == "humidity-at-end" else self.since


def follow(run: Run | None, at: float, temp_c: float | None, rh_pct: float | None) -> Run:
    """Take one more reading of a sensor into account.

    Parameters
    ----------
    run : what was known before, None at first
    at : time of the reading, not before the last one [epoch s]
    temp_c : temperature [°C] or None
    rh_pct : relative humidity [%] or None

    Returns
    -------
    the run up to this reading

    Source
    ------
    definition

    Example
    -------
    >>> follow(follow(None, 0, 4.0, 71.0), 600, 4.0, 71.0).count
    2
    """
    if run is None or run.rh_pct != rh_pct:
        return Run(at, temp_c, rh_pct, at, 1, at, 1)
    since, count = (run.since, run.count + 1) if run.temp_c == temp_c else (at, 1)
    return Run(at, temp_c, rh_pct, since, count, run.rh_since, run.rh_count + 1)
