"""How one lot goes on or ends: opened, moved, thrown away, finished, packed, and its price."""

from collections.abc import Sequence

from curedash.domain.curing.stages import CLOSED, EQUALISING, in_stage
from curedash.domain.drying import inspections
from curedash.domain.errors import Refused
from curedash.domain.record import replace
from curedash.domain.records import LotState, Place
from curedash.domain.typed.prices import Price, price
from curedash.domain.typed.units import parse_pct
from curedash.domain.typed.weights import parse_weight_g
from curedash.domain.weighing.doubts import Doubt
from curedash.domain.wording import facts, listed
from curedash.present.display_units import bare, mass, typed_weight
from curedash.present.drying.lot_phrases import finished_line, opened_lines
from curedash.present.household.history import words_of
from curedash.present.household.roast_price import price_words, priced_line
from curedash.present.weighing.tare_typed import weight_and_words
from curedash.present.weighing.weigh_line import name_words
from curedash.present.words import count, moment_words, percent, plain
from curedash.services.curing.hold import discard
from curedash.services.drying.ended import ending_of
from curedash.services.drying.finish import Finishing, finish, outcome
from curedash.services.drying.finish import doubt_of as finish_doubt
from curedash.services.drying.opened import EAT, Opened, Opening, early_words, opened
from curedash.services.drying.opened import doubt_of as opened_doubt
from curedash.services.find import lot_with_id
from curedash.services.household.packs import NewPack, packs_of
from curedash.services.household.roast_price import pieces_of, price_roast, roast_of
from curedash.services.household.undo import undo_change
from curedash.services.places.move import move_to
from curedash.services.places.places import all_of
from curedash.tui.chassis.commands import key_of
from curedash.tui.chassis.page import Page
from curedash.tui.flows import lot_packs
from curedash.tui.flows.move_lot import chosen, colder_place
from curedash.tui.prompts import lot_typed as typed
from curedash.tui.prompts.lot_typed import words
from curedash.tui.prompts.questions import (
    Choice,
    Save,
    Steps,
    Text,
    if_any,
    or_none,
    picks,
    save,
    save_with,
)

MOST_CHOICES = 9
LEAST_REASON = 3  # letters
NOT_FINISHED = "nothing was finished"
LIKINGS = ("not at all", "a little", "fairly", "well", "very well")  # 1 to 5


def opening(page: Page, lot: LotState) -> Steps:
    """Cut open at whatever loss: the face, the weights, how it goes on."""
    face = yield Choice(f"{lot.code} opened: the cut face", picks(inspections.OPENED_FACES))
    ways = picks(inspections.next_after(face, inspections.undecided(lot)))
    then = yield Choice(f"{face}; what next", ways, grave=(EAT,))
    at = page.house.now()
    if then == inspections.AFTER_SPOILED[1]:
        yield Choice(f"Throw {name_words(lot)} away?", ((True, "throw it away"),))
    if then in inspections.AFTER_SPOILED:
        off = yield save(opened, lot.id, Opening(face, then, at))
        _show_opened(page, off, "act")
        return
    before = yield Text(
        f"{lot.code} before the cut, on the scale",
        typed.grams_or_none(lot),
        f"Enter: not weighed now{typed.last_words(lot, 'last ')}",
        typed.net_echo(lot),
        what="the weight",
        doubt=lambda grams: page.house.read(opened_doubt, lot, grams, at),
    )
    early = early_words(lot, before) if then == EAT else None
    if early is not None:
        yield Choice(f"{early} Eat it anyway?", ((True, "eat it"),))
    what = Opening(face, then, at, before_g=before, early=early is not None)
    if then == EAT:
        what = replace(what, liked=(yield _liked("not tasted yet")))
    else:
        after = yield Text(
            "what is left, on the scale",
            typed.grams_or_none(lot),
            "Enter: nothing was eaten; the loss is unchanged",
            typed.net_echo(lot),
        )
        what = replace(what, after_g=after)
    if then == "equalise":
        what = replace(what, place=(yield from _place(page, lot)))
    remark = yield Text("a note", typed.words_or_none, "Enter: none")
    what = replace(what, note=remark)
    done = yield save_with(opened, lot.id, what)
    _show_opened(page, done, "good")


def _show_opened(page: Page, done: Opened, tone: str) -> None:
    words = "; ".join((*opened_lines(done), *map(plain, done.messages)))
    page.show_message(f"{words}. {page.undo_key} undoes it.", tone)


def _place(page: Page, lot: LotState) -> Steps:
    """A place, None where it stays; few by number, many by name."""
    places = page.house.read(all_of)
    names = [place.name for place in places if place.id != lot.place_id]
    if not names:
        return None
    stays = plain(lot.place or "no place")
    if len(names) < MOST_CHOICES:
        options = ((None, f"stays in {stays}"), *picks([plain(name) for name in names]))
        cold = colder_place(page, lot, EQUALISING)
        at = yield Choice(
            f"{lot.code}: in which place",
            tuple((n - 1 if n else None, label) for n, (_, label) in enumerate(options)),
            usual=0 if cold is None else names.index(cold) + 1,
        )
        return None if at is None else names[at]
    return (
        yield Text(
            f"{lot.code}: in which place",
            or_none(lambda text: chosen(text, names)),
            f"Enter: stays in {stays}; or the first letters of a name",
        )
    )


def moving(page: Page, lot: LotState) -> Steps:
    """To another place; stage and days go on."""
    others: list[Place] = [p for p in page.house.read(all_of) if p.id != lot.place_id]
    if not others:
        raise Refused(
            f"There is no other place; {key_of('rack.places')} on the Rack, then"
            f" {key_of('places.new')} makes one."
        )
    names = [place.name for place in others]
    if len(names) <= MOST_CHOICES:
        at = yield Choice(
            f"{lot.code} goes to", tuple((n, plain(name)) for n, name in enumerate(names))
        )
        name = names[at]
    else:
        name = yield Text(
            f"{lot.code} goes to",
            lambda text: chosen(words(text), names),
            "type the first letters of its name",
        )
    when = page.house.now()
    hung = yield Save(
        lambda said: lambda conn, by: move_to(conn, by, lot.id, name, when, note=said), by_note=True
    )
    page.done(f"{hung.lot.code} is in {plain(hung.lot.place or '')} now.")


def discarding(page: Page, lot: LotState) -> Steps:
    """Thrown away, asked first and with the reason; undo brings it back."""
    yield Choice(f"Throw {name_words(lot)} away?", ((True, "throw it away"),))
    why = yield Text(
        f"throw {lot.code} away because", _why, f"a few words; {page.undo_key} brings it back"
    )
    yield save(discard, lot.id, why, page.house.now())
    page.show_message(
        f"{lot.code} is discarded: {plain(why)}. {page.undo_key} brings it back.", "good"
    )


def _why(text: str) -> str:
    """A reason that can be read later; letters of a slip are none."""
    said = words(text)
    if sum(char.isalpha() for char in said) < LEAST_REASON:
        raise Refused("Give the reason in a few words; Esc leaves.")
    return said


def taking_end_back(page: Page, lot: LotState) -> Steps:
    """Closed or thrown away by mistake, however long ago: what ended it is taken back whole."""
    line = page.house.read(ending_of, lot.id)
    when = moment_words(line.at, page.house.zone)
    yield Choice(
        f"{lot.code} is {in_stage(lot.stage)} ({words_of(line)}, {when}): undo that",
        ((True, "undo it"),),
    )
    yield save(undo_change, line.id)
    now = page.house.read(lot_with_id, lot.id)
    page.show_message(f"{lot.code} is {in_stage(now.stage)} again.", "good")


def finishing(page: Page, lot: LotState) -> Steps:
    """The end: final weight, face, liking, a note for next time, packs; Enter is the usual.

    Raises
    ------
    Refused: something on it waits for a decision
    """
    if lot.stage != CLOSED:
        inspections.require_decided(lot)
    what = yield from _final(page, lot)
    known = lot.stage == CLOSED  # finished before: what is not said stays as it was
    faces = (*picks(inspections.CUT_FACES), (None, "as it was" if known else "not cut yet"))
    face = yield Choice(f"{lot.code}: the cut face", faces, usual=len(faces) - 1)
    what = yield from _tasted(replace(what, cut_face=face), known=known)
    net_g, words = _outcome(page, lot, what)
    filled = yield from lot_packs.filling(
        page,
        lot,
        f"packs, {typed.example(180, 210)}",
        needed=False,
        whole_g=net_g,
        help=f"Enter: {_packed_before(page, lot)}; keeps {words}",
    )
    name = None
    if filled.grams or filled.shares:
        packed = count(len(filled.grams), "pack") if filled.grams else "a mixed pack"
        name = yield lot_packs.for_whom(filled, f"; keeps {words}, {packed}")
    what = replace(what, packs=lot_packs.new_packs(filled, what.at, name))
    done = yield save_with(finish, lot.id, what)
    whom = f", for {plain(name)}" if name else ""
    said = [f"{finished_line(done)}{'' if filled.shares else whom}", *map(plain, done.messages)]
    if done.finish.liked is None:
        said.append(f"{key_of('lot.finish')} on its page adds how it was liked")
    if filled.shares:
        yield lot_packs.mixing_job(filled.shares, NewPack(filled.total_g, what.at, given_to=name))
        said.append(f"mixed pack of {filled.words}{whom}")
    cautions = yield lot_packs.caution_once(lot, "slicing", *(["sharing"] if name else []))
    page.done(f"{'. '.join(said)}.", *cautions)


def _packed_before(page: Page, lot: LotState) -> str:
    """What Enter means for packs: those there are stay, what is typed is added."""
    known = page.house.read(packs_of, lot.id)
    return f"as they are ({lot_packs.weights_of(known)})" if known else "none"


def _tasted(what: Finishing, *, known: bool) -> Steps:
    """How it was liked, and what to do otherwise; ``known``: finished before."""
    liked = yield _liked("as it was" if known else "not tasted yet")
    what = replace(what, liked=liked)
    if liked is not None and known:
        at = yield Text(
            "the loss you liked it at",
            or_none(lambda text: parse_pct(text, hi_pct=89.9)),
            "in percent; Enter: the final loss",
            if_any(percent),
        )
        what = replace(what, liked_at_pct=at)
    note = yield Text(
        "for next time",
        typed.words_or_none,
        "what to do differently; shown when you make it again; Enter: nothing",
    )
    return replace(what, note=note)


def _final(page: Page, lot: LotState) -> Steps:
    """The final weight, and what of it is not meat; asked about where it is odd."""
    at = page.house.now()

    def doubt(grams: float | None, tare_g: float | None = None) -> Doubt | None:
        what = Finishing(at, grams, tare_g)
        page.house.read(outcome, lot, what)  # refuses where nothing is known
        return page.house.read(finish_doubt, lot, what)

    grams = yield Text(
        f"{lot.code}: final weight, on the scale",
        typed.grams_or_none(lot),
        f"Enter: the last weigh-in{typed.last_words(lot)}"
        if lot.last_net_g
        else "Enter: not weighed",
        typed.net_echo(lot),
        doubt=doubt,
        what="the weight",
    )
    if grams is None or not lot.tare_g:
        return Finishing(at, grams)
    tare_g = yield Text(
        "tare (hook, net, string)",
        or_none(lambda text: weight_and_words(text)[0]),
        f"Enter: {mass(lot.tare_g)} {plain(lot.tare_what or '')}, so"
        f" {mass(grams - lot.tare_g)} net; 0: nothing",
        if_any(lambda tare: f"{mass(grams - tare)} net"),
        doubt=lambda tare: None if tare is None else typed.question_of(doubt(grams, tare)),
        what="the tare",
    )
    return Finishing(at, grams, tare_g)


def _outcome(page: Page, lot: LotState, what: Finishing) -> tuple[float | None, str]:
    """What will be kept: net weight [g], and all of it in a line."""
    net_g, base, loss_pct = page.house.read(outcome, lot, what)
    parts = ["not weighed" if net_g is None else f"{mass(round(net_g, 1))} net"]
    if loss_pct is not None:
        parts.append(f"{percent(loss_pct)} lost from {base}")
    if what.cut_face is not None:
        parts.append(what.cut_face)
    if what.liked is not None:
        parts.append(f"liked {what.liked}")
    return net_g, ", ".join(parts)


def _liked(otherwise: str) -> Choice:
    options = (*enumerate(LIKINGS, 1), (None, otherwise))
    return Choice("how it was liked", options, usual=len(LIKINGS))


def pricing(page: Page, lot: LotState) -> Steps:
    """What its roast cost, for the whole or for a weight; it may be said after its end."""
    roast = page.house.read(roast_of, lot)
    pieces = page.house.read(pieces_of, lot)
    now = "" if roast is None or roast.price is None else f"now {price_words(roast)}; "
    asked: Price = yield Text(
        f"what the roast of {listed([one.code for one in pieces])} cost",
        price,
        f"{now}38.20 EUR for the whole, or a price for a weight, 17.90/kg or 8.50/lb",
    )
    bought_g = None if roast is None else roast.bought_g
    if asked.total(bought_g) is None:
        bought_g = yield from _bought(pieces)
    done = yield save(price_roast, lot.id, asked, bought_g)
    page.done(f"{priced_line(lot.code, done)}.")


def _bought(pieces: Sequence[LotState]) -> Steps:
    """What the roast weighed as bought; Enter takes what its pieces weighed green."""
    known = [one.green_g for one in pieces if one.green_g is not None]
    green_g = sum(known) if len(known) == len(pieces) else None

    def read(text: str) -> float:
        if not text and green_g is not None:
            return green_g
        return parse_weight_g(typed_weight(words(text)), marks_are_decimal=True)

    usual = "" if green_g is None else f"Enter: {mass(green_g)}, its pieces green"
    help = facts(f"its weight, e.g. {bare(2300)}", usual)
    return (yield Text("the roast as bought", read, help))
