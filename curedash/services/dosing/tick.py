"""Ticking ingredients off the dose sheet with what was weighed."""

from collections.abc import Sequence
from dataclasses import asdict, replace
from sqlite3 import Connection

from curedash.domain.dosing import CuringSalt, Dose, weighed_dose
from curedash.domain.dosing.words import plain
from curedash.domain.errors import Changed, NotFound, Refused
from curedash.domain.records import DoseLine, LotState
from curedash.domain.wording import listed
from curedash.services.dosing.bags import planned_dose
from curedash.services.dosing.recipe import (
    ABOUT_THE_PIECE,
    FIGURES,
    MISDOSE,
    really_used,
    still_asked,
)
from curedash.services.find import lot_with_id
from curedash.services.one_line import one_line
from curedash.store import lots, record_lookups
from curedash.store.work import By, Work, at_once, change

OUTSIDE = "refused"


@at_once
def tick_line(
    conn: Connection,
    by: By,
    line_id: int,
    weighed_g: float | None,
    *,
    at: str | None = None,
    note: str | None = None,
    seen: DoseLine | None = None,
) -> LotState:
    """Tick one ingredient off, or untick it (None); what was weighed counts from then.

    Parameters
    ----------
    weighed_g : what really went in [g]; None unticks it
    at : when it went in [UTC], else now
    note : how it happened, where the weight is far from the plan
    seen : the line as it was shown; None: as it is

    Returns
    -------
    the lot as it stands now

    Raises
    ------
    NotFound: no such line; Refused: a weight below 0 g; Changed: it was ticked or weighed anew
    since it was shown
    """
    if weighed_g is not None and not 0 <= weighed_g < 1e6:
        raise Refused("What went in weighs 0 g or more.")
    found = lots.dose_line(conn, line_id)
    if found is None:
        raise NotFound("That line of the dose sheet is gone.")
    lot = lot_with_id(conn, found.lot_id)
    if seen is not None and (found.weighed_g, found.ticked_at) != (seen.weighed_g, seen.ticked_at):
        line = f"{lot.code}: {found.name}"
        if found.weighed_g is None:
            raise Changed(f"{line} was unticked meanwhile; look at the sheet again.")
        raise Changed(
            f"{line} was ticked meanwhile, {found.weighed_g:g} g; look at the sheet again."
        )
    verb = "untick" if weighed_g is None else "tick"
    with change(conn, by, verb, subject=f"{lot.code} {found.name}", at=at) as work:
        lots.tick(work, line_id, weighed_g, None if weighed_g is None else at or by.now)
        if note is not None:
            text = f"{found.name} {plain(weighed_g or 0.0)} g: {one_line(note, 500)}"
            lots.add_event(work, at or by.now, "note", text, lot_id=lot.id)
        count_as_weighed(work, lot)
    return lot_with_id(conn, lot.id)


@at_once
def tick_all(conn: Connection, by: By, lot_id: int, *, at: str | None = None) -> LotState:
    """Tick everything off that is still open, as planned.

    Raises
    ------
    NotFound: no such lot; Refused: nothing is open
    """
    lot = lot_with_id(conn, lot_id)
    still = [line for line in lots.dose_lines(conn, lot_id) if line.ticked_at is None]
    if not still:
        raise Refused(f"No line on the dose sheet of {lot.code} is open.")
    with change(conn, by, "tick", subject=f"{lot.code} all", at=at) as work:
        for line in still:
            lots.tick(work, line.id, line.planned_g, at or by.now)
        count_as_weighed(work, lot)
    return lot_with_id(conn, lot_id)


def find_line(conn: Connection, lot: LotState, name: str) -> DoseLine:
    """The line of a lot's sheet by its name, its kind or a beginning that fits only one.

    Raises
    ------
    NotFound: names what is on the sheet
    """
    sheet = lots.dose_lines(conn, lot.id)
    wanted = name.strip().casefold()
    for fits in (
        [line for line in sheet if wanted in (line.name.casefold(), line.kind.casefold())],
        [line for line in sheet if wanted and line.name.casefold().startswith(wanted)],
    ):
        if len(fits) == 1 or (fits and fits[0].kind != "extra"):
            return fits[0]
    there = listed(line.name for line in sheet) or "nothing"
    raise NotFound(f"“{name[:40]}” is not on the sheet of {lot.code}; it has {there}.")


def weighed_grams(sheet: Sequence[DoseLine]) -> dict[str, float]:
    """What went in by name [g]: what was weighed, as planned where nothing was."""
    return {x.name: x.planned_g if x.weighed_g is None else x.weighed_g for x in sheet}


def count_as_weighed(work: Work, lot: LotState) -> Dose | None:
    """Recompute salt, nitrite and nitrate from what was weighed; unticked lines as planned.

    A dose that breaks a limit by what was weighed becomes an event of the lot.
    """
    conn = work.conn
    planned = planned_dose(conn, lot)
    if planned is None:
        return None
    dose = dose_weighed(conn, lot, planned, lots.dose_lines(conn, lot.id))
    keep_figures(work, lot, dose)
    if dose.verdict == OUTSIDE and lot.dose_verdict != OUTSIDE:
        found = dose.nitrite_mg_per_kg
        outside = "weighed outside the rule"
        words = outside if found is None else f"{outside}: {plain(found)} mg/kg nitrite in"
        inside = {"inside": asdict(dose.contents)}
        lots.add_event(work, work.by.now, MISDOSE, words, lot_id=lot.id, data=inside)
    return dose


def dose_weighed(conn: Connection, lot: LotState, planned: Dose, sheet: Sequence[DoseLine]) -> Dose:
    """The dose of what was weighed, the rest as planned, with the salt that was really used."""
    return with_salt(planned, really_used(conn, lot), weighed_grams(sheet))


def with_salt(planned: Dose, really: CuringSalt | None, weighed: dict[str, float]) -> Dose:
    """The dose as it went in, with the curing salt that was really used."""
    if really is not None:
        planned = replace(planned, request=replace(planned.request, curing_salt=really))
    return weighed_dose(planned, weighed)


def keep_figures(work: Work, lot: LotState, dose: Dose) -> None:
    """Keep what a dose amounts to with its lot."""
    notes = record_lookups.dose_notes(work.conn, lot.id)
    kept = [line for line in notes if line.startswith(ABOUT_THE_PIECE)]
    lots.update(
        work,
        lot.id,
        **{name: getattr(dose, name) for name in FIGURES},
        dose_verdict=dose.verdict,
        dose_notes="\n".join((*dose.messages, *kept)) or None,
        asked=still_asked(dose, lot.asked),
    )
