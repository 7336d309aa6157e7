"""The read model of the Rack: one statement for all lots, the same one for one lot."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence

from curedash.domain.record import field_names, from_row
from curedash.domain.records import CurvePoint, Look, LotState, StoredForecast

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


_SELECT = """
SELECT lot.id, lot.code, lot.batch_id, batch.code, batch.name, lot.piece, batch.species, lot.style,
  lot.style_name, batch.method, lot.stage, lot.stage_at, batch.salted_at, lot.created_at,
  lot.place_id, place.name, lot.position, lot.parent_id, lot.count, lot.in_bag, lot.shape,
  lot.thickness_mm, lot.green_g, lot.cured_g, lot.hang_g, lot.hang_at, lot.hang_pm_g,
  lot.base_factor, lot.tare_g, lot.tare_what, lot.target_lo_pct, lot.target_hi_pct,
  lot.target_base, lot.cure_earliest_days, lot.cure_usual_days, lot.cure_rule, lot.salt_box,
  lot.rest_days, lot.min_age_days, lot.weigh_every_days, lot.by_date, lot.ferments, lot.has_rest,
  lot.total_salt_pct, lot.nitrite_mg_per_kg, lot.nitrate_mg_per_kg, lot.dose_verdict,
  (SELECT count(*) || ' ' || count(d.ticked_at) || ' ' || ifnull(min(d.ticked_at), '')
     FROM dose_line d WHERE d.lot_id = lot.id), NULL, NULL,
  lot.stage_until, kept.net_g, kept.gross_g, kept.at, kept.kind, kept.weigh_in_id, kept.points,
  ifnull(kept.points_count, 0),
  forecast.weigh_in_id, forecast.as_of, forecast.model, forecast.median_day, forecast.lo_day,
  forecast.hi_day, forecast.p_levels_off, forecast.method, forecast.near,
  forecast.weigh_again_day, lot.green_factor,
  (SELECT group_concat(e.kind || ' ' || e.at || ' ' || e.words, char(10)) FROM (
     SELECT kind, at, replace(text, char(10), ' ') AS words FROM event
     WHERE lot_id = lot.id AND voided_at IS NULL
     AND kind IN ('alarm', 'mould', 'decision', 'target', 'bag', 'sibling',
       'misdose')
     ORDER BY at DESC, id DESC LIMIT 6) e)
FROM lot JOIN batch ON batch.id = lot.batch_id
LEFT JOIN place ON place.id = lot.place_id
LEFT JOIN forecast ON forecast.lot_id = lot.id
LEFT JOIN kept_curve kept ON kept.lot_id = lot.id
WHERE lot.voided_at IS NULL
"""


def open_lots(conn: sqlite3.Connection) -> list[LotState]:
    """Every lot that is neither closed nor discarded, in hanging order."""
    more = "AND lot.stage NOT IN ('closed', 'discarded')"
    # Ordered here: the driver would carry every wide row through a sorter of its own.
    lots = [_lot_state(row) for row in conn.execute(_SELECT + more)]
    lots.sort(key=lambda lot: (lot.position, lot.id))
    return lots


def all_lots(conn: sqlite3.Connection) -> list[LotState]:
    """Every lot ever made, oldest first."""
    return [_lot_state(row) for row in conn.execute(_SELECT + "ORDER BY lot.id")]


def one_lot(conn: sqlite3.Connection, lot_id: int) -> LotState | None:
    """The lot with this id."""
    row = conn.execute(_SELECT + "AND lot.id = ?", (lot_id,)).fetchone()
    return None if row is None else _lot_state(row)


def lot_by_code(conn: sqlite3.Connection, code: str) -> LotState | None:
    """The lot with this code, upper or lower case."""
    row = conn.execute(_SELECT + "AND lot.code = ?", (code.strip(),)).fetchone()
    return None if row is None else _lot_state(row)


def lots_of_batch(conn: sqlite3.Connection, batch_id: int) -> list[LotState]:
    """The lots of one batch, closed ones too."""
    rows = conn.execute(_SELECT + "AND lot.batch_id = ? ORDER BY lot.id", (batch_id,))
    return [_lot_state(row) for row in rows]


class _Curve(Sequence[CurvePoint]):
    """The points of a curve, read from the statement's text when first looked at.

    Weights come as whole numbers of 0.1 ng: whole numbers become text in half the time.
    """

    __slots__ = ("_points", "_text")

    def __init__(self, text: str) -> None:
        self._text = text
        self._points: tuple[CurvePoint, ...] = ()

    def _read(self) -> tuple[CurvePoint, ...]:
        if not self._points:
            self._points = tuple([_point(item) for item in self._text.split("|")])
        return self._points

    def __getitem__(self, at: Any) -> Any:
        if at == 0 and not self._points:  # most that is asked of a lot is its newest weight
            return _point(self._text.partition("|")[0])
        return self._read()[at]

    def __len__(self) -> int:
        return self._text.count("|") + 1

    def __iter__(self) -> Iterator[CurvePoint]:
        return iter(self._read())

    def __eq__(self, other: object) -> bool:
        return self._read() == (other._read() if isinstance(other, _Curve) else other)

    def __hash__(self) -> int:
        return hash(self._read())

    def __repr__(self) -> str:
        return repr(self._read())


def _point(item: str) -> CurvePoint:
    at, net, *factor = item.split(" ")
    return CurvePoint(at, int(net) / 1e10, float(factor[0]) if factor else 1.0)


def _looks(text: str) -> tuple[Look, ...]:
    parts = (line.split(" ", 2) for line in text.split("\n"))
    return tuple(Look(kind, at, words) for kind, at, words in parts)


_NAMES = field_names(LotState)
_IN_BAG, _SALT_BOX, _BY_DATE, _FERMENTS, _HAS_REST, _DOSE, _CURVE = (
    _NAMES.index(name)
    for name in ("in_bag", "salt_box", "by_date", "ferments", "has_rest", "dose_open", "curve")
)


def _lot_state(row: tuple[Any, ...]) -> LotState:
    """Build the record from one row of the statement, whose order is that of the record.

    Written out for five thousand lots: slices of the row between the few values that are read.
    """
    lines, ticked, first = row[_DOSE].split(" ")
    done = int(ticked)
    points, looks = row[_CURVE], row[-1]
    return from_row(
        LotState,
        (
            *row[:_IN_BAG],
            row[_IN_BAG] == 1,
            *row[_IN_BAG + 1 : _SALT_BOX],
            row[_SALT_BOX] == 1,
            *row[_SALT_BOX + 1 : _BY_DATE],
            row[_BY_DATE] == 1,
            row[_FERMENTS] == 1,
            row[_HAS_REST] == 1,
            *row[_HAS_REST + 1 : _DOSE],
            int(lines) - done,
            done,
            first or None,
            *row[_DOSE + 3 : _CURVE],
            _Curve(points) if points else (),
            row[_CURVE + 1],
            None
            if row[_CURVE + 3] is None
            else from_row(StoredForecast, (row[0], *row[_CURVE + 2 : -2])),
            row[-2],
            _looks(looks) if looks else (),
        ),
    )
