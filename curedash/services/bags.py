"""Pieces salted in one bag: one dose for all of them, each keeping its share by green weight."""

import json
import sqlite3

from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.services.recipe import BAGS
from curedash.store import batches, lots, rack


@record
class Bag:
    """The lots of one bag, and what is weighed for all of them together [g]."""

    codes: tuple[str, ...]
    together: tuple[tuple[str, float], ...]


def bag_of(conn: sqlite3.Connection, lot: LotState) -> Bag | None:
    """The bag a lot was salted in with others; None for one in a bag of its own."""
    batch = batches.one(conn, lot.batch_id)
    if batch is None or f'"{BAGS}"' not in batch.recipe:
        return None
    bags = json.loads(batch.recipe).get(BAGS, ())
    codes = next((tuple(bag) for bag in bags if lot.code in bag), ())
    if len(codes) < 2:
        return None
    sums: dict[str, float] = {}
    for mate in rack.lots_of_batch(conn, lot.batch_id):
        if mate.code in codes:
            for line in lots.dose_lines(conn, mate.id):
                sums[line.name] = sums.get(line.name, 0.0) + line.planned_g
    return Bag(codes, tuple((name, round(grams, 6)) for name, grams in sums.items()))
