"""What if: another target, place or a hold, beside the present window; nothing is stored."""

from collections.abc import Callable
from typing import Any

from curedash.domain.curing.stages import DRYING
from curedash.domain.records import LotState
from curedash.domain.typed.numbers import days
from curedash.domain.typed.units import parse_pct
from curedash.present.drying.forecast import what_if_words
from curedash.present.words import plain
from curedash.services.drying.lot_forecast import LotAhead, what_if
from curedash.services.places.places import all_of
from curedash.tui.chassis.page import Page
from curedash.tui.flows.move_lot import chosen
from curedash.tui.prompts.questions import Choice, Steps, Text

TARGET, PLACE, HOLD = "target", "place", "hold"
LOOKED = "nothing was asked"


def compared(page: Page, lot: LotState) -> Steps:
    """Ask what would be otherwise; say the window it would have beside the one it has."""
    house, now = page.house, page.house.now()
    house.read(what_if, lot.code, now)  # refused before anything is asked
    names = tuple(p.name for p in house.read(all_of) if p.id != lot.place_id)
    ways = [(TARGET, "another target")]
    if lot.stage == DRYING:
        ways += [(PLACE, "another place")] if names else []
        ways += [(HOLD, "on hold for some days")]
    way = TARGET if len(ways) == 1 else (yield Choice(f"{lot.code}: what if", tuple(ways), usual=0))
    question, about, understood = _value(way, lot, names)

    def read(text: str) -> LotAhead:
        given = understood(text)
        return house.read(what_if, lot.code, now, **given)

    found = yield Text(f"{lot.code}: {question}", read, about, what_if_words)
    page.show_message(what_if_words(found), "good")


def _value(
    way: str, lot: LotState, names: tuple[str, ...]
) -> "tuple[str, str, Callable[[str], dict[str, Any]]]":
    """What is asked of one way: the question, about it, and how :func:`what_if` calls it."""
    if way == PLACE:
        listed = "   ".join(f"{n} {plain(name)}" for n, name in enumerate(names, 1))
        return "from now on in", listed, lambda text: {"place": chosen(text, names)}
    if way == HOLD:
        about = "days in a sealed bag from now on, e.g. 7 days"
        return "on hold for", about, lambda text: {"hold_days": days(text)}
    about = f"the loss to pull it at; now {lot.target_lo_pct:g}–{lot.target_hi_pct:g} %"
    return "pulled at", about, lambda text: {"target_pct": parse_pct(text)}
