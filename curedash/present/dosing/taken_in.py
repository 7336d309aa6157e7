"""What comes next for pieces that were just taken in or salted, in one line, and when."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta, tzinfo

from curedash.domain.curing.stages import DRYING, FERMENT, IN_CURE, RAW, in_stage
from curedash.domain.curing.turning import BAG_DAYS, turn_every_days
from curedash.domain.facts.degree_hours import TARGET_PH
from curedash.domain.needs.lot_needs import days_to_weigh_in
from curedash.domain.records import LotState
from curedash.domain.times import local_day, moment
from curedash.domain.wording import by_number, count, facts
from curedash.present.display_units import mass
from curedash.present.numbers import number
from curedash.present.rack.state import whole_days
from curedash.present.words import day, days, moment_words, stage, weekday

JUST_NOW = timedelta(minutes=10)  # what is no older needs no moment beside it (design value)


def taken_in_words(lots: Sequence[LotState], today: date, zone: tzinfo) -> str:
    """``A1–A4 are in cure, day 4, since 21 Nov. Next: …``."""
    first = lots[0]
    since = local_day(first.stage_at, zone)
    where = f"{stage(first.stage)}, day {(today - since).days}, since {day(since)}"
    are = by_number(
        len(lots), f"{first.code} is {where}.", f"{first.code}–{lots[-1].code} are {where}."
    )
    return f"{are} {next_words(lots, today, zone)}"


def since_words(lots: Sequence[LotState], now: datetime, zone: tzinfo) -> str:
    """``A1 has been fermenting since 21 Nov 12:00.``; empty where it begins now."""
    first = lots[0]
    since = moment(first.stage_at)
    if not was_earlier(since, now):
        return ""
    when = moment_words(first.stage_at, zone, now.astimezone(zone).date())
    doing = f"been {in_stage(first.stage)} since {when}."
    return by_number(
        len(lots), f"{first.code} has {doing}", f"{first.code}–{lots[-1].code} have {doing}"
    )


def was_earlier(at: datetime, now: datetime) -> bool:
    """Whether something is of another time than the present one."""
    return now - at > JUST_NOW


def pieces_words(lots: Sequence[LotState]) -> str:
    """What was stored, to be compared with what was meant: ``4 pieces, 4253 g green``."""
    known = [lot.green_g for lot in lots if lot.green_g is not None]
    weight = f", {mass(sum(known))} green" if len(known) == len(lots) else ""
    return f"{count(len(lots), 'piece')}{weight}"


def no_place_words(lots: Sequence[LotState], key: str) -> str:
    """That nobody said where they are, and the key that does; empty where somebody did."""
    if all(lot.place for lot in lots):
        return ""
    return by_number(
        len(lots),
        f"It has no place yet: {key} on its page gives it one.",
        f"They have no place yet: {key} on the page of each gives it one.",
    )


def next_words(lots: Sequence[LotState], today: date, zone: tzinfo, method: str = "") -> str:
    """What comes next for lots of one batch, and when, as far as anybody knows.

    Parameters
    ----------
    lots : at least one, all in the stage of the first
    method : how they are salted, where that is known: it says how often they are turned
    """
    lot, it = lots[0], by_number(len(lots), "it", "them")
    if lot.stage == RAW:
        return by_number(
            len(lots),
            "Next: weigh out the dose and tick it off; then it goes into the cure.",
            "Next: weigh out the dose and tick it off; then they go into the cure.",
        )
    if lot.stage == IN_CURE:
        return _of_the_cure(lots, today, zone, method)
    if lot.stage == FERMENT:
        low = number(TARGET_PH, 1)
        return f"Next: measure its pH, until it is {low} or less; then hang {it} to dry."
    if lot.stage == DRYING and lot.hang_g is None:
        return f"Next: weigh {it} when you can; that starts the curve."
    if lot.stage == DRYING:
        return _weigh_words(lots, it, today, zone)
    return f"Next: see {it} on the Rack."


def _weigh_words(lots: Sequence[LotState], it: str, today: date, zone: tzinfo) -> str:
    """The day the page of the lot names too: the soonest of theirs, sooner near the window."""
    noon = datetime.combine(today, time(12), zone)
    found = [days_to_weigh_in(lot, noon, zone) for lot in lots]
    ahead = min((left for left in found if left is not None), default=0)
    if ahead <= 0:
        return f"Next: weigh {it} today."
    return f"Next: weigh {it} again on {weekday(today + timedelta(days=ahead))}."


def _of_the_cure(lots: Sequence[LotState], today: date, zone: tzinfo, method: str) -> str:
    """When they are turned and come out; what is late is due now, and nothing is turned then."""
    ends = [
        local_day(lot.stage_at, zone) + timedelta(days=whole_days(lot.cure_usual_days))
        for lot in lots
        if lot.cure_usual_days is not None
    ]
    if len(ends) == len(lots) and max(ends) <= today:
        late = days(min(ends), max(ends))
        return by_number(
            len(lots),
            f"Next: take it out of the cure now; its time was up about {late}.",
            f"Next: take them out of the cure now; their time was up about {late}.",
        )
    it = by_number(len(lots), "it", "them")
    turn = _turn_words(lots[0], it, today, zone, method)
    return f"Next: {facts(turn, _out_words(lots, ends, today))}."


def _turn_words(lot: LotState, it: str, today: date, zone: tzinfo, method: str) -> str:
    every = turn_every_days(method) if method else BAG_DAYS
    if every is None:
        return ""
    first = local_day(lot.stage_at, zone) + timedelta(days=round(every))
    return f"turn {it} today" if first <= today else f"turn {it} from {weekday(first)}"


def _out_words(lots: Sequence[LotState], ends: Sequence[date], today: date) -> str:
    """When they come out of the cure, thin pieces before thick ones; or what it takes to know."""
    if not ends:
        on = lots[0].planned_on
        if on is not None:
            return f"the sticker says {day(date.fromisoformat(on))}"
        return "measure how thick each is, to know when it comes out"
    others = "measure how thick the others are" if len(ends) < len(lots) else ""
    late = "some are due now" if min(ends) <= today < max(ends) else ""
    if max(ends) <= today:
        return facts("those measured are due out of the cure now", others)
    return facts(f"out of the cure about {days(min(ends), max(ends))}", late, others)
