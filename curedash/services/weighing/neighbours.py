"""A weigh-in beside the others of its hour: two that were swapped, one unlike its siblings."""

from collections.abc import Collection, Sequence
from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import ON_THE_CURVE
from curedash.domain.drying.lot_figures import expected_net_g
from curedash.domain.errors import CuredashError
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.times import SECONDS_PER_DAY, moment
from curedash.domain.weighing.doubts import Doubt, Expectation
from curedash.domain.weighing.neighbours import JustWeighed, Step, sibling_doubt, swap_doubt
from curedash.services.weighing.weigh import AN_HOUR_S, Preview, concerns_others, finest_division_g
from curedash.store import rack

NEAR_DAYS = 1.5  # design value: siblings were weighed within so many days of this one's weigh-ins
#: Questions that come before any comparison: about the time, or a weight kept just now.
_ASKED_FIRST = ("earlier", "ahead", "just-weighed")


def beside_others(
    conn: Connection, lot: LotState, seen: Preview, now: datetime, together: Collection[int] = ()
) -> Preview:
    """The preview with the question its neighbours raise, if they raise one.

    Parameters
    ----------
    lot, seen : the lot and what was typed for it
    now : the moment (aware)
    together : ids of lots weighed in the same round, however long ago
    """
    if not concerns_others(lot, seen):
        return seen
    if any(doubt.kind in _ASKED_FIRST for doubt in seen.doubts):
        return seen
    swap = _swap(conn, lot, seen, now, together)
    if swap is not None:
        return replace(seen, doubts=(swap,))
    if seen.doubts:
        return seen
    unlike = _unlike_siblings(conn, lot, seen)
    return seen if unlike is None else replace(seen, doubts=(unlike,))


def _swap(
    conn: Connection, lot: LotState, seen: Preview, now: datetime, together: Collection[int]
) -> Doubt | None:
    told = expected_net_g(lot, seen.at)
    if told is None:
        return None
    here = Expectation(lot.code, told[0] + lot.tare_g, told[1])
    if abs(seen.gross_g - here.gross_g) <= here.pm_g:
        return None
    found = []
    for other in rack.open_lots(conn):
        if other.id == lot.id or other.last_gross_g is None or not _just_now(other, seen, together):
            continue
        if not here.holds(other.last_gross_g):
            continue
        before = _expected_before(conn, other, now)
        if before is not None:
            found.append(JustWeighed(other.code, other.last_gross_g, before))
    return swap_doubt(seen.gross_g, here, found)


def _just_now(other: LotState, seen: Preview, together: Collection[int]) -> bool:
    if other.last_kind != "stage" or other.last_at is None or other.stage not in ON_THE_CURVE:
        return False
    apart_s = abs((seen.at - moment(other.last_at)).total_seconds())
    return apart_s <= AN_HOUR_S or other.id in together


def _expected_before(conn: Connection, lot: LotState, now: datetime) -> Expectation | None:
    """What a lot should have weighed at its newest weigh-in, going by those before it."""
    from curedash.services.drying.forecasts import stored_before

    if lot.last_at is None or len(lot.curve) < 2:
        return None
    try:
        stored = stored_before(conn, lot, now)
    except CuredashError:
        stored = None
    before = {"curve": tuple(lot.curve[1:]), "curve_count": lot.curve_count - 1}
    earlier = replace(lot, forecast=stored, **before)
    told = expected_net_g(earlier, moment(lot.last_at))
    return None if told is None else Expectation(lot.code, told[0] + lot.tare_g, told[1])


def _unlike_siblings(conn: Connection, lot: LotState, seen: Preview) -> Doubt | None:
    own = _own_step(lot, seen)
    if own is None or own.lost_g <= 0:
        return None
    since = moment(lot.curve[0].at)
    siblings = [
        step
        for other in rack.lots_of_batch(conn, lot.batch_id)
        if other.id != lot.id and (step := _step_between(other, since, seen.at)) is not None
    ]
    division_g = finest_division_g(conn, lot.green_g or seen.net_g)
    worn = "" if seen.tare_g <= 0 else lot.tare_what or "tare"
    return sibling_doubt(own, siblings, division_g, worn)


def _own_step(lot: LotState, seen: Preview) -> Step | None:
    if not lot.curve or lot.base_g is None:
        return None
    last = lot.curve[0]
    days = (seen.at - moment(last.at)).total_seconds() / SECONDS_PER_DAY
    last_g = last.net_g * lot.base_factor / last.base_factor
    if days <= 0:
        return None
    before_pct = 100 * (1 - last_g / lot.base_g)
    return Step(lot.code, last_g - seen.net_g, days, lot.base_g, before_pct)


def _step_between(lot: LotState, since: datetime, until: datetime) -> Step | None:
    """What a sibling lost from about the one moment to about the other."""
    if lot.base_g is None or lot.stage != "drying":
        return None
    ends: Sequence[tuple[datetime, float]] = [
        (moment(point.at), point.net_g * lot.base_factor / point.base_factor) for point in lot.curve
    ]
    last, first = _nearest(ends, until), _nearest(ends, since)
    if last is None or first is None or last[0] <= first[0]:
        return None
    days = (last[0] - first[0]).total_seconds() / SECONDS_PER_DAY
    before_pct = 100 * (1 - first[1] / lot.base_g)
    return Step(lot.code, first[1] - last[1], days, lot.base_g, before_pct)


def _nearest(
    points: Sequence[tuple[datetime, float]], when: datetime
) -> tuple[datetime, float] | None:
    """The point of a curve nearest to a moment, if it is near enough."""

    def apart_s(point: tuple[datetime, float]) -> float:
        return abs((point[0] - when).total_seconds())

    found = min(points, key=apart_s, default=None)
    near_s = NEAR_DAYS * SECONDS_PER_DAY
    return found if found is not None and apart_s(found) <= near_s else None
