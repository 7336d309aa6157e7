"""Pieces that are in the cure, or hang, already: taken in with six short questions.

Only what they are, how many, where and since when is wanted; Enter leaves all else unknown.
"""

from datetime import datetime
from typing import Any

from curedash.domain.curing.stages import (
    DRYING,
    FERMENT,
    GROUND,
    IN_CURE,
    SALT_REST,
    SALTING,
    SEALED,
    word,
)
from curedash.domain.errors import Refused
from curedash.domain.household.styles import Style
from curedash.domain.record import record, replace
from curedash.domain.times import calendar_days, local_day, utc_text
from curedash.domain.typed.dates import parse_when
from curedash.domain.typed.pack_line import typed_packs
from curedash.domain.typed.units import parse_length_mm, parse_weight_g, parse_weights_g
from curedash.present.display_units import length, mass, typed_weight, typed_weights
from curedash.present.dosing.taken_in import taken_in_words
from curedash.present.words import count, day, plain
from curedash.services.dosing.dosing_means import dosing_defaults, find_style
from curedash.services.dosing.take_in import (
    UNDER_WAY,
    PieceUnderWay,
    TakenIn,
    UnderWay,
    from_roast,
    take_in,
)
from curedash.services.places.places import all_of, is_cold
from curedash.tui.chassis.page import Page
from curedash.tui.flows.move_lot import chosen
from curedash.tui.prompts.questions import Choice, Save, Steps, Text

NOT_TAKEN = "nothing was taken in"
ROAST = "roast"
MOST = 50  # pieces typed in one line; more are weighed as a string


THICK = Text(
    "how thick is the thickest spot",
    lambda text: parse_length_mm(text) if text else None,
    "Enter: not measured; e.g. 70mm",
    lambda found: "" if found is None else length(found),
)


PACKS = Text(
    "salted with a ready-mixed pack",
    lambda text: typed_packs(text) if text else None,
    "Enter: no, or not known; e.g. 2 packs for 5 lb",
    lambda used: "" if used is None else f"made for {mass(used.rated_g)} of meat",
)


@record
class What:
    """A style and how many pieces."""

    style: Style
    new: bool
    pieces: int


@record
class Weights:
    """What was weighed: nothing, the roast, or each piece [g]."""

    roast_g: float | None = None
    each_g: tuple[float, ...] = ()


def taking_in(page: Page) -> Steps:
    """Ask what is known, store it, and say what comes next."""
    words = yield from questions(page)
    page.show_message(f"{words} {page.undo_key} takes it back.", "good")


def questions(page: Page) -> Steps:
    """Ask what is known, and store it; what comes next, in words."""
    now, zone = page.house.now(), page.house.zone
    what = yield Text(
        "what, and how many pieces",
        lambda text: _what(page, text),
        "e.g. bresaola 4; coppa; thin salami 6",
        lambda found: f"{plain(found.style.name)}{', new' * found.new}, {_pieces(found.pieces)}",
    )
    stage = yield Choice("where are they", _stages(what.style), usual=0)
    since = yield Text(
        f"{word(stage)} since when",
        lambda text: _since(text, now, zone),
        "the day, roughly: 21 Nov, -4d, sunday",
        lambda at: f"{day(local_day(utc_text(at), zone))}, {_ago(at, now, zone)}",
    )
    weights = yield Text(
        _weight_question(stage),
        lambda text: _weights(text, what.pieces),
        f"Enter: not weighed; {ROAST} 2.3kg: what they were cut from; or {what.pieces} weights",
        _weights_words,
    )
    packs = (yield PACKS) if stage == IN_CURE else None
    thick_mm = None if what.style.method == GROUND else (yield THICK)
    place = yield from _place(page, stage)
    name = yield Text("what you call them", _name, f"Enter: {plain(what.style.name)}")
    spec = UnderWay(
        name=name or what.style.name,
        style=what.style,
        new_style=what.new,
        pieces=_as_pieces(what, stage, weights, thick_mm),
        stage=stage,
        since=since,
        at=now,
        place=place,
        packs=packs,
    )
    taken: TakenIn = yield Save(lambda _: lambda conn, by: take_in(conn, by, spec))
    return taken_in_words(taken.lots, local_day(utc_text(now), zone), zone)


def _what(page: Page, text: str) -> What:
    """A style by any part of its name, and a number before or behind it."""
    words = text.split()
    number = next((word for word in (*words[-1:], *words[:1]) if word.isdecimal()), None)
    if number is not None:
        words.remove(number)
    if not words:
        raise Refused("Say what they are, and how many: e.g. bresaola 4.")
    pieces = int(number) if number is not None and len(number) < 4 else 1
    if not 1 <= pieces <= MOST:
        raise Refused(f"From 1 to {MOST} pieces; weigh small ones as one string.")
    style, new = find_style(" ".join(words), page.house.read(dosing_defaults))
    return What(style, new, pieces)


def _stages(style: Style) -> tuple[tuple[str, str], ...]:
    """Where pieces of a style can be: ground meat is never in the cure, few styles ferment."""
    left_out = {IN_CURE, SALT_REST} if style.method == GROUND else set()
    if not style.fermented:
        left_out.add(FERMENT)
    return tuple((each, word(each)) for each in UNDER_WAY if each not in left_out)


def _pieces(number: int) -> str:
    return count(number, "piece")


def _since(text: str, now: datetime, zone: Any) -> datetime:
    if not text:
        raise Refused("A day is enough, a rough one too: 21 Nov, -4d.")
    return parse_when(text, now, zone)


def _ago(at: datetime, now: datetime, zone: Any) -> str:
    days = calendar_days(utc_text(at), now, zone)
    return "today" if days == 0 else f"{count(days, 'day')} ago"


def _weight_question(stage: str) -> str:
    if stage == IN_CURE:
        return "weighed before the salt"
    return "on the scale now" if stage in (DRYING, FERMENT) else "weight now"


def _weights(text: str, pieces: int) -> Weights:
    """Nothing, the roast, or a weight for each piece."""
    if not text:
        return Weights()
    head, _space, rest = text.partition(" ")
    if head.casefold() == ROAST:
        return Weights(roast_g=parse_weight_g(typed_weight(rest)))
    each_g = tuple(parse_weights_g(typed_weights(text, None)))
    if len(each_g) != pieces:
        raise Refused(
            f"{_pieces(pieces)}, {count(len(each_g), 'weight')}: one for each, or Enter for none."
        )
    return Weights(each_g=each_g)


def _weights_words(found: Weights) -> str:
    if found.roast_g is not None:
        return f"roast of {mass(found.roast_g)}: each piece is estimated from it"
    return " + ".join(mass(grams) for grams in found.each_g)


def _place(page: Page, stage: str) -> Steps:
    """Where they are, if there are several places, or the only one is too warm for that."""
    house = page.house
    known = house.read(all_of)
    if not known:
        return None
    only = known[0]
    lies_cold = stage in (*SALTING, *SEALED)
    too_warm = house.read(lambda conn: is_cold(conn, only, house.now())) is False
    if len(known) == 1 and not (lies_cold and too_warm):
        return only.name
    names = tuple(place.name for place in known)
    listed = "   ".join(f"{n} {plain(name)}" for n, name in enumerate(names, 1))
    return (
        yield Text(
            "which place",
            lambda text: chosen(text, names) if text else None,
            f"Enter: not said   {listed}",
        )
    )


def _name(text: str) -> str:
    return text.strip()


def _as_pieces(
    what: What, stage: str, weights: Weights, thick_mm: float | None
) -> tuple[PieceUnderWay, ...]:
    piece = PieceUnderWay(thickness_mm=thick_mm)
    if weights.roast_g is not None:
        green_g, pm_g = from_roast(weights.roast_g, what.pieces)
        piece = replace(piece, green_g=green_g, green_pm_g=pm_g)
    if not weights.each_g:
        return (piece,) * what.pieces
    if stage == IN_CURE:
        return tuple(replace(piece, green_g=grams) for grams in weights.each_g)
    return tuple(replace(piece, weight_g=grams) for grams in weights.each_g)
