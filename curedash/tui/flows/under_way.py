"""Pieces that are in the cure, or hang, already: taken in with a few short questions.

Only what they are, how many, where and since when is wanted; Enter leaves all else unknown.
"""

from curedash.domain.curing.stages import DRYING, GROUND, IN_CURE, SALTING, SEALED, word
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.household.styles import Style
from curedash.domain.record import record, replace
from curedash.domain.times import local_day, utc_text
from curedash.domain.typed.pack_line import typed_packs
from curedash.domain.typed.units import parse_length_mm
from curedash.domain.wording import sentences
from curedash.present.display_units import in_pounds, length, mass, tare_example
from curedash.present.dosing.form import under_way_typed as typed
from curedash.present.dosing.form.under_way_typed import since as came_there
from curedash.present.dosing.taken_in import no_place_words, taken_in_words
from curedash.present.words import day, plain
from curedash.services.dosing.dosing_means import dosing_defaults, find_style
from curedash.services.dosing.take_in import TakenIn, UnderWay, take_in
from curedash.services.places.places import all_of, is_cold
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.page import Page
from curedash.tui.flows.move_lot import chosen
from curedash.tui.prompts.questions import Choice, Steps, Text, if_any, or_none, save

NOT_TAKEN = "nothing was added"


THICK = Text(
    "how thick is the thickest spot",
    or_none(parse_length_mm),
    "Enter: not measured; e.g. 70mm",
    if_any(length),
)


PACKS = Text(
    "salted with a ready-mixed pack",
    or_none(typed_packs),
    "Enter: no, or not known; e.g. 2 packs for 5 lb",
    if_any(lambda used: f"made for {mass(used.rated_g)} of meat"),
)


@record
class What:
    """A style and how many pieces, and their weights as typed, if they were."""

    style: Style
    new: bool
    pieces: int
    weights: str = ""


def taking_in(page: Page) -> Steps:
    """Ask what is known, store it, and say what comes next."""
    words = yield from questions(page)
    page.show_message(f"{words} {page.undo_key} undoes it.", "good")


def questions(page: Page) -> Steps:
    """Ask what is known, and store it; what comes next, in words."""
    now, zone = page.house.now(), page.house.zone
    what = yield Text(
        "what, and how many pieces",
        lambda text: _what(page, text),
        "e.g. bresaola 4; thin salami 6; or with weights: coppa 1520 1480",
        lambda found: (
            f"{plain(found.style.name)}{', new' * found.new}, {typed.pieces_words(found.pieces)}"
        ),
    )
    stage = yield _where(what)
    since = yield Text(
        f"{word(stage)} since when",
        lambda text: came_there(text, now, zone),
        "the day; a rough one will do: 21 Nov, -4d, Sunday",
        lambda at: f"{page.house.day_words(at)}, {typed.ago_words(at, now, zone)}",
    )
    weights, tares = yield from _weighed(stage, what)
    packs = (yield PACKS) if stage == IN_CURE else None
    thick_mm = None if what.style.method == GROUND else (yield THICK)
    planned_on = yield _sticker(page)
    place = yield from _place(page, stage)
    name = yield Text("what you call them", _name, f"Enter: {plain(what.style.name)}")
    spec = UnderWay(
        name=name or what.style.name,
        style=what.style,
        new_style=what.new,
        pieces=typed.as_pieces(what.pieces, stage, weights, thick_mm, tares),
        stage=stage,
        since=since,
        at=now,
        place=place,
        planned_on=planned_on,
        packs=packs,
    )
    taken: TakenIn = yield save(take_in, spec)
    page.house.added_lot = taken.lots[0].id
    words = taken_in_words(taken.lots, local_day(utc_text(now), zone), zone)
    return sentences(words, no_place_words(taken.lots, key_of("lot.move")))


def _where(what: What) -> Choice:
    """Where they are; pieces whose weights were typed hang, usually."""
    stages = typed.stages_of(what.style)
    usual = stages.index(DRYING) if what.weights and DRYING in stages else 0
    return Choice("where are they", tuple((each, word(each)) for each in stages), usual=usual)


def _weighed(stage: str, what: What) -> Steps:
    """What they weigh, if anybody knows; of what hangs, what is on the scale with the meat."""
    weights = yield replace(_weights(stage, what.pieces), text=what.weights)
    on_scale = bool(weights.each_g) and stage != IN_CURE
    none = typed.fitting_tares(typed.Tares(), what.pieces)
    return weights, (yield _tare(weights.each_g)) if on_scale else none


def _weights(stage: str, pieces: int) -> Text:
    """What was weighed of them, if anything was."""
    return Text(
        typed.weights_label(stage),
        lambda text: typed.fitting_weights(typed.weights_of(text), pieces),
        f"{pieces} weights, or {typed.ROAST} 2.3kg if only the roast was weighed; Enter: neither",
        typed.weights_words,
    )


def _tare(each_g: tuple[float, ...]) -> Text:
    """What is on the scale with each and is no meat: it would count as meat for ever."""

    def read(text: str) -> typed.Tares:
        found = typed.fitting_tares(typed.tares_of(text), len(each_g))
        if any(tare_g >= gross_g for tare_g, gross_g in zip(found.each_g, each_g, strict=True)):
            raise Refused("That is as much as a piece weighs; give what hangs with the meat.")
        return found

    return Text(
        "tare (hook, net, string)",
        read,
        f"Enter: nothing; one for all or one each, e.g. {tare_example()}",
        lambda tares: ", ".join(mass(grams) for grams in dict.fromkeys(tares.each_g)) + " off",
    )


def _sticker(page: Page) -> Text:
    """The day somebody wrote on them, which is compared with the window."""
    return Text(
        "a day on its sticker",
        or_none(page.house.day),
        "the day written on it to take it down, e.g. 3 Jan; Enter: none",
        if_any(lambda on: day(on, page.house.today())),
    )


def _what(page: Page, text: str) -> What:
    """A style by any part of its name; a number before or behind it, or the weights behind it."""
    words = text.split()
    at = next((n for n in range(1, len(words)) if _are_weights(words[n:])), len(words))
    weights, words = " ".join(words[at:]), words[:at]
    number = None
    if not weights:
        number = next((word for word in (*words[-1:], *words[:1]) if word.isdecimal()), None)
    if number is not None:
        words.remove(number)
    if not words:
        raise Refused("Say what they are, and how many: e.g. bresaola 4.")
    pieces = 1 if number is None else typed.number_of_pieces(number)
    if weights:
        pieces = len(typed.weights_of(weights).each_g)
    style, new = find_style(" ".join(words), page.house.read(dosing_defaults))
    return What(style, new, pieces, weights)


def _are_weights(words: list[str]) -> bool:
    """Whether words are weights and no number of pieces; bare ounces are too few to tell."""
    text = " ".join(words)
    if in_pounds() and not any(char.isalpha() for char in text):
        return False
    try:
        return min(typed.weights_of(text).each_g, default=0.0) > typed.MOST
    except CuredashError:
        return False


def _place(page: Page, stage: str) -> Steps:
    """Where they are, if there are several places, or the only one is too warm for that."""
    house = page.house
    known = house.read(all_of)
    if not known:
        return None
    only = known[0]
    lies_cold = stage in (*SALTING, *SEALED)
    too_warm = house.read(is_cold, only, house.now()) is False
    if len(known) == 1 and not (lies_cold and too_warm):
        return only.name
    names = tuple(place.name for place in known)
    listed = "   ".join(f"{n} {plain(name)}" for n, name in enumerate(names, 1))
    return (
        yield Text(
            "which place", or_none(lambda text: chosen(text, names)), f"Enter: not said   {listed}"
        )
    )


def _name(text: str) -> str:
    return text.strip()
