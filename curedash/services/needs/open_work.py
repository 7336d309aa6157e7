"""What is open on a lot that no day of the diary shows, and that days away must name."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import EQUALISING, IN_CURE, RAW, mixed_at
from curedash.domain.drying.inspections import undecided
from curedash.domain.needs.lot_needs import QUESTION_OPEN, LotView, Need, lot_needs
from curedash.domain.records import LotState
from curedash.services.curing.lot_checks import more_checks
from curedash.services.household import household
from curedash.store import lots as lot_rows
from curedash.store.batches import use_by_of

#: needs without a day of their own in the diary
WITHOUT_A_DAY = (
    "dose-not-ticked",
    QUESTION_OPEN,
    "use-by",
    "not-stuffed",
    "cure-not-begun",
    "freezing-over",
    "freezing-not-begun",
    "too-fast",
    "rim-suspected",
    "sibling-opened",
)


def open_work(
    conn: Connection, lots: Sequence[LotState], now: datetime, until: date
) -> dict[int, list[Need]]:
    """What is open by lot, snoozed or not; lots of which nothing is open are left out.

    Parameters
    ----------
    until : last day away; a use-by date up to it counts
    """
    zone, rules = household.zone(conn), household.need_rules(conn)
    more = more_checks(conn, lots, {})
    found = {}
    for lot in lots:
        if undecided(lot) is not None:
            continue  # to be decided first, which is said by itself
        needs = lot_needs(lot, now, zone, rules, more.get(lot.id, ()))
        unfinished = [need for need in needs if need.cause in WITHOUT_A_DAY]
        if all(need.cause == QUESTION_OPEN for need in unfinished):  # asked, and nothing else
            unfinished += _not_planned(conn, LotView(lot, now, zone, rules), until)
        if unfinished:
            found[lot.id] = unfinished
    return found


def _not_planned(conn: Connection, view: LotView, until: date) -> list[Need]:
    """Raw meat that nobody salted or froze, and a stage that ends on no known day."""
    lot = view.lot
    if lot.stage == RAW and mixed_at(lot) is None:
        if lot_rows.last_event(conn, lot.id, "freezing") is not None:
            return []
        use_by = use_by_of(conn, lot.id)
        comes = use_by is not None and date.fromisoformat(use_by) <= until
        said = f"use-by date is {use_by}, not salted yet" if comes else "not salted yet"
        return [view.need("today", "use-by", said, "salt it or freeze it before leaving")]
    ends = {
        IN_CURE: lot.cure_usual_days,
        "salt-rest": lot.stage_until or lot.rest_days,
        EQUALISING: lot.stage_until,
    }
    if lot.stage not in ends or ends[lot.stage] is not None:
        return []
    said = "no day is known on which this stage ends"
    return [view.need("today", "no-end", said, "look at it before leaving, and decide how long")]
