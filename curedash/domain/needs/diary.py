"""The days to come of every lot: out of cure, turns, weigh days, pull windows, ends; moved when
nobody is at home. Calendar dates only; the zone was settled by whoever made them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date, datetime, timedelta, tzinfo
from math import ceil

from curedash.domain.curing.turning import turn_every_days
from curedash.domain.drying.inspections import undecided
from curedash.domain.drying.lot_figures import figures
from curedash.domain.errors import Refused
from curedash.domain.needs.days_away import Away, is_away, next_day_at_home
from curedash.domain.needs.lot_needs import DEFAULT_RULES, Need, NeedRules, days_to_weigh_in
from curedash.domain.record import record
from curedash.domain.records import LotState, Pack
from curedash.domain.times import local_day, moment

BEGUN_DAYS = 92  # design value: days away that are this long at most may have begun already
NEAR_EACH_OTHER_DAYS = 2  # weigh-ins closer than this are one
SOURED = "ferment-over"
_STEPS = (SOURED, "cure-out", "rest-over", "equalising-over")
#: kind → how much it matters on its day, as for needs
LEVEL_OF = {
    **dict.fromkeys(("decide", "salt-box-out"), "act"),
    **dict.fromkeys(("ferment-look", *_STEPS, "weigh", "turn", "age", "look-again"), "today"),
    **dict.fromkeys(("cure-earliest", "pull", "keep-until", "away"), "note"),
}
KINDS = tuple(LEVEL_OF)
#: stays open until somebody does it; a weigh-in or a turn comes again by itself
STAYS_OPEN = ("salt-box-out", *_STEPS, "age", "look-again")


@record
class DiaryItem:
    """One thing on one day, or over a span of days."""

    first: date
    last: date
    kind: str
    key: str  # names it within its lot, the same on every export
    lot: LotState | None = None
    pack: Pack | None = None
    at: datetime | None = None  # where the hour matters
    moved_from: date | None = None  # nobody is at home on its own day
    note: str = ""

    @property
    def level(self) -> str:
        """``act``, ``today`` or ``note``."""
        return LEVEL_OF[self.kind]


@record
class Stretch:
    """The days asked for, and the days among them that nobody is at home."""

    first: date
    last: date
    away: tuple[Away, ...] = ()


@record
class DiaryLot:
    """A lot with the moment and the zone: what every part of the diary is given."""

    lot: LotState
    now: datetime
    zone: tzinfo
    rules: NeedRules
    stretch: Stretch
    turned_at: str | None = None  # last time its bag was turned, if that is written down
    soured: bool = False  # the pH that ends its ferment is written down

    @property
    def today(self) -> date:
        """The calendar day of now."""
        return self.now.astimezone(self.zone).date()

    def day(self, utc: str, later_days: float = 0.0) -> date:
        """The calendar day so many whole days after a stored moment."""
        return local_day(utc, self.zone) + timedelta(days=ceil(later_days))


def diary_items(
    lots: Sequence[LotState],
    packs: Sequence[tuple[LotState, Pack]],
    now: datetime,
    zone: tzinfo,
    stretch: Stretch,
    rules: NeedRules = DEFAULT_RULES,
    turned: Mapping[int, str] | None = None,
    soured: Collection[int] = (),
) -> list[DiaryItem]:
    """Everything that comes in a stretch of days, in order.

    Parameters
    ----------
    lots : open lots
    packs : packs with their lots, for the days they keep
    now : the moment asked about (aware); what is late stands on today
    zone : calendar days are counted here
    stretch : first and last day, and the days away: what can wait moves to the first day home,
        a salt box to the last day before
    rules : the household's thresholds
    turned : when lots in cure were turned last, by id; those not named are taken to be turned on
        their days
    soured : ids of fermenting lots whose pH has reached the end of the count

    Raises
    ------
    Refused: the stretch ends before it begins
    """
    if stretch.last < stretch.first:
        raise Refused("The days asked for end before they begin.")
    found: list[DiaryItem] = []
    for lot in lots:
        seen = DiaryLot(
            lot, now, zone, rules, stretch, (turned or {}).get(lot.id), lot.id in soured
        )
        if undecided(lot) is not None:  # no other day is told of it
            day = max(seen.today, stretch.first)
            found.append(DiaryItem(day, day, "decide", "decide", lot))
            continue
        for part in PARTS:
            found += part(seen)
    found += [_keeps(lot, pack) for lot, pack in packs if pack.keep_until]
    found += [
        DiaryItem(block.first, block.last, "away", f"away-{block.first.isoformat()}")
        for block in stretch.away
    ]
    inside = [i for i in found if i.first <= stretch.last and i.last >= stretch.first]
    return sorted(inside, key=_order)


def _order(item: DiaryItem) -> tuple[date, int, float]:
    return item.first, KINDS.index(item.kind), item.lot.position if item.lot else -1.0


# ── in cure ───────────────────────────────────────────────────────────────────────────────


def out_of_cure(seen: DiaryLot) -> list[DiaryItem]:
    """The earliest and the usual day out; of what has a stop its moment."""
    lot = seen.lot
    if lot.stage != "in-cure" or lot.cure_usual_days is None:
        return []
    if lot.has_stop:
        at = moment(lot.stage_at) + timedelta(days=lot.cure_usual_days)
        return [_before_leaving(seen, at)]
    usual = seen.day(lot.stage_at, lot.cure_usual_days)
    items = [_waiting(seen, usual, "cure-out", "out")]
    if lot.cure_earliest_days is not None:
        first = seen.day(lot.stage_at, lot.cure_earliest_days)
        if seen.today <= first < usual:
            items.append(DiaryItem(first, first, "cure-earliest", "earliest", lot))
    return items


def _before_leaving(seen: DiaryLot, at: datetime) -> DiaryItem:
    """What goes on salting cannot wait: a moment that nobody is there for comes forward."""
    own = at.astimezone(seen.zone).date()
    day = max(own, seen.today)
    if is_away(day, seen.stretch.away):
        home = max(next_day_at_home(day, seen.stretch.away, step=-1), seen.today)
        return DiaryItem(home, home, "salt-box-out", "out", seen.lot, moved_from=own)
    return DiaryItem(day, day, "salt-box-out", "out", seen.lot, at=at if own == day else None)


def turns(seen: DiaryLot) -> list[DiaryItem]:
    """Every turn until the usual day out; of those while away one on the first day home."""
    lot = seen.lot
    every = turn_every_days(lot.method)
    if lot.stage != "in-cure" or every is None or lot.cure_usual_days is None:
        return []
    step = timedelta(days=max(1, round(every)))
    last = min(seen.day(lot.stage_at, lot.cure_usual_days) - timedelta(days=1), seen.stretch.last)
    own = seen.day(seen.turned_at or lot.stage_at) + step
    if seen.turned_at is not None:
        own = max(own, seen.today)
    found: dict[date, date] = {}  # day → its own day
    while own <= last:
        if own >= seen.today:
            found.setdefault(next_day_at_home(own, seen.stretch.away), own)
        own += step
    return [
        DiaryItem(day, day, "turn", f"turn-{n + 1}", lot, moved_from=None if day == own else own)
        for n, (day, own) in enumerate(found.items())
    ]


# ── rest, ferment, soften ─────────────────────────────────────────────────────────────────


def planned_ends(seen: DiaryLot) -> list[DiaryItem]:
    """The end of a salt rest or of softening; both can wait."""
    lot = seen.lot
    kind = {"salt-rest": "rest-over", "equalising": "equalising-over"}.get(lot.stage)
    if kind is None:
        return []
    if lot.stage_until is not None:
        return [_waiting(seen, seen.day(lot.stage_until), kind)]
    if lot.stage == "salt-rest" and lot.rest_days is not None:
        return [_waiting(seen, seen.day(lot.stage_at, lot.rest_days), kind)]
    return []


def looks_again(seen: DiaryLot) -> list[DiaryItem]:
    """The second look that mould asks for, unless something worse or newer was seen since."""
    newest = next((look for look in seen.lot.looks if look.kind in ("mould", "alarm")), None)
    if newest is None or newest.kind != "mould":
        return []
    day = seen.day(newest.at, seen.rules.mould_again_days)
    return [_waiting(seen, day, "look-again")]


def ferment_looks(seen: DiaryLot) -> list[DiaryItem]:
    """A fermenting lot wants eyes and a pH every day, at home or not, until its pH is reached."""
    if seen.lot.stage != "ferment":
        return []
    if seen.soured:
        return [_waiting(seen, seen.today, SOURED)]
    first = max(seen.stretch.first, seen.today)
    found = []
    for n in range((seen.stretch.last - first).days + 1):
        day = first + timedelta(days=n)
        note = "nobody is at home" if is_away(day, seen.stretch.away) else ""
        found.append(DiaryItem(day, day, "ferment-look", f"ferment-{n + 1}", seen.lot, note=note))
    return found


# ── drying ────────────────────────────────────────────────────────────────────────────────


def pull_window(seen: DiaryLot) -> list[DiaryItem]:
    """The days its target is likely reached; the weight decides, not the date."""
    lot = seen.lot
    if lot.stage != "drying":
        return []
    if lot.by_date:
        return _of_age(seen)
    shown = figures(lot, seen.now, seen.zone)
    if shown.window is None:
        return []
    first, last = (max(day, seen.today) for day in shown.window)
    return [DiaryItem(first, last, "pull", "pull", lot, note=shown.window_note)]


def _of_age(seen: DiaryLot) -> list[DiaryItem]:
    lot = seen.lot
    since = lot.salted_at or lot.hang_at
    if lot.min_age_days is None or since is None:
        return []
    return [_waiting(seen, seen.day(since, lot.min_age_days), "age")]


def weigh_days(seen: DiaryLot) -> list[DiaryItem]:
    """The next weigh-ins: the style's rhythm, denser near the window; none while away.

    A weigh-in that falls into days away is made before leaving and on the first day home; so is
    one of a lot that may reach its target meanwhile.
    """
    due = days_to_weigh_in(seen.lot, seen.now, seen.zone, seen.rules)
    if due is None:
        return []
    window = figures(seen.lot, seen.now, seen.zone).window
    days = _by_rhythm(seen, seen.today + timedelta(days=max(0, due)), window)
    for block in seen.stretch.away:
        if window is not None and window[0] <= block.last:
            _add_around(seen, days, block)
    return [
        DiaryItem(day, day, "weigh", f"weigh-{n + 1}", seen.lot, moved_from=moved)
        for n, (day, moved) in enumerate(sorted(days.items()))
        if day <= seen.stretch.last
    ]


def _by_rhythm(
    seen: DiaryLot, own: date, window: tuple[date, date] | None
) -> dict[date, date | None]:
    """Days to weigh on, with the own day of one that moved."""
    blocks = seen.stretch.away
    days: dict[date, date | None] = {}
    previous = _weighed_on(seen)
    while own <= seen.stretch.last:
        if not is_away(own, blocks):
            days[own] = None
        else:
            eve = next_day_at_home(own, blocks, step=-1)
            if eve >= seen.today and (eve - previous).days >= NEAR_EACH_OTHER_DAYS:
                days[eve] = own
            home = next_day_at_home(own, blocks)
            days[home], own = own, home
        previous = own
        own += timedelta(days=_rhythm(seen, own, window))
    return days


def _add_around(seen: DiaryLot, days: dict[date, date | None], block: Away) -> None:
    """Weigh before leaving and on return, where no weigh-in is near already."""
    blocks = seen.stretch.away
    weighed = [*days, _weighed_on(seen)]
    eve = next_day_at_home(block.first, blocks, step=-1)
    if eve >= seen.today and all(abs((eve - day).days) >= NEAR_EACH_OTHER_DAYS for day in weighed):
        days[eve] = None
    home = max(next_day_at_home(block.last, blocks), seen.today)
    if all(not 0 <= (day - home).days < NEAR_EACH_OTHER_DAYS for day in weighed):
        days[home] = None


def _weighed_on(seen: DiaryLot) -> date:
    lot = seen.lot
    return seen.day(lot.curve[0].at if lot.curve else lot.hang_at or lot.stage_at)


def weighed_around(
    items: Sequence[DiaryItem], block: Away
) -> tuple[date | None, date | None, bool]:
    """Read off one lot's items how days away lie between its weigh-ins.

    Returns
    -------
    the day it is weighed on shortly before leaving, the next one after, and whether a weigh-in
    moved out of the days away
    """
    days = [item.first for item in items if item.kind == "weigh"]
    near = timedelta(days=NEAR_EACH_OTHER_DAYS)
    before = [day for day in days if block.first - near <= day < block.first]
    after = [day for day in days if day > block.last]
    moved = any(
        item.moved_from is not None and block.first <= item.moved_from <= block.last
        for item in items
        if item.kind == "weigh"
    )
    return max(before, default=None), min(after, default=None), moved


def _rhythm(seen: DiaryLot, on: date, window: tuple[date, date] | None) -> int:
    """Days from one weigh-in to the next, as it will be on that day."""
    every = seen.lot.weigh_every_days
    soon = timedelta(days=seen.rules.weigh_soon_before_window_days)
    if window is not None and window[0] - on <= soon:
        every = min(every, seen.rules.weigh_soon_every_days)
    return max(1, int(every))


def _waiting(seen: DiaryLot, own: date, kind: str, key: str = "") -> DiaryItem:
    """Something that can wait: on today if it is late, on the first day home if nobody is."""
    day = next_day_at_home(max(own, seen.today), seen.stretch.away)
    moved = own if day != max(own, seen.today) else None
    note = "" if own >= seen.today else f"since {own.isoformat()}"
    return DiaryItem(day, day, kind, key or kind, seen.lot, moved_from=moved, note=note)


def _keeps(lot: LotState, pack: Pack) -> DiaryItem:
    assert pack.keep_until is not None  # its caller looked
    day = date.fromisoformat(pack.keep_until[:10])
    return DiaryItem(day, day, "keep-until", f"pack-{pack.id}", lot, pack)


PARTS: tuple[Callable[[DiaryLot], list[DiaryItem]], ...] = (
    out_of_cure,
    turns,
    planned_ends,
    looks_again,
    ferment_looks,
    pull_window,
    weigh_days,
)


# ── days away ─────────────────────────────────────────────────────────────────────────────


@record
class AwayLot:
    """What days away mean for one lot."""

    lot: LotState
    passes: str  # no | may | will: reaches its target meanwhile
    on_return_pct: tuple[float, float, float] | None  # low, middle, high loss from hang weight
    past_points: float | None  # middle loss on return beyond the target's end
    weigh_before: date | None
    weigh_after: date | None
    asks: str  # one of services.needs.away.ASKS
    due: date | None = None  # of what can wait or must not
    open: tuple[Need, ...] = ()  # what is open on it now, or is planned for no day


def passes_target(loss_pct: tuple[float, float, float] | None, target_lo_pct: float) -> str | None:
    """Whether a target is reached while away, from the loss predicted for the return.

    Parameters
    ----------
    loss_pct : low, middle and high loss on return [% of base]; None: not known
    target_lo_pct : loss the target begins at [% of the same base]

    Returns
    -------
    ``no``, ``may`` or ``will`` (4 of 5 pieces like it do); None where nothing is predicted

    Source
    ------
    definition

    Example
    -------
    >>> passes_target((33.0, 35.5, 37.0), 35), passes_target((36.0, 37.0, 38.0), 35)
    ('may', 'will')
    """
    if loss_pct is None:
        return None
    low, _, high = loss_pct
    if low >= target_lo_pct:
        return "will"
    return "may" if high >= target_lo_pct else "no"


def parse_away(text: str, day_of: Callable[[str], date]) -> Away:
    """Read days away as people write them.

    Parameters
    ----------
    text : ``12-19 Dec``, ``12 Dec to 2 Jan``, ``2026-12-12..2026-12-19``, ``24 Dec``
    day_of : reads one day to come

    Returns
    -------
    the days, both included; an end before the beginning raises ``Refused``

    Source
    ------
    definition

    Example
    -------
    >>> from datetime import UTC, datetime
    >>> from curedash.domain.typed.dates import parse_day
    >>> noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    >>> parse_away("12-19 Dec", lambda word: parse_day(word, noon, UTC))
    Away(first=datetime.date(2026, 12, 12), last=datetime.date(2026, 12, 19))
    """
    first_word, last_word = _ends(" ".join(text.split()))
    last = day_of(last_word)
    if first_word.isdecimal() and int(first_word) <= last.day:  # "12–19 Dec": the same month
        first = _same_month(last, int(first_word))
    else:
        first = day_of(first_word)
    try:
        begun = first.replace(year=first.year - 1)
    except ValueError:  # 29 Feb
        begun = first
    if last < first and str(first.year) not in first_word and (last - begun).days <= BEGUN_DAYS:
        first = begun
    if last < first:
        raise Refused("The days away end before they begin: type the first day first.")
    return Away(first, last)


def _ends(text: str) -> tuple[str, str]:
    for between in ("..", "…", " to ", " until ", " - ", "–", "—"):
        first, found, last = text.partition(between)
        if found and first.strip() and last.strip():
            return first.strip(), last.strip()
    first, found, last = text.partition("-")
    head = first.strip()
    ends = head[-1:].isalpha() or head.endswith(".")  # "22 Feb-4 Mar", "9.11.-12.11."
    dated = ends or (head.isdecimal() and len(head) <= 2)  # or a day alone
    if found and dated and last.strip():
        return first.strip(), last.strip()
    return text, text


def _same_month(last: date, number: int) -> date:
    if number < 1:
        raise Refused("No such day: type for example 12-19 Dec.")
    return last.replace(day=number)
