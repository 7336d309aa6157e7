"""Pull windows: computed after a weigh-in, stored, and read by every front.

A window follows from the weigh-ins, the air up to the day before the last of them and the lots
finished in the place with what their windows said, and from nothing else: each look computes it
from all of them, so that it is the same whenever and wherever it is asked for. The air it was told
from is stored beside it: readings that arrive late count from the next weigh-in on, else from the
next day on. Same data and day, same window. What a finished lot
says about its place, and how its windows did, is read once and stored beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta, tzinfo
from itertools import pairwise
from sqlite3 import Connection

from curedash.domain.drying.drying_rate import weigh_again_by
from curedash.domain.drying.lot_figures import SHORT_LIKELY, target_net_g
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.fast_json import dumps, loads_numbers
from curedash.domain.record import record, replace
from curedash.domain.records import (
    LotState,
    Place,
    StageEntry,
    StoredForecast,
    StoredWindow,
    WeighIn,
)
from curedash.domain.times import days_between, local_day, utc_text
from curedash.services.weighing.weigh import finest_division_g
from curedash.store import derived, lots, places, rack, weigh_ins
from curedash.store.work import quiet

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.drying.forecast import (
        AirDay,
        Basis,
        Evidence,
        Forecast,
        LotScore,
        PieceFit,
        Posterior,
    )

#: Stages of a lot that still has a day to be pulled on.
FORECAST_STAGES = ("drying", "ferment", "on-hold")
DRIES = ("drying", "ferment")
FINISHED_STAGES = ("equalising", "keeping", "closed")
MOST_FINISHED = 12
BESIDE = b"\n"  # between a stored posterior and the air it was computed from
OF = "|of "  # in the model of a stored window, before the finished lots it rests on
LATELY_DAYS = 14  # design value: readings that show how a place is now
NEAR_DAYS = (0.0, 2.0, 4.0, 7.0, 10.0, 14.0, 21.0, 30.0)


def refresh(conn: Connection, lot: LotState, now: datetime) -> list[int]:
    """Compute the pull window of one lot and store it; a lot without one loses it.

    Windows of other lots that rest on this one follow; their ids are returned. Nothing that goes
    wrong here may cost a weigh-in that is kept already: what cannot be forecast is stored as no
    window with the reason.
    """
    _refresh(conn, lot, now)
    return others_follow(conn, lot, now)


def _refresh(conn: Connection, lot: LotState, now: datetime) -> None:
    if not has_window(lot):
        if lot.forecast is not None and lot.stage not in FINISHED_STAGES:
            with quiet(conn):
                derived.drop_forecast(conn, lot.id)
        return
    air: Sequence[AirDay] = ()
    try:
        if lot.hang_g is None:
            found = _by_size(lot)
        else:
            of = _known(conn, lot, now, anew=True, renews=True)
            found, air = _seen(lot, of), of.air
    except CuredashError as trouble:
        _store(conn, lot, now, None, str(trouble))
        return
    _store(conn, lot, now, found, found.method, air)


def _by_size(lot: LotState) -> Forecast:
    """The window of a lot that hangs unweighed, from how thick it is or what it may weigh."""
    from curedash.domain.drying.forecast import never_weighed

    each_g = None if lot.green_g is None else lot.green_g / lot.count
    return never_weighed(lot.target_lo_pct, lot.thickness_mm, each_g)


def _seen(lot: LotState, of: Basis) -> Forecast:
    """The window from weigh-ins; over every start it may have had where that is a guess."""
    from curedash.domain.drying.forecast import forecast, over_starts

    if lot.start_from is not None:
        return over_starts(of, (lot.hang_pm_g or 0.0) / lot.count)
    return forecast(of)


def has_window(lot: LotState) -> bool:
    """Whether a pull window is computed of a lot: it hangs, weighed or of a known thickness."""
    sized = lot.thickness_mm is not None or lot.green_g is not None
    hangs = lot.hang_g is not None or (lot.hang_at is not None and sized)
    return hangs and lot.stage in FORECAST_STAGES and not lot.by_date


def is_stale(lot: LotState, now: datetime) -> bool:
    """Whether the stored window no longer belongs to the lot as it stands today."""
    if not has_window(lot):
        return False
    stored = lot.forecast
    if stored is None or stored.model.partition(OF)[0] != model_of(lot):
        return True
    return stored.as_of[:10] < utc_text(now)[:10]


def stored_before(conn: Connection, lot: LotState, now: datetime) -> StoredForecast | None:
    """The window a lot had before its newest weigh-in, computed anew; nothing is stored.

    Raises
    ------
    Refused: it has no hang weight or target, or its weigh-ins make no sense
    """
    if not has_window(lot):
        return None
    found = look_ahead(conn, lot, now, but_newest=True)
    return _as_stored(conn, lot, now, found, found.method)


def look_ahead(
    conn: Connection,
    lot: LotState,
    now: datetime,
    *,
    but_newest: bool = False,
    hold_days: float = 0.0,
    air_ahead: AirLately | None = None,
) -> Forecast:
    """The forecast of a hanging lot, from its weigh-ins, its place and the household's lots.

    Parameters
    ----------
    but_newest : leave the newest weigh-in out
    hold_days : days on hold from now on, as if it were taken out and hung again [d]
    air_ahead : the air from now on, as if it hung in another place

    Raises
    ------
    Refused: it has no hang weight or target, or its weigh-ins make no sense
    """
    if lot.hang_g is None and has_window(lot):
        return _by_size(lot)
    of = _known(conn, lot, now, but_newest=but_newest)
    if hold_days > 0 and lot.hang_at is not None:
        today = days_between(lot.hang_at, utc_text(now))
        of = replace(of, paused=(*of.paused, (today, today + hold_days)))
    if air_ahead is not None:
        from curedash.domain.drying.forecast import FROM_NOW_ON, AirDay

        ahead = AirDay(FROM_NOW_ON, air_ahead.temp_c, air_ahead.rh_pct)
        of = replace(of, air=(*of.air, ahead))
    return _seen(lot, of)


def evidence_of(conn: Connection, lot: LotState, now: datetime) -> list[Evidence]:
    """Which evidence moved the window of a hanging lot how far.

    Raises
    ------
    Refused: as for `look_ahead`
    """
    from curedash.domain.drying.forecast import evidence

    return evidence(_known(conn, lot, now, anew=True))


def _known(
    conn: Connection,
    lot: LotState,
    now: datetime,
    *,
    anew: bool = False,
    renews: bool = False,
    but_newest: bool = False,
) -> Basis:
    """What the forecast of a lot rests on.

    A string dries as its pieces do, and is weighed as one: the base is that of a piece.
    ``anew``: without what was computed before; ``renews``: a day that is over has its air anew.
    """
    from curedash.domain.drying.forecast import Basis, learned

    target = target_net_g(lot)
    if lot.hang_g is None or lot.hang_at is None or lot.base_g is None or target is None:
        raise Refused(f"{lot.code} has no hang weight yet; weigh it when it is hung.")
    rows = [row for row in weigh_ins.of_lot(conn, lot.id) if row.curve]
    if but_newest:
        rows = rows[:-1]
    entries = lots.stages(conn, lot.id)
    place_id = drying_place(entries) or lot.place_id
    finished = _finished_here(conn, lot.id, place_id)
    air = None if but_newest else _stored_air(conn, lot, place_id, now, renews)
    if air is None:
        air = _air(conn, lot.hang_at, place_id, rows[-1].at if rows else lot.hang_at)
    return Basis(
        points_of(lot, rows),
        100.0 * (1.0 - target[1] / lot.base_g),
        base_g=lot.hang_g / lot.count,
        scale_division_g=finest_division_g(conn, lot.hang_g) / lot.count,
        diameter_mm=lot.thickness_mm,
        in_bag=lot.in_bag,
        history=[fit for fit, _ in finished],
        own=learned([score for _, score in finished if score is not None]),
        air=air,
        sds=_spreads(conn, lot, len(rows)),
        paused=pauses_of(lot, entries, now),
        posterior=None if anew or but_newest else _stored_posterior(conn, lot),
    )


def points_of(lot: LotState, rows: Sequence[WeighIn]) -> list[tuple[float, float]]:
    """Days since hanging and share of the base left, cuts followed, oldest first."""
    if lot.hang_at is None or lot.hang_g is None:
        return []
    return [
        (max(0.0, days_between(lot.hang_at, row.at)), row.net_g / (lot.hang_g * row.base_factor))
        for row in rows
    ]


def pauses_of(
    lot: LotState, entries: Sequence[StageEntry], now: datetime
) -> tuple[tuple[float, float], ...]:
    """Stretches since hanging in which the lot did not dry [calendar d since hanging]."""
    if lot.hang_at is None:
        return ()
    hung = lot.hang_at
    later = [entry for entry in entries if entry.at >= hung]
    if not later:
        return ()
    ends = [entry.at for entry in later[1:]] + [utc_text(now)]
    return tuple(
        (days_between(hung, entry.at), days_between(hung, end))
        for entry, end in zip(later, ends, strict=True)
        if entry.stage not in DRIES and end > entry.at
    )


def drying_place(entries: Iterable[StageEntry]) -> int | None:
    """Where the lot hangs or last hung."""
    hung = [entry.place_id for entry in entries if entry.stage in DRIES]
    return hung[-1] if hung else None


def model_of(lot: LotState) -> str:
    """What a stored window was computed from: the model, and the lot as it was, by the piece."""
    from curedash.domain.drying.forecast import VERSION

    seen = round(sum(point.net_g / point.base_factor for point in lot.curve), 2)
    each_g = (lot.hang_g or 0) / lot.count
    return (
        f"{VERSION}|{lot.curve_count}|{seen:g}|{each_g:g}|{lot.base_factor:.6g}"
        f"|{lot.stage}|{lot.target_lo_pct:g}{lot.target_base}|{lot.thickness_mm or 0:g}"
    )


def _stored_model(
    conn: Connection, lot: LotState, dried: dict[int | None, list[int]] | None = None
) -> str:
    """The same with the finished lots that were looked at; ``dried`` has those read before."""
    place_id = drying_place(lots.stages(conn, lot.id)) or lot.place_id
    dried = {} if dried is None else dried
    if place_id not in dried:
        dried[place_id] = lots.dried_in(conn, place_id, FINISHED_STAGES, MOST_FINISHED)
    return model_of(lot) + OF + "+".join(str(one) for one in dried[place_id] if one != lot.id)


def others_follow(conn: Connection, lot: LotState, now: datetime) -> list[int]:
    """Compute the windows anew that rest on a lot which finished, or no longer does; their ids."""
    place_id = drying_place(lots.stages(conn, lot.id))
    if place_id is None or (lot.stage not in FINISHED_STAGES and lot.stage not in DRIES):
        return []
    if lot.stage in DRIES and not _is_rested_on(conn, lot):
        return []  # the usual weigh-in: it has not come back from the finished ones
    dried: dict[int | None, list[int]] = {}
    changed = [
        other
        for other in rack.open_lots(conn)
        if other.id != lot.id
        and other.stage in FORECAST_STAGES
        and other.forecast is not None
        and other.place_id == place_id
        and other.forecast.model != _stored_model(conn, other, dried)
    ]
    for other in changed:
        _refresh(conn, other, now)
    return [other.id for other in changed]


def _is_rested_on(conn: Connection, lot: LotState) -> bool:
    """Whether any stored window names this lot among the finished ones it rests on."""
    number = str(lot.id)
    return any(number in model.partition(OF)[2].split("+") for model in derived.models(conn))


def _store(
    conn: Connection,
    lot: LotState,
    now: datetime,
    found: Forecast | None,
    method: str,
    air: Sequence[AirDay] = (),
) -> None:
    posterior = None if found is None else found.posterior
    place_id = drying_place(lots.stages(conn, lot.id)) or lot.place_id
    rests_on = None if posterior is None else _rests_on(posterior, place_id, air)
    stored = _as_stored(conn, lot, now, found, method)
    with quiet(conn):
        derived.put_forecast(conn, stored, rests_on)
        if found is not None and found.posterior is not None and found.window_day:
            told = (lot.id, stored.as_of[:10], stored.as_of, stored.weigh_in_id)
            days = (found.median_day or found.window_day[0], *found.window_day)
            window = StoredWindow(*told, *days, found.p_levels_off, method)
            derived.store_window(conn, window)


def _as_stored(
    conn: Connection, lot: LotState, now: datetime, found: Forecast | None, method: str
) -> StoredForecast:
    rows = [row.id for row in weigh_ins.of_lot(conn, lot.id) if row.curve]
    of = (lot.id, rows[-1] if rows else None, utc_text(now), _stored_model(conn, lot))
    if found is None:
        return StoredForecast(*of, None, None, None, None, method)
    first, last = found.window_day or (None, None)
    days = (found.median_day, first, last)
    again = weigh_again_day(lot, found)
    return StoredForecast(*of, *days, found.p_levels_off, method, _near(found), again)


def weigh_again_day(lot: LotState, found: Forecast) -> float | None:
    """Day by which one more weigh-in tells most about the window [d since hanging].

    None where nothing dries, or too little is known for one day to tell more than another.
    """
    if lot.stage not in DRIES or found.window_day is None or not found.narrows:
        return None
    return weigh_again_by(found.as_of_day, found.narrows, found.window_day[0], lot.weigh_every_days)


def _near(found: Forecast) -> str | None:
    """Low, middle and high loss for the days just ahead, as the weigh-in line needs them."""
    rows = []
    for ahead in NEAR_DAYS:
        losses = found.loss_on(found.as_of_day + ahead)
        if losses is not None:
            rows.append([round(found.as_of_day + ahead, 3), *(round(loss, 3) for loss in losses)])
    return dumps(rows) if rows else None


def _stored_posterior(conn: Connection, lot: LotState) -> Posterior | None:
    """What was stored with the window, if it was computed from the lot as it is."""
    from curedash.domain.drying.forecast import Posterior

    kept = derived.forecast(conn, lot.id)
    if kept is None or kept[1] is None or kept[0].model != _stored_model(conn, lot):
        return None
    return Posterior.from_bytes(kept[1].partition(BESIDE)[0])


def _rests_on(posterior: Posterior, place_id: int | None, air: Sequence[AirDay]) -> bytes:
    """The posterior, and behind it the place with the air it was computed from."""
    days = [[day.day, day.temp_c, day.rh_pct] for day in air]
    return posterior.to_bytes() + BESIDE + dumps([place_id, days]).encode()


def _stored_air(
    conn: Connection, lot: LotState, place_id: int | None, now: datetime, renews: bool
) -> list[AirDay] | None:
    """The air the stored window was told from, while that window counts.

    It counts while the lot is as it was and hangs there, until it is renewed on another day.
    """
    kept = derived.forecast(conn, lot.id)
    if kept is None or kept[1] is None or kept[0].model != _stored_model(conn, lot):
        return None
    if renews and kept[0].as_of[:10] != utc_text(now)[:10]:
        return None
    from curedash.domain.drying.forecast import AirDay

    stored = kept[1].partition(BESIDE)[2]
    try:
        stored_place_id, days = loads_numbers(stored.decode())
        return None if stored_place_id != place_id else [AirDay(*day) for day in days]
    except (ValueError, TypeError):
        return None  # none is stored, or it is damaged


def _spreads(conn: Connection, lot: LotState, count: int) -> list[float] | None:
    """Spread of each weigh-in where the hang weight is an estimate: the first is as unsure."""
    if lot.hang_pm_g is None or lot.hang_g is None or count == 0:
        return None
    usual = max(finest_division_g(conn, lot.hang_g), 1.5) / lot.hang_g
    return [max(usual, lot.hang_pm_g / lot.hang_g), *([usual] * (count - 1))]


def _air(conn: Connection, hang_at: str, place_id: int | None, weighed_at: str) -> list[AirDay]:
    """Daily means of the place from hanging to the day before a weigh-in.

    The day of the weigh-in is not over yet: its mean would move the window until midnight.
    """
    place = next((one for one in places.all_places(conn) if one.id == place_id), None)
    if place is None:
        return []
    from curedash.domain.drying.forecast import AirDay
    from curedash.services.places.place_days import zone_of_place

    zone = zone_of_place(conn, place)
    first, last = local_day(hang_at, zone), local_day(weighed_at, zone)
    daily = _daily_air(conn, place, zone, first, last)
    return [AirDay(float(day - first.toordinal()), temp_c, rh_pct) for day, temp_c, rh_pct in daily]


def _daily_air(
    conn: Connection, place: Place, zone: tzinfo, first: date, end: date
) -> list[tuple[int, float, float]]:
    """Mean temperature [°C] and humidity [%] of each day that has both, the last before ``end``."""
    from curedash.services.places.place_days import bounds_of

    days = [first + timedelta(days=n) for n in range((end - first).days)]
    bounds = [(day.toordinal(), *bounds_of(day, zone)) for day in days]
    return places.daily_air(conn, place.id, bounds)


@record
class AirLately:
    """The air of a place now: its mean of the last days, else the middle of its band."""

    temp_c: float
    rh_pct: float
    read: bool  # False: nothing was read, so its band speaks


def air_lately(conn: Connection, place: Place, now: datetime) -> AirLately | None:
    """The air of a place in the last two weeks; None where nothing was read and it has no band."""
    from curedash.services.places.place_days import zone_of_place
    from curedash.services.places.places import middle_temp_c

    zone = zone_of_place(conn, place)
    end = now.astimezone(zone).date() + timedelta(days=1)
    daily = _daily_air(conn, place, zone, end - timedelta(days=LATELY_DAYS), end)
    if daily:
        temp_c, rh_pct = (sum(day[part] for day in daily) / len(daily) for part in (1, 2))
        return AirLately(temp_c, rh_pct, read=True)
    middle_c = middle_temp_c(place)
    if middle_c is None or place.rh_lo_pct is None or place.rh_hi_pct is None:
        return None
    return AirLately(middle_c, (place.rh_lo_pct + place.rh_hi_pct) / 2, read=False)


# ── what the household's finished lots say ────────────────────────────────────────────────


def _finished_here(
    conn: Connection, lot_id: int, place_id: int | None
) -> list[tuple[PieceFit, LotScore | None]]:
    """What the lots that finished drying in this place say, and how their windows did."""
    others = lots.dried_in(conn, place_id, FINISHED_STAGES, MOST_FINISHED)
    fits = (_fit_of(conn, other_id) for other_id in others if other_id != lot_id)
    return [fit for fit in fits if fit is not None]


def _fit_of(conn: Connection, lot_id: int) -> tuple[PieceFit, LotScore | None] | None:
    """Read a finished lot once; the next time from beside it."""
    from curedash.domain.drying.forecast import FinishedPiece, read_finished

    lot = rack.one_lot(conn, lot_id)
    if lot is None or lot.hang_g is None or lot.hang_at is None:
        return None
    kept = derived.forecast(conn, lot_id)
    if kept is not None and kept[0].method == "finished" and kept[0].model == model_of(lot):
        read = None if kept[1] is None else _as_read(kept[1])
        if kept[1] is None or read is not None:
            return read
    rows = [row for row in weigh_ins.of_lot(conn, lot_id) if row.curve and row.stage in DRIES]
    points = points_of(lot, rows)
    base_g = lot.hang_g / lot.count
    days = tuple(day for day, _ in points)
    nets_g = tuple(base_g * share for _, share in points)
    piece = FinishedPiece(days, nets_g, lot.thickness_mm, in_bag=lot.in_bag)
    try:
        fit = read_finished(piece, finest_division_g(conn, lot.hang_g) / lot.count)
    except CuredashError:
        fit = None
    score = None if fit is None else _score_of(conn, lot)
    _keep_fit(conn, lot, fit, score)
    return None if fit is None else (fit, score)


def _score_of(conn: Connection, lot: LotState) -> LotScore | None:
    """How the windows shown of a lot did; None where none met its day."""
    from curedash.domain.drying.forecast import score_lot

    kept = once_a_weigh_in(derived.stored_windows(conn, lot.id))
    reached = reached_day(conn, lot) if kept else None
    if reached is None or lot.hang_at is None:
        return None
    windows = [
        (days_between(lot.hang_at, one.told_at), one.lo_day, one.median_day, one.hi_day)
        for one in kept
        if (one.p_levels_off or 0.0) <= SHORT_LIKELY
    ]
    return score_lot(windows, reached)


def once_a_weigh_in(told: Iterable[StoredWindow]) -> list[StoredWindow]:
    """Windows as they were first told after each weigh-in, oldest first."""
    first: dict[object, StoredWindow] = {}
    for one in told:
        first.setdefault(one.told_on if one.weigh_in_id is None else one.weigh_in_id, one)
    return list(first.values())


def reached_day(conn: Connection, lot: LotState) -> float | None:
    """Days since hanging at which a lot passed its target, None if it has not.

    Between the two weigh-ins around it the curve is drawn straight.
    """
    target = target_net_g(lot)
    if target is None or lot.base_g is None or lot.hang_at is None:
        return None
    goal = target[1] / lot.base_g
    points = points_of(lot, [row for row in weigh_ins.of_lot(conn, lot.id) if row.curve])
    for (before, heavy), (after, light) in pairwise(points):
        if light <= goal < heavy:
            return before + (after - before) * (heavy - goal) / (heavy - light)
    return None


def _as_read(kept: bytes) -> tuple[PieceFit, LotScore | None] | None:
    """What was stored beside a finished lot; None if it was not scored, or is damaged."""
    from curedash.domain.drying.forecast import LotScore, PieceFit

    try:
        evidence, pull, place, in_bag, scored = loads_numbers(kept.decode())
        fit = PieceFit(evidence, tuple(pull), None if place is None else tuple(place), in_bag)
        return fit, None if scored is None else LotScore(*scored)
    except (ValueError, TypeError):
        return None


def _keep_fit(
    conn: Connection, lot: LotState, fit: PieceFit | None, score: LotScore | None
) -> None:
    scored = None if score is None else [score.miss, score.half_widths]
    text = None if fit is None else dumps([fit.evidence, fit.pull, fit.place, fit.in_bag, scored])
    of = (lot.id, None, lot.stage_at, model_of(lot))
    stored = StoredForecast(*of, None, None, None, None, "finished")
    with quiet(conn):
        derived.put_forecast(conn, stored, None if text is None else text.encode())
