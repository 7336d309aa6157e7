"""What is done to one lot, by command: on its own page, and where a need asks for it."""

from collections.abc import Callable

from curedash.domain.curing.stages import CLOSED, DISCARDED, FERMENT, IN_CURE, KEEPING, RAW
from curedash.domain.records import LotState
from curedash.tui.chassis.commands import named
from curedash.tui.chassis.page import Page
from curedash.tui.flows import (
    choose_stage,
    export_flow,
    lot_ends,
    lot_looks,
    lot_packs,
    lot_steps,
    lot_weights,
    what_if,
)
from curedash.tui.flows.weighing import weigh_here
from curedash.tui.prompts.converse import converse
from curedash.tui.prompts.questions import NOTHING, Choice, Steps

LotAction = Callable[[Page, LotState], None]
HANGS = ("opened", "rebase", "divide", "move", "mould", "smoked", "contact", "decide", "discard")
#: stage → what may be done there and has a letter that is rarely pressed; nine have a number
BY_NAME: dict[str, tuple[str, ...]] = {
    RAW: ("divide", "freeze", "misdose", "decide", "record", "tag", "discard"),
    IN_CURE: ("contact", "divide", "move", "freeze", "misdose", "decide", "reading", "discard"),
    FERMENT: ("reading", "smoked", "mould", "divide", "move", "decide", "misdose", "discard"),
    KEEPING: ("pack", "divide", "opened", "freeze", "move", "mould", "decide", "tag", "discard"),
    CLOSED: ("pack", "price", "opened", "tag", "record"),
    DISCARDED: ("record",),
}


def _asks(steps: Callable[[Page, LotState], Steps], nothing: str = NOTHING) -> LotAction:
    return lambda page, lot: converse(page, lambda: steps(page, lot), nothing)


#: command → what it does; a page of a lot has a key for each
LOT_ACTIONS: dict[str, LotAction] = {
    "lot.answer": _asks(lot_looks.answering),
    "lot.by-name": lambda page, lot: converse(page, lambda: _by_name(page, lot)),
    "lot.contact": _asks(lot_looks.contact),
    "lot.decide": _asks(lot_looks.deciding),  # after an alarm
    "lot.discard": _asks(lot_ends.discarding),
    "lot.divide": _asks(lot_weights.dividing, lot_weights.NOT_DIVIDED),
    "lot.edit": _asks(lot_steps.correcting),
    "lot.feel": _asks(lot_looks.feel),  # rim, firmness, smell; then the ways on
    "lot.finish": _asks(lot_ends.finishing, lot_ends.NOT_FINISHED),
    "lot.freeze": _asks(lot_steps.freezing),
    "lot.misdose": lambda page, lot: page.show("misdose", lot_id=lot.id),
    "lot.mould": _asks(lot_looks.mould),
    "lot.move": _asks(lot_ends.moving),
    "lot.note": _asks(lot_looks.note),
    "lot.opened": _asks(lot_ends.opening),
    "lot.pack": _asks(lot_packs.packing, lot_packs.NOT_PACKED),
    "lot.price": _asks(lot_ends.pricing),
    "lot.reading": _asks(lot_steps.measuring_ph),
    "lot.rebase": _asks(lot_weights.rebasing),  # a weight that changed without drying
    "lot.record": _asks(export_flow.record, export_flow.NOTHING),
    "lot.sheet": lambda page, lot: page.show("dose_sheet", batch_id=lot.batch_id, lot_id=lot.id),
    "lot.smoked": _asks(lot_looks.smoking),
    "lot.stage": choose_stage.begin,
    "lot.start": _asks(lot_weights.starting),
    "lot.swap": _asks(lot_steps.swapping),
    "lot.tag": _asks(export_flow.tags, export_flow.NOTHING),
    "lot.tare": _asks(lot_weights.taring),
    "lot.turned": _asks(lot_steps.turning),
    "lot.weigh": weigh_here,
    "lot.what-if": _asks(what_if.compared, what_if.LOOKED),
}


def _by_name(page: Page, lot: LotState) -> Steps:
    """What is rarely done with a lot, by its name; its letter comes after it."""
    verbs = BY_NAME.get(lot.stage, HANGS)
    verb = yield Choice(
        f"{lot.code}: what else", tuple((verb, named(f"lot.{verb}")) for verb in verbs)
    )
    LOT_ACTIONS[f"lot.{verb}"](page, lot)
