"""A lot moved on, question by question: only what the move asks for.

A move that is used against a rule is done with a note. What several lots of a batch share is asked
of the first of them (:mod:`curedash.tui.flows.move_batch`).
"""

from collections.abc import Callable, Generator, Sequence
from datetime import datetime
from typing import Any

from curedash.domain.curing import stages
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.facts.degree_hours import TARGET_PH
from curedash.domain.record import record, replace
from curedash.domain.records import LotState
from curedash.domain.times import local_day
from curedash.domain.typed.unit_sizes import Ambiguous
from curedash.domain.typed.weight_and_day import weight_and_day
from curedash.domain.weighing.doubts import Doubt
from curedash.domain.wording import facts
from curedash.present import display_units as units
from curedash.present.weighing.green import green_phrase
from curedash.present.weighing.tare_typed import weight_and_words
from curedash.present.words import day, percent, plain
from curedash.services.curing import change_stage as stage_change
from curedash.services.curing.change_stage import Move, Moved
from curedash.services.places.places import (
    HANGS,
    NewPlace,
    all_of,
    cold_place,
    hanging_place,
    too_warm_to_dry,
)
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.page import Page
from curedash.tui.prompts.lot_typed import estimate_of, question_of, words
from curedash.tui.prompts.questions import Step, Steps, Text, Why, or_none, save_with
from curedash.tui.prompts.typed_air import typed_place

WEIGHTS = {
    "hang": "weight as it hangs, on the scale",
    "cured": "weight rinsed and dried, on the scale",
    "stage": "weight now, on the scale",
    "final": "final weight, on the scale",
}
STUFFED = "weight stuffed, on the scale"
FOLLOW = (
    stages.RAW,
    stages.IN_CURE,
    stages.SALT_REST,
)  # stages that the lots of a batch leave together
OTHER_TARE = "tare"
NOT_MOVED = "nothing was moved"


@record
class Weighed:
    """A weight as typed, its ±, the tare behind the word, if there is one [g], and its day."""

    weight_g: float
    plus_minus_g: float | None = None
    tare_g: float | None = None
    tare_what: str | None = None
    at: datetime | None = None  # when it was read, if that was typed


@record
class MoveQuestions:
    """What is asked of one lot, and in which words."""

    lot: LotState
    head: Callable[[str], str]  # what stands before a question
    weight: str  # the question for its weight
    weight_help: str
    read: Callable[[str], Any]  # of its weight; None: not weighed
    tare: bool  # whether to ask for it
    places: tuple[str, ...]  # to be chosen from; none: not asked
    stays: str = ""  # what Enter means where a new place is asked for


def moving(page: Page, lot: LotState, stage: str) -> Steps:
    """One lot to another stage."""
    move = yield from questions(page, alone(page, lot, stage), Move(stage, page.house.now()))
    if move is None:
        return
    moved = yield save_with(stage_change.change_stage, lot.id, move)
    page.show_message(
        f"{outcome_words(page, moved)}. {page.undo_key} undoes it.{_mates_wait(page, lot, move)}",
        "good",
    )


def alone(page: Page, lot: LotState, stage: str) -> MoveQuestions:
    """What one lot by itself is asked."""
    asked = stage_change.what_is_asked(lot, stage)
    kind = weighed_as(asked)
    last = lot.last_gross_g or lot.green_g
    before = f"last {units.mass(last)}" if lot.last_gross_g and last else green_phrase(lot)
    bare = kind == "hang" and stage_change.goes_unweighed(lot, Move(stage, page.house.now()))
    if bare:
        help = f"Enter: not weighed; a guess: {units.estimate_example(last)}"
    elif kind == "hang":
        help = f"{before}; not weighed? a guess: {units.estimate_example(last)}"
    else:
        help = f"{before}; Enter leaves it out"

    def read(text: str) -> Weighed | None:
        if not text and kind == "hang" and not bare:
            raise Refused("The loss is counted from this weight; type it or an estimate with ±.")
        return weighed(page, lot, text) if text else None

    stuffed = lot.method == stages.GROUND and kind == "hang"
    return MoveQuestions(
        lot,
        lambda question: f"{lot.code} → {stages.word(stage)}: {question}",
        STUFFED if stuffed else WEIGHTS.get(kind, ""),
        help,
        read,
        "tare" in asked,
        places_to_choose(page, stage),
        asks_new_place(page, lot, stage),
    )


BEFORE_HANGING = ("raw", "in-cure", "salt-rest")


def weighed_as(asked: tuple[str, ...]) -> str:
    """The kind of weight a move asks for, if it does."""
    return next((kind for kind in asked if kind in WEIGHTS), "")


def places_to_choose(page: Page, stage: str) -> tuple[str, ...]:
    """Where a lot may hang or lie in this stage; one place is not a choice."""
    if stage in (stages.CLOSED, stages.DISCARDED):
        return ()
    names = tuple(place.name for place in page.house.read(all_of))
    return names if len(names) > 1 else ()


def asks_new_place(page: Page, lot: LotState, stage: str) -> str:
    """What Enter means, where a place is asked for because none is known that fits; else nothing.

    It is asked once: at the first hang of all, and out of a ferment while all that is known is
    too warm to dry in.
    """
    house = page.house
    if stage not in HANGS or lot.stage == stage:
        return ""
    if not house.read(all_of):
        return "not given"
    if stage != stages.DRYING:
        return ""
    here = house.read(too_warm_to_dry, lot, house.now())
    return "" if here is None else f"stays in {plain(here.name)}, too warm to dry in"


def questions(page: Page, ask: MoveQuestions, move: Move) -> Generator[Step, Any, Move | None]:
    """Put the move together; None where the weight's answer leaves the lot out."""
    lot = ask.lot
    if move.stage == stages.DISCARDED:
        move = replace(
            move, note=(yield Text(ask.head("why"), words, f"{page.undo_key} brings it back"))
        )
    before, noted = page.house.read(stage_change.reasons_before, lot, move), bool(move.note)
    if before and not noted:
        move = replace(move, note=(yield _why(lot, before[0])))
    own_tare = False
    if ask.weight:
        answer = yield Text(
            ask.head(ask.weight),
            ask.read,
            ask.weight_help,
            lambda typed: f"{_when(page, typed)}{meaning(lot, with_weight(move, typed))}",
            doubt=lambda typed: _doubt_of(lot, with_weight(move, typed), ask.tare),
            what="the weight",
        )
        if answer is LEFT_OUT:
            return None
        own_tare = answer is not None and answer.tare_g is not None
        move = with_weight(move, answer)
    if ask.tare and not own_tare and move.weight_g is not None:
        move = yield from _with_tare(ask, move)
    if ask.places or ask.stays:
        move = yield from _placed(page, ask, move)
    elif move.stage == stages.FERMENT:  # one place is no choice: it goes there
        move = replace(move, place=usual_place(page, ask.lot, move.stage)[0] or move.place)
    reasons = page.house.read(stage_change.reasons_against, lot, move)
    more = [reason for reason in reasons if reason not in before]
    if more and not noted:
        also = yield _why(lot, more[0])
        move = replace(move, note=facts(move.note or "", also))
    return move


def _with_tare(ask: MoveQuestions, move: Move) -> Generator[Step, Any, Move]:
    """What hangs with the meat, or is stuffed around it."""
    lot = ask.lot
    before, ground = move, lot.method == stages.GROUND
    tare_g, what = yield Text(
        ask.head(f"tare ({'casing, string, stick' if ground else 'hook, net, string'})"),
        lambda text: _tare(before, text),
        f"{'casing, string' if ground else 'hook, net, casing'}: e.g. {units.tare_example()};"
        " Enter: nothing",
        lambda tare: meaning(lot, replace(before, tare_g=tare[0])),
        doubt=lambda tare: question_of(
            stage_change.weight_doubt(lot, replace(before, tare_g=tare[0]))
        ),
        what="the tare, ↑ there the weight",
    )
    return replace(move, tare_g=tare_g, tare_what=what or None)


def _why(lot: LotState, against: str) -> Why:
    return Why(f"{lot.code}: {plain(units.retold(against))}")


class _LeftOut:
    """The answer that leaves a lot where it is."""


LEFT_OUT = _LeftOut()


def weighed(page: Page, lot: LotState, text: str) -> Weighed:
    """A weight, an estimate (``1500 ±40``), or a weight with its own tare (``1108 tare 35``).

    A day may follow the weight (``1108 yesterday``): then it was moved on that day.
    """

    def is_weight(number: str) -> bool:
        try:
            estimate_of(lot, number)
        except Ambiguous:
            return True
        except CuredashError:
            return False
        return True

    head, own, worn = text.partition(OTHER_TARE)
    number, at = weight_and_day(head.strip(), is_weight, page.house.now(), page.house.zone)
    weight_g, plus_minus_g = estimate_of(lot, number)
    if at is not None:
        stage_change.require_later(lot, at)
    if not own:
        return Weighed(weight_g, plus_minus_g, at=at)
    tare_g, what = weight_and_words(worn.strip())
    _require_less(tare_g, weight_g)
    return Weighed(weight_g, plus_minus_g, tare_g, what or None, at)


def with_weight(move: Move, typed: Any) -> Move:
    """The move with what was typed of its weight, if it was."""
    if typed is None or typed is LEFT_OUT:
        return move
    move = replace(
        move, weight_g=typed.weight_g, plus_minus_g=typed.plus_minus_g, at=typed.at or move.at
    )
    if typed.tare_g is None:
        return move
    return replace(move, tare_g=typed.tare_g, tare_what=typed.tare_what)


def _when(page: Page, typed: Weighed | None) -> str:
    """``24 Nov 18:30: `` of a weight read on another day; empty for now."""
    at = getattr(typed, "at", None)
    return "" if at is None else f"{page.house.moment_words(at)}: "


def meaning(lot: LotState, move: Move) -> str:
    """What a weight means: net of what hangs with it, beside the weight before."""
    if move.weight_g is None:
        return ""
    tare_g = lot.tare_g if move.tare_g is None else move.tare_g
    net_g = move.weight_g - tare_g
    said = f"{units.mass(net_g)} net"
    if tare_g:
        said += f" ({units.mass(move.weight_g)} − {units.mass(tare_g)})"
    before_g = lot.last_net_g or lot.green_g
    if before_g is None:
        return said
    less = percent(100 * abs(before_g - net_g) / before_g)
    return f"{said}, {less} {'under' if net_g <= before_g else 'over'} {units.mass(before_g)}"


def _doubt_of(lot: LotState, move: Move, tare_follows: bool) -> Doubt | None:
    """A question about the weight; before its tare is known, one that no tare would answer."""
    if move.tare_g is None and tare_follows:
        return stage_change.surely_doubtful(lot, move)
    return stage_change.weight_doubt(lot, move)


def _tare(move: Move, text: str) -> tuple[float, str]:
    tare_g, what = weight_and_words(text)
    if move.weight_g is not None:
        _require_less(tare_g, move.weight_g)
    return tare_g, what


def _require_less(tare_g: float, weight_g: float) -> None:
    if tare_g >= weight_g:
        raise Refused(f"A tare must be less than the {units.mass(weight_g)} on the scale.")


def colder_place(page: Page, lot: LotState, stage: str) -> str | None:
    """Where a sealed bag goes usually, if where the lot is now is too warm for it."""
    if stage not in stages.SEALED:
        return None
    found = page.house.read(cold_place, lot, page.house.now())
    return None if found is None else found.name


def usual_place(page: Page, lot: LotState, stage: str) -> tuple[str | None, str]:
    """Where it goes usually and why; None: it stays where it is."""
    cold = colder_place(page, lot, stage)
    if cold is not None:
        return cold, "cold"
    if stage in HANGS and lot.stage != stage:
        found = page.house.read(hanging_place, lot, page.house.now(), stage)
        if found is not None and found.id != lot.place_id:
            return found.name, "to ferment" if stage == stages.FERMENT else "to hang"
    return None, ""


def _place(ask: MoveQuestions, usual: str | None, why: str) -> Text:
    names = "   ".join(f"{n} {plain(name)}" for n, name in enumerate(ask.places, 1))
    stays = ask.stays or f"stays in {plain(ask.lot.place or 'no place')}"
    names += f"   a new one: Cellar {units.band_example()}" * bool(ask.stays)
    return Text(
        ask.head("which place"),
        or_none(lambda text: place_typed(text, ask.places)),
        f"Enter: {stays if usual is None else f'{plain(usual)}, {why}'}   {names.strip()}",
    )


def _placed(page: Page, ask: MoveQuestions, move: Move) -> Generator[Step, Any, Move]:
    """The move with the place that was chosen, or typed anew."""
    usual, why = usual_place(page, ask.lot, move.stage)
    found = yield _place(ask, usual, why)
    if isinstance(found, NewPlace):
        return replace(move, new_place=found)
    return replace(move, place=found or usual or move.place)


def place_typed(text: str, names: Sequence[str]) -> str | NewPlace:
    """A place of the list, or a new one; beside others a new one is named with its band.

    Raises
    ------
    Refused: neither of them
    """
    if names:
        try:
            return chosen(text, list(names))
        except Refused:
            if typed_place(text)[1:] == (None, None):
                raise
    name, temp_c, rh_pct = typed_place(text)
    if not name:
        raise Refused(f"Type its name first, e.g. Cellar {units.band_example()}.")
    return NewPlace(name, temp_c, rh_pct)


def outcome_words(page: Page, moved: Moved) -> str:
    """Where the lot is now, and what there is to say about it."""
    lot = moved.lot
    here = "" if lot.place is None else f" in {plain(lot.place)}"
    sour = f"{key_of('rack.reading')} records its pH until {TARGET_PH:g} is reached"
    next_ = (here, (sour,)) if lot.stage == stages.FERMENT else ("", ())
    return "; ".join(
        (
            f"{lot.code} is {stages.in_stage(lot.stage)} now{next_[0]}",
            *next_[1],
            *(_message(page, message, lot) for message in moved.messages),
        )
    )


def _message(page: Page, message: str, lot: LotState) -> str:
    """What is said of the move after it, inside a sentence."""
    until, zone = lot.stage_until, page.house.zone
    if until is not None and message == stage_change.planned_words(until, zone):
        return f"planned until {day(local_day(until, zone), page.house.today())}"
    return plain(units.retold(message)).rstrip(".")


def _mates_wait(page: Page, lot: LotState, move: Move) -> str:
    """Lots of its batch that may follow now, and the key that takes them together.

    Once they hang, each goes on at its own moment.
    """
    if lot.stage not in FOLLOW or move.stage in (stages.CLOSED, stages.DISCARDED):
        return ""
    ready = page.house.read(
        lambda conn: [
            mate
            for mate in stage_change.mates_of(conn, lot)
            if not stage_change.reasons_against(conn, mate, move)
        ]
    )
    if len(ready) < 2:
        return ""
    codes = stage_change.codes_of(ready)
    return f" {codes} too? {key_of('rack.stage')} on one, then b takes them together."


def chosen(text: str, names: tuple[str, ...] | list[str]) -> str:
    """One of the names, by its number or by the beginning of its name.

    Example
    -------
    >>> chosen("2", ["Fridge 2", "Chamber"]), chosen("fr", ["Fridge 2", "Chamber"])
    ('Chamber', 'Fridge 2')
    """
    if text.isascii() and text.isdecimal() and 1 <= int(text) <= len(names):
        return names[int(text) - 1]
    fits = [name for name in names if name.casefold().startswith(text.casefold())]
    exact = [name for name in names if name.casefold() == text.casefold()]
    if len(exact or fits) != 1:
        raise Refused("Type the number or the name of a place from the list.")
    return (exact or fits)[0]
