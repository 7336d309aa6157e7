"""A curve that begins in the middle: the first weigh-in of a piece that was hung unweighed.

Its hang weight is estimated, from its green weight if that is known, else from days and thickness.
The estimate is a weigh-in of kind ``hang`` like any other, with its ± on the lot; it follows when
the first real weigh-in is corrected, and goes when that is voided.
"""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import DRYING, FERMENT
from curedash.domain.drying.start_guess import StartGuess, start_from_days, start_from_green
from curedash.domain.records import LotState, WeighIn
from curedash.domain.times import days_between, utc_text
from curedash.services.find import lot_with_id
from curedash.services.weighing.as_of import follow, history_of, reweigh
from curedash.store import lots, weigh_ins
from curedash.store.work import Work

ESTIMATED = "estimated when it was first weighed"
#: thickness taken where nobody measured: of a piece three times as long as thick (design value)
LENGTH_OF_THICKNESS = 3.0
_DENSITY_G_PER_MM3 = 1.05e-3  # common practice for lean meat


def begins_here(lot: LotState) -> bool:
    """Whether the next weigh-in starts the curve: it dries or ferments and was hung unweighed."""
    return lot.stage in (DRYING, FERMENT) and lot.hang_g is None and lot.hang_at is not None


def begin_curve(work: Work, lot: LotState, net_g: float, at: datetime) -> bool:
    """Give a lot that was hung unweighed its estimated start, before its first weigh-in.

    Returns
    -------
    whether a curve begins here
    """
    if not begins_here(lot) or lot.hang_at is None or utc_text(at) < lot.hang_at:
        return False
    guess = _guess(lot, net_g, utc_text(at))
    gross_g = guess.hang_g + lot.tare_g
    start = {"kind": "hang", "curve": True, "base_factor": 1.0, "note": ESTIMATED}
    weigh_ins.add(work, weigh_ins.weighed(lot, lot.hang_at, gross_g, **start))
    _keep(work, lot, guess)
    return True


def follow_start(work: Work, lot_id: int) -> None:
    """After a weigh-in was corrected or voided: an estimated start follows the first one left."""
    lot = lot_with_id(work.conn, lot_id)
    if lot.start_from is None or lot.hang_at is None:
        return
    known = history_of(work.conn, lot_id)
    hung, first = known.hung(), first_weighed(work.conn, lot_id)
    if hung is None:
        return
    if first is None:
        weigh_ins.void(work, hung.id)
        lots.update(work, lot_id, hang_g=None, hang_pm_g=None, start_from=None, base_factor=1.0)
        return
    guess = _guess(lot, first.net_g / first.base_factor, first.at)
    reweigh(work, hung, gross_g=guess.hang_g + hung.tare_g)
    _keep(work, lot, guess)
    follow(work, lot_id, known)


def first_weighed(conn: Connection, lot_id: int) -> WeighIn | None:
    """The first point of the curve that was read off a scale."""
    rows = weigh_ins.of_lot(conn, lot_id)
    return next((row for row in rows if row.curve and row.kind != "hang"), None)


def _guess(lot: LotState, net_g: float, at: str) -> StartGuess:
    if lot.green_g is not None:
        return start_from_green(lot.green_g, lot.green_pm_g, net_g)
    days = max(0.0, days_between(lot.hang_at or at, at))
    thick_mm = lot.thickness_mm or _thick_mm(net_g / lot.count)
    return start_from_days(net_g, days, thick_mm)


def _thick_mm(net_g: float) -> float:
    """Thickness of a round piece of this weight [mm], where nobody measured."""
    volume_mm3 = net_g / _DENSITY_G_PER_MM3
    return float((4.0 * volume_mm3 / (LENGTH_OF_THICKNESS * 3.14159)) ** (1.0 / 3.0))


def _keep(work: Work, lot: LotState, guess: StartGuess) -> None:
    start = {"hang_g": guess.hang_g, "hang_pm_g": guess.pm_g, "start_from": guess.start_from}
    lots.update(work, lot.id, **start)
