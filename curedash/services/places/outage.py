"""A failure of a place written into each lot it touched: from readings, or as a person saw it."""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from sqlite3 import Connection

from curedash.domain.errors import Refused
from curedash.domain.facts.air import AIR_LIMITS, HAND_GAP_H
from curedash.domain.needs.lot_needs import Need
from curedash.domain.needs.place_needs import (
    BY_HAND,
    AirRules,
    PlaceView,
    is_ground,
    limits_of,
    lost_pct,
    most_at_risk,
)
from curedash.domain.places.air import HOUR_S, max_gap_s, risk_key
from curedash.domain.places.outage import Outage, is_touched, outage_of, overlaps
from curedash.domain.quantity_text import Quantity, QuantityText, celsius, phrase
from curedash.domain.records import ENDED, Event, LotState, Place, StageEntry
from curedash.domain.times import calendar_days, moment, utc_text
from curedash.services.household import household
from curedash.services.needs.alert_rules import rules_of
from curedash.services.needs.place_needs import views
from curedash.services.one_line import one_line
from curedash.store import lots as log
from curedash.store import places, rack
from curedash.store.work import By, Work, at_once, change

KIND = "outage"
DECIDED = "place-decision"  # kind of the event at the place; each lot has its own
LONGEST = timedelta(days=60)
LOOK_BACK = timedelta(days=4)
MAX_WORDS = 1000


@dataclass(frozen=True, slots=True)
class Spared:
    """A lot that is left out: it came later, or bears so much warmth in the stage it was in."""

    lot: LotState
    stage: str  # then; empty for one that was not there yet
    limit_c: float | None  # of a mean of 24 h; None: warm on purpose


@dataclass(frozen=True, slots=True)
class Touched:
    """A lot that a failure touched, with its stage then."""

    lot: LotState
    stage: str
    stage_day: int
    hours: float
    highest_c: float


@at_once
def record(
    conn: Connection,
    by: By,
    place: Place,
    *,
    since: datetime,
    until: datetime,
    highest_c: float,
    note: str = "",
) -> list[Touched]:
    """Keep that a place was off or warm, as a person saw it, in each lot it touched.

    Returns
    -------
    the lots, most at risk first

    Raises
    ------
    Refused: times in the wrong order, too long ago or ahead
    """
    now = moment(by.now)
    if not since < until:
        raise Refused("The failure has to end after it began: give the earlier time with --from.")
    if until > now + timedelta(minutes=10):
        raise Refused(
            "The end is in the future; record it when it is over, or give the time so far."
        )
    if until - since > LONGEST:
        raise Refused(f"That is more than {LONGEST.days} d; record it in parts.")
    hours = (until - since).total_seconds() / HOUR_S
    outage = Outage(since.timestamp(), until.timestamp(), highest_c, None, hours)
    zone = household.zone(conn)
    touched = _touched(conn, place, outage, zone)
    with change(conn, by, "outage", subject=place.name, at=utc_text(since)) as work:
        _cover(work, place, since.timestamp(), until.timestamp())
        _write(work, place, outage, touched, zone, note.strip()[:500])
    return touched


def spared(
    conn: Connection, place: Place, *, since: datetime, until: datetime, highest_c: float
) -> list[Spared]:
    """The lots of the place that such a failure leaves out, so that nobody misses them."""
    begin, end = utc_text(since), utc_text(until)
    found, there = [], set()
    for lot, entries in _there(conn, place, begin, end):
        there.add(lot.id)
        stage, _ = _stage_then(lot, entries, begin)
        if stage not in ENDED and not is_touched(stage, highest_c):
            found.append(Spared(lot, stage, AIR_LIMITS.get(stage, (None,))[0]))
    now_in = (lot for lot in rack.open_lots(conn) if lot.place_id == place.id)
    return found + [Spared(lot, "", None) for lot in now_in if lot.id not in there]


def waiting(conn: Connection, place: Place, now: datetime) -> list[LotState]:
    """The lots of failures written down for this place on which nobody has decided."""
    view = next(v for v in views(conn, rack.open_lots(conn), now) if v.place.id == place.id)
    lots = {lot.id: lot for failed in view.failed for lot in failed.lots}
    return most_at_risk(list(lots.values()))


@at_once
def decide(conn: Connection, by: By, place: Place, words: str, at: datetime) -> list[LotState]:
    """Keep what was decided after a failure in every lot of it that waits, in one change.

    Raises
    ------
    Refused: no words, or nothing waits
    """
    clean = one_line(words, MAX_WORDS)
    if not clean:
        raise Refused("Record what you decided, e.g. still cold and firm, all go on.")
    lots = waiting(conn, place, at)
    if not lots:
        raise Refused(f"No failure of {place.name} waits for a decision.")
    codes = ", ".join(lot.code for lot in lots)
    with change(conn, by, "decide", subject=codes, at=utc_text(at)) as work:
        log.add_event(work, utc_text(at), DECIDED, clean, place_id=place.id)
        for lot in lots:
            log.add_event(work, utc_text(at), "decision", clean, lot_id=lot.id)
    return lots


def _cover(work: Work, place: Place, begin: float, end: float) -> None:
    """What was computed of the same failure counts no more beside what a person saw."""
    for event in log.events(work.conn, place_id=place.id, kind=KIND):
        data = json.loads(event.data or "{}")
        if data.get("limit_c") is not None and overlaps(data["from"], data["to"], begin, end):
            log.void_event(work, event.id)


def _covered(conn: Connection, place: Place, outage: Outage, now: datetime) -> bool:
    """Whether a person wrote a failure down that this one is a part of."""
    end = now.timestamp() if outage.until is None else outage.until
    return any(
        (data := json.loads(event.data or "{}")).get("limit_c") is None
        and data.get("to") is not None
        and overlaps(data["from"], data["to"], outage.since, end)
        for event in log.events(conn, place_id=place.id, kind=KIND)
    )


def follow(conn: Connection, by: By, needs: Sequence[Need], now: datetime) -> list[Touched]:
    """Open, widen and close the failures that readings show; what was written just now.

    Parameters
    ----------
    needs : what needs somebody now; a place that is too warm has failed
    """
    _, rules = rules_of(conn)
    warm = {need.place_id for need in needs if need.cause == "place-too-warm"}
    silent = {need.place_id for need in needs if need.cause == "place-silent"}
    found: list[Touched] = []
    for place in places.all_places(conn):
        events = [e for e in log.events(conn, place_id=place.id, kind=KIND) if _is_open(e)]
        if place.id in warm or (events and place.id not in silent):
            view = next(v for v in views(conn, rack.open_lots(conn), now) if v.place.id == place.id)
            found += _follow(conn, by, view, events, place.id in warm, now, rules)
    return found


@at_once
def _follow(
    conn: Connection,
    by: By,
    view: PlaceView,
    events: Sequence[Event],
    warm: bool,
    now: datetime,
    rules: AirRules,
) -> list[Touched]:
    place, zone = view.place, household.zone(conn)
    outage = _measured(conn, view, events, now, rules)
    if outage is None or (not events and _covered(conn, place, outage, now)):
        return []
    if warm:
        outage = Outage(outage.since, None, outage.highest_c, outage.limit_c, outage.hours_above)
    elif outage.until is None:
        return []  # over the limit again and again, but not for six hours
    known = {event.lot_id for event in events}
    touched = _touched(conn, place, outage, zone)
    new = [item for item in touched if item.lot.id not in known]
    if warm and events and not new:
        return []
    with change(conn, by, "outage", subject=place.name) as work:
        if not warm:
            for event in events:
                _close(work, place, event, outage, zone)
        _write(work, place, outage, new, zone, "", with_place=not events)
    return new


def _measured(
    conn: Connection, view: PlaceView, events: Sequence[Event], now: datetime, rules: AirRules
) -> Outage | None:
    """The failure as the warmest sensor saw it."""
    known = next((json.loads(e.data)["limit_c"] for e in events if e.data), None)
    limit_c = limits_of(view, rules).mean_6h_max_c if known is None else known
    if limit_c is None:
        return None
    began = min((moment(event.at) for event in events), default=now)
    since = int((min(began, now) - LOOK_BACK).timestamp())
    readings = places.good_readings(conn, view.place.id, since, int(now.timestamp()))
    found = [
        outage_of(
            [(r.at, r.temp_c) for r in readings if r.sensor_id == sensor and r.temp_c is not None],
            limit_c,
            now.timestamp(),
            _gap_s(view.place, sensor),
            by_hand=sensor == BY_HAND,
        )
        for sensor in {r.sensor_id for r in readings}
    ]
    return max((o for o in found if o is not None), key=lambda o: o.highest_c, default=None)


def _touched(conn: Connection, place: Place, outage: Outage, zone: tzinfo) -> list[Touched]:
    """The lots that were there, with their stage then, most at risk first."""
    began = datetime.fromtimestamp(outage.since, UTC)
    since = utc_text(began)
    until = utc_text(datetime.fromtimestamp(outage.until, UTC)) if outage.until else "9"
    found: list[tuple[tuple[int, float], Touched]] = []
    for lot, entries in _there(conn, place, since, until):
        stage, stage_at = _stage_then(lot, entries, since)
        if not is_touched(stage, outage.highest_c):
            continue
        day = max(0, calendar_days(stage_at, began, zone))
        item = Touched(lot, stage, day, outage.hours_above, outage.highest_c)
        found.append((risk_key(stage, is_ground(lot), lost_pct(lot)), item))
    return [item for _, item in sorted(found, key=lambda pair: pair[0])]


def _gap_s(place: Place, sensor: int) -> float:
    usual = max_gap_s(place.watch)
    return min(usual, HAND_GAP_H * HOUR_S) if sensor == BY_HAND else usual


def _there(
    conn: Connection, place: Place, since: str, until: str
) -> Iterator[tuple[LotState, Sequence[StageEntry]]]:
    """The lots that were in a place between two moments, with the stages they went through."""
    for lot in rack.all_lots(conn):
        entries = log.stages(conn, lot.id)
        began_at = entries[0].at if entries else lot.created_at
        if began_at <= until and place.id in _places_of(conn, lot, entries, since, until):
            yield lot, entries


def _places_of(
    conn: Connection, lot: LotState, entries: Sequence[StageEntry], since: str, until: str
) -> set[int | None]:
    """Where a lot was between two moments, by its stages and its moves."""
    moves = log.events(conn, lot_id=lot.id, kind="moved")
    stays = [(entry.at, entry.place_id) for entry in entries]
    stays += [(event.at, json.loads(event.data or "{}").get("to")) for event in moves]
    stays.sort(key=lambda stay: stay[0])
    if not entries:
        first = json.loads(moves[0].data or "{}").get("from") if moves else lot.place_id
        stays.insert(0, ("", first))
    before = [place for at, place in stays if at <= since]
    inside = [place for at, place in stays if since < at <= until]
    return {*(before[-1:] or [stays[0][1]]), *inside}


def _stage_then(lot: LotState, entries: Sequence[StageEntry], at: str) -> tuple[str, str]:
    """The stage of a lot at a moment, and since when; the first one if it came later."""
    before = [entry for entry in entries if entry.at <= at]
    entry = before[-1] if before else entries[0] if entries else None
    return (lot.stage, lot.stage_at) if entry is None else (entry.stage, entry.at)


# ── the words ─────────────────────────────────────────────────────────────────────────────


def _write(
    work: Work,
    place: Place,
    outage: Outage,
    touched: Iterable[Touched],
    zone: tzinfo,
    note: str,
    *,
    with_place: bool = True,
) -> None:
    text = str(outage_text(place, outage, zone)) + (f"; {note}" if note else "")
    at = utc_text(datetime.fromtimestamp(outage.since, UTC))
    if with_place:
        log.add_event(work, at, KIND, text, place_id=place.id, data=_data(outage))
    for item in touched:
        of = {"lot_id": item.lot.id, "place_id": place.id}
        data = {**_data(outage), "stage": item.stage, "stage_day": item.stage_day}
        log.add_event(work, at, KIND, text, data=data, **of)


def _close(work: Work, place: Place, event: Event, outage: Outage, zone: tzinfo) -> None:
    data = {**json.loads(event.data or "{}"), **_data(outage)}
    at = utc_text(datetime.fromtimestamp(outage.since, UTC))
    text = outage_text(place, outage, zone)
    work.update("event", event.id, text=text, data=json.dumps(data), at=at)


def outage_text(place: Place, outage: Outage, zone: tzinfo) -> QuantityText:
    """``Fridge 2 warm 24 Nov 22:00 to 25 Nov 07:30, highest 11.0 °C, 9.5 h``."""
    began = datetime.fromtimestamp(outage.since, zone)
    highest = celsius(outage.highest_c, f"{outage.highest_c:.1f} °C")
    what: dict[str, str | Quantity] = {
        "place": place.name,
        "began": _minute(began),
        "highest": highest,
    }
    if outage.until is None:
        return phrase("{place} warm since {began}, {highest} so far", **what)
    ended, hours = _minute(datetime.fromtimestamp(outage.until, zone)), f"{outage.hours_above:.1f}"
    over = "" if outage.limit_c is None else phrase(" over {limit}", limit=celsius(outage.limit_c))
    said = "{place} warm {began} to {ended}, highest {highest}, {hours} h{over}"
    return phrase(said, ended=ended, hours=hours, over=over, **what)


def _minute(at: datetime) -> str:
    return f"{at.day} {at:%b %H:%M}"


def _data(outage: Outage) -> dict[str, object]:
    return {
        "from": outage.since,
        "to": outage.until,
        "highest_c": outage.highest_c,
        "limit_c": outage.limit_c,
        "hours": round(outage.hours_above, 2),
    }


def _is_open(event: Event) -> bool:
    return event.data is not None and json.loads(event.data).get("to") is None
