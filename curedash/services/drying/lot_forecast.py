"""What lies ahead of one hanging lot: its forecast by the calendar, and when to weigh it next."""

from datetime import date, datetime, timedelta
from sqlite3 import Connection

from curedash.domain.curing.stages import DRYING
from curedash.domain.drying.inspections import require_decided
from curedash.domain.drying.lot_figures import net_now_g, target_net_g
from curedash.domain.errors import Refused
from curedash.domain.needs.lot_needs import days_to_weigh_in
from curedash.domain.record import record, replace
from curedash.domain.records import LotState, Place
from curedash.domain.times import calendar_days, local_day, moment
from curedash.services.drying.forecasts import (
    AirLately,
    air_lately,
    evidence_of,
    look_ahead,
    points_of,
    weigh_again_day,
)
from curedash.services.find import require_lot
from curedash.services.household import household
from curedash.services.places.places import require_place
from curedash.store import weigh_ins

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.drying.forecast import Evidence, Forecast

MOST_HOLD_DAYS = 365.0  # design value: longer is no pause


@record
class LotAhead:
    """The forecast of a lot with its days as days of the household's zone."""

    lot: LotState
    seen: "Forecast"
    points: tuple[tuple[float, float], ...]  # day since hanging, loss of the hang weight [%]
    target_pct: float  # of the hang weight: where it is pulled first
    pull_at_g: tuple[float, float]  # what the scale shows then, lighter first
    hung_on: date
    window: tuple[date, date] | None
    median: date | None
    today: date
    day_now: int  # calendar days since it was hung
    day_weighed: int
    weigh_due: date | None  # by the rhythm
    weigh_again: date | None  # where one more weigh-in tells most
    evidence: "tuple[Evidence, ...]" = ()  # only where it was asked for
    present: "LotAhead | None" = None  # as it is, where this is what would be
    place: str | None = None  # where it would hang, if that is another place
    air: AirLately | None = None  # of that place


def what_if(
    conn: Connection,
    code: str,
    now: datetime,
    *,
    target_pct: float | None = None,
    hold_days: float = 0.0,
    place: str | None = None,
) -> LotAhead:
    """Look ahead of a lot as if its target or place were another, or it were on hold for some days.

    Parameters
    ----------
    place : name of the place it would hang in from now on
    target_pct : loss it would be pulled at, of the base its target is given on [%], 1–75
    hold_days : days on hold from now on [d], 0–365

    Raises
    ------
    as :func:`ahead_of`; Refused also for a hold that makes no sense or of a lot that does not dry
    """
    present = ahead_of(conn, code, now)
    if not 0.0 <= hold_days <= MOST_HOLD_DAYS:
        raise Refused(f"A hold lasts 1 to {MOST_HOLD_DAYS:g} days, e.g. 7d.")
    if hold_days and present.lot.stage != DRYING:
        raise Refused(f"{code} is not drying now, so a hold would change nothing.")
    lot = present.lot
    if target_pct is not None:
        high_pct = max(target_pct, lot.target_hi_pct)
        lot = replace(lot, target_lo_pct=target_pct, target_hi_pct=high_pct)
        _require_ahead(lot, target_pct)
    there = None if place is None else require_place(conn, place)
    air = None if there is None else _air_there(conn, present, there, now)
    seen = look_ahead(conn, lot, now, hold_days=hold_days, air_ahead=air)
    name = None if there is None else there.name
    return replace(_ahead(conn, lot, now, seen), present=present, place=name, air=air)


def _require_ahead(lot: LotState, target_pct: float) -> None:
    """Refuse a target that the lot has reached: it would have no window, only a day long past."""
    target, net_g = target_net_g(lot), net_now_g(lot)
    if target is None or net_g is None or net_g > target[1]:
        return
    base_g = target[1] / (1 - target_pct / 100)
    raise Refused(
        f"{lot.code} has lost {100 * (1 - net_g / base_g):.1f} % already; give a target above that."
    )


def _air_there(conn: Connection, present: LotAhead, there: Place, now: datetime) -> AirLately:
    """The air of another place, where both it and the present one are known.

    Raises
    ------
    Refused: it hangs there already, was weighed too seldom, or nothing is known of the air
    """
    lot = present.lot
    if lot.place_id == there.id:
        raise Refused(f"{lot.code} is in {there.name} already; name another place.")
    if lot.stage != DRYING:
        raise Refused(f"{lot.code} is not drying now, so another place would change nothing.")
    if "the place's air" not in present.seen.method:
        raise Refused(
            f"The air {lot.code} dried in is not known well enough to compare another place: it"
            " takes three weigh-ins, and readings of its place since it was hung."
        )
    air = air_lately(conn, there, now)
    if air is None:
        raise Refused(
            f"Nothing is known of the air in {there.name}: 'curedash air add' records a reading,"
            " 'curedash place set' a band."
        )
    return air


def ahead_of(
    conn: Connection, code: str, now: datetime, *, with_evidence: bool = False
) -> LotAhead:
    """Look ahead of one lot, and if asked say what moved its window; nothing is stored.

    Raises
    ------
    NotFound: no such lot; Refused: it has no hang weight, or waits for a decision
    """
    lot = require_lot(conn, code)
    require_decided(lot)
    seen = look_ahead(conn, lot, now)
    found = _ahead(conn, lot, now, seen)
    return replace(found, evidence=tuple(evidence_of(conn, lot, now))) if with_evidence else found


def _ahead(conn: Connection, lot: LotState, now: datetime, seen: "Forecast") -> LotAhead:
    """A forecast by the calendar."""
    zone = household.zone(conn)
    target, base_g, hung = target_net_g(lot), lot.base_g, lot.hang_at
    if target is None or base_g is None or hung is None:
        raise Refused(f"{lot.code} has no hang weight yet; weigh it when it is hung.")
    today, hung_at = now.astimezone(zone).date(), moment(hung).astimezone(zone)
    due = days_to_weigh_in(lot, now, zone, household.need_rules(conn))

    def day(number: float | None) -> date | None:
        return None if number is None else (hung_at + timedelta(days=number)).date()

    first, last = (day(end) for end in seen.window_day or (None, None))
    weighed_at = moment(lot.curve[0].at) if lot.curve else hung_at
    rows = [row for row in weigh_ins.of_lot(conn, lot.id) if row.curve]
    return LotAhead(
        lot=lot,
        seen=seen,
        points=tuple((at, 100.0 * (1.0 - share)) for at, share in points_of(lot, rows)),
        target_pct=100.0 * (1.0 - target[1] / base_g),
        pull_at_g=(target[0] + lot.tare_g, target[1] + lot.tare_g),
        hung_on=local_day(hung, zone),
        window=None if first is None or last is None else (first, last),
        median=day(seen.median_day),
        today=today,
        day_now=calendar_days(hung, now, zone),
        day_weighed=calendar_days(hung, weighed_at, zone),
        weigh_due=None if due is None else today + timedelta(days=due),
        weigh_again=day(weigh_again_day(lot, seen)),
    )
