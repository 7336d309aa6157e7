"""Days away: kept, taken back, and what they mean for each lot."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from sqlite3 import Connection

from curedash.domain.curing.stages import FERMENT, IN_CURE
from curedash.domain.curing.turning import turn_every_days
from curedash.domain.drying.lot_figures import expected_net_g, figures, loss_on, target_net_g
from curedash.domain.errors import CuredashError, NotFound, Refused
from curedash.domain.needs.days_away import Away, window_while_away
from curedash.domain.needs.diary import (
    STAYS_OPEN,
    AwayLot,
    DiaryLot,
    Stretch,
    looks_again,
    out_of_cure,
    passes_target,
    planned_ends,
    pull_window,
    weigh_days,
    weighed_around,
)
from curedash.domain.needs.lot_needs import Need
from curedash.domain.record import replace
from curedash.domain.records import LotState
from curedash.domain.times import days_between, moment, utc_text
from curedash.domain.wording import no_such
from curedash.services.drying import forecasts
from curedash.services.household import household
from curedash.services.needs.open_work import open_work
from curedash.store import away, rack
from curedash.store.work import By, at_once, change

MOST_DAYS = 366
AFTERWARDS_DAYS = 60  # how far past days away the next weigh-in is looked for
MAX_NOTE = 200


@dataclass(frozen=True, slots=True)
class Block:
    """Days away as they are kept."""

    id: int
    block: Away
    note: str | None


def blocks(conn: Connection, since: date | None = None) -> list[Block]:
    """Days away that are not over by a day."""
    rows = away.all_away(conn, "" if since is None else since.isoformat())
    read = date.fromisoformat
    return [Block(row.id, Away(read(row.from_day), read(row.to_day)), row.note) for row in rows]


def next_away(conn: Connection, today: date) -> Away | None:
    """The days away that are saved next, from today where they have begun; None without any."""
    known = [saved.block for saved in blocks(conn, today) if saved.block.last >= today]
    if not known:
        return None
    soonest = min(known, key=lambda block: block.first)
    return Away(max(soonest.first, today), soonest.last)


def with_kept(
    conn: Connection, looked_at: Away | None, since: date | None = None
) -> tuple[Away, ...]:
    """Days away that are kept, and those only looked at among them."""
    kept = [known.block for known in blocks(conn, since)]
    if looked_at is not None and looked_at not in kept:
        kept.append(looked_at)
    return tuple(sorted(kept, key=lambda block: block.first))


@at_once
def add_away(
    conn: Connection,
    by: By,
    block: Away,
    now: datetime,
    note: str | None = None,
    *,
    remove_by: str = "'curedash away remove {number}'",
) -> Block:
    """Keep days away; ``remove_by`` is what deletes those that are kept already.

    Raises
    ------
    Refused: they are over, too many, or cover days that are kept already
    """
    today = now.astimezone(household.zone(conn)).date()
    if block.last < block.first:
        raise Refused("The days away end before they begin: type the first day first.")
    if block.last < today:
        raise Refused("Those days are over already; type days to come, like 12-19 Dec.")
    if (block.last - block.first).days >= MOST_DAYS:
        raise Refused("Days away last a year at most.")
    if note is not None and len(note) > MAX_NOTE:
        raise Refused(f"A note has at most {MAX_NOTE} characters; this one has {len(note)}.")
    for known in blocks(conn, block.first):
        if known.block.first <= block.last:
            raise Refused(
                f"Days {known.block.first} to {known.block.last} are saved as away already;"
                f" {remove_by.format(number=known.id)} deletes them."
            )
    subject = f"{block.first} to {block.last}"
    with change(conn, by, "away", subject=subject) as work:
        kept = away.add(work, block.first.isoformat(), block.last.isoformat(), note)
    return Block(kept, block, note)


@at_once
def remove_away(conn: Connection, by: By, away_id: int) -> Block:
    """Delete days away.

    Raises
    ------
    NotFound: no such days
    """
    found = next((known for known in blocks(conn) if known.id == away_id), None)
    if found is None:
        numbers = (str(known.id) for known in blocks(conn))
        raise NotFound(no_such("entry of days away with the number", str(away_id), numbers))
    subject = f"{found.block.first} to {found.block.last}"
    with change(conn, by, "not away", subject=subject) as work:
        away.void(work, away_id)
    return found


def report(conn: Connection, block: Away, now: datetime) -> list[AwayLot]:
    """What days away mean for every open lot, the ones that ask something first."""
    zone = household.zone(conn)
    gone = with_kept(conn, block, now.astimezone(zone).date())
    lots = rack.open_lots(conn)
    still = open_work(conn, lots, now, block.last)
    found = (_lot(conn, lot, block, gone, now, zone, tuple(still.get(lot.id, ()))) for lot in lots)
    return sorted(found, key=lambda row: ASKS.index(row.asks))


#: what a lot asks for, the most pressing first
ASKS = (
    *("out-before", "stand-in", "pull-or-hold", "open"),
    *("due-before", "weigh", "can-wait", "nothing"),
)


STALE = 2  # times its rhythm without a weigh-in: its forecast alone decides nothing (design value)


def _lot(
    conn: Connection,
    lot: LotState,
    block: Away,
    gone: tuple[Away, ...],
    now: datetime,
    zone: tzinfo,
    unfinished: tuple[Need, ...],
) -> AwayLot:
    if lot.stage == FERMENT:
        return AwayLot(lot, "no", None, None, None, None, "stand-in", open=unfinished)
    row = AwayLot(lot, "no", None, None, None, None, "nothing")
    if lot.stage == "drying" and not lot.by_date:
        row = _drying(conn, lot, block, gone, now, zone)
    asks, due = row.asks, _due(conn, lot, block, zone)
    if asks == "nothing" and due is not None:
        asks = "due-before" if due < block.first else "can-wait"
        if lot.has_stop and lot.stage == IN_CURE:
            asks = "out-before"
    elif asks == "nothing" and _turns(lot, block):
        asks = "can-wait"
    if unfinished and asks in ("nothing", "can-wait", "due-before"):
        asks = "open"
    return replace(row, asks=asks, due=due, open=unfinished)


def _due(conn: Connection, lot: LotState, block: Away, zone: tzinfo) -> date | None:
    """The own day, up to the last one away, of what stays open until somebody does it."""
    entered = moment(lot.stage_at)  # seen from then nothing is late, so each has its own day
    stretch = Stretch(entered.astimezone(zone).date(), block.last)
    seen = DiaryLot(lot, entered, zone, household.need_rules(conn), stretch)
    items = [*out_of_cure(seen), *planned_ends(seen), *looks_again(seen)]
    items += pull_window(seen) if lot.by_date else []
    days = (item.first for item in items if item.kind in STAYS_OPEN)
    return min((day for day in days if day <= block.last), default=None)


def _turns(lot: LotState, block: Away) -> bool:
    """Whether it would be turned on one of the days."""
    every = turn_every_days(lot.method) if lot.stage == IN_CURE else None
    return every is not None and (block.last - block.first).days + 1 >= every


def _drying(
    conn: Connection,
    lot: LotState,
    block: Away,
    gone: tuple[Away, ...],
    now: datetime,
    zone: tzinfo,
) -> AwayLot:
    """Weighed around the days away as the diary will have it once they are kept."""
    today = now.astimezone(zone).date()
    stretch = Stretch(today, max(block.last, today) + timedelta(days=AFTERWARDS_DAYS), gone)
    planned = weigh_days(DiaryLot(lot, now, zone, household.need_rules(conn), stretch))
    before, after, moved = weighed_around(planned, block)
    losses = _on_return(conn, lot, block, now, zone)
    target = target_net_g(lot)
    target_lo = None if target is None else loss_on(lot.base_g, target[1])
    target_hi = None if target is None else loss_on(lot.base_g, target[0])
    known = figures(lot, now, zone)
    passes = window_while_away(block, known.window)
    if losses is not None and target_lo is not None:
        passes = passes_target(losses, target_lo) or passes
    if passes == "will" and (known.days_since_weigh_in or 0) > STALE * lot.weigh_every_days:
        passes, before = "may", today  # only a weigh-in today can tell
    past = None if losses is None or target_hi is None else losses[1] - target_hi
    asks = "pull-or-hold" if passes == "will" else "nothing"
    if asks == "nothing" and (passes == "may" or moved):
        asks = "weigh"
    return AwayLot(lot, passes, losses, past, before, after, asks)


def _on_return(
    conn: Connection, lot: LotState, block: Away, now: datetime, zone: tzinfo
) -> tuple[float, float, float] | None:
    """Low, middle and high loss from hang weight at noon of the first day home [%]."""
    if lot.hang_at is None:
        return None
    home = datetime.combine(block.last + timedelta(days=1), time(12), zone)
    try:
        day = days_between(lot.hang_at, utc_text(home))
        ahead = forecasts.look_ahead(conn, lot, now).loss_on(day)
    except CuredashError:
        ahead = None
    return ahead or _carried_on(lot, home)


def _carried_on(lot: LotState, home: datetime) -> tuple[float, float, float] | None:
    """The rate of the last weigh-ins carried on, where there is no forecast (any more)."""
    expected = expected_net_g(lot, home)
    if expected is None or lot.base_g is None:
        return None
    net_g, pm_g = expected
    low, middle, high = (100 * (1 - g / lot.base_g) for g in (net_g + pm_g, net_g, net_g - pm_g))
    return low, middle, high
