"""Dates and times as people type them; now and the zone are given by the caller.

Aware datetimes go in and come out; what comes out is UTC.
"""

from datetime import UTC, date, datetime, time, timedelta, tzinfo

from curedash.domain.errors import Refused, Unclear
from curedash.domain.typed.day_words import usual_day_words
from curedash.domain.typed.numbers import plain_text, quoted

_NOON = time(12)
_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_UNITS = {"h": 1, "hour": 1, "hours": 1, "d": 24, "day": 24, "days": 24}
_UNITS |= {"w": 168, "week": 168, "weeks": 168}
_MONTH = ("month", "months")
_FIRST_YEAR, _LAST_YEAR = 1970, 2200
_MOST = 100_000  # of any unit counted back or ahead
_AHEAD = timedelta(days=1)
_LEAP = 8  # years within which every day of the calendar exists
_HOW = "type a date like today, yesterday, -2d, 14 Mar or 2026-11-20"

Typed = tuple[date, time | None]  # a day, and the time of day if one was typed


def parse_when(text: str, now: datetime, zone: tzinfo) -> datetime:
    """Read when something happened.

    Parameters
    ----------
    text : ``now``, ``today``, ``yesterday 18:30``, ``-2d``, ``14 Mar``, ``9. 12.``, ``six weeks
        ago``, ``last Sunday``, an ISO date or time; a time without a zone is local
    now : [aware datetime]
    zone : the household's zone

    Returns
    -------
    the time [aware datetime, UTC]; a date alone is now if it is today, else 12:00 local; more than
    a day ahead, before 1970 or unreadable raises ``Refused``, two readings raise ``Unclear``

    Source
    ------
    definition

    Example
    -------
    >>> noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    >>> parse_when("yesterday 18:30", noon, UTC).isoformat()
    '2026-11-24T18:30:00+00:00'
    """
    found = _read(text, now, zone, ahead=False)
    if isinstance(found, datetime):
        return _not_ahead(found, found > now + _AHEAD)
    day, at = found
    today = now.astimezone(zone).date()
    if at is None:
        if day == today:
            return now.astimezone(UTC)
        return _not_ahead(_utc(day, _NOON, zone), day > today + _AHEAD)
    moment = _utc(day, at, zone)
    return _not_ahead(moment, moment > now + _AHEAD)


def _not_ahead(moment: datetime, ahead: bool) -> datetime:
    if ahead:
        raise Refused(f"That is more than a day ahead: {_HOW}.")
    return moment


def parse_until(text: str, now: datetime, zone: tzinfo) -> datetime:
    """Read until when something lasts, such as a snooze.

    Parameters
    ----------
    text : ``tomorrow``, ``3d``, ``12h``, ``fri``, ``24 Dec``, an ISO date or time
    now : [aware datetime]
    zone : the household's zone

    Returns
    -------
    the time [aware datetime, UTC], later than now; a date alone is its 00:00 local;
    the past or the unreadable raises ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    >>> parse_until("24 Dec", noon, UTC).isoformat()
    '2026-12-24T00:00:00+00:00'
    """
    found = _read(text, now, zone, ahead=True)
    moment = found if isinstance(found, datetime) else _utc(found[0], found[1] or time(0), zone)
    if moment <= now:
        raise Refused("That is in the past; type a future day, like tomorrow, 3d or 24 Dec.")
    return moment


def parse_near_day(text: str, now: datetime, zone: tzinfo) -> date:
    """Read a calendar day of which neither past nor future is likelier, such as one on a label.

    Parameters
    ----------
    text, now, zone : as for `parse_day`

    Returns
    -------
    the day nearest to now in the zone; the unreadable raises ``Refused``

    Source
    ------
    the project's own wording

    Example
    -------
    >>> from datetime import UTC
    >>> parse_near_day("24 Nov", datetime(2026, 11, 25, 18, tzinfo=UTC), UTC)
    datetime.date(2026, 11, 24)
    """
    today = now.astimezone(zone).date()
    read = [parse_day(text, now, zone, ahead=ahead) for ahead in (True, False)]
    return min(read, key=lambda day: abs((day - today).days))


def parse_day(text: str, now: datetime, zone: tzinfo, *, ahead: bool = True) -> date:
    """Read a calendar day, past or to come, such as the ends of days away.

    Parameters
    ----------
    text : as for ``parse_when`` and ``parse_until``
    now : [aware datetime]
    zone : the household's zone
    ahead : whether ``24 Dec`` or ``fri`` means the next one, else the last one

    Returns
    -------
    the day in the zone; the unreadable raises ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> parse_day("2 Jan", datetime(2026, 11, 25, tzinfo=UTC), UTC)
    datetime.date(2027, 1, 2)
    """
    found = _read(text, now, zone, ahead=ahead)
    return found.astimezone(zone).date() if isinstance(found, datetime) else found[0]


# ── reading ───────────────────────────────────────────────────────────────────────────────


def _read(text: str, now: datetime, zone: tzinfo, *, ahead: bool) -> datetime | Typed:
    typed = " ".join(plain_text(text[:65]).replace("−", "-").split())
    if not typed or len(typed) > 60:
        raise Refused(f"{'Nothing was typed' if not typed else 'That is too long'}: {_HOW}.")
    try:
        return _understood(typed, now, zone, ahead)
    except (ValueError, OverflowError):
        raise Refused(f"{quoted(text)} is not a date that exists: {_HOW}.") from None


def _understood(typed: str, now: datetime, zone: tzinfo, ahead: bool) -> datetime | Typed:
    if typed.casefold() == "now":
        return now.astimezone(UTC)
    iso = _iso(typed, zone)
    if iso is not None:
        return iso
    words = usual_day_words(typed.casefold().replace(",", " ").split())
    at = _time_of_day(words[-1]) if words else None
    if at is not None:
        words = words[:-2] if words[-2:-1] == ["at"] else words[:-1]
    elif not words:
        raise ValueError("only punctuation")
    today = now.astimezone(zone).date()
    counted = _counted(words, now, today, ahead)
    if isinstance(counted, datetime):
        return counted
    day = counted or _named(words, today, ahead) or _with_marks(words, today, ahead)
    if day is None:
        return _odd(typed, now, zone, ahead)
    _year_known(day.year)
    return day, at


def _iso(typed: str, zone: tzinfo) -> datetime | Typed | None:
    if not (typed[:4].isdecimal() and typed[4:5] == "-"):
        return None
    if len(typed) <= 10:
        day = date.fromisoformat(typed)
        _year_known(day.year)
        return day, None
    moment = datetime.fromisoformat(typed)
    _year_known(moment.year)
    if moment.tzinfo is not None:
        return moment.astimezone(UTC)
    return _utc(moment.date(), moment.time(), zone)


def _year_known(year: int) -> None:
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        raise Refused(f"The year {year} is out of range: {_HOW}.")


def _utc(day: date, at: time, zone: tzinfo) -> datetime:
    return datetime.combine(day, at, zone).astimezone(UTC)


def _time_of_day(word: str) -> time | None:
    hour, colon, rest = word.partition(":")
    if not colon or not hour.isdecimal() or not rest.replace(":", "").isdecimal():
        return None
    return time.fromisoformat(word if len(hour) == 2 else f"0{word}")


def _counted(words: list[str], now: datetime, today: date, ahead: bool) -> datetime | date | None:
    """-2d, 3d, in 3 days, 2 days ago, -3h."""
    text = "".join(word for word in words if word not in ("in", "ago"))
    back = text.startswith("-") or "ago" in words
    digits = text.lstrip("+-")
    unit = digits.lstrip("0123456789")
    number = digits[: len(digits) - len(unit)]
    signed = text.startswith(("+", "-")) or "ago" in words or "in" in words or ahead
    if unit not in (*_UNITS, *_MONTH) or not number or not signed:
        return None
    count = int(number)
    if count > _MOST:
        raise Refused(f"That is too far off: {_HOW}.")
    if unit in _MONTH:
        return _months_on(today, -count if back else count)
    step = timedelta(hours=count * _UNITS[unit] * (-1 if back else 1))
    if _UNITS[unit] < 24 or (ahead and not back):
        return (now + step).astimezone(UTC)
    return today + step


def _months_on(day: date, count: int) -> date:
    """The same day so many months on, or the last one of a month that is shorter."""
    months = day.year * 12 + day.month - 1 + count
    year, month = divmod(months, 12)
    _year_known(year)
    from calendar import monthrange

    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def _beside_today(words: list[str], today: date) -> date | None:
    """The one before today, or the one after: last sunday, next week."""
    sign = {"last": -1, "next": 1}.get(words[0])
    if sign is None or len(words) != 2:
        return None
    if words[1] in ("week", "month"):
        return today + sign * timedelta(days=7) if words[1] == "week" else _months_on(today, sign)
    weekday = _position(words[1], _DAYS)
    if weekday is None:
        return None
    return today + sign * timedelta(days=sign * (weekday - today.weekday()) % 7 or 7)


def _named(words: list[str], today: date, ahead: bool) -> date | None:
    """today, fri, 14 mar, mar 14 2026; a day without a year is the nearest in its direction."""
    if not words:
        return today  # a time of day alone
    beside = _beside_today(words, today)
    if beside is not None:
        return beside
    if len(words) == 1:
        shift = {"today": 0, "yesterday": -1, "tomorrow": 1}.get(words[0])
        if shift is not None:
            return today + timedelta(days=shift)
        weekday = _position(words[0], _DAYS)
        if weekday is not None:
            off = (weekday - today.weekday()) % 7
            return today + timedelta(days=(off or 7) if ahead else off - 7 if off else 0)
        words = _apart(words[0])
    numbers = [word.rstrip(".") for word in words if word.rstrip(".").isdecimal()]
    months = [month for word in words if (month := _position(word, _MONTHS)) is not None]
    if len(months) != 1 or len(numbers) != len(words) - 1 or not 1 <= len(numbers) <= 2:
        return None
    year = int(numbers[1]) if len(numbers) == 2 else None
    if year is not None and year < 100:
        return None
    return _dated(int(numbers[0]), months[0] + 1, year, today, ahead)


def _apart(word: str) -> list[str]:
    """Part 14mar into its figures and letters."""
    figures = len(word) - len(word.lstrip("0123456789"))
    return [word[:figures], word[figures:]] if 0 < figures < len(word) else [word]


def _position(word: str, names: tuple[str, ...]) -> int | None:
    """Return which month or weekday a word begins, by three letters or more."""
    stem = word.rstrip(".")
    fits = [place for place, name in enumerate(names) if name.startswith(stem)]
    return fits[0] if len(stem) >= 3 and len(fits) == 1 else None


def _dated(day: int, month: int, year: int | None, today: date, ahead: bool) -> date:
    if year is not None:
        _year_known(year)
        return date(year, month, day)
    candidates = []
    for near in range(today.year - _LEAP, today.year + _LEAP + 1):
        try:
            candidates.append(date(near, month, day))
        except ValueError:  # 29 Feb
            continue
    edge = today if ahead else today + _AHEAD
    fits = [found for found in candidates if (found >= edge if ahead else found <= edge)]
    if not fits:
        raise ValueError("no such day")
    return min(fits) if ahead else max(fits)


def _with_marks(words: list[str], today: date, ahead: bool) -> date | None:
    """14.3. and 14.3.2026 are day first; 3/14 only where it can mean one thing."""
    if len(words) != 1:
        return None
    word = words[0]
    mark = "." if "." in word else "/"
    parts = word.rstrip(".").split(mark)
    if len(parts) not in (2, 3) or not all(part.isdecimal() for part in parts):
        return None
    first, second = int(parts[0]), int(parts[1])
    year = int(parts[2]) if len(parts) == 3 else None
    if year is not None and year < 100:
        year += 2000
    if mark == ".":
        return _dated(first, second, year, today, ahead)
    if first > 12:
        return _dated(first, second, year, today, ahead)
    if second > 12 or first == second:
        return _dated(second, first, year, today, ahead)
    raise Unclear(
        f"{quoted(word)} can be {first} {_MONTHS[second - 1][:3].capitalize()} or "
        f"{second} {_MONTHS[first - 1][:3].capitalize()}: type the month as a word."
    )


def _odd(typed: str, now: datetime, zone: tzinfo, ahead: bool) -> datetime | Typed:
    """Leave what is rare to dateutil, but only what names a month or a year."""
    letters = "".join(ch if ch.isalpha() else " " for ch in typed.casefold()).split()
    if not any(_position(word, _MONTHS) is not None for word in letters):
        raise Refused(f"{quoted(typed)} is not a date: {_HOW}.")
    from dateutil import parser

    local = now.astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    try:
        found: datetime = parser.parse(typed, default=local)
        other: datetime = parser.parse(typed, default=local + timedelta(days=1, hours=1))
    except Exception as error:  # dateutil raises many kinds for odd text; none may get out
        raise Refused(f"{quoted(typed)} is not a date: {_HOW}.") from error
    if found.date() != other.date():
        raise Refused(f"{quoted(typed)} does not name a day: {_HOW}.")
    _year_known(found.year)
    if found.tzinfo is not None:
        return found.astimezone(UTC)
    if (
        parser.parse(typed, default=local.replace(year=found.year - _LEAP, day=1)).year
        != found.year
    ):
        day = _dated(found.day, found.month, None, local.date(), ahead)  # no year was typed
        return day, found.time() if found.time() == other.time() else None
    return found.date(), found.time() if found.time() == other.time() else None
