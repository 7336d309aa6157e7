"""A place that was off or warm: when, how warm, and which lots it touched, most at risk first."""

from collections.abc import Sequence
from dataclasses import dataclass

from curedash.domain.facts.air import AIR_LIMITS
from curedash.domain.places.air import HOUR_S, hours_above

NEVER_TOUCHED = ("ferment", "closed", "discarded")  # ferment is warm on purpose: degree-hours


@dataclass(frozen=True, slots=True)
class Outage:
    """One failure of a place, as far as readings or a person tell."""

    since: float  # first moment over the limit, or last one known to be inside [epoch s]
    until: float | None  # inside again [epoch s]; None: not yet
    highest_c: float
    limit_c: float | None
    hours_above: float


def outage_of(
    points: Sequence[tuple[float, float]],
    limit_c: float,
    now: float,
    max_gap_s: float,
    *,
    by_hand: bool = False,
) -> Outage | None:
    """Read the last failure out of a place's temperatures.

    The failure begins with the last reading inside the limit before the warm ones: what happened
    in a gap is not known. It ends with the first reading inside again. Between readings by hand,
    which lie far apart on any day, a gap that is too long says nothing: it belongs to no failure.

    Parameters
    ----------
    points : usable readings in order of time [epoch s, °C]
    limit_c : the limit of the place [°C]
    now : [epoch s]
    max_gap_s : longest gap that is bridged when hours are added up [s]
    by_hand : read by a person: only readings within such a gap of each other hang together

    Returns
    -------
    the failure, still going on if the newest reading is over the limit; None if no reading is

    Source
    ------
    definition

    Example
    -------
    >>> found = outage_of([(0, 4.0), (3600, 9.0), (7200, 11.0), (10800, 5.0)], 7.0, 10800, 7200)
    >>> found.since, found.until, found.highest_c
    (0, 10800, 11.0)
    """
    over = [n for n, (_, temp_c) in enumerate(points) if temp_c > limit_c]
    if not over:
        return None
    last = over[-1]
    first = last
    while first > 0 and not _inside_for_an_hour(points, first, limit_c):
        first -= 1
    until = points[last + 1][0] if last + 1 < len(points) else None
    if by_hand:
        first = _after_gap(points, first, last, max_gap_s)
        if until is not None and until - points[last][0] > max_gap_s:
            until = points[last][0]
    since = points[first][0]
    hours, _ = hours_above(points, limit_c, since, until if until is not None else now, max_gap_s)
    highest_c = max(temp_c for _, temp_c in points[first : last + 1])
    return Outage(since, until, highest_c, limit_c, hours)


def _inside_for_an_hour(points: Sequence[tuple[float, float]], at: int, limit_c: float) -> bool:
    """Whether the readings up to this one stayed inside for an hour, or it follows a gap."""
    end = points[at][0]
    if points[at][1] > limit_c:
        return False
    for when, temp_c in reversed(points[: at + 1]):
        if temp_c > limit_c:
            return False
        if end - when >= HOUR_S:
            return True
    return True


def _after_gap(
    points: Sequence[tuple[float, float]], first: int, last: int, max_gap_s: float
) -> int:
    """The first of the readings that hang together with the last warm one."""
    for at in range(last, first, -1):
        if points[at][0] - points[at - 1][0] > max_gap_s:
            return at
    return first


def overlaps(since: float, until: float | None, begin: float, end: float) -> bool:
    """Say whether two stretches of time share a moment.

    Parameters
    ----------
    since, until : the one [epoch s]; None: not over yet
    begin, end : the other [epoch s]

    Returns
    -------
    True where they do

    Source
    ------
    definition

    Example
    -------
    >>> overlaps(0, 10, 10, 20), overlaps(0, None, 10, 20), overlaps(0, 5, 10, 20)
    (True, True, False)
    """
    return since <= end and (until is None or until >= begin)


def is_touched(stage: str, highest_c: float) -> bool:
    """Say whether a lot of this stage was touched by so much warmth.

    Parameters
    ----------
    stage : id of the stage during the failure
    highest_c : the highest temperature of the place [°C]

    Returns
    -------
    True unless the stage allows that temperature all day; meat not yet salted always is

    Source
    ------
    `AIR_LIMITS` in domain/facts/air.py

    Example
    -------
    >>> is_touched("equalising", 9), is_touched("drying", 9), is_touched("raw", 6)
    (True, False, True)
    """
    if stage in NEVER_TOUCHED:
        return False
    limit_c = AIR_LIMITS.get(stage, (None, None, None))[0]
    return limit_c is None or highest_c > limit_c
