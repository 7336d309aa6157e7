"""The request a batch's doses were computed from, kept as JSON with the batch."""

import json
import sqlite3
from dataclasses import asdict
from typing import Any

from curedash.domain.dose import CuringSalt, DoseRequest, Scale
from curedash.domain.records import LotState
from curedash.store import batches


def recipe_json(request: DoseRequest) -> str:
    """The request as text."""
    return json.dumps(asdict(request), ensure_ascii=False)


def recipe_from(text: str) -> DoseRequest:
    """The request from its text; fields a newer program added keep their defaults."""
    told: dict[str, Any] = json.loads(text)
    if told.get("curing_salt") is not None:
        told["curing_salt"] = CuringSalt(**told["curing_salt"])
    told["extras"] = tuple((name, pct) for name, pct in told.get("extras", ()))
    told["scales"] = tuple(Scale(**scale) for scale in told.get("scales", ()))
    return DoseRequest(**told)


def request_of(conn: sqlite3.Connection, lot: LotState) -> DoseRequest | None:
    """The request behind a lot's dose, None for a lot added without a dose."""
    batch = batches.one(conn, lot.batch_id)
    if batch is None or batch.recipe == "{}":
        return None
    return recipe_from(batch.recipe)
