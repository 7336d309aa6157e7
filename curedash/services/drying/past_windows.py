"""Earlier pull windows, held to the day the target was reached."""

from collections.abc import Collection, Sequence
from datetime import date, timedelta
from sqlite3 import Connection

from curedash.domain.drying.lot_figures import SHORT_LIKELY
from curedash.domain.household.book import spread
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.times import local_day, moment
from curedash.services.drying.forecasts import drying_place, once_a_weigh_in, reached_day
from curedash.services.household import household
from curedash.store import derived, lots, places, rack


@record
class PastWindow:
    """One window as it was first forecast, by the calendar, and how the middle missed."""

    lot: LotState
    place: str  # where it hung
    told_on: date
    first: date
    last: date
    middle: date
    reached: date
    inside: bool
    missed_share: float  # of the days that were left, later than it was above 0
    stalled: bool  # it said that the lot may not get there, and gave no window


@record
class EarlierWindow:
    """One window of a lot that is not there yet, by the calendar."""

    told_on: date
    first: date
    last: date
    stalled: bool


@record
class Score:
    """Windows of a style and place against what happened."""

    style: str | None  # None: all styles
    place: str | None
    windows: int
    lots: int
    held: int  # windows that held the day
    inside_pct: float
    early_pct: float  # reached before the window opened
    late_pct: float  # reached after it closed
    error_pct: float  # median miss of the middle, of the days that were left
    off_days: float  # mean miss of the middle [d]


def past_windows_of(conn: Connection, lot: LotState) -> list[PastWindow]:
    """How the windows of a lot did, one a weigh-in; empty until it reached its target.

    The day between two weigh-ins on which it passed the target is drawn straight between them.
    A window counts as it was first shown after a weigh-in: how often it was looked at since says
    nothing.
    """
    stored = once_a_weigh_in(derived.stored_windows(conn, lot.id))
    day = reached_day(conn, lot) if stored else None
    if day is None or lot.hang_at is None:
        return []
    zone = household.zone(conn)
    hung = moment(lot.hang_at).astimezone(zone)

    def on(number: float) -> date:
        return (hung + timedelta(days=number)).date()

    place_id = drying_place(lots.stages(conn, lot.id))
    names = {one.id: one.name for one in places.all_places(conn)}
    place = names.get(place_id or 0, "")
    found = []
    for window in stored:
        at = (moment(window.told_at) - moment(lot.hang_at)) / timedelta(days=1)
        if at >= day:
            continue
        first, last, reached = on(window.lo_day), on(window.hi_day), on(day)
        told = (lot, place, local_day(window.told_at, zone))
        missed = (window.median_day - day) / max(day - at, 0.5)
        stalled = (window.p_levels_off or 0.0) > SHORT_LIKELY
        inside = first <= reached <= last
        days = (first, last, on(window.median_day), reached)
        found.append(PastWindow(*told, *days, inside, missed, stalled))
    return found


def window_before(conn: Connection, lot: LotState) -> EarlierWindow | None:
    """The window as it was first forecast after the weigh-in before the newest, if any."""
    stored = once_a_weigh_in(derived.stored_windows(conn, lot.id))
    if lot.hang_at is None or len(stored) < 2:
        return None
    one, zone = stored[-2], household.zone(conn)
    hung = moment(lot.hang_at).astimezone(zone)
    first, last = ((hung + timedelta(days=day)).date() for day in (one.lo_day, one.hi_day))
    stalled = (one.p_levels_off or 0.0) > SHORT_LIKELY
    return EarlierWindow(local_day(one.told_at, zone), first, last, stalled)


def scores(
    conn: Connection, among: Collection[int] | None = None
) -> tuple[list[PastWindow], list[Score]]:
    """All windows of lots that reached their target, and their scores: all, then by kind.

    Parameters
    ----------
    among : ids of the lots to look at; None: every lot of the household
    """
    asked = [lot for lot in _lots_with_windows(conn) if among is None or lot.id in among]
    every = [window for lot in asked for window in past_windows_of(conn, lot)]
    windows = [one for one in every if not one.stalled]
    kinds = sorted({(one.lot.style_name, one.place) for one in windows})
    found = [_score(None, None, windows)] if windows else []
    for style, place in kinds:
        some = [one for one in windows if (one.lot.style_name, one.place) == (style, place)]
        found.append(_score(style, place, some))
    return every, found


def score_of(conn: Connection, style: str, place: str | None) -> Score | None:
    """How the windows of a style did in a place, or everywhere; None before one met its day.

    Parameters
    ----------
    style : id of the style; place : its name
    """
    found = [
        window
        for lot in _lots_with_windows(conn, style)
        for window in past_windows_of(conn, lot)
        if not window.stalled and (place is None or window.place == place)
    ]
    return _score(found[0].lot.style_name, place, found) if found else None


def _lots_with_windows(conn: Connection, style: str | None = None) -> list[LotState]:
    known = (rack.one_lot(conn, lot_id) for lot_id in derived.lots_with_windows(conn, style))
    return [lot for lot in known if lot is not None]


def _score(style: str | None, place: str | None, windows: Sequence[PastWindow]) -> Score:
    n, middle = len(windows), spread(abs(one.missed_share) for one in windows)
    return Score(
        style,
        place,
        n,
        len({one.lot.id for one in windows}),
        sum(one.inside for one in windows),
        100.0 * sum(one.inside for one in windows) / n,
        100.0 * sum(one.reached < one.first for one in windows) / n,
        100.0 * sum(one.reached > one.last for one in windows) / n,
        100.0 * (0.0 if middle is None else middle.median),
        sum(abs((one.middle - one.reached).days) for one in windows) / n,
    )
