"""A freezing step against its table, in lines and as a document."""

from datetime import tzinfo
from typing import Any

from curedash.domain.facts.trichina import TRICHINA_FREEZING, FreezingRow
from curedash.domain.facts.units import MM_PER_IN
from curedash.domain.times import utc_text
from curedash.present.display_units import in_fahrenheit, in_inches, retold
from curedash.present.numbers import parts
from curedash.services.curing.freeze import FreezingStep
from curedash.services.household.event_words import event_text


def freezing_lines(step: FreezingStep, zone: tzinfo) -> list[str]:
    """The step, what counts of it, and the table."""
    lines = [f"{step.lot.code}: {retold(event_text(step.event))}"]
    lines += [f"  {retold(text)}" for text in step.count.messages]
    if step.due is not None and not step.ended:
        lines.append(f"  complete on {step.due.astimezone(zone).date().isoformat()}")
    return [*lines, "the table:", *(f"  {line}" for line in table_lines())]


def table_lines() -> list[str]:
    """Every printed cell with its source."""
    return [
        f"{_cold(row)} or colder, up to {_thick(row)}: {row.days} d ({row.source})"
        for row in TRICHINA_FREEZING
    ]


def _cold(row: FreezingRow) -> str:
    """As printed, in °C or in °F."""
    return f"{row.temp_f} °F" if in_fahrenheit() else f"{row.temp_c:g} °C"


def _thick(row: FreezingRow) -> str:
    """As printed, in inches, with the mm where those are shown."""
    inches = f"{row.max_thickness_in} in"
    return inches if in_inches() else f"{inches} ({row.max_thickness_in * MM_PER_IN:.0f} mm)"


def freezing_document(step: FreezingStep) -> dict[str, Any]:
    """The step as JSON; no credit is null."""
    row, count = step.count.row, step.count
    return {
        "lot": step.lot.code,
        "from": utc_text(step.since),
        "to": None if step.until is None else utc_text(step.until),
        "ended": step.ended,
        "warmest_c": step.warmest_c,
        "thickness_mm": step.thickness_mm,
        "counted_days": round(count.counted_days, 3),
        "to_go_days": count.to_go_days,
        "row": None
        if row is None
        else {**parts(row, "temp_c", "max_thickness_in", "days", "source", "how")},
        "due": None if step.due is None else utc_text(step.due),
        "messages": list(count.messages),
    }
