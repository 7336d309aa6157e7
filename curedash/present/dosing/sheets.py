"""A new batch as a JSON document and as lines: what to weigh for each lot, and its days."""

from typing import Any

from curedash.present.dosing.doses import dose_document, dose_lines
from curedash.present.numbers import parts
from curedash.present.words import stage
from curedash.services.dosing.add_batch import AddedBatch


def batch_document(added: AddedBatch) -> dict[str, Any]:
    """A new batch with its lots and what to weigh for each."""
    batch = added.batch
    return {
        "batch": batch.code,
        **parts(batch, "name", "species", "style", "method", "salted_at"),
        "lots": [
            {
                "code": lot.code,
                "piece": lot.piece or None,
                **parts(lot, "stage", "place", "thickness_mm"),
                "target_pct": [lot.target_lo_pct, lot.target_hi_pct],
                "target_base": lot.target_base,
                **dose_document(planned.dose, planned.window),
                "green_g": lot.green_g,
            }
            for lot, planned in zip(added.lots, added.planned, strict=True)
        ],
    }


def batch_sheet(added: AddedBatch) -> list[str]:
    """The dose sheet of a new batch, a block a lot."""
    batch = added.batch
    lines = [f"batch {batch.code}: {batch.name}"]
    for lot, planned in zip(added.lots, added.planned, strict=True):
        piece = f" {lot.piece}" if lot.piece else ""
        place = f", {lot.place}" if lot.place else ""
        lines += ["", f"{lot.code}{piece}: {stage(lot.stage)}{place}"]
        lines += [f"  {line}" for line in dose_lines(planned.dose, planned.window)]
    return lines
