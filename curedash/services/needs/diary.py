"""The diary of the household: what comes on which day, and planning back from a day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from sqlite3 import Connection

from curedash.domain.curing.cure_time import cure_window
from curedash.domain.curing.degree_hours import ph_reached
from curedash.domain.curing.stages import EQUALISING, FERMENT
from curedash.domain.drying.equalising import equalising_days
from curedash.domain.drying.lot_figures import figures
from curedash.domain.errors import Refused
from curedash.domain.household.styles import Style
from curedash.domain.needs.days_away import Away
from curedash.domain.needs.diary import STAYS_OPEN, DiaryItem, Stretch, diary_items
from curedash.domain.needs.plan_back import PlanBack, next_days, plan_back
from curedash.domain.records import LotState, Pack
from curedash.domain.times import local_day
from curedash.services.curing.ferment import ph_log
from curedash.services.household import book, household
from curedash.services.needs import away
from curedash.store import finishes, rack
from curedash.store import lots as lot_rows

AGENDA_DAYS = 14
HOME_WITHIN_DAYS = 31  # how far past a page what waits is looked for
CURE_C = 4.0  # common practice for a cure in a fridge


@dataclass(frozen=True, slots=True)
class Diary:
    """A stretch of days with what comes in it."""

    today: date
    stretch: Stretch
    zone: tzinfo
    items: tuple[DiaryItem, ...]


def read_diary(
    conn: Connection,
    now: datetime,
    *,
    days: int = AGENDA_DAYS,
    first: date | None = None,
    stood_in: bool = False,
    looked_at: Away | None = None,
) -> Diary:
    """What comes in so many days, from today or another day.

    Parameters
    ----------
    stood_in : somebody weighs and turns on the days away too, so nothing moves
    looked_at : days away that are thought of but not kept
    """
    zone = household.zone(conn)
    today = now.astimezone(zone).date()
    begin = first or today
    blocks = () if stood_in else away.with_kept(conn, looked_at, min(begin, today))
    stretch = Stretch(begin, begin + timedelta(days=days - 1), blocks)
    lots, rules = rack.open_lots(conn), household.need_rules(conn)
    done = (_turned(conn, lots), _soured(conn, lots))
    items = diary_items(lots, _packs(conn), now, zone, stretch, rules, *done)
    return Diary(today, stretch, zone, tuple(items))


@dataclass(frozen=True, slots=True)
class StandIn:
    """The days of a stand-in, what is due before, what waits until the household is
    back.
    """

    diary: Diary
    waiting: tuple[DiaryItem, ...]
    before: tuple[DiaryItem, ...] = ()


def read_stand_in(
    conn: Connection,
    now: datetime,
    *,
    days: int,
    first: date | None = None,
    looked_at: Away | None = None,
    weighs_too: bool = False,
) -> StandIn:
    """What comes in the days somebody stands in; of days away only what the plan leaves to them.

    Parameters
    ----------
    looked_at : days away that are thought of but not kept
    weighs_too : they weigh and turn on the days away as well, so nothing waits
    """
    until_home = days + HOME_WITHIN_DAYS
    longer = read_diary(
        conn, now, days=until_home, first=first, stood_in=weighs_too, looked_at=looked_at
    )
    begin = longer.stretch.first
    last = begin + timedelta(days=days - 1)
    inside = tuple(item for item in longer.items if item.first <= last)
    waiting = tuple(
        item
        for item in longer.items
        if item.moved_from is not None and item.moved_from <= last < item.first
    )
    stretch = Stretch(begin, last, longer.stretch.away)
    before = _due_before(conn, now, begin, stood_in=weighs_too, looked_at=looked_at)
    return StandIn(Diary(longer.today, stretch, longer.zone, inside), waiting, before)


def _due_before(
    conn: Connection, now: datetime, begin: date, *, stood_in: bool, looked_at: Away | None
) -> tuple[DiaryItem, ...]:
    """What is due or late from today to the eve of a day, and is still there if nobody does it."""
    ahead = (begin - now.astimezone(household.zone(conn)).date()).days
    if ahead <= 0:
        return ()
    until = read_diary(conn, now, days=ahead, stood_in=stood_in, looked_at=looked_at)
    return tuple(item for item in until.items if item.kind in STAYS_OPEN)


def _turned(conn: Connection, lots: Sequence[LotState]) -> dict[int, str]:
    """When lots in cure were turned last, where that is written down."""
    found = {}
    for lot in lots:
        events = lot_rows.events(conn, lot_id=lot.id, kind="turn") if lot.stage == "in-cure" else []
        since = [event.at for event in events if event.at >= lot.stage_at]
        if since:
            found[lot.id] = since[-1]
    return found


def _soured(conn: Connection, lots: Sequence[LotState]) -> set[int]:
    """Fermenting lots of which a pH is written down that ends the count."""
    return {
        lot.id
        for lot in lots
        if lot.stage == FERMENT
        and any(ph_reached(ph) for event, ph in ph_log(conn, lot) if event.at >= lot.stage_at)
    }


def _packs(conn: Connection) -> list[tuple[LotState, Pack]]:
    """Packs that have a day to keep until, with their lots, given-away ones left out."""
    kept = [pack for pack in finishes.packs(conn) if pack.keep_until and not pack.given_to]
    lots = {pack.lot_id: rack.one_lot(conn, pack.lot_id) for pack in kept}
    return [(lot, pack) for pack in kept if (lot := lots[pack.lot_id]) is not None]


@dataclass(frozen=True, slots=True)
class PlannedBack:
    """A plan with what it rests on."""

    plan: PlanBack
    style: Style
    cure_days: float
    rest_days: float
    equalise_days: float
    drying_days: tuple[float, float, float]
    own_lots: int  # of the household's, that the drying days come from; 0: a rule of thumb
    rule: str


def plan_ready(
    conn: Connection | None,
    style: Style,
    ready_by: date,
    today: date,
    *,
    green_g: float,
    thickness_mm: float,
    equalise: bool = False,
    skin: bool | None = None,
) -> PlannedBack:
    """Plan back from the day a piece is wanted, with the household's own drying days if any.

    Parameters
    ----------
    green_g : green weight of the piece [g]
    thickness_mm : thickest spot [mm]
    equalise : count the days in a sealed bag afterwards too
    skin : skin or a fat cap on one side; None: as the style's cut says

    Raises
    ------
    Refused: no rule for the cure or the salt rest was ever used for such a piece
    """
    skin_on = style.skin_on if skin is None else skin
    window = cure_window(style.method, green_g, thickness_mm, style.shape, CURE_C, skin=skin_on)
    if window is not None and window.no_days:
        raise Refused(window.no_days)
    cure_days = 0.0 if window is None else window.usual_days or 0.0
    rest = None if window is None else window.salt_rest
    rest_days = 0.0 if rest is None else rest.days_90
    drying, own = _drying_days(conn, style, green_g, thickness_mm)
    soften = float(equalising_days(thickness_mm, style.shape).days) if equalise else 0.0
    stretches = {"cure_days": cure_days, "rest_days": rest_days, "equalise_days": soften}
    plan = plan_back(ready_by, today, drying_days=drying, **stretches)
    rule = "none" if window is None else window.rule_name
    return PlannedBack(plan, style, cure_days, rest_days, soften, drying, own, rule)


def lots_ready(conn: Connection, now: datetime) -> list[tuple[LotState, tuple[date, date] | None]]:
    """Every open lot with the days it may be ready: its pull window, or when it has equalised.

    Returns
    -------
    the lots, soonest first; None and last where no such days are known
    """
    zone = household.zone(conn)
    found = [(lot, _ready_days(lot, now, zone)) for lot in rack.open_lots(conn)]
    return sorted(found, key=lambda pair: (pair[1] or (date.max, date.max), pair[0].position))


def _ready_days(lot: LotState, now: datetime, zone: tzinfo) -> tuple[date, date] | None:
    if lot.stage == EQUALISING and lot.stage_until is not None:
        return (local_day(lot.stage_until, zone),) * 2
    hangs = lot.stage == "drying" and not lot.by_date
    return figures(lot, now, zone).window if hangs else None


def _drying_days(
    conn: Connection | None, style: Style, green_g: float, thickness_mm: float
) -> tuple[tuple[float, float, float], int]:
    """Of the household's own finished lots of the style, else a rule of thumb."""
    if conn is not None:
        known = book.what_before(conn, style=style.id).drying_days
        if known is not None and known.lo > 0:
            return next_days(known.n, known.lo, known.median, known.hi), known.n
    from curedash.domain.drying.forecast import Basis, forecast

    rows = [(0.0, 1.0)]
    seen = forecast(Basis(rows, style.loss_lo_pct, base_g=green_g, diameter_mm=thickness_mm))
    lo, hi = seen.window_day or (thickness_mm / 2, thickness_mm * 1.6)
    return (lo, seen.median_day or thickness_mm, hi), 0
