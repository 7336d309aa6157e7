"""What is felt, seen and noted on one lot, question by question."""

from collections.abc import Sequence
from datetime import timedelta

from curedash.domain.dosing.answers import read_answer
from curedash.domain.drying import inspections
from curedash.domain.drying.inspections import Felt, Mould, Offer
from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.present.display_units import retold
from curedash.present.words import count, day, plain
from curedash.services.dosing.answer import answer_all, asked_alike, questions_of
from curedash.services.drying import observe
from curedash.services.household.note import add_note
from curedash.tui.chassis.page import Page
from curedash.tui.flows.lot_ends import discarding, finishing
from curedash.tui.flows.lot_packs import caution_once
from curedash.tui.flows.move_lot import moving
from curedash.tui.prompts.lot_typed import words
from curedash.tui.prompts.questions import Choice, Steps, Text, picks, save

STILL_DRYING = ("drying", "ferment")
USUAL_DAYS = 14  # of equalising on, where nobody measured the thickness (design value)


def feel(page: Page, lot: LotState) -> Steps:
    """Rim, firmness and smell, then the ways on from them."""
    rim = yield Choice(f"{lot.code}, its rim", picks(inspections.RIMS))
    firm = yield Choice(f"{lot.code}, pressed with a finger", picks(inspections.FIRMNESSES))
    smell = yield Choice(f"{lot.code}, its smell", picks(inspections.SMELLS))
    felt = Felt(rim, firm, smell)
    found = observe.offers_for(lot, felt)
    ways = [(offer.step, offer_words(offer, lot.stage)) for offer in found]
    at_end = next((n for n, (step, _) in enumerate(ways) if step == "decide"), len(ways))
    ways.insert(at_end, ("note", "just record it"))  # the numbers before it stay whatever it smells
    usual = [step for step, _ in ways].index(found[inspections.usual_offer(felt, found)].step)
    if lot.stage in inspections.NOT_HUNG:
        ways, usual = [way for way in ways if way[0] != "note"], usual - (usual > at_end)
    step = "go-on"
    if len(ways) > 1:
        step = yield Choice(felt.words.capitalize(), tuple(ways), usual=usual)
    at = page.house.now()
    goes_on = step == "keep-drying" and lot.stage in STILL_DRYING
    yield save(observe.answer, lot.id, felt, at, goes_on=goes_on)
    yield from _on(page, lot, step, found, felt)


def _on(page: Page, lot: LotState, step: str, found: Sequence[Offer], felt: Felt) -> Steps:
    """The way that was chosen, once what was felt is kept."""
    if step == "equalise" and lot.stage == "equalising":
        days = next((offer.days for offer in found if offer.step == step), None)
        until = page.house.now() + timedelta(days=days or USUAL_DAYS)
        yield save(observe.equalise_on, lot.id, until)
        page.done(f"{lot.code} goes on equalising until {page.house.day_words(until)}.")
    elif step == "equalise":
        yield from moving(page, lot, "equalising")
    elif step == "keep-drying" and lot.stage not in STILL_DRYING:
        yield from moving(page, lot, "drying")
    elif step == "slice":
        yield from finishing(page, lot)
    elif step == "decide":
        yield from deciding(page, lot)
    elif step == "throw-away":
        yield from discarding(page, lot)
    elif step == "put-aside":
        page.show_message(
            f"{lot.code}: {felt.words}. P{inspections.PUT_ASIDE_WORDS[1:]}; then record what"
            f" you decide. {page.undo_key} undoes it.",
            "act",
        )
    else:
        words = f"{felt.words}, goes on drying" if step == "keep-drying" else felt.words
        page.done(f"Recorded: {words}.")


def offer_words(offer: Offer, stage: str = "drying") -> str:
    """A way on in as few words as the foot line needs.

    Example
    -------
    >>> offer_words(Offer("equalise", "equalise for 9 d in a sealed bag, cold", 9))
    'equalise 9 d (sealed bag, cold)'
    """
    days = "" if offer.days is None else f" {offer.days} d"
    on = " on" if stage == "equalising" else ""
    known = {
        "keep-drying": "keep drying" if stage in STILL_DRYING else "back to drying",
        "put-aside": "put it aside, cold, and ask",
        "throw-away": "throw it away",
        "slice": "slice it",
        "decide": "decide what to do",
        "go-on": "leave it as it is",
        "equalise": f"equalise{on}{days} (sealed bag, cold)",
    }
    return known.get(offer.step, offer.words)


def mould(page: Page, lot: LotState) -> Steps:
    """One entry of the mould log; some growth asks for a decision at once."""
    colour = yield Choice(f"{lot.code}, mould", picks(inspections.COLOURS))
    texture = yield Choice(f"{colour}, how", picks(inspections.TEXTURES))
    spread = yield Choice(f"{colour} {texture}, where", picks(inspections.SPREADS))
    action = yield Choice("what was done with it", picks(inspections.ACTIONS))
    at, entry = page.house.now(), Mould(colour, texture, spread, action)
    kept = yield save(observe.log_mould, lot.id, entry, at)
    cautions = yield caution_once(lot, entry.caution)
    if entry.asks_decision:
        yield from deciding(page, lot)
        return
    again = f"{day(kept.again[0])} or {day(kept.again[1])}"
    back = f"{page.undo_key} undoes it."
    page.show_message(
        " ".join((f"Recorded: {entry.words}. Look again on {again}; {back}", *cautions)), "good"
    )


def deciding(page: Page, lot: LotState) -> Steps:
    """What a person decided after slime, rot, black or red growth, in their own words."""
    said = yield Text(
        f"{lot.code}: what do you decide",
        words,
        "in your own words; the need stays open until you save them",
    )
    yield save(observe.decide, lot.id, said, page.house.now())
    page.done(f"Recorded: {plain(said)}.")


def contact(page: Page, lot: LotState) -> Steps:
    """Record how the bag lies on the meat."""
    if not lot.in_bag:
        raise Refused(f"{lot.code} is in no bag.")
    how = yield Choice(f"{lot.code}: the bag lies on the meat", picks(inspections.CONTACTS))
    yield save(observe.bag_contact, lot.id, how, page.house.now())
    page.done(f"Bag contact recorded: {how}.")


def smoking(page: Page, lot: LotState) -> Steps:
    """It was smoked: how, in the person's own words."""
    how = yield Text(
        f"{lot.code} was smoked", words, "how long, on what, how warm: 6 h beech, 18 °C"
    )
    yield save(observe.smoked, lot.id, how, page.house.now())
    page.done(f"Smoke recorded: {plain(how)}.")


def answering(page: Page, lot: LotState) -> Steps:
    """A question of its dose, the first that is open; the answer stays with the lot."""
    asked = questions_of(lot)
    if not asked:
        raise Refused(f"{lot.code} has no open question.")
    first = asked[0]
    said = yield Text(
        f"{lot.code}, {first.name.replace('-', ' ')}",
        lambda text: read_answer(first.name, text).text,
        f"{plain(retold(first.text))} A value, or “unknown: why”; Esc leaves it open.",
    )
    alike = page.house.read(asked_alike, lot, first.name)
    if len(alike) > 1:
        some = ((alike[:1], f"{lot.code} only"), (alike, f"all {len(alike)} with this question"))
        alike = yield Choice(f"{plain(said)} for", some, usual=0)
    ids = [each.id for each in alike]
    done = yield save(answer_all, ids, first.name, said)
    left = f" {count(len(done[0].left), 'question')} left." if done[0].left else ""
    codes = ", ".join(each.code for each in alike)
    page.done(f"{codes}, {first.name}: {plain(said)}.{left}")


def note(page: Page, lot: LotState) -> Steps:
    """A note in the person's own words."""
    said = yield Text(
        f"note on {lot.code}", words, "saved in its log, and shown when you make it again"
    )
    yield save(add_note, lot.id, lot.code, said)
    page.done("Note saved.")
