"""The files ``curedash forecast --file`` reads: weigh-ins, air, finished pieces."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from typing import Any

from curedash.domain.drying.forecast import AirDay, FinishedPiece
from curedash.domain.errors import Refused
from curedash.domain.typed.numbers import as_float
from curedash.domain.wording import listed

MOST_ROWS = 200_000


def read_table(path: str, columns: Sequence[str]) -> list[tuple[float, ...]]:
    """Rows of numbers under the columns asked for, in any order, parted by comma or semicolon."""
    lines = _text(path).splitlines()
    first = lines[0] if lines else ""
    rows = csv.reader(lines[: MOST_ROWS + 2], delimiter=";" if ";" in first else ",")
    head = [name.strip().lower() for name in next(rows, [])]
    missing = [name for name in columns if name not in head]
    if missing:
        raise Refused(f"{path}: the first line must name {listed(columns)}.")
    at = [head.index(name) for name in columns]
    out = []
    for number, row in enumerate(rows, 2):
        if not any(cell.strip() for cell in row):
            continue
        try:
            out.append(tuple(as_float(row[i]) for i in at))
        except (ValueError, IndexError):
            raise Refused(f"{path}, line {number}: give a number for {listed(columns)}.") from None
    if len(out) > MOST_ROWS:
        raise Refused(f"{path} has over {MOST_ROWS} rows; thin it out.")
    return out


def read_air(path: str) -> list[AirDay]:
    """Daily means of the place: day since hanging, °C, % relative humidity."""
    rows = read_table(path, ("day", "temp_c", "rh_pct"))
    for day, temp_c, rh_pct in rows:
        if not (-1e4 < day < 1e4 and -40.0 <= temp_c <= 60.0 and 0.0 <= rh_pct <= 100.0):
            raise Refused(
                f"{path}: day {day:g} has an impossible temperature or humidity; check °C and % RH."
            )
    return [AirDay(day, temp_c, rh_pct) for day, temp_c, rh_pct in rows]


def read_history(path: str) -> list[FinishedPiece]:
    """Finished pieces of the household, a JSON list of objects; it may be empty."""
    try:
        pieces = json.loads(_text(path))
    except (ValueError, RecursionError):
        raise Refused(f"{path} is not JSON: give a list of finished pieces, [] for none.") from None
    if not isinstance(pieces, list):
        raise Refused(f"{path}: give a JSON list of finished pieces, [] for none.")
    return [_piece(path, number, piece) for number, piece in enumerate(pieces, 1)]


def _piece(path: str, number: int, piece: Any) -> FinishedPiece:
    try:
        bag = piece.get("in_bag")
        return FinishedPiece(
            tuple(float(day) for day in piece["day"]),
            tuple(float(g) for g in piece["net_g"]),
            diameter_mm=_number(piece.get("diameter_mm")),
            length_mm=_number(piece.get("length_mm")),
            moisture_pct=_number(piece.get("green_moisture_pct")),
            in_bag=bag if isinstance(bag, bool) else None,
            air=tuple(AirDay(float(d), float(t), float(r)) for d, t, r in piece.get("air") or ()),
        )
    except (AttributeError, KeyError, TypeError, ValueError):
        raise Refused(
            f"{path}, piece {number}: give at least day and net_g as lists of numbers."
        ) from None


def _number(value: Any) -> float | None:
    return None if value is None else float(value)


def _text(path: str) -> str:
    from curedash.store.outside import SHEET_BYTES, read_text

    return read_text(path, SHEET_BYTES)
