"""Rows of finished lots and their packs, what a lot cost, and the read model of the Book."""

from sqlite3 import Connection
from typing import Any

from curedash.domain.household.book import FinishedLot
from curedash.domain.record import as_dict
from curedash.domain.records import Finish, Pack
from curedash.store.rows import many, one
from curedash.store.work import Work


def put(work: Work, finish: Finish) -> None:
    """Keep how a lot ended, or change what was kept."""
    values = as_dict(finish)
    lot_id = values.pop("lot_id")
    work.put("finish", lot_id, **values)


def of_lot(conn: Connection, lot_id: int) -> Finish | None:
    """How this lot ended, None while it goes on."""
    return one(conn, Finish, "finish WHERE lot_id = ?", (lot_id,))


def add_pack(work: Work, **values: Any) -> int:
    """A bag or parcel; its id."""
    return work.insert("pack", **values)


def give(work: Work, pack_id: int, **values: Any) -> None:
    """Change whom a pack went to, until when it keeps, or its note."""
    work.update("pack", pack_id, **values)


def packs(conn: Connection, lot_id: int | None = None) -> list[Pack]:
    """Packs of one lot or of all, oldest first, without voided ones."""
    standing = "pack WHERE voided_at IS NULL AND (:lot IS NULL OR lot_id = :lot) ORDER BY at, id"
    return many(conn, Pack, standing, {"lot": lot_id})


_COST = """
WITH RECURSIVE line (id, parent_id, source_id, share, green_g) AS (
  SELECT id, parent_id, source_id, cost_share, green_g FROM lot WHERE id = ?
  UNION ALL
  SELECT up.id, up.parent_id, up.source_id, line.share * up.cost_share, up.green_g
  FROM lot up JOIN line ON line.parent_id = up.id)
SELECT line.share * (SELECT CASE WHEN count(*) = 1 THEN 1
      WHEN count(l.green_g) = count(*) THEN line.green_g / sum(l.green_g) END
    FROM lot l WHERE l.source_id = line.source_id
      AND l.parent_id IS NULL AND l.voided_at IS NULL),
  source.price, source.currency
FROM line JOIN source ON source.id = line.source_id
WHERE line.parent_id IS NULL
"""


def cost(conn: Connection, lot_id: int) -> tuple[float | None, str | None]:
    """This lot's share of what its roast cost, trim loss in it, and the currency.

    The price is shared between the pieces of the roast by green weight, and between the parts
    of a piece that was cut up by what they weighed then. Where a green weight is missing nobody
    can share it.
    """
    row = conn.execute(_COST, (lot_id,)).fetchone()
    if row is None or row[0] is None or row[1] is None:
        return None, None
    return row[0] * row[1], row[2]


_BOOK = """
WITH RECURSIVE origin (lot_id, source_id) AS (
  SELECT id, source_id FROM lot WHERE parent_id IS NULL
  UNION ALL
  SELECT part.id, origin.source_id FROM lot part JOIN origin ON part.parent_id = origin.lot_id)
SELECT lot.id, lot.code, batch.code, batch.name, lot.piece, batch.species, batch.cut, lot.style,
  lot.style_name,
  (SELECT place.name FROM stage_entry s JOIN place ON place.id = s.place_id
   WHERE s.lot_id = lot.id AND s.stage = 'drying' AND s.voided_at IS NULL
   ORDER BY s.at DESC, s.id DESC LIMIT 1),
  lot.thickness_mm, lot.green_g * lot.green_factor, lot.hang_g * lot.base_factor,
  lot.hang_pm_g IS NOT NULL, lot.hang_at, batch.salted_at, lot.total_salt_pct, batch.note,
  finish.at, finish.final_g, finish.base, finish.loss_pct, finish.days, finish.drying_days,
  finish.yield_pct, finish.cost_in, finish.cost_per_kg, finish.currency, finish.cut_face,
  finish.liked, finish.liked_at_pct, finish.note,
  finish.at = (SELECT up.stage_at FROM lot up WHERE up.id = lot.parent_id),
  (SELECT group_concat(text, '; ') FROM (SELECT e.text FROM event e WHERE e.lot_id = lot.id
   AND e.kind = 'note' AND e.at >= finish.at AND e.voided_at IS NULL ORDER BY e.at, e.id)),
  source.price, source.currency
FROM finish JOIN lot ON lot.id = finish.lot_id JOIN batch ON batch.id = lot.batch_id
LEFT JOIN origin ON origin.lot_id = lot.id
LEFT JOIN source ON source.id = origin.source_id AND source.voided_at IS NULL
WHERE lot.voided_at IS NULL
"""


def finished_lots(conn: Connection) -> list[FinishedLot]:
    """Every finished lot, the newest first."""
    rows = conn.execute(_BOOK + "ORDER BY finish.at DESC, lot.id DESC")
    return [_finished(row) for row in rows]


def _finished(row: tuple[Any, ...]) -> FinishedLot:
    values = [*row[:13], bool(row[13]), *row[14:-4], bool(row[-4]), *row[-3:]]
    return FinishedLot(*values)
