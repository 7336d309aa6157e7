"""What comes next for pieces that were just taken in or salted, in one line, and when."""

from collections.abc import Sequence
from datetime import date, timedelta, tzinfo

from curedash.domain.curing.stages import DRYING, FERMENT, IN_CURE, RAW
from curedash.domain.records import LotState
from curedash.domain.times import local_day
from curedash.present.rack.state import whole_days
from curedash.present.words import day, stage


def taken_in_words(lots: Sequence[LotState], today: date, zone: tzinfo) -> str:
    """``A1–A4 are in cure, day 4. Next: …``."""
    first = lots[0]
    codes = first.code if len(lots) == 1 else f"{first.code}–{lots[-1].code}"
    verb = "is" if len(lots) == 1 else "are"
    days = (today - local_day(first.stage_at, zone)).days
    return f"{codes} {verb} {stage(first.stage)}, day {days}. {next_words(first, zone)}"


def next_words(lot: LotState, zone: tzinfo) -> str:
    """What comes next for a lot, and when, as far as anybody knows."""
    if lot.stage == RAW:
        return "Next: weigh out the dose and tick it off."
    if lot.stage == IN_CURE:
        return f"Next: turn it; {_out_words(lot, zone)}."
    if lot.stage == FERMENT:
        return "Next: measure its pH, until it is 5.3 or less; then hang it to dry."
    if lot.stage == DRYING and lot.hang_g is None:
        return "Next: weigh it when you can; that starts its curve."
    if lot.stage == DRYING:
        return f"Next: weigh it again in {lot.weigh_every_days:g} days."
    return "Next: it is on the Rack."


def _out_words(lot: LotState, zone: tzinfo) -> str:
    if lot.cure_usual_days is not None:
        out = local_day(lot.stage_at, zone) + timedelta(days=whole_days(lot.cure_usual_days))
        return f"out of the cure about {day(out)}"
    if lot.planned_on is not None:
        return f"its sticker says {day(date.fromisoformat(lot.planned_on))}"
    return "how thick it is tells when it comes out"
