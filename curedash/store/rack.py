"""The read model of the Rack: one statement for all lots, the same one for one lot."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence

from curedash.domain.record import field_names
from curedash.domain.records import CurvePoint, Look, LotState, StoredForecast

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


CURVE_POINTS = 16

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
  lot.stage_until, last.net_g, last.gross_g, last.at, last.kind, last.id,
  (SELECT group_concat(p.at || ' ' || CAST(p.net_g * 1e10 + 0.5 AS INTEGER)
       || CASE p.base_factor WHEN 1 THEN '' ELSE ' ' || p.base_factor END, '|') FROM (
     SELECT w.at, w.net_g, w.base_factor FROM weigh_in w
     WHERE w.lot_id = lot.id AND w.voided_at IS NULL AND w.curve = 1
     ORDER BY w.at DESC, w.id DESC LIMIT 16) p),
  (SELECT count(*) FROM weigh_in w
     WHERE w.lot_id = lot.id AND w.voided_at IS NULL AND w.curve = 1),
  forecast.weigh_in_id, forecast.as_of, forecast.model, forecast.median_day, forecast.lo_day,
  forecast.hi_day, forecast.p_levels_off, forecast.method, forecast.near, lot.green_factor,
  (SELECT group_concat(e.kind || ' ' || e.at || ' ' || e.words, char(10)) FROM (
     SELECT kind, at, replace(text, char(10), ' ') AS words FROM event
     WHERE lot_id = lot.id AND voided_at IS NULL
     AND kind IN ('alarm', 'mould', 'decision', 'target', 'bag', 'sibling',
       'misdose')
     ORDER BY at DESC, id DESC LIMIT 6) e)
FROM lot JOIN batch ON batch.id = lot.batch_id
LEFT JOIN place ON place.id = lot.place_id
LEFT JOIN forecast ON forecast.lot_id = lot.id
LEFT JOIN weigh_in last ON last.id = (
  SELECT w.id FROM weigh_in w WHERE w.lot_id = lot.id AND w.voided_at IS NULL
  ORDER BY w.at DESC, w.id DESC LIMIT 1)
WHERE lot.voided_at IS NULL
"""


def open_lots(conn: sqlite3.Connection) -> list[LotState]:
    """Every lot that is neither closed nor discarded, in hanging order."""
    more = "AND lot.stage NOT IN ('closed', 'discarded') ORDER BY lot.position, lot.id"
    return [_lot_state(row) for row in conn.execute(_SELECT + more)]


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


def _looks(text: str | None) -> tuple[Look, ...]:
    if not text:
        return ()
    parts = (line.split(" ", 2) for line in text.split("\n"))
    return tuple(Look(kind, at, words) for kind, at, words in parts)


_NAMES = field_names(LotState)
_FLAGS = [_NAMES.index(n) for n in ("in_bag", "salt_box", "by_date", "ferments", "has_rest")]
_DOSE = _NAMES.index("dose_open")
_CURVE = _NAMES.index("curve")
_LOOKS = _NAMES.index("looks") - len(_NAMES)
_AFTER_FORECAST = _NAMES.index("forecast") + 1 - len(_NAMES)


def _lot_state(row: tuple[Any, ...]) -> LotState:
    """Build the record from one row of the statement, whose order is that of the record."""
    fields = list(row)
    lines, ticked, first = fields[_DOSE].split(" ")
    done = int(ticked)
    fields[_DOSE : _DOSE + 3] = int(lines) - done, done, first or None
    for flag in _FLAGS:
        fields[flag] = bool(fields[flag])
    stored = fields[_CURVE + 2 : _AFTER_FORECAST]
    forecast = None if stored[1] is None else StoredForecast(fields[0], *stored)
    fields[_CURVE] = _Curve(fields[_CURVE]) if fields[_CURVE] else ()
    fields[_LOOKS] = _looks(fields[_LOOKS])
    fields[_CURVE + 2 : _AFTER_FORECAST] = [forecast]
    return LotState(*fields)
