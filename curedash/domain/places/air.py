"""Readings of a place: means over irregular times, limits, silence, and what is out of band.

Times are epoch seconds. Readings marked as bad are left out by the caller.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from curedash.domain.facts import air as facts
from curedash.domain.places.bad_readings import AirPoint
from curedash.domain.record import record

HOUR_S = 3600.0
Points = Sequence[tuple[float, float]]  # epoch s, value


@record
class WindowStats:
    """One quantity over a window of time."""

    mean: float
    low: float
    high: float
    count: int  # readings inside the window
    covered_s: float  # time for which readings speak
    span_s: float

    @property
    def enough(self) -> bool:
        """Whether readings cover enough of the window for its mean to mean something."""
        return self.covered_s >= facts.ENOUGH_COVERED * self.span_s


@record
class AirLimits:
    """Temperature limits of a place; None where nothing inside has one [°C]."""

    mean_24h_max_c: float | None = None
    mean_6h_max_c: float | None = None
    mean_24h_min_c: float | None = None


@record
class Band:
    """What the household wants of a place; None where it does not care."""

    temp_lo_c: float | None = None
    temp_hi_c: float | None = None
    rh_lo_pct: float | None = None
    rh_hi_pct: float | None = None


@record
class AirAlarm:
    """Something about a place: the value and the limit it passed."""

    cause: str  # too-warm | warm | cold | too-humid | too-dry | silent
    level: str  # act | today
    value: float  # °C, % or hours
    limit: float
    hours: float  # length of the mean; for silence the hours allowed


@record
class DayRoll:
    """One day of a place."""

    count: int
    temp: WindowStats | None
    rh: WindowStats | None


def max_gap_s(watch: str) -> float:
    """How long a reading speaks for a place.

    Parameters
    ----------
    watch : ``sensor``, ``hand-log`` or ``not-watched``

    Returns
    -------
    longest gap that is still bridged [s]

    Source
    ------
    `SENSOR_SILENT_H`, `HAND_LOG_SILENT_H` in domain/facts/air.py

    Example
    -------
    >>> max_gap_s("sensor") / 3600
    3.0
    """
    return (facts.SENSOR_SILENT_H if watch == "sensor" else facts.HAND_LOG_SILENT_H) * HOUR_S


def window_stats(points: Points, end: float, hours: float, max_gap_s: float) -> WindowStats | None:
    """Average a quantity over the hours before a moment, weighted by time.

    Straight lines between readings; a gap longer than allowed counts for nothing; the last reading
    speaks on until the end, at most for that gap.

    Parameters
    ----------
    points : readings in order of time [epoch s, value]; one from before the window helps its start
    end : end of the window [epoch s]
    hours : length of the window [h], above 0
    max_gap_s : longest gap that is bridged [s]

    Returns
    -------
    mean, lowest and highest reading, and the time covered; None when nothing speaks. Where the
    mean would lie outside the few readings, the line into the window is an end too

    Source
    ------
    trapezoidal rule

    Example
    -------
    >>> stats = window_stats([(0, 4.0), (1800, 4.0), (3600, 8.0)], 3600, 1, 10_800)
    >>> stats.mean, stats.high
    (5.0, 8.0)
    """
    start = end - hours * HOUR_S
    area = covered_s = 0.0
    inside = [value for at, value in points if start <= at <= end]
    at_start: list[float] = []
    for (at, value), (next_at, next_value) in pairwise(points):
        if next_at <= start or at >= end or not 0 < next_at - at <= max_gap_s:
            continue
        left, right = max(at, start), min(next_at, end)
        slope = (next_value - value) / (next_at - at)
        if left > at:
            at_start.append(value + slope * (left - at))
        middle = value + slope * ((left + right) / 2 - at)
        area += middle * (right - left)
        covered_s += right - left
    before_end = [point for point in points if point[0] <= end]
    if before_end and before_end[-1] == points[-1]:
        last_at, last = before_end[-1]
        held_s = min(end, last_at + max_gap_s) - max(last_at, start)
        if held_s > 0:
            area += last * held_s
            covered_s += held_s
    if covered_s <= 0:
        return None
    mean = area / covered_s
    seen = inside or [mean]
    if not min(seen) <= mean <= max(seen):  # few readings: the line into the window counts too
        seen = [*seen, *at_start, mean]
    return WindowStats(mean, min(seen), max(seen), len(inside), covered_s, hours * HOUR_S)


def hours_above(
    points: Points, limit: float, start: float, end: float, max_gap_s: float
) -> tuple[float, float | None]:
    """Add up how long a quantity stood above a limit.

    Parameters
    ----------
    points : readings in order of time [epoch s, value]
    limit : the limit, in the unit of the values
    start, end : window [epoch s]
    max_gap_s : longest gap that is bridged [s]

    Returns
    -------
    hours above, and the highest reading in the window (None without one)

    Source
    ------
    straight lines between readings

    Example
    -------
    >>> hours_above([(0, 4.0), (3600, 8.0)], 6.0, 0, 3600, 10_800)
    (0.5, 8.0)
    """
    above_s = 0.0
    for (at, value), (next_at, next_value) in pairwise(points):
        left, right = max(at, start), min(next_at, end)
        if right <= left or next_at - at > max_gap_s:
            continue
        slope = (next_value - value) / (next_at - at)
        first, last = value + slope * (left - at), value + slope * (right - at)
        over, under = max(first, last) - limit, limit - min(first, last)
        if over > 0:
            above_s += (right - left) * (1.0 if under <= 0 else over / (over + under))
    inside = [value for at, value in points if start <= at <= end]
    return above_s / HOUR_S, max(inside, default=None)


def strictest_limits(
    stages: Iterable[str],
    table: dict[str, tuple[float | None, float | None, float | None]] = facts.AIR_LIMITS,
) -> AirLimits:
    """Choose the temperature limits of a place by the strictest stage inside.

    Parameters
    ----------
    stages : ids of the stages of the lots inside
    table : stage → 24 h mean above, 6 h mean above, 24 h mean below [°C]

    Returns
    -------
    the limits; all None when nothing inside has one

    Source
    ------
    `AIR_LIMITS` in domain/facts/air.py

    Example
    -------
    >>> strictest_limits(["drying", "equalising"])
    AirLimits(mean_24h_max_c=5.0, mean_6h_max_c=7.0, mean_24h_min_c=-1.0)
    """
    rows = [table[stage] for stage in stages if stage in table]
    highest = [row[0] for row in rows if row[0] is not None]
    acute = [row[1] for row in rows if row[1] is not None]
    lowest = [row[2] for row in rows if row[2] is not None]
    return AirLimits(
        min(highest, default=None), min(acute, default=None), max(lowest, default=None)
    )


def in_grace(
    loaded_at: float | None, now: float, grace_h: float = facts.GRACE_AFTER_LOADING_H
) -> bool:
    """Whether fresh meat was loaded so lately that humidity is allowed to be off.

    Parameters
    ----------
    loaded_at : when fresh meat was last loaded [epoch s], None if never
    now : [epoch s]
    grace_h : how long the grace lasts [h]

    Returns
    -------
    True during the grace

    Source
    ------
    `GRACE_AFTER_LOADING_H` in domain/facts/air.py

    Example
    -------
    >>> in_grace(0, 48 * 3600), in_grace(0, 73 * 3600), in_grace(None, 0)
    (True, False, False)
    """
    return loaded_at is not None and 0 <= now - loaded_at < grace_h * HOUR_S


def air_alarms(
    temp_24h: WindowStats | None,
    temp_6h: WindowStats | None,
    rh_24h: WindowStats | None,
    *,
    limits: AirLimits,
    band: Band = Band(),
    open_causes: frozenset[str] = frozenset(),
    humidity_matters: bool = True,
    margins: tuple[float, float] = (facts.CLEARS_INSIDE_C, facts.CLEARS_INSIDE_RH_PCT),
) -> tuple[AirAlarm, ...]:
    """Decide what is out of band from means, never from spikes.

    Parameters
    ----------
    temp_24h, temp_6h : temperature over 24 h and 6 h [°C]; None or too little covered = silent
    rh_24h : relative humidity over 24 h [%]
    limits : by the strictest stage inside
    band : what the household wants of the place
    open_causes : causes that already stand open: they clear only well inside the limit
    humidity_matters : False during the grace after loading and where every lot is bagged
    margins : how far inside its limit an open alarm clears [°C], [% relative humidity]

    Returns
    -------
    at most one alarm a quantity, the worse first

    Source
    ------
    limits and margins in domain/facts/air.py

    Example
    -------
    >>> warm = WindowStats(7.4, 4.0, 11.0, 36, 21_600, 21_600)
    >>> air_alarms(None, warm, None, limits=strictest_limits(["in-cure"]))[0].cause
    'too-warm'
    """
    margin = {cause: margins[cause in ("too-humid", "too-dry")] for cause in open_causes}
    warmest = _least(limits.mean_24h_max_c, band.temp_hi_c)
    coldest = _most(limits.mean_24h_min_c, band.temp_lo_c)
    alarms = [
        _over(temp_6h, limits.mean_6h_max_c, "too-warm", "act", margin, 6.0)
        or _over(temp_24h, warmest, "warm", "today", margin)
        or _under(temp_24h, coldest, "cold", margin)
    ]
    if humidity_matters:
        alarms.append(
            _over(rh_24h, band.rh_hi_pct, "too-humid", "today", margin)
            or _under(rh_24h, band.rh_lo_pct, "too-dry", margin)
        )
    return tuple(alarm for alarm in alarms if alarm is not None)


def _least(first: float | None, second: float | None) -> float | None:
    return min((value for value in (first, second) if value is not None), default=None)


def _most(first: float | None, second: float | None) -> float | None:
    return max((value for value in (first, second) if value is not None), default=None)


def _over(
    stats: WindowStats | None,
    limit: float | None,
    cause: str,
    level: str,
    margin: dict[str, float],
    hours: float = 24.0,
) -> AirAlarm | None:
    if stats is None or limit is None or not stats.enough:
        return None
    if level == "act" and stats.count < 2:
        return None  # one reading by hand is a spike
    if stats.mean <= limit - margin.get(cause, 0.0):
        return None
    return AirAlarm(cause, level, stats.mean, limit, hours)


def _under(
    stats: WindowStats | None, limit: float | None, cause: str, margin: dict[str, float]
) -> AirAlarm | None:
    if stats is None or limit is None or not stats.enough:
        return None
    if stats.mean >= limit + margin.get(cause, 0.0):
        return None
    return AirAlarm(cause, "today", stats.mean, limit, 24.0)


def silence(
    last_at: float | None, now: float, watch: str, limit_h: float | None = None
) -> AirAlarm | None:
    """Say that a place has not been heard of for too long.

    Parameters
    ----------
    last_at : newest reading [epoch s]; None: there never was one, which is not silence
    now : [epoch s]
    watch : ``sensor`` (act), ``hand-log`` (today) or ``not-watched`` (never)
    limit_h : silence allowed [h]; None: the usual one of this watch

    Returns
    -------
    the alarm with the hours of silence, or None

    Source
    ------
    `SENSOR_SILENT_H`, `HAND_LOG_SILENT_H` in domain/facts/air.py

    Example
    -------
    >>> silence(0, 5 * 3600, "sensor").value, silence(0, 5 * 3600, "hand-log")
    (5.0, None)
    """
    if last_at is None or watch == "not-watched":
        return None
    hours = (now - last_at) / HOUR_S
    if limit_h is None:
        limit_h = max_gap_s(watch) / HOUR_S
    if hours <= limit_h:
        return None
    return AirAlarm("silent", "act" if watch == "sensor" else "today", hours, limit_h, limit_h)


def roll_up(points: Sequence[AirPoint], start: float, end: float, max_gap_s: float) -> DayRoll:
    """Boil a day of readings down to minima, maxima and means.

    Parameters
    ----------
    points : readings in order of time [epoch s, °C, %]; one from before the day helps its start
    start, end : the day [epoch s]
    max_gap_s : longest gap that is bridged [s]

    Returns
    -------
    count of readings and the statistics of each quantity that was read

    Source
    ------
    ``window_stats``

    Example
    -------
    >>> roll_up([(0, 4.0, 80.0), (43_200, 6.0, 80.0)], 0, 86_400, 86_400).temp.mean
    5.5
    """
    hours = (end - start) / HOUR_S
    temps = [(at, temp_c) for at, temp_c, _ in points if temp_c is not None]
    humidities = [(at, rh_pct) for at, _, rh_pct in points if rh_pct is not None]
    return DayRoll(
        sum(1 for at, _, _ in points if start <= at < end),
        window_stats(temps, end, hours, max_gap_s),
        window_stats(humidities, end, hours, max_gap_s),
    )


def risk_key(stage: str, ground: bool, loss_pct: float | None) -> tuple[int, float]:
    """Order the lots a fridge failure touched, most at risk first.

    Parameters
    ----------
    stage : id of the stage
    ground : whether the lot is ground or stuffed
    loss_pct : loss so far [%], None before hanging

    Returns
    -------
    a key to sort by: sealed, then ground or stuffed, then in cure or salt rest, then drying with
    the least lost first

    Source
    ------
    definition

    Example
    -------
    >>> lots = [("drying", False, 30), ("in-cure", False, None), ("drying", False, 5)]
    >>> lots += [("on-hold", False, 20), ("drying", True, 9)]
    >>> [lot[0] for lot in sorted(lots, key=lambda lot: risk_key(*lot))]
    ['on-hold', 'drying', 'in-cure', 'drying', 'drying']
    """
    lost = 0.0 if loss_pct is None else loss_pct
    if stage in ("equalising", "on-hold", "keeping"):
        return (0, lost)
    if ground:
        return (1, lost)
    return (2 if stage in ("raw", "in-cure", "salt-rest") else 3, lost)
