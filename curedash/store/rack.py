"""The read model of the Rack: one statement for all lots, the same one for one lot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from sqlite3 import Connection

from curedash.domain.record import field_names, from_row
from curedash.domain.records import CurvePoint, Look, LotState, StoredForecast

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


_DOSE_LINES = """(SELECT count(*) || ' ' || count(d.ticked_at) || ' '
  || ifnull(min(d.ticked_at), '') FROM dose_line d WHERE d.lot_id = lot.id)"""
# all of them, since an alarm counts until it is decided; the limit keeps them in order
_LOOKS = """(SELECT group_concat(e.kind || ' ' || e.at || ' ' || e.words, char(10)) FROM (
  SELECT kind, at, replace(text, char(10), ' ') AS words FROM event
  WHERE lot_id = lot.id AND voided_at IS NULL
  AND kind IN ('alarm', 'mould', 'decision', 'target', 'bag', 'sibling', 'misdose')
  ORDER BY at DESC, id DESC LIMIT -1) e)"""
_NAMES = field_names(LotState)
_FORECAST_NAMES = field_names(StoredForecast)[1:]  # after the lot's own id
#: where a field does not come from the column of ``lot`` that has its name
_ELSEWHERE = {
    "batch": "batch.code",
    "batch_name": "batch.name",
    "species": "batch.species",
    "method": "batch.method",
    "salted_at": "batch.salted_at",
    "place": "place.name",
    "dose_open": _DOSE_LINES,  # three fields, read from its text
    "dose_ticked": "NULL",
    "first_tick_at": "NULL",
    "last_net_g": "kept.net_g",
    "last_gross_g": "kept.gross_g",
    "last_at": "kept.at",
    "last_kind": "kept.kind",
    "last_weigh_in_id": "kept.weigh_in_id",
    "curve": "kept.points",
    "curve_count": "ifnull(kept.points_count, 0)",
    "forecast": ", ".join([f"forecast.{name}" for name in _FORECAST_NAMES]),
    "looks": _LOOKS,
}
_SELECT = f"""
SELECT {", ".join([_ELSEWHERE.get(name) or f"lot.{name}" for name in _NAMES])}
FROM lot JOIN batch ON batch.id = lot.batch_id
LEFT JOIN place ON place.id = lot.place_id
LEFT JOIN forecast ON forecast.lot_id = lot.id
LEFT JOIN kept_curve kept ON kept.lot_id = lot.id
WHERE lot.voided_at IS NULL
"""


def open_lots(conn: Connection) -> list[LotState]:
    """Every lot that is neither closed nor discarded, in hanging order."""
    more = "AND lot.stage NOT IN ('closed', 'discarded')"
    # Ordered here: the driver would carry every wide row through a sorter of its own.
    lots = [_lot_state(row) for row in conn.execute(_SELECT + more)]
    lots.sort(key=lambda lot: (lot.position, lot.id))
    return lots


def all_lots(conn: Connection) -> list[LotState]:
    """Every lot ever made, oldest first."""
    return [_lot_state(row) for row in conn.execute(_SELECT + "ORDER BY lot.id")]


def one_lot(conn: Connection, lot_id: int) -> LotState | None:
    """The lot with this id."""
    row = conn.execute(_SELECT + "AND lot.id = ?", (lot_id,)).fetchone()
    return None if row is None else _lot_state(row)


def lot_by_code(conn: Connection, code: str) -> LotState | None:
    """The lot with this code, upper or lower case."""
    row = conn.execute(_SELECT + "AND lot.code = ?", (code.strip(),)).fetchone()
    return None if row is None else _lot_state(row)


def lots_of_batch(conn: Connection, batch_id: int) -> list[LotState]:
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
            self._points = tuple(map(_point, self._text.split("|")))
        return self._points

    def __getitem__(self, at: Any) -> Any:
        if at == 0 and not self._points:  # most that is asked of a lot is its newest weight
            return _point(self._text.partition("|")[0])
        return self._read()[at]

    def __len__(self) -> int:
        return self._text.count("|") + 1

    def __iter__(self) -> Iterator[CurvePoint]:
        return iter(self._read())

    def __reversed__(self) -> Iterator[CurvePoint]:
        return reversed(self._read())

    def __eq__(self, other: object) -> bool:
        return self._read() == (other._read() if isinstance(other, _Curve) else other)

    def __hash__(self) -> int:
        return hash(self._read())

    def __repr__(self) -> str:
        return repr(self._read())


def _point(item: str) -> CurvePoint:
    part = item.split(" ")
    factor = float(part[2]) if len(part) == 3 else 1.0
    return from_row(CurvePoint, (part[0], int(part[1]) / 1e10, factor))


def _looks(text: str) -> tuple[Look, ...]:
    parts = (line.split(" ", 2) for line in text.split("\n"))
    return tuple(Look(kind, at, words) for kind, at, words in parts)


_IN_BAG, _SALT_BOX, _BY_DATE, _FERMENTS, _HAS_REST, _DOSE, _CURVE, _FORECAST = (
    _NAMES.index(name)
    for name in (
        *("in_bag", "salt_box", "by_date", "ferments", "has_rest", "dose_open", "curve"),
        "forecast",
    )
)
_AFTER_FORECAST = _FORECAST + len(_FORECAST_NAMES)
_AS_OF = _FORECAST + _FORECAST_NAMES.index("as_of")


def _lot_state(row: tuple[Any, ...]) -> LotState:
    """Build the record from one row of the statement, which is made in the record's order.

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
            *row[_CURVE + 1 : _FORECAST],
            None
            if row[_AS_OF] is None
            else from_row(StoredForecast, (row[0], *row[_FORECAST:_AFTER_FORECAST])),
            *row[_AFTER_FORECAST:-1],
            _looks(looks) if looks else (),
        ),
    )
