"""A weight and behind it the day it was read: ``704 yesterday``, ``704 20 Nov``, ``704 -1d``."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, tzinfo

from curedash.domain.errors import Refused, Unclear
from curedash.domain.typed.dates import parse_when

#: what begins a day behind a weight: a word, days back, or a whole date; a bare number never does
_DAY = re.compile(r"[^\W\d_]{2,}|-\s*\d|\d{4}-\d|\d{1,2}\.?\s*[^\W\d_]{3,}|\d{1,2}\.\s?\d{1,2}\.")


def weight_and_day(
    text: str, is_weight: Callable[[str], bool], now: datetime, zone: tzinfo
) -> tuple[str, datetime | None]:
    """Part what was typed into a weight and the moment it was read.

    Parameters
    ----------
    text : what was typed
    is_weight : whether a text can be read as a weight; what is one whole has no day behind it
    now, zone : as for `parse_when`

    Returns
    -------
    the weight as typed, and its moment [aware, UTC]; None where no day follows it

    Raises
    ------
    Refused, Unclear: a weight, and behind it a day that cannot be

    Source
    ------
    definition

    Example
    -------
    >>> from datetime import UTC
    >>> noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    >>> weight_and_day("704 g yesterday 18:30", lambda text: text in ("704", "704 g"), noon, UTC)
    ('704 g', datetime.datetime(2026, 11, 24, 18, 30, tzinfo=datetime.timezone.utc))
    >>> weight_and_day("704", str.isdecimal, noon, UTC)
    ('704', None)
    """
    if not text.strip() or is_weight(text):
        return text, None
    unclear: Unclear | None = None
    for at, char in enumerate(text):
        head, tail = text[:at].strip(), text[at:].strip()
        if not head or not (char == " " or char == "-") or not _DAY.match(tail):
            continue
        if not is_weight(head):
            continue
        try:
            return head, parse_when(tail, now, zone)
        except Unclear as two:
            unclear = unclear or two
        except Refused as trouble:
            if "ahead" in str(trouble):
                raise
    if unclear is not None:
        raise unclear
    return text, None
