"""Every weigh-in as one CSV for a spreadsheet: a line a weight, times of the household.

A time is written as spreadsheets read one (``2026-11-25 18:00:00``), a number with a decimal point
and without its unit, which is in the heading.
"""

from __future__ import annotations

from datetime import tzinfo

from curedash.domain.records import LotState, WeighIn
from curedash.domain.times import moment
from curedash.papers.whole_csv import as_csv, cell
from curedash.store import rack, weigh_ins
from curedash.store.open import Connection

HEADS = (
    *("date", "lot", "piece", "stage", "weight g", "tare_g", "net_g"),
    *("lost_pct_of_hang", "counts", "note"),
)


def weigh_in_sheet(conn: Connection, zone: tzinfo) -> str:
    """The whole sheet, lot by lot, oldest first; voided weights are in it and do not count."""
    lines: list[list[str]] = [list(HEADS)]
    for lot in sorted(rack.all_lots(conn), key=lambda lot: lot.id):
        lines += [_line(lot, one, zone) for one in weigh_ins.of_lot(conn, lot.id, voided=True)]
    return as_csv(lines)


def _line(lot: LotState, one: WeighIn, zone: tzinfo) -> list[str]:
    at = moment(one.at).astimezone(zone).replace(tzinfo=None, microsecond=0)
    lost_pct = None
    if one.curve and lot.hang_g is not None:
        lost_pct = round(100 * (1 - one.net_g / (lot.hang_g * one.base_factor)), 2)
    return [
        at.isoformat(" "),
        *(cell(words, "TEXT") for words in (lot.code, lot.piece or None, one.stage)),
        *(cell(grams, "REAL") for grams in (one.gross_g, one.tare_g, one.net_g)),
        cell(lost_pct, "REAL"),
        "no" if one.voided_at else "yes",
        cell(one.note, "TEXT"),
    ]
