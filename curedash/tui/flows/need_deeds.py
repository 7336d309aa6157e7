"""What a need asks for, done where the need is read: its question on the foot of that page."""

from collections.abc import Callable, Sequence

from curedash.domain.errors import Refused
from curedash.domain.records import LotState, Place
from curedash.present.words import plain
from curedash.services.curing.change_stage import codes_of
from curedash.services.places import outage
from curedash.tui.chassis.commands import Command, key_of
from curedash.tui.chassis.page import Page
from curedash.tui.flows import choose_stage, lot_ends, lot_looks, lot_steps, place_steps
from curedash.tui.flows.weighing import weigh_here
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import Steps

LotDeed = Callable[[Page, LotState], None]
PlaceDeed = Callable[[Page, Place], None]


def _asks(steps: Callable[[Page, LotState], Steps]) -> LotDeed:
    return lambda page, lot: converse(page, lambda: steps(page, lot))


def deciding_at(page: Page, place: Place) -> None:
    """What was decided after this place failed, for all its lots.

    Raises
    ------
    Refused: no lot waits for it
    """
    lots = page.house.read(lambda conn: outage.waiting(conn, place, page.house.now()))
    if not lots:
        off = key_of("places.outage")
        raise Refused(
            f"Nothing of {plain(place.name)} waits for a decision;"
            f" {off} records that it was off or warm."
        )
    converse(page, lambda: place_steps.deciding(page, place, codes_of(lots)))


#: command that answers a need of a lot → what it does
LOT_DEEDS: dict[str, LotDeed] = {
    "lot.answer": _asks(lot_looks.answering),
    "lot.contact": _asks(lot_looks.contact),
    "lot.decide": _asks(lot_looks.deciding),
    "lot.discard": _asks(lot_ends.discarding),
    "lot.feel": _asks(lot_looks.feel),
    "lot.freeze": _asks(lot_steps.freezing),
    "lot.misdose": lambda page, lot: page.show("misdose", lot_id=lot.id),
    "lot.mould": _asks(lot_looks.mould),
    "lot.ph": _asks(lot_steps.measuring_ph),
    "lot.sheet": lambda page, lot: page.show("dose_sheet", batch_id=lot.batch_id, lot_id=lot.id),
    "lot.stage": choose_stage.begin,
    "lot.turned": _asks(lot_steps.turning),
    "lot.weigh": weigh_here,
}
#: the same of a place
PLACE_DEEDS: dict[str, PlaceDeed] = {
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
    for way in (way for way in ways if way.id in LOT_DEEDS):
        try:
            LOT_DEEDS[way.id](page, lot)
        except Refused as refusal:
            refusals.append(refusal)
        else:
            return
    raise refusals[0]
