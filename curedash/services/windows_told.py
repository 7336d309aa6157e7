"""What the pull windows said before, held to the day the target was reached."""

import sqlite3
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
from statistics import median

from curedash.domain.lot_figures import target_net_g
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.times import local_day, moment
from curedash.services import household
from curedash.services.forecasts import drying_place, points_of
from curedash.store import lots, memory, places, rack, weigh_ins


@record
class Told:
    """One window as it was told, by the calendar, and how the middle missed."""

    lot: LotState
    place: str  # where it hung
    told_on: date
    first: date
    last: date
    middle: date
    reached: date
    inside: bool
    missed_share: float  # of the days that were left, later than it was above 0


@record
class Score:
    """Windows of a style and place against what happened."""

    style: str | None  # None: all styles
    place: str | None
    windows: int
    lots: int
    inside_pct: float
    early_pct: float  # reached before the window opened
    late_pct: float  # reached after it closed
    error_pct: float  # median miss of the middle, of the days that were left


def told_of(conn: sqlite3.Connection, lot: LotState) -> list[Told]:
    """How the windows of a lot did; empty until it reached its target.

    The day between two weigh-ins on which it passed the target is drawn straight between them.
    """
    day = reached_day(conn, lot)
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
    for told in memory.windows_told(conn, lot.id):
        at = (moment(told.told_at) - moment(lot.hang_at)) / timedelta(days=1)
        if at >= day:
            continue
        found.append(
            Told(
                lot, place, local_day(told.told_at, zone), on(told.lo_day), on(told.hi_day),
                on(told.median_day), on(day), on(told.lo_day) <= on(day) <= on(told.hi_day),
                (told.median_day - day) / max(day - at, 0.5),
            )
        )  # fmt: skip
    return found


def reached_day(conn: sqlite3.Connection, lot: LotState) -> float | None:
    """Days since hanging at which a lot passed its target, None if it has not."""
    target = target_net_g(lot)
    if target is None or lot.base_g is None or lot.hang_at is None:
        return None
    goal = target[1] / lot.base_g
    rows = [row for row in weigh_ins.of_lot(conn, lot.id) if row.curve]
    for (before, heavy), (after, light) in pairwise(points_of(lot, rows)):
        if light <= goal < heavy:
            return before + (after - before) * (heavy - goal) / (heavy - light)
    return None


def scores(conn: sqlite3.Connection) -> tuple[list[Told], list[Score]]:
    """All windows told of lots that reached their target, and their scores: all, then by kind."""
    ids = dict.fromkeys(told.lot_id for told in memory.windows_told(conn))
    known = [lot for lot_id in ids if (lot := rack.one_lot(conn, lot_id)) is not None]
    every = [told for lot in known for told in told_of(conn, lot)]
    kinds = sorted({(one.lot.style_name, one.place) for one in every})
    found = [_score(None, None, every)] if every else []
    for style, place in kinds:
        some = [
            one for one in every
            if (one.lot.style_name, one.place) == (style, place)
        ]  # fmt: skip
        found.append(_score(style, place, some))
    return every, found


def _score(style: str | None, place: str | None, told: Sequence[Told]) -> Score:
    n = len(told)
    return Score(
        style, place, n, len({one.lot.id for one in told}),
        100.0 * sum(one.inside for one in told) / n,
        100.0 * sum(one.reached < one.first for one in told) / n,
        100.0 * sum(one.reached > one.last for one in told) / n,
        100.0 * median(abs(one.missed_share) for one in told),
    )  # fmt: skip
