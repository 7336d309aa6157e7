"""What needs a person now; reading only. Remembering it between checks is a second step."""

from collections.abc import Callable, Sequence
from datetime import datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.errors import Refused
from curedash.domain.needs.lot_needs import (
    CLOCK,
    GATHERED,
    Need,
    clock_need,
    gathered,
    in_order,
    lot_needs,
)
from curedash.domain.records import LotState, StoredNeed
from curedash.domain.times import SECONDS_PER_DAY, moment, utc_text
from curedash.services.curing import lot_checks
from curedash.services.household import household
from curedash.services.needs import alert_rules, place_needs
from curedash.store import derived, log, rack
from curedash.store.work import By, at_once, change

#: A clock that shows an earlier time than this is wrong: the program did not exist.
WRITTEN_ON = moment("2026-01-01T00:00:00Z")


def current_needs(conn: Connection, now: datetime) -> list[Need]:
    """Everything that needs a person and is not snoozed, gathered by place, worst first."""
    zone = household.zone(conn)
    lots = rack.open_lots(conn)
    found = needs_of(conn, lots, now, zone)
    return gathered(found, lots)


def awake_needs(conn: Connection, now: datetime) -> list[Need]:
    """The same lot by lot, not gathered by place."""
    return needs_of(conn, rack.open_lots(conn), now, household.zone(conn))


def needs_of(
    conn: Connection,
    lots: Sequence[LotState],
    now: datetime,
    zone: tzinfo,
    ferments: lot_checks.Ferments | None = None,
) -> list[Need]:
    """The needs of these lots and of every place, snoozed ones left out, worst first.

    When the clock cannot be right nothing is called overdue: that is the only need then.
    ``ferments`` are those of these lots, from who has read them already.
    """
    wrong = clock_need(now, log.newest_recorded_at(conn), WRITTEN_ON)
    if wrong is not None:
        return [wrong]
    rules, air = alert_rules.rules_of(conn)
    if ferments is None:
        ferments = lot_checks.ferments_of(conn, lots, now)
    more = lot_checks.more_checks(conn, lots, ferments)
    found = [
        need for lot in lots for need in lot_needs(lot, now, zone, rules, more.get(lot.id, ()))
    ]
    found += place_needs.needs_of_places(conn, lots, now, air)
    awake = _awake(conn, now)
    return in_order(need for need in found if awake(need))


def needs_of_lot(
    conn: Connection,
    lot: LotState,
    now: datetime,
    zone: tzinfo,
    ferments: lot_checks.Ferments | None = None,
) -> list[Need]:
    """The needs of one lot alone, as after a weigh-in."""
    if clock_need(now, log.newest_recorded_at(conn), WRITTEN_ON) is not None:
        return []
    awake = _awake(conn, now)
    if ferments is None:
        ferments = lot_checks.ferments_of(conn, [lot], now)
    more = lot_checks.more_checks(conn, [lot], ferments).get(lot.id, ())
    found = lot_needs(lot, now, zone, household.need_rules(conn), more)
    return [need for need in found if awake(need)]


def keep(conn: Connection, found: Sequence[Need], now: datetime) -> list[Need]:
    """Write transitions (opened, reworded, cleared) and return what opened just now.

    While the clock cannot be right nothing clears.
    """
    stored = {key_of_stored(need): need for need in derived.open_needs(conn)}
    keys = {key_of(need) for need in found}
    opened = [need for need in found if key_of(need) not in stored]
    reworded = [
        _row(need, now) | {"id": kept.id}
        for need in found
        if (kept := stored.get(key_of(need))) is not None
        and (kept.level, kept.message, kept.action) != (need.level, need.message, need.action)
    ]
    clock_is_wrong = any(need.cause == CLOCK for need in found)
    cleared = [
        need.id
        for key, need in stored.items()
        if key not in keys and not _asleep(need, now) and not clock_is_wrong
    ]
    new = [_row(need, now) for need in opened]
    derived.write_needs(conn, opened=new, reworded=reworded, cleared=cleared, now=utc_text(now))
    return opened


@at_once
def snooze(
    conn: Connection, by: By, need: Need, until: datetime, reason: str, now: datetime
) -> None:
    """Keep one need quiet until a moment, with the reason why; a gathered one lot by lot.

    Raises
    ------
    Refused: no reason, or nothing of it needs anybody any more
    """
    gathers = need.cause in GATHERED and need.lot_id is None
    members = _members(conn, need, now) if gathers or need.lot_ids else [need]
    known = {key_of_stored(stored) for stored in derived.open_needs(conn)}
    new = [_row(member, now) for member in members if key_of(member) not in known]
    derived.write_needs(conn, opened=new, reworded=[], cleared=[], now=utc_text(now))
    wanted = {key_of(member) for member in members}
    ids = [stored.id for stored in derived.open_needs(conn) if key_of_stored(stored) in wanted]
    if gathers and not ids:  # quiet already: somebody else was quicker
        there = {lot.id for lot in rack.open_lots(conn) if lot.place_id == need.place_id}
        alike = (stored for stored in derived.open_needs(conn) if stored.cause == need.cause)
        ids = [stored.id for stored in alike if stored.lot_id in there]
    if not ids:
        raise Refused("That need is gone; nothing was snoozed.")
    what = f"{len(ids)} lots {GATHERED[need.cause][0]}" if gathers else _cause(need.cause)
    _quiet(conn, by, ids, f"{need.lot or need.place or ''} {what}".strip(), until, reason, now)


@at_once
def snooze_anew(
    conn: Connection,
    by: By,
    kept: StoredNeed,
    where: str,
    until: datetime | None,
    reason: str,
    now: datetime,
) -> None:
    """Keep a snoozed need quiet until another moment, or (None) no longer.

    Raises
    ------
    Refused: no reason
    """
    _quiet(conn, by, [kept.id], f"{where} {_cause(kept.cause)}".strip(), until, reason, now)


def _quiet(
    conn: Connection,
    by: By,
    ids: Sequence[int],
    what: str,
    until: datetime | None,
    reason: str,
    now: datetime,
) -> None:
    verb, subject = "end snooze of", what
    quiet_until, why = None, None
    if until is not None:
        if not reason.strip():
            raise Refused("Say in a few words why you snooze it.")
        days = round((until - now).total_seconds() / SECONDS_PER_DAY)
        verb, subject = "snooze", f"{what} for {days} d: {reason}"
        quiet_until, why = utc_text(until), reason
    with change(conn, by, verb, subject=subject) as work:
        for need_id in ids:
            derived.snooze(work, need_id, quiet_until, why)


def _cause(cause: str) -> str:
    """``weigh-in due``, ``target reached``."""
    return cause.replace("-", " ").replace("weigh in", "weigh-in")


def remembered(conn: Connection) -> tuple[list[StoredNeed], list[StoredNeed]]:
    """Needs that stand open (snoozed ones too), and what cleared lately."""
    return derived.open_needs(conn), derived.cleared_needs(conn)


def asleep(stands: Sequence[StoredNeed], now: datetime) -> list[StoredNeed]:
    """Those of the needs that stand which are snoozed, the first to come back first."""
    found = [need for need in stands if _asleep(need, now)]
    return sorted(found, key=lambda need: need.snoozed_until or "")


def key_of(need: Need) -> tuple[str, int, int]:
    """What makes a need the same need at the next check."""
    return need.cause, need.lot_id or 0, need.place_id or 0


def key_of_stored(need: StoredNeed) -> tuple[str, int, int]:
    """The same of a remembered one."""
    return need.cause, need.lot_id or 0, need.place_id or 0


def _awake(conn: Connection, now: datetime) -> Callable[[Need], bool]:
    asleep = {key_of_stored(need) for need in derived.open_needs(conn) if _asleep(need, now)}
    return lambda need: key_of(need) not in asleep


def _asleep(need: StoredNeed, now: datetime) -> bool:
    return need.snoozed_until is not None and moment(need.snoozed_until) > now


def _members(conn: Connection, need: Need, now: datetime) -> list[Need]:
    """The lots behind "4 lots to weigh", or behind one question to a batch."""
    lots = [
        lot
        for lot in rack.open_lots(conn)
        if (lot.id in need.lot_ids if need.lot_ids else lot.place_id == need.place_id)
    ]
    found = needs_of(conn, lots, now, household.zone(conn))
    return [item for item in found if item.cause == need.cause and item.lot_id is not None]


def _row(need: Need, now: datetime) -> dict[str, object]:
    columns = ("cause", "lot_id", "place_id", "level", "message", "action")
    return {name: getattr(need, name) for name in columns} | {"opened_at": utc_text(now)}
