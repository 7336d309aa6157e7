"""Ticking an ingredient off the dose sheet with what was weighed."""

import sqlite3
from dataclasses import replace

from curedash.domain.dose import weighed_dose
from curedash.domain.errors import NotFound, Refused
from curedash.domain.records import DoseLine, LotState
from curedash.services.recipe import request_of
from curedash.store import lots, rack
from curedash.store.work import By, Work, change


def tick_line(conn: sqlite3.Connection, by: By, line_id: int, weighed_g: float | None) -> LotState:
    """Tick one ingredient off, or take the tick back (None); what was weighed counts from then.

    Parameters
    ----------
    weighed_g : what really went in [g]; None takes the tick back

    Returns
    -------
    the lot as it stands now

    Raises
    ------
    NotFound: no such line; Refused: a weight below 0 g
    """
    if weighed_g is not None and not 0 <= weighed_g < 1e6:
        raise Refused("What went in weighs 0 g or more.")
    found = lots.dose_line(conn, line_id)
    if found is None:
        raise NotFound("That line of the dose sheet is gone.")
    lot = rack.one_lot(conn, found.lot_id)
    assert lot is not None  # the line points at it
    verb = "untick" if weighed_g is None else "tick"
    with change(conn, by, verb, subject=f"{lot.code} {found.name}") as work:
        lots.tick(work, line_id, weighed_g, None if weighed_g is None else by.now)
        _count_as_weighed(conn, work, lot, lots.dose_lines(conn, lot.id))
    after = rack.one_lot(conn, lot.id)
    return after if after is not None else lot


def _count_as_weighed(
    conn: sqlite3.Connection, work: Work, lot: LotState, sheet: list[DoseLine]
) -> None:
    """Recompute salt, nitrite and nitrate from what was weighed; unticked lines as planned."""
    request = request_of(conn, lot)
    if request is None:
        return
    from curedash.domain.dose import compute_dose

    weighed = {
        line.name: line.planned_g if line.weighed_g is None else line.weighed_g for line in sheet
    }
    dose = weighed_dose(compute_dose(replace(request, green_g=lot.green_g)), weighed)
    lots.update(
        work, lot.id, total_salt_pct=dose.total_salt_pct, nitrite_mg_per_kg=dose.nitrite_mg_per_kg,
        nitrate_mg_per_kg=dose.nitrate_mg_per_kg, dose_verdict=dose.verdict,
        dose_notes="\n".join(dose.messages) or None,
    )  # fmt: skip
