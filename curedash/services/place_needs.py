"""The needs of every place, from the readings of the last day."""

import sqlite3
from collections.abc import Sequence
from datetime import datetime

from curedash.domain.air import HOUR_S, max_gap_s
from curedash.domain.needs import Need
from curedash.domain.place_needs import LOOK_BACK_H, PlaceView, place_needs
from curedash.domain.records import LotState
from curedash.store import memory, places


def needs_of_places(
    conn: sqlite3.Connection, lots: Sequence[LotState], now: datetime
) -> list[Need]:
    """What needs somebody at the places, each cause once."""
    now_s = now.timestamp()
    stored = memory.open_needs(conn)
    found: list[Need] = []
    for place in places.all_places(conn):
        since = int(now_s - LOOK_BACK_H * HOUR_S - max_gap_s(place.watch))
        view = PlaceView(
            place,
            [lot for lot in lots if lot.place_id == place.id],
            places.good_readings(conn, place.id, since, int(now_s)),
            places.last_reading(conn, place.id, int(now_s)),
            frozenset(need.cause for need in stored if need.place_id == place.id),
        )
        found += place_needs(view, now_s)
    return found
