"""What a need asks for, done where the need is read: its question on the foot of that page."""

from collections.abc import Callable, Sequence

from curedash.domain.errors import Refused
from curedash.domain.records import LotState, Place
from curedash.present.words import plain
from curedash.services.curing.change_stage import codes_of
from curedash.services.places import outage
from curedash.tui.chassis.commands import Command, key_of
from curedash.tui.chassis.page import Page
from curedash.tui.flows import place_steps
from curedash.tui.flows.lot_actions import LOT_ACTIONS
from curedash.tui.prompts.converse import converse

PlaceAnswer = Callable[[Page, Place], None]


def deciding_at(page: Page, place: Place) -> None:
    """What was decided after this place failed, for all its lots.

    Raises
    ------
    Refused: no lot waits for it
    """
    lots = page.house.read(outage.waiting, place, page.house.now())
    if not lots:
        off = key_of("places.outage")
        raise Refused(
            f"Nothing of {plain(place.name)} waits for a decision;"
            f" {off} records that it was off or warm."
        )
    converse(page, lambda: place_steps.deciding(page, place, codes_of(lots)))


#: command that answers a need of a place → what it does
PLACE_ANSWERS: dict[str, PlaceAnswer] = {
    "places.reading": place_steps.reading,
    "places.decide": deciding_at,
    "places.new": lambda page, place: converse(
        page, lambda: place_steps.cooler_place(page, place), "nothing was moved"
    ),
    "places.sensor": lambda page, place: converse(
        page, lambda: place_steps.offsetting(page, place)
    ),
}


def answer_lot(page: Page, lot: LotState, ways: Sequence[Command]) -> None:
    """Do the first of these ways that is open to a lot: one without doses has no dose sheet.

    Raises
    ------
    Refused: none is; the first says why
    """
    refusals = []
    for way in (way for way in ways if way.id in LOT_ACTIONS):
        try:
            LOT_ACTIONS[way.id](page, lot)
        except Refused as refusal:
            refusals.append(refusal)
        else:
            return
    raise refusals[0]
