"""Steps that are logged on a lot: turned in the cure, its pH measured, frozen."""

from datetime import datetime
from functools import partial

from curedash.domain.curing.ferment import FermentState, late_words
from curedash.domain.curing.turning import turn_every_days
from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.domain.typed.units import parse_length_mm, parse_temp_c
from curedash.domain.typed.weight_and_day import weight_and_day
from curedash.domain.wording import facts, listed
from curedash.present.display_units import (
    by_temperature,
    length_unit,
    mass,
    retold,
    temp,
    temp_letter,
)
from curedash.present.numbers import number
from curedash.present.words import plain
from curedash.services.curing.change_stage import codes_of
from curedash.services.weighing.swap import swap, swappable
from curedash.tui.chassis.page import Page
from curedash.tui.flows.lot_packs import caution_once
from curedash.tui.flows.lot_rows import newest_corrected
from curedash.tui.flows.lot_weights import starting, taring
from curedash.tui.prompts.lot_typed import words
from curedash.tui.prompts.questions import Choice, Steps, Text, if_any, or_none, save, save_or_doubt

WAYS_TO_TYPE = "today, -2d, 14 Mar 18:30"


# ── turned in the cure ────────────────────────────────────────────────────────────────────


def turning(page: Page, lot: LotState) -> Steps:
    """This lot, or all that lies in cure in its place, was turned just now.

    Raises
    ------
    Refused: nothing to turn
    """
    from curedash.services.curing.turn import lying_with, turn

    lying = page.house.read(lying_with, lot)
    turned = [lot]
    if len(lying) > 1:
        where = f" in {plain(lot.place)}" if lot.place else ""
        every = f"all {len(lying)} in cure{where}: {codes_of(lying)}"
        turned = yield Choice("turned now", (([lot], f"{lot.code} alone"), (lying, every)), usual=1)
    at, ids = page.house.now(), [each.id for each in turned]
    yield save(turn, ids, at)
    again = min(turn_every_days(each.method) or 0.0 for each in turned)
    page.show_message(
        f"Turned: {codes_of(turned)}. Again in {number(again)} d; {page.undo_key} undoes it.",
        "good",
    )


# ── the ferment ───────────────────────────────────────────────────────────────────────────


def measuring_ph(page: Page, lot: LotState) -> Steps:
    """A pH as a meter or a strip showed it, now or on the day typed behind it."""
    from curedash.services.curing.log_ph import log_ph

    def echo(typed: tuple[float, datetime | None]) -> str:
        value, at = typed
        return f"pH {value:g}" + ("" if at is None else f" of {page.house.moment_words(at)}")

    ph, at = yield Text(
        f"{lot.code}: its pH",
        partial(_ph_and_moment, page),
        "e.g. 5.2, from the meter or strip; or 5.2 yesterday 14:00",
        echo,
    )
    kept = yield save_or_doubt(log_ph, lot.id, ph, at or page.house.now())
    cautions = yield caution_once(lot, "ph")
    recorded = facts(f"{lot.code}: {echo((ph, at))} recorded", _after_ph(kept.state))
    page.done(f"{recorded}.", *cautions)


def _ph_and_moment(page: Page, text: str) -> tuple[float, datetime | None]:
    """``5.2``, or ``5.2 yesterday 14:00`` with the moment it was measured."""
    from curedash.domain.typed.instruments import parse_ph

    def is_ph(number: str) -> bool:
        try:
            parse_ph(number)
        except Refused:
            return False
        return True

    number, at = weight_and_day(words(text), is_ph, page.house.now(), page.house.zone)
    return parse_ph(number), at


def _after_ph(state: FermentState | None) -> str:
    """What it means for the count, of a lot that ferments."""
    if state is None:
        return ""
    if state.late:
        return facts(late_words(state), "decide: keep or discard")
    return (
        "the count of degree-hours has ended" if state.reached else "the count goes on until pH 5.3"
    )


# ── frozen ────────────────────────────────────────────────────────────────────────────────


def freezing(page: Page, lot: LotState) -> Steps:
    """A freezing count begun, or the one that runs gone on with."""
    from curedash.services.curing.freeze import Freezing, current, freeze

    running = page.house.read(current, lot, page.house.now())
    going_on = running is not None and not running.ended
    began = "Enter: as recorded" if going_on else f"Enter: now; {WAYS_TO_TYPE}"
    moment = or_none(partial(_moment, page))
    echo = if_any(page.house.moment_words)
    since = yield Text(f"{lot.code}: in the freezer since", moment, began, echo)
    if since is None and not going_on:
        since = page.house.now()
    until = yield Text("out again", moment, "now or when; Enter: it is still in", echo)
    known = f"Enter: {temp(running.warmest_c)} as recorded; " if running and going_on else ""
    warmest_c = yield Text(
        "warmest reading of the freezer",
        or_none(_temp_c) if going_on else _temp_c,
        f"{known}e.g. {by_temperature('-18', '0')}",
        if_any(temp),
    )
    thickness_mm = None
    if lot.thickness_mm is None and not going_on:
        thickness_mm = yield Text("thickest spot", _length_mm, "e.g. 80 mm or 3 in")
    chilled_c = None
    if running is None or not going_on or not running.count.begun:
        chilled_c = yield Text(
            "how cold the meat was then",
            or_none(_temp_c),
            f"e.g. {by_temperature('3', '38')}; warmer than {by_temperature('4', '39')}, or Enter:"
            " no day counts yet",
            if_any(temp),
        )
    told = Freezing(since, until, warmest_c, thickness_mm, chilled_c)
    step = yield save(freeze, lot.id, told)
    parts = [plain(retold(text)).rstrip(".") for text in step.count.messages]
    if step.due is not None and not step.ended:
        parts.append(f"complete on {page.house.day_words(step.due)}")
    page.done(f"{lot.code}: freezing recorded." + "".join(f" {part}." for part in parts))


def _moment(page: Page, text: str) -> datetime:
    return page.house.now() if text.casefold() == "now" else page.house.moment(text)


def _length_mm(text: str) -> float:
    return parse_length_mm(words(text), default_unit=length_unit())


def _temp_c(text: str) -> float:
    return parse_temp_c(words(text), default_unit=temp_letter())


def swapping(page: Page, lot: LotState) -> Steps:
    """Its newest weigh-in exchanged with that of a lot weighed on the same day."""
    mates = page.house.read(swappable, lot)
    if not mates:
        raise Refused(f"No other lot was weighed within a day of {lot.code}; nothing to swap.")
    others = "   ".join(f"{mate.code} {mass(mate.last_gross_g or 0.0)}" for mate in mates)
    codes = {mate.code: mate for mate in mates}

    def read(text: str) -> LotState:
        found = codes.get(text.strip().upper())
        if found is None:
            raise Refused(f"Type a lot weighed on that day: {listed(codes, 'or')}.")
        return found

    mine = mass(lot.last_gross_g or 0.0)
    other = yield Text(
        f"{lot.code} {mine}: swap its newest weigh-in with which lot",
        read,
        others,
        lambda mate: f"then {lot.code} {mass(mate.last_gross_g or 0.0)}, {mate.code} {mine}",
    )
    done = yield save(swap, lot.id, other.id)
    page.show_message(
        f"Swapped: {lot.code} {mass(done.one_gross_g)}, {other.code} {mass(done.other_gross_g)}"
        f" on the scale. {page.undo_key} undoes both.",
        "good",
    )


# ── what was never what was stored ────────────────────────────────────────────────────────


def correcting(page: Page, lot: LotState) -> Steps:
    """The newest weigh-in, the tare, the weight it began with, or a weigh-in of another lot."""
    ways = {"newest": newest_corrected, "tare": taring, "start": starting, "swap": swapping}
    began = "green weight" if lot.hang_g is None else "hang or green weight"
    what = yield Choice(
        f"{lot.code}: correct",
        (
            ("newest", "the newest weigh-in"),
            ("tare", "the tare"),
            ("start", f"the {began}"),
            ("swap", "swapped with another lot"),
        ),
    )
    yield from ways[what](page, lot)
