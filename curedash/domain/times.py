"""Times as the file keeps them: ISO-8601 UTC text; calendar days are counted in a zone."""

from datetime import UTC, date, datetime, tzinfo

SECONDS_PER_DAY = 86_400.0


def utc_text(moment: datetime) -> str:
    """An aware moment as UTC text to the second, e.g. ``2026-11-01T12:00:00Z``.

    Example
    -------
    >>> utc_text(datetime(2026, 11, 1, 12, tzinfo=UTC))
    '2026-11-01T12:00:00Z'
    >>> utc_text(datetime(99, 1, 1, tzinfo=UTC))
    '0099-01-01T00:00:00Z'
    """
    return moment.astimezone(UTC).replace(microsecond=0, tzinfo=None).isoformat() + "Z"


def moment(text: str) -> datetime:
    """The aware moment of UTC text as the file keeps it.

    Example
    -------
    >>> moment("2026-11-01T12:00:00Z").hour
    12
    """
    return datetime.fromisoformat(text)


def zone_of(name: str | None) -> tzinfo:
    """The zone with this IANA name; UTC when none was chosen.

    Raises
    ------
    ValueError (ZoneInfoNotFoundError): no such zone on this machine
    """
    if name is None or name == "UTC":
        return UTC
    from zoneinfo import ZoneInfo

    return ZoneInfo(name)


def local_day(text: str, zone: tzinfo) -> date:
    """The calendar day of UTC text in a zone."""
    return moment(text).astimezone(zone).date()


def calendar_days(since: str, now: datetime, zone: tzinfo) -> int:
    """Calendar days from one moment to another in a zone (negative if it lies ahead).

    Example
    -------
    >>> calendar_days("2026-11-01T23:30:00Z", datetime(2026, 11, 2, 0, 30, tzinfo=UTC), UTC)
    1
    """
    return (now.astimezone(zone).date() - local_day(since, zone)).days


def days_between(since: str, until: str) -> float:
    """Days with fractions between two UTC texts [d], by hours."""
    return (moment(until) - moment(since)).total_seconds() / SECONDS_PER_DAY
