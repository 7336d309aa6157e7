"""Pieces salted in one bag: one dose for all of them, each keeping its share by green weight."""

import json
from sqlite3 import Connection

from curedash.domain.dosing import Dose, bag_doses, compute_dose
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.services.dosing.recipe import BAGS, request_of
from curedash.store import batches, lots, rack


@record
class Bag:
    """The lots of one bag, and what is weighed for all of them together [g]."""

    codes: tuple[str, ...]
    together: tuple[tuple[str, float], ...]


def bag_of(conn: Connection, lot: LotState) -> Bag | None:
    """The bag a lot was salted in with others; None for one in a bag of its own."""
    codes = _codes(conn, lot)
    if not codes:
        return None
    sums: dict[str, float] = {}
    for mate in _mates(conn, lot, codes):
        for line in lots.dose_lines(conn, mate.id):
            sums[line.name] = sums.get(line.name, 0.0) + line.planned_g
    return Bag(codes, tuple((name, round(grams, 6)) for name, grams in sums.items()))


def planned_dose(conn: Connection, lot: LotState) -> Dose | None:
    """The dose of a lot as it was planned, of one in a bag as its share of the whole bag.

    None for a lot added without a dose. The scale weighs what goes into the bag, so that is what
    is too little for it, not a share.
    """
    request = request_of(conn, lot)
    if request is None:
        return None
    mates = _mates(conn, lot, _codes(conn, lot))
    asked = {mate.id: request_of(conn, mate) for mate in mates}
    alike = [each for each in asked.values() if each is not None]
    if lot.id not in asked or len(alike) < 2:
        return compute_dose(request)
    at = [mate_id for mate_id, each in asked.items() if each is not None].index(lot.id)
    return bag_doses(alike)[at]


def _codes(conn: Connection, lot: LotState) -> tuple[str, ...]:
    """Who lies in the bag of a lot, itself too; nobody where it has a bag of its own."""
    batch = batches.one(conn, lot.batch_id)
    if batch is None or f'"{BAGS}"' not in batch.recipe:
        return ()
    bags = json.loads(batch.recipe).get(BAGS, ())
    codes = next((tuple(bag) for bag in bags if lot.code in bag), ())
    return codes if len(codes) > 1 else ()


def _mates(conn: Connection, lot: LotState, codes: tuple[str, ...]) -> list[LotState]:
    if not codes:
        return []
    return [mate for mate in rack.lots_of_batch(conn, lot.batch_id) if mate.code in codes]
