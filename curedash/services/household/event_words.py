"""What stored events say, with the quantities that were kept beside their words.

An event is history: its words stay as they were written, in grams and °C. Where the numbers were
kept as data too, whoever reads it sees them in the units of the own view.
"""

import json
from typing import Any

from curedash.domain.quantity_text import Quantity, celsius, found_in, grams
from curedash.domain.records import Event


def event_text(event: Event) -> str:
    """The event's sentence and its photo's name; it knows its quantities where they were kept."""
    if event.data is None:
        return event.text
    data = json.loads(event.data)
    known = _QUANTITIES.get(event.kind)
    text = event.text
    if '"photo"' in event.data:
        from curedash.services.household.photos import photo_of

        photo = photo_of(event)
        text += "" if photo is None else f"; photo {photo.name}"
    return text if known is None else found_in(text, *known(data))


def _outage(data: dict[str, Any]) -> list[Quantity]:
    """The highest temperature and the limit."""
    found = [celsius(data["highest_c"], f"{data['highest_c']:.1f} °C")]
    if data.get("limit_c") is not None:
        found.append(celsius(data["limit_c"], f"{data['limit_c']:g} °C"))
    return found


def _freezing(data: dict[str, Any]) -> list[Quantity]:
    """The warmest reading of the freezer."""
    return [celsius(data["warmest_c"])]


def _opened(data: dict[str, Any]) -> list[Quantity]:
    """How much it was short of its target."""
    short_g = data.get("short_g")
    return [] if short_g is None else [grams(short_g, f"{short_g:.0f} g")]


_QUANTITIES = {"outage": _outage, "freezing": _freezing, "opened": _opened}
