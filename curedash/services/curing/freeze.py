"""Freezing pork against trichina, as an optional logged step counted by its table."""

import json
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from sqlite3 import Connection
from typing import Any

from curedash.domain.curing.trichina import FreezingCount, freezing_count
from curedash.domain.errors import Refused
from curedash.domain.facts.trichina import CHILL_FIRST_C
from curedash.domain.records import Event, LotState
from curedash.domain.times import SECONDS_PER_DAY, moment, utc_text
from curedash.services.find import lot_with_id
from curedash.services.one_line import one_line
from curedash.services.places import places
from curedash.store import batches, lots
from curedash.store import places as readings
from curedash.store.work import By, at_once, change

FREEZING = "freezing"


@dataclass(frozen=True, slots=True)
class Freezing:
    """What a person says of the step; what is None stays as logged before, or is looked up."""

    since: datetime | None = None
    until: datetime | None = None  # None, or ahead: it still freezes
    warmest_c: float | None = None
    thickness_mm: float | None = None
    chilled_c: float | None = None
    place: str | None = None  # a freezer whose readings say how warm it was at most
    note: str | None = None


@dataclass(frozen=True, slots=True)
class FreezingStep:
    """A step as logged, with its count."""

    lot: LotState
    event: Event
    since: datetime
    until: datetime | None
    ended: bool
    warmest_c: float
    thickness_mm: float
    count: FreezingCount
    due: datetime | None  # when its row is full


@at_once
def freeze(conn: Connection, by: By, lot_id: int, told: Freezing) -> FreezingStep:
    """Log a freezing step, or go on with the one that runs: its end, a warmer reading.

    Raises
    ------
    Refused: no beginning, no temperature, no thickness, times in the wrong order
    """
    lot, now = lot_with_id(conn, lot_id), moment(by.now)
    running = current(conn, lot, now)
    going_on = running is not None and not running.ended
    if running is not None and going_on:
        told = _continued(told, running)
    since, until = _times(told, now)
    warmest_c = _warmest_c(conn, lot, told, since, until or now)
    thickness_mm = told.thickness_mm or lot.thickness_mm
    if thickness_mm is None:
        raise Refused("How thick is it at its thickest spot? Give for example --thickness 80mm.")
    data: dict[str, Any] = {
        "from": utc_text(since),
        "to": None if until is None else utc_text(until),
        "ended": until is not None and until <= now,
        "warmest_c": warmest_c,
        "thickness_mm": thickness_mm,
        "chilled_c": told.chilled_c,
    }
    count = _count(conn, lot, data, now)
    data |= _row(count, since, until)
    words = _words(data, count) + (f"; {note}" if (note := one_line(told.note, 500)) else "")
    with change(conn, by, "freeze", subject=lot.code, at=utc_text(since)) as work:
        if running is not None and going_on:
            lots.void_event(work, running.event.id)
        lots.add_event(work, utc_text(since), FREEZING, words, lot_id=lot_id, data=data)
    step = current(conn, lot_with_id(conn, lot_id), now)
    assert step is not None  # added above
    return step


def current(conn: Connection, lot: LotState, now: datetime) -> FreezingStep | None:
    """The newest freezing step of a lot with its count at this moment; None if there was none."""
    event = lots.last_event(conn, lot.id, FREEZING)
    if event is None:
        return None
    data = json.loads(event.data or "{}")
    until = None if data["to"] is None else moment(data["to"])
    told = (data["ended"], data["warmest_c"], data["thickness_mm"])
    count = _count(conn, lot, data, now)
    return FreezingStep(lot, event, moment(data["from"]), until, *told, count, _due(data))


def _due(data: dict[str, Any]) -> datetime | None:
    """When the row is full; a step logged by an older program may count no day any more."""
    chilled_c = data.get("chilled_c")
    if data.get("due") is None or data.get("row_days") is None:
        return None
    return moment(data["due"]) if chilled_c is not None and chilled_c <= CHILL_FIRST_C else None


def _continued(told: Freezing, running: FreezingStep) -> Freezing:
    """What was logged before stands where nothing else is said; warm is warm, whenever it was."""
    known = [c for c in (told.warmest_c, running.warmest_c) if c is not None]
    return replace(
        told,
        since=told.since or running.since,
        until=told.until or running.until,
        warmest_c=max(known),
        thickness_mm=told.thickness_mm or running.thickness_mm,
        chilled_c=told.chilled_c if told.chilled_c is not None else _chilled_c(running),
    )


def _chilled_c(step: FreezingStep) -> float | None:
    chilled: float | None = json.loads(step.event.data or "{}").get("chilled_c")
    return chilled


def _times(told: Freezing, now: datetime) -> tuple[datetime, datetime | None]:
    if told.since is None:
        raise Refused("When was it put into the freezer? Give for example --from 2026-11-01.")
    if told.until is not None and told.until <= told.since:
        raise Refused("The freezing has to end after it began: give the earlier time with --from.")
    if told.since > now + timedelta(days=1):
        raise Refused("It is not in the freezer yet; log it once it is.")
    return told.since, told.until


def _warmest_c(
    conn: Connection, lot: LotState, told: Freezing, since: datetime, until: datetime
) -> float:
    """The warmest reading: as told, or read off the freezer; the warmer of both."""
    known = [] if told.warmest_c is None else [told.warmest_c]
    place_id = lot.place_id
    if told.place is not None:
        place_id = places.require_place(conn, told.place).id
    if place_id is not None and (told.place is not None or not known):
        first, last = int(since.timestamp()), int(until.timestamp())
        found = readings.good_readings(conn, place_id, first, last)
        known += [reading.temp_c for reading in found if reading.temp_c is not None]
    if not known:
        raise Refused("How warm was the freezer at its warmest? Give for example --warmest -18C.")
    return max(known)


def _count(conn: Connection, lot: LotState, data: dict[str, Any], now: datetime) -> FreezingCount:
    until = now if data["to"] is None else min(now, moment(data["to"]))
    days = max(0.0, (until - moment(data["from"])).total_seconds() / SECONDS_PER_DAY)
    wild = "wild " if batches.condition(conn, lot.id) == "wild" else ""
    return freezing_count(
        days, data["warmest_c"], data["thickness_mm"], f"{wild}{lot.species}", data["chilled_c"]
    )


def _row(count: FreezingCount, since: datetime, until: datetime | None) -> dict[str, Any]:
    """The row it counts by, and when the need to take it out comes up."""
    if count.row is None or not count.begun:
        due = None if until is None else utc_text(until)
        return {"row_days": None, "due": due, "waits_for_cold": count.row is not None}
    full = since + timedelta(days=count.row.days)
    return {"row_days": count.row.days, "row_c": count.row.temp_c, "due": utc_text(full)}


def _words(data: dict[str, Any], count: FreezingCount) -> str:
    first, warmest = data["from"][:10], f"warmest {data['warmest_c']:g} °C"
    frozen = f"frozen from {first}, still in"
    if data["ended"]:
        frozen = f"frozen from {first} to {data['to'][:10]}"
    credit = "no credit" if count.row is None else f"{count.counted_days:.3g} of {count.row.days} d"
    if count.begun:
        return f"{frozen}, {warmest}: {credit}"
    return f"{frozen}, {warmest}: {credit}, count not begun"
