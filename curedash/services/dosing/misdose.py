"""A mis-dose kept on its lot: what really went in, from then on what its figures rest on."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from sqlite3 import Connection
from typing import Any

from curedash.domain.dosing import CuringSalt, Dose, MisDose, misdose
from curedash.domain.dosing.words import plain
from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.domain.times import moment, utc_text
from curedash.services.dosing.bags import planned_dose
from curedash.services.dosing.recipe import MISDOSE, really_used
from curedash.services.dosing.tick import find_line, keep_figures, weighed_grams, with_salt
from curedash.services.find import lot_with_id
from curedash.services.one_line import one_line
from curedash.store import lots
from curedash.store.work import By, Work, at_once, change


@dataclass(frozen=True, slots=True)
class WentIn:
    """What a person says went in; what is not named went in as ticked, else as planned."""

    given: Mapping[str, float]  # grams by name or kind of ingredient
    really: CuringSalt | None = None  # where it was not the planned one
    lost_liquid_g: float = 0.0


@dataclass(frozen=True, slots=True)
class KeptMisDose:
    """The lot as it stands now, the bench, and the dose as it went in."""

    lot: LotState
    bench: MisDose
    dose: Dose


def bench_of(
    conn: Connection, lot: LotState, went_in: WentIn, now: datetime
) -> tuple[MisDose, Dose]:
    """The bench of a lot and the dose as it went in at a moment, without keeping anything.

    Raises
    ------
    Refused: the lot has no dose sheet, weights that make no sense; NotFound: no such ingredient
    """
    planned = planned_dose(conn, lot)
    if planned is None:
        raise Refused(f"{lot.code} has no dose sheet to compare with; write a note instead.")
    really = went_in.really or really_used(conn, lot)
    sheet, said = lots.dose_lines(conn, lot.id), _by_name(conn, lot, went_in.given)
    given = weighed_grams(sheet) | said
    bench = misdose(
        planned,
        given,
        really=really,
        lost_liquid_g=went_in.lost_liquid_g,
        stage=lot.stage,
        hours=salted_hours(lot, now),
    )
    still = {line.name: 0.0 for line in sheet if line.weighed_g is None and line.name not in said}
    if still:
        only = misdose(planned, given | still, really=really, lost_liquid_g=went_in.lost_liquid_g)
        bench = replace(bench, ticked=only.inside)
    return bench, replace(with_salt(planned, really, given), contents=bench.inside)


def salted_hours(lot: LotState, now: datetime) -> float | None:
    """Hours since salt first went on [h], 0 where none did; None where nobody knows the day."""
    since = lot.salted_at
    if since is None and lot.stage == "raw":
        if lot.first_tick_at is None:
            return 0.0
        since = lot.first_tick_at
    if since is None and lot.stage == "in-cure":
        since = lot.stage_at
    return None if since is None else max(0.0, (now - moment(since)).total_seconds() / 3600)


@at_once
def keep_misdose(
    conn: Connection, by: By, lot_id: int, went_in: WentIn, at: datetime, *, note: str | None = None
) -> KeptMisDose:
    """Keep what went in as an event of the lot; its sheet and its figures follow.

    Raises
    ------
    Refused: nothing differs from the sheet, or as :func:`bench_of`
    """
    lot = lot_with_id(conn, lot_id)
    if not went_in.given and went_in.really is None and not went_in.lost_liquid_g:
        raise Refused("Say what went in, for example --given curing-salt=7g.")
    bench, dose = bench_of(conn, lot, went_in, moment(by.now))
    words, when = one_line(note, 500), utc_text(at)
    with change(conn, by, "mis-dose", subject=lot.code, at=when) as work:
        _tick_given(work, lot, went_in, when)
        text = event_words(bench, went_in) + (f"; {words}" if words else "")
        lots.add_event(work, when, MISDOSE, text, lot_id=lot_id, data=_data(went_in, bench))
        keep_figures(work, lot, dose)
    return KeptMisDose(lot_with_id(conn, lot_id), bench, dose)


def event_words(bench: MisDose, went_in: WentIn) -> str:
    """One line for the lot's log."""
    parts = [
        f"{line.name} {plain(line.given_g)} g, planned {plain(line.planned_g)} g"
        for line in bench.lines
        if line.top_up_g or line.over_g
    ]
    if went_in.really is not None:
        parts.append(f"{went_in.really.name} was used")
    if went_in.lost_liquid_g:
        parts.append(f"{plain(went_in.lost_liquid_g)} g of liquid lost")
    nitrite = bench.inside.nitrite_mg_per_kg
    if nitrite is not None:
        parts.append(f"{plain(nitrite)} mg/kg nitrite in")
    return "; ".join(parts) or "as planned"


def _by_name(conn: Connection, lot: LotState, given: Mapping[str, float]) -> dict[str, float]:
    return {find_line(conn, lot, name).name: grams for name, grams in given.items()}


def _tick_given(work: Work, lot: LotState, went_in: WentIn, when: str) -> None:
    """The sheet shows what went in beside what was planned."""
    for name, grams in went_in.given.items():
        line = find_line(work.conn, lot, name)
        lots.tick(work, line.id, grams, line.ticked_at or when)


def _data(went_in: WentIn, bench: MisDose) -> dict[str, Any]:
    return {
        "given": dict(went_in.given),
        "curing_salt": None if went_in.really is None else asdict(went_in.really),
        "lost_liquid_g": went_in.lost_liquid_g,
        "inside": asdict(bench.inside),
        "inside_low": None if bench.inside_low is None else asdict(bench.inside_low),
        "choices": list(bench.choices),
    }
