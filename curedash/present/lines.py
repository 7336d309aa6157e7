"""One line of text for one thing, as the shell prints it."""

from curedash.domain.needs import Need
from curedash.domain.records import Place


def need_line(need: Need) -> str:
    """``act   C2: in the salt box 1.2 d past its moment — take it out``."""
    subject = need.lot or need.place or "clock"
    return f"{need.level:<5} {subject}: {need.message} — {need.action}"


def place_line(place: Place) -> str:
    """A place with its bands."""
    parts = [place.name]
    if place.temp_lo_c is not None and place.temp_hi_c is not None:
        parts.append(f"{place.temp_lo_c:g}–{place.temp_hi_c:g} °C")
    if place.rh_lo_pct is not None and place.rh_hi_pct is not None:
        parts.append(f"{place.rh_lo_pct:g}–{place.rh_hi_pct:g} % RH")
    watch = {
        "sensor": "a sensor",
        "hand-log": "read by hand",
        "not-watched": "nobody measures here",
    }
    return ", ".join([*parts, watch[place.watch]])


def air_words(temp_c: float | None, rh_pct: float | None) -> str:
    """``3.5 °C, 78 %``."""
    parts = []
    if temp_c is not None:
        parts.append(f"{temp_c:.1f} °C")
    if rh_pct is not None:
        parts.append(f"{rh_pct:.0f} %")
    return ", ".join(parts)
