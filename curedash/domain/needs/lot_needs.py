"""What needs a person: a pure function of the lots, the places and the moment.

One need per cause. ``act`` is now, ``today`` is today; what is merely worth knowing goes into the
log and never here. The thresholds are design values that the household can edit
(:class:`NeedRules`); the numbers for places lie in :mod:`curedash.domain.needs.place_needs`.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime, timedelta, tzinfo
from math import ceil

from curedash.domain.curing.stages import mixed_at
from curedash.domain.curing.turning import BAG_DAYS, BOX_DAYS
from curedash.domain.drying.inspections import GOES_ON, dose_undecided, undecided
from curedash.domain.drying.lot_figures import (
    base_of,
    curve_days,
    is_stalled,
    loss_on,
    net_now_g,
    rate_over,
    target_net_g,
)
from curedash.domain.quantity_text import grams, phrase
from curedash.domain.record import record, replace
from curedash.domain.records import LotState
from curedash.domain.times import SECONDS_PER_DAY, calendar_days, moment, utc_text
from curedash.domain.wording import by_number

LEVELS = ("act", "today", "note")
FIRST_DAYS = 14  # how long after hanging the first week is spoken of (design value)
CLOCK = "clock-implausible"


#: what a need may ask for beside what its cause usually asks
WEIGH_AGAIN, BAG, DISCARD, DECIDE = "weigh-again", "bag", "discard", "decide"


@record
class Need:
    """One thing that needs a person, with its number and the usual next action."""

    level: str
    cause: str
    message: str
    action: str
    lot: str | None = None
    place: str | None = None
    lot_id: int | None = None
    place_id: int | None = None
    late_days: int = 0
    lot_ids: tuple[int, ...] = ()  # every lot it is about, where one line is for several of a batch
    asks: str = ""  # what it asks for, where needs of one cause ask for different things

    @property
    def subject(self) -> str:
        """The lot or the place it is about, or the clock; lots may be in no place."""
        other = "clock" if self.cause == CLOCK else "no place"
        return self.lot or self.place or other


@record
class NeedRules:
    """Thresholds of the household; defaults are design values, not a standard."""

    ticks_open_hours: float = 24.0
    cure_decide_days: float = 30.0
    weigh_soon_every_days: float = 3.0
    weigh_soon_before_window_days: float = 10.0
    past_target_points: tuple[float, float] = (3.0, 6.0)
    levelling_pct_per_day: float = 0.1
    levelling_apart_days: float = 5.0
    ph_wait_hours: float = 48.0
    turn_bag_days: float = BAG_DAYS
    turn_box_days: float = BOX_DAYS
    mould_again_days: float = 2.0
    clock_back_minutes: float = 10.0


DEFAULT_RULES = NeedRules()
Check = Callable[["LotView"], Need | None]


@record
class LotView:
    """A lot, the moment and the rules: what every lot check is given."""

    lot: LotState
    now: datetime
    zone: tzinfo
    rules: NeedRules

    def need(self, level: str, cause: str, message: str, action: str, asks: str = "") -> Need:
        """A need of this lot."""
        return Need(level, cause, message, action, self.lot.code, lot_id=self.lot.id, asks=asks)

    def hours_since(self, utc: str) -> float:
        """Hours from a moment to now."""
        return (self.now - moment(utc)).total_seconds() / 3600

    def days_since(self, utc: str) -> int:
        """Calendar days from the day of a moment to today."""
        return calendar_days(utc, self.now, self.zone)


# ── raw and in cure ───────────────────────────────────────────────────────────────────────


def dose_not_ticked(view: LotView) -> Need | None:
    """A dose sheet begun but not finished, or taken into the cure with lines open.

    Until it has been open for a day it is for today, then for now.
    """
    lot = view.lot
    if not lot.dose_open:
        return None
    if lot.stage == "in-cure":
        since, every = lot.stage_at, lot.dose_open + lot.dose_ticked
        days = view.days_since(since)
        said = f"{lot.dose_open} of {every} ingredients never ticked, in cure {days} d"
        action = "look in the bag; tick what went in, add what is missing"
    elif lot.stage == "raw" and lot.first_tick_at is not None:
        since = lot.first_tick_at
        said = f"dose sheet open for {view.hours_since(since):.0f} h, {lot.dose_open} to tick"
        action = "look in the bag, then tick or add what is missing"
    else:
        return None
    level = "today" if view.hours_since(since) < view.rules.ticks_open_hours else "act"
    return view.need(level, "dose-not-ticked", said, action)


def open_words(lot: LotState) -> str:
    """``2 of 3 ingredients of its dose were never ticked``."""
    every = lot.dose_open + lot.dose_ticked
    if every == 1:
        return "the only ingredient of its dose was never ticked"
    return by_number(
        lot.dose_open,
        f"1 of {every} ingredients of its dose was never ticked",
        f"{lot.dose_open} of {every} ingredients of its dose were never ticked",
    )


def dose_outside(view: LotView) -> Need | None:
    """What really went in broke a limit, and nobody has decided since what to do with it."""
    words = dose_undecided(view.lot)
    action = "open “gone wrong” on its page and record what you do with it"
    return None if words is None else view.need("act", "dose-outside", words, action)


def _asked_together(needs: Sequence[Need], lots: Sequence[LotState]) -> list[Need]:
    """The same open question of several lots of a batch as one need of the first lot."""
    by_id = {lot.id: lot for lot in lots}
    groups: dict[tuple[int, str | None], list[Need]] = {}
    found: list[Need] = []
    for need in needs:
        lot = by_id.get(need.lot_id or 0)
        if need.cause != QUESTION_OPEN or lot is None:
            found.append(need)
            continue
        group = groups.setdefault((lot.batch_id, lot.asked), [])
        if not group:
            found.append(need)
        group.append(need)
    together = {group[0].lot_id: group for group in groups.values() if len(group) > 1}
    return [
        _one_question(together[need.lot_id], by_id[need.lot_id or 0])
        if need.cause == QUESTION_OPEN and need.lot_id in together
        else need
        for need in found
    ]


def _one_question(group: Sequence[Need], lot: LotState) -> Need:
    """``thickness of 4 pieces unknown: A1, A2, A3, A4``."""
    name, _tab, text = (lot.asked or "").splitlines()[0].partition("\t")
    codes = ", ".join(need.lot or "" for need in group)
    about = f"{len(group)} pieces have the same question: {text} {codes}"
    if name in _MEASURED:
        about = f"{name} of {len(group)} pieces unknown: {codes}"
    ids = tuple(need.lot_id for need in group if need.lot_id is not None)
    return replace(group[0], message=about, lot_ids=ids)


QUESTION_OPEN = "question-open"
_MEASURED = ("thickness", "temperature")  # unknown, and no reason asked for
ASKED_IN = ("raw", "in-cure", "salt-rest", "ferment")  # later the answer changes nothing


def question_open(view: LotView) -> Need | None:
    """What a lot was asked when it was saved, and nobody has answered since."""
    lot = view.lot
    if not lot.asked or lot.stage not in ASKED_IN:
        return None
    first, *more = (line.partition("\t")[2] for line in lot.asked.splitlines())
    said = f"asked: {first} ({len(more)} more)" if more else f"asked: {first}"
    return view.need("today", QUESTION_OPEN, said, "answer it, or say why it is unknown")


def not_stuffed(view: LotView) -> Need | None:
    """Ground meat with all its salt in that is still not stuffed a day later."""
    lot = view.lot
    mixed = mixed_at(lot)
    if lot.stage != "raw" or mixed is None:
        return None
    days = view.days_since(mixed)
    if days < 1:
        return None
    action = f"stuff it, weigh it, {'start its ferment' if lot.ferments else 'hang it'}"
    return view.need("today", "not-stuffed", f"mixed {days} d ago, not stuffed", action)


def cure_not_begun(view: LotView) -> Need | None:
    """Whole meat with every line of its dose ticked that nobody moved into the cure.

    For today at once, for now when the sheet has been open for a day: its days are not counted.
    """
    lot = view.lot
    if lot.stage != "raw" or lot.dose_open or not lot.dose_ticked or mixed_at(lot) is not None:
        return None
    hours = view.hours_since(lot.first_tick_at or lot.stage_at)
    level = "today" if hours < view.rules.ticks_open_hours else "act"
    said = "its salt is in, but its days in the cure are not counted yet"
    return view.need(level, "cure-not-begun", said, "put it into the cure")


def cure_ready(view: LotView) -> Need | None:
    """A weighed dose has had its usual time; it can wait, but not for ever."""
    lot = view.lot
    if lot.stage != "in-cure" or lot.has_stop or lot.cure_usual_days is None:
        return None
    if undecided(lot) is not None:
        return None  # to be decided first
    days = view.days_since(lot.stage_at)
    late = days - lot.cure_usual_days
    if late >= view.rules.cure_decide_days:
        said = f"in cure {days} d, {late:.0f} d past the usual day"
        return view.need("today", "cure-decide", said, "smell it, look at the purge, decide")
    if late < 0:
        return None
    said = f"in cure {days} d, cure time is up ({lot.cure_rule or 'rule'})"
    if lot.can_wait:
        said = f"in cure {days} d, cure time is up ({lot.cure_rule or 'rule'}); can wait"
    return view.need("today", "cure-ready", said, "rinse, pat dry, weigh, hang")


def salt_box_overdue(view: LotView) -> Need | None:
    """A salt box or a short immersion goes on salting: after its last day it is for now."""
    lot = view.lot
    if lot.stage != "in-cure" or not lot.has_stop or lot.cure_usual_days is None:
        return None
    over = (view.now - moment(lot.stage_at)).total_seconds() / SECONDS_PER_DAY - lot.cure_usual_days
    if over < 0 or alarm_logged(view) is not None:
        return None  # spoiled: to be decided first
    days = view.days_since(lot.stage_at) - ceil(lot.cure_usual_days - 1e-9)
    late = f"{days} d overdue" if days > 0 else f"{24 * over:.0f} h overdue"
    if lot.salt_box:
        action = "take it out, brush off the salt, rest it cold"
        return view.need("act", "salt-box-overdue", f"in the salt box, {late}", action)
    action = "take it out, rinse, weigh: left in, it goes on taking up salt and nitrite"
    return view.need("act", "pick-up-overdue", f"in its brine, {late}", action)


# ── resting, fermenting, softening ────────────────────────────────────────────────────────


def planned_end(view: LotView) -> Need | None:
    """A rest or softening whose planned end has come."""
    lot = view.lot
    if lot.stage_until is None or view.now < moment(lot.stage_until):
        return None
    if undecided(lot) is not None:
        return None  # to be decided first
    words = {
        "equalising": ("equalising-over", "feel rim and firmness, weigh"),
        "salt-rest": ("rest-over", "hang it and weigh"),
    }.get(lot.stage)
    if words is None:
        return None
    days = view.days_since(lot.stage_until)
    when = "today" if days == 0 else f"{days} d ago"
    return view.need("today", words[0], f"planned end was {when}", words[1])


# ── drying ────────────────────────────────────────────────────────────────────────────────


def weigh_in_due(view: LotView) -> Need | None:
    """The style's rhythm has passed; every few days once the window is near."""
    lot = view.lot
    if lot.stage != "drying":
        return None
    due_in = days_to_weigh_in(lot, view.now, view.zone, view.rules)
    if due_in is None or due_in > 0:
        return None
    late = "due today" if due_in == 0 else f"{-due_in} d late"
    found = view.need("today", "weigh-in-due", f"weigh-in {late}", "weigh it")
    return replace(found, late_days=-due_in)


def days_to_weigh_in(
    lot: LotState, now: datetime, zone: tzinfo, rules: NeedRules = DEFAULT_RULES
) -> int | None:
    """Days until the next weigh-in of a drying lot (negative: late), None when it has none.

    Parameters
    ----------
    lot, now, zone : as in :func:`needs`
    rules : ``weigh_soon_*`` say when the rhythm gets denser
    """
    last = lot.curve[0].at if lot.curve else lot.hang_at
    if lot.stage != "drying" or last is None or lot.hang_g is None or undecided(lot) is not None:
        return None
    due = lot.weigh_every_days - calendar_days(last, now, zone)
    denser_in = _denser_in_days(lot, now, zone, rules)
    if denser_in is not None and denser_in <= 0:
        soon = rules.weigh_soon_every_days - calendar_days(last, now, zone)
        due = min(due, max(soon, denser_in))
    return int(due)


def _denser_in_days(lot: LotState, now: datetime, zone: tzinfo, rules: NeedRules) -> int | None:
    """Days until the rhythm gets denser (negative: since), None without a window to come."""
    stored = lot.forecast
    if stored is None or stored.lo_day is None or lot.hang_at is None or is_stalled(lot):
        return None
    begins = moment(lot.hang_at) + timedelta(
        days=stored.lo_day - rules.weigh_soon_before_window_days
    )
    return -calendar_days(utc_text(begins), now, zone)


def at_target(view: LotView) -> Need | None:
    """Target reached, reached too soon, or passed by 3 and 6 points."""
    lot = view.lot
    if lot.stage != "drying" or lot.by_date or not lot.curve:
        return None
    loss = loss_on(base_of(lot, lot.target_base)[1], net_now_g(lot))
    target = target_net_g(lot)
    if loss is None or target is None or loss < lot.target_lo_pct - 1e-9:
        return None
    if _rests(view) or undecided(lot) is not None:
        return None  # answered, asked again after the next weigh-in; or to be decided first
    feel = "feel rim and firmness, smell; pull, equalise or go on"
    if lot.start_from is not None:
        said = f"about {loss:.0f} % lost from an estimated hang weight: the target may be reached"
        return view.need("today", "target-reached", said, feel)
    lost = f"{loss:.1f} % lost from {lot.target_base}"
    past = loss - lot.target_hi_pct
    first, second = view.rules.past_target_points
    if past >= first:
        said = f"{lost}, {second if past >= second else first:.0f} points over its target"
        action = "feel it: slice, or equalise if the rim is hard"
        return view.need("today", "past-target", said, action)
    since = lot.salted_at or lot.hang_at
    if lot.min_age_days is not None and since and view.days_since(since) < lot.min_age_days:
        age, least = view.days_since(since), lot.min_age_days
        said = f"target reached on day {age}; its style takes {least:.0f} d at least"
        action = "equalise it, slow the drying, or keep it longer"
        return view.need("today", "target-too-soon", said, action)
    felt = next((look for look in lot.looks if look.kind == "target"), None)
    if felt is not None and felt.at >= lot.curve[0].at:
        feel = f"you found {felt.text}: pull, equalise or go on"
    return view.need("today", "target-reached", f"{lost}: target reached", feel)


def _rests(view: LotView, *, felt: bool = False) -> bool:
    """Whether somebody answered what the curve asks: it rests until the next weigh-in.

    An answer is a decision in own words, or that it goes on drying after it was felt or opened;
    with ``felt`` having felt it is one too.
    """
    curve = view.lot.curve
    since = curve[0].at if curve else view.lot.stage_at
    return any(
        look.kind == "decision" or (look.kind == "target" and (felt or look.text.endswith(GOES_ON)))
        for look in view.lot.looks
        if look.at >= since
    )


_GAINED_SHARE = 0.005  # design value: a gain that a weigh-in is asked about too


def levelling(view: LotView) -> Need | None:
    """Two weigh-ins apart hardly differ although the target is not reached."""
    lot = view.lot
    if lot.stage != "drying" or lot.by_date or len(lot.curve) < 2 or lot.hang_g is None:
        return None
    found = rate_over(lot, view.rules.levelling_apart_days)
    target, net_g = target_net_g(lot), net_now_g(lot)
    if found is None or target is None or net_g is None or net_g <= target[1]:
        return None
    rate, days = found
    if rate >= view.rules.levelling_pct_per_day:
        return None
    if _rests(view, felt=not lot.in_bag):
        return None
    short_g, over = net_g - target[1], f"{days:.0f}"
    short = grams(short_g, f"{short_g:.0f} g")
    gained_g = -rate * days / 100 * (lot.base_g or lot.hang_g)
    if gained_g > _GAINED_SHARE * net_g:
        gained = grams(gained_g, f"{gained_g:.0f} g")
        text = "{gained} heavier than {days} d ago, {short} short"
        said = phrase(text, gained=gained, days=over, short=short)
        action = "weigh it again: was it another lot, or another tare?"
        return view.need("today", "levelling", said, action, WEIGH_AGAIN)
    text = "stalled: {rate} %/d over {days} d, {short} short"
    said = phrase(text, rate=f"{rate:.2f}", days=over, short=short)
    return view.need("today", "levelling", said, *_levelling_asks(lot))


def _levelling_asks(lot: LotState) -> tuple[str, str]:
    """A bagged lot is asked for the contact of its bag first: the words, and what they ask for."""
    usual = "fatty cut, case hardening, or air too humid?", ""
    if not lot.in_bag:
        return usual
    contact = next((look.text for look in lot.looks if look.kind == "bag"), None)
    if contact is None:
        return "does the bag cling all round?", BAG
    if contact == "good":
        return usual
    return f"the bag no longer clings all round ({contact}): press it on, or bag it again", BAG


# ── what was seen on it ───────────────────────────────────────────────────────────────────


def alarm_logged(view: LotView) -> Need | None:
    """Slime, black or red growth or a rotten smell was logged and nobody has decided since."""
    for look in view.lot.looks:
        if look.kind == "decision":
            return None
        if look.kind == "alarm":
            said = f"logged on {look.at[:10]}: {look.text}"
            action = "look at it again and decide: record what you do with it"
            return view.need("act", "decision-asked", said, action)
    return None


def mould_recheck(view: LotView) -> Need | None:
    """Mould that was logged wants a second look some days later."""
    newest = next((look for look in view.lot.looks if look.kind in ("mould", "alarm")), None)
    if newest is None or newest.kind != "mould":
        return None
    days = view.days_since(newest.at)
    if days < view.rules.mould_again_days:
        return None
    said = f"mould {days} d ago: {newest.text}"
    return view.need("today", "mould-recheck", said, "look at it again")


def sibling_opened(view: LotView) -> Need | None:
    """A lot of the same batch was cut open: told until this one was felt, or decided on.

    A piece in its cure is not felt for that; it is told once it hangs.
    """
    lot = view.lot
    if lot.hang_at is None:
        return None
    heard = next((look for look in lot.looks if look.kind == "sibling"), None)
    if heard is None:
        return None
    if any(look.kind in ("target", "decision") and look.at >= heard.at for look in lot.looks):
        return None  # felt since
    return view.need("today", "sibling-opened", heard.text, "feel this one too")


def too_fast(view: LotView) -> Need | None:
    """So much lost in the first week that a hard rim is likely."""
    lot = view.lot
    if lot.stage != "drying" or lot.by_date or lot.thickness_mm is None or lot.hang_at is None:
        return None
    if lot.start_from is not None:  # what it lost at first was never weighed
        return None
    if lot.curve_count < 2 or view.days_since(lot.hang_at) > FIRST_DAYS:
        return None
    from curedash.domain.drying.drying_rate import too_fast as judged

    week = judged(_losses(lot), lot.thickness_mm)
    if week is None or not week.too_fast or _rests(view):
        return None
    lost, most = f"{week.loss_pct:.1f}", f"{week.most_pct:.0f}"
    said = f"{lost} % lost in the first week; over {most} % risks case hardening"
    action = "slow it: more humidity, less moving air, or a bag"
    return view.need("today", "too-fast", said, action)


def rim_suspected(view: LotView) -> Need | None:
    """The rate fell away long before the target: a rim that lets no water through."""
    lot = view.lot
    if lot.stage != "drying" or lot.by_date or lot.hang_at is None or lot.curve_count < 4:
        return None
    if lot.start_from is not None:
        return None
    if lot.curve_count > len(lot.curve) or levelling(view) is not None:
        return None
    now_g, target = net_now_g(lot), target_net_g(lot)
    if now_g is None or target is None or now_g <= target[1]:
        return None
    from curedash.domain.drying.drying_rate import rate_collapse

    fall = rate_collapse(_losses(lot))
    if fall is None or _rests(view, felt=True):
        return None
    said = f"the rate fell by {100 * fall:.0f} % since the first days"
    action = (
        "unless the air was drier in those first days, feel the rim; if it is hard, equalise the"
        " piece"
    )
    return view.need("today", "rim-suspected", said, action)


def _losses(lot: LotState) -> list[tuple[float, float]]:
    """Day since hanging and loss of the hang weight [%], oldest first."""
    return [(day, 100.0 * (1.0 - share)) for day, share in curve_days(lot)]


LOT_CHECKS: tuple[Check, ...] = (
    alarm_logged,
    dose_not_ticked,
    dose_outside,
    question_open,
    not_stuffed,
    cure_not_begun,
    cure_ready,
    salt_box_overdue,
    planned_end,
    at_target,
    mould_recheck,
    sibling_opened,
    too_fast,
    rim_suspected,
    levelling,
    weigh_in_due,
)


# ── all together ──────────────────────────────────────────────────────────────────────────


def clock_need(
    now: datetime,
    newest_recorded: str | None,
    written_on: datetime,
    rules: NeedRules = DEFAULT_RULES,
) -> Need | None:
    """The clock runs behind what the file already holds, or before the program existed."""
    back = timedelta(minutes=rules.clock_back_minutes)
    if now < written_on:
        found = f"the clock shows {utc_text(now)[:10]}, before this program was written"
    elif newest_recorded is not None and now < moment(newest_recorded) - back:
        found = f"the clock shows {utc_text(now)}, the file was written at {newest_recorded}"
    else:
        return None
    return Need("act", CLOCK, found, "set the clock; until then nothing is overdue")


def lot_needs(
    lot: LotState,
    now: datetime,
    zone: tzinfo,
    rules: NeedRules = DEFAULT_RULES,
    more: Sequence[Check] = (),
) -> list[Need]:
    """The needs of one lot, worst first; what a further check finds replaces the same cause."""
    view = LotView(lot, now, zone, rules)
    found: dict[str, Need] = {}
    for check in (*LOT_CHECKS, *more):
        need = check(view)
        if need is not None:
            found[need.cause] = need
    return in_order(found.values())


def in_order(needs: Iterable[Need]) -> list[Need]:
    """Worst first; of one level what may spoil meat first, otherwise as given."""

    def key(need: Need) -> tuple[int, bool]:
        first = need.cause in MAY_SPOIL and (need.level, need.cause) != ("act", "ph-due")
        return LEVELS.index(need.level), not first

    return sorted(needs, key=key)


#: causes of level today that come before the others of that level
MAY_SPOIL = ("ph-due", "use-by", "freezing-not-begun", "place-warm")


#: causes told once a place: what is said after the number of lots, and the action
GATHERED = {
    "weigh-in-due": ("to weigh", "weigh them in one round"),
    "turn-due": ("to turn", "turn them in one go"),
}


def gathered(needs: Sequence[Need], lots: Sequence[LotState]) -> list[Need]:
    """One line a place for weigh-ins and for turns: "Fridge 2: 4 lots to weigh, up to 3 d late".

    What all lots of a batch are asked is one line too: "thickness of 4 pieces unknown".
    """
    needs = _asked_together(needs, lots)
    places = {lot.id: (lot.place, lot.place_id) for lot in lots}
    groups: dict[tuple[str, int], list[Need]] = {}
    for need in needs:
        place_id = places.get(need.lot_id or 0, (None, None))[1]
        if need.cause in GATHERED and need.lot_id in places:
            groups.setdefault((need.cause, place_id or 0), []).append(need)
    merged: set[tuple[str, int]] = set()
    lines: list[Need] = []
    for need in needs:
        name, place_id = places.get(need.lot_id or 0, (None, None))
        key = (need.cause, place_id or 0)
        group = groups.get(key, [])
        if len(group) < 2:
            lines.append(need)
        elif key not in merged:
            merged.add(key)
            what, action = GATHERED[need.cause]
            codes = ", ".join(item.lot or "" for item in group)
            latest = max(item.late_days for item in group)
            who = f"{len(group)} lots {what}"
            who = f"{who}, up to {latest} d late" if latest else who
            of_place = {"lot": None, "lot_id": None, "place": name, "place_id": place_id}
            said = f"{who}: {codes}"
            lines.append(replace(need, **of_place, message=said, action=action, late_days=latest))
    return lines
