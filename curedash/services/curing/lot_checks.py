"""Checks of lots that rest on a logged step; each is read only for the lots it can concern."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import partial
from sqlite3 import Connection

from curedash.domain.curing.turning import turn_every_days
from curedash.domain.fast_json import loads
from curedash.domain.needs.lot_needs import Check
from curedash.domain.records import LotState
from curedash.store import lots as rows
from curedash.store.batches import use_by_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from curedash.domain.curing.ferment import FermentState

#: lots that ferment → how far each has come
Ferments = Mapping[int, "FermentState | None"]


def more_checks(
    conn: Connection, lots: Sequence[LotState], ferments: Ferments
) -> dict[int, list[Check]]:
    """Further checks by lot: ticks, turning in the cure, a freezing count, a ferment."""
    found: dict[int, list[Check]] = {}
    for lot in lots:
        reader = _READERS.get(lot.stage)
        checks = [] if reader is None else reader(conn, lot)
        if lot.dose_open and lot.stage in ("raw", "in-cure"):
            checks = [*checks, *_ticks(conn, lot)]
        state = ferments.get(lot.id)
        if state is not None:
            from curedash.domain.curing.ferment import ferment_checks

            checks = [*checks, *ferment_checks(state)]
        if checks:
            found[lot.id] = checks
    return found


def ferments_of(conn: Connection, lots: Sequence[LotState], now: datetime) -> Ferments:
    """How far each ferment has come; nothing is loaded where nothing ferments."""
    fermenting = [lot for lot in lots if lot.stage == "ferment"]
    if not fermenting:
        return {}
    from curedash.services.curing.ferment import ferment_of

    return {lot.id: ferment_of(conn, lot, now) for lot in fermenting}


def _ticks(conn: Connection, lot: LotState) -> list[Check]:
    """What is not ticked, by its names; of a sheet that nobody began nothing is asked."""
    if lot.stage == "raw" and lot.first_tick_at is None:
        return []
    from curedash.domain.needs.step_needs import dose_open

    return [partial(dose_open, rows.dose_lines(conn, lot.id))]


def _turning(conn: Connection, lot: LotState) -> list[Check]:
    if turn_every_days(lot.method) is None:
        return []
    from curedash.domain.needs.step_needs import turn_due

    last = rows.last_event(conn, lot.id, "turn")
    return [partial(turn_due, None if last is None else last.at)]


def _raw(conn: Connection, lot: LotState) -> list[Check]:
    return [*_label(conn, lot), *_freezing(conn, lot)]


def _label(conn: Connection, lot: LotState) -> list[Check]:
    """The use-by date of fresh meat; what was frozen since does not wait for it."""
    use_by = use_by_of(conn, lot.id)
    if use_by is None or rows.last_event(conn, lot.id, "freezing") is not None:
        return []
    from curedash.domain.needs.step_needs import use_by_near

    return [partial(use_by_near, use_by)]


def _freezing(conn: Connection, lot: LotState) -> list[Check]:
    last = rows.last_event(conn, lot.id, "freezing")
    told = {} if last is None else loads(last.data or "{}")
    if not told or told.get("ended"):
        return []
    from curedash.domain.needs.step_needs import freezing_not_begun, freezing_over

    if _waits_for_cold(told):
        return [partial(freezing_not_begun, told["from"])]
    if told.get("due") is None:
        return []
    return [partial(freezing_over, told["due"], told.get("row_days"))]


def _waits_for_cold(told: dict[str, Any]) -> bool:
    """Whether a row fits and no day counts, since nobody said that the meat was chilled first."""
    from curedash.domain.facts.trichina import CHILL_FIRST_C

    chilled_c = told.get("chilled_c")
    fits = bool(told.get("waits_for_cold")) or told.get("row_days") is not None
    return fits and (chilled_c is None or chilled_c > CHILL_FIRST_C)


_READERS = {"raw": _raw, "in-cure": _turning}
