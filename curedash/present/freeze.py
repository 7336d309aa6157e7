"""A freezing step against its table, in lines and as a document."""

from datetime import tzinfo
from typing import Any

from curedash.domain.facts.trichina import TRICHINA_FREEZING
from curedash.domain.times import utc_text
from curedash.services.freeze import FreezingStep

MM_PER_INCH = 25.4


def freezing_lines(step: FreezingStep, zone: tzinfo) -> list[str]:
    """The step, what counts of it, and the table."""
    lines = [f"{step.lot.code}: {step.event.text}", *(f"  {text}" for text in step.count.messages)]
    if step.due is not None and not step.ended:
        lines.append(f"  full on {step.due.astimezone(zone).date().isoformat()}")
    return [*lines, "the table:", *(f"  {line}" for line in table_lines())]


def table_lines() -> list[str]:
    """Every printed cell with its source."""
    return [
        f"{row.temp_c:g} °C or colder, up to {row.max_thickness_in} in "
        f"({row.max_thickness_in * MM_PER_INCH:.0f} mm): {row.days} d ({row.source})"
        for row in TRICHINA_FREEZING
    ]


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
        else {
            "temp_c": row.temp_c,
            "max_thickness_in": row.max_thickness_in,
            "days": row.days,
            "source": row.source,
            "how": row.how,
        },
        "due": None if step.due is None else utc_text(step.due),
        "messages": list(count.messages),
    }
