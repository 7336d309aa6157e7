"""A ferment in words and as a document: degree-hours against their limit, pH, what is unknown."""

from __future__ import annotations

from datetime import tzinfo

from curedash.domain.curing.ferment import FermentState, late_words
from curedash.domain.facts.degree_hours import TARGET_PH
from curedash.domain.records import Event
from curedash.present.display_units import temp
from curedash.present.numbers import rounded, rounded_parts
from curedash.present.words import moment_words, plain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def ferment_document(state: FermentState) -> dict[str, Any]:
    """A ferment as JSON; unknown is null."""
    return {
        "hours": round(state.hours, 2),
        "degree_hours_c": rounded(state.total_c_h, 2),
        "limit_c_h": rounded(state.limit_c_h, 2),
        "highest_c": rounded(state.highest_c, 2),
        "known": state.known,
        **rounded_parts(state, "longest_gap_h", decimals=2),
        "over": state.over,
        **rounded_parts(state, "hours_left", decimals=2),
        "ph": state.ph,
        "ph_reached": state.reached,
    }


def ferment_words(state: FermentState) -> str:
    """``68 of 667 °C·h in 10 h, limit in 71 h at 24.0 °C; no pH yet``."""
    if state.total_c_h is None or state.limit_c_h is None:
        heat = f"no reading in {state.hours:.0f} h of ferment"
    else:
        heat = f"{state.total_c_h:.0f} of {state.limit_c_h:.0f} °C·h in {state.hours:.0f} h"
        if not state.known:
            heat = f"{heat}, but no reading for {state.longest_gap_h:.0f} h: unknown"
        elif state.hours_left is not None and state.last_c is not None:
            heat = f"{heat}, limit in {state.hours_left:.0f} h at {temp(state.last_c)}"
    if state.ph is None:
        return f"{heat}; no pH yet"
    if state.late:
        return f"{heat}; {late_words(state)}"
    if state.reached:
        return f"{heat}; pH {state.ph:g}, {TARGET_PH:g} reached: the count has ended"
    return f"{heat}; pH {state.ph:g}"


def ph_line(event: Event, zone: tzinfo) -> str:
    """One line of the pH log."""
    return f"{moment_words(event.at, zone)}  {plain(event.text)}"
