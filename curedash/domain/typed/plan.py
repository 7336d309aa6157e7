"""What is wanted when, as typed for planning back: ``bresaola 24 Dec 65mm``, or a day alone."""

from __future__ import annotations

from datetime import date, datetime, tzinfo

from curedash.domain.errors import CuredashError, Refused
from curedash.domain.record import record
from curedash.domain.typed.dates import parse_day
from curedash.domain.typed.units import parse_length_mm

_LENGTHS = ("mm", "cm", "in")


@record
class Wanted:
    """A style by the words typed for it (empty: none was), its day, its thickness."""

    style: str
    day: date
    thickness_mm: float | None
    day_typed: str


def typed_plan(text: str, now: datetime, zone: tzinfo) -> Wanted:
    """Read a style and the day it is wanted by; a thickness may stand behind them.

    Parameters
    ----------
    text : words of a style, a day, a thickness; the style and the thickness may be missing
    now : the moment typed days count from (aware)
    zone : the household's zone

    Returns
    -------
    the style's words as typed, the day, the thickness [mm] or None; no day in it raises ``Refused``

    Source
    ------
    none, a reading of text

    Example
    -------
    >>> from datetime import UTC, datetime
    >>> typed_plan("boned leg 24 Dec", datetime(2026, 11, 25, tzinfo=UTC), UTC).style
    'boned leg'
    """
    words, thickness_mm = _without_thickness(text.split())
    refusal: CuredashError | None = None
    for first in range(len(words)):  # the longest end that is a day: "24 Dec", not "Dec"
        typed = " ".join(words[first:])
        try:
            day = parse_day(typed, now, zone)
        except CuredashError as unclear:
            refusal = unclear if first == 1 else refusal
            continue
        return Wanted(" ".join(words[:first]), day, thickness_mm, typed)
    raise refusal or Refused("Type the style, then the day, e.g. bresaola 24 Dec.")


def _without_thickness(words: list[str]) -> tuple[list[str], float | None]:
    """The words before a thickness, and the thickness; a lone day ends in no length."""
    if len(words) < 2 or not words[-1].casefold().endswith(_LENGTHS):
        return words, None
    size = 2 if words[-1].casefold() in _LENGTHS else 1
    if not words[-size][:1].isdigit() or len(words) <= size:
        return words, None
    return words[:-size], parse_length_mm(" ".join(words[-size:]))
