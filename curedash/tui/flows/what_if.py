"""What if: another target, place or a hold, beside the present window; nothing is stored."""

from curedash.domain.curing.stages import DRYING
from curedash.domain.errors import Refused
from curedash.domain.records import LotState
from curedash.domain.typed.units import parse_pct
from curedash.present.drying.forecast import what_if_words
from curedash.present.words import count, plain
from curedash.services.drying.lot_forecast import LotAhead, what_if
from curedash.services.places.places import all_of
from curedash.tui.chassis.page import Page
from curedash.tui.flows.move_lot import chosen
from curedash.tui.prompts.questions import Choice, Step, Steps, Text

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Generator
    from typing import Any

TARGET, PLACE, HOLD = "target", "place", "hold"
LOOKED = "nothing was asked"


def compared(page: Page, lot: LotState) -> Steps:
    """Ask what would be otherwise; say the window it would have beside the one it has."""
    house, now = page.house, page.house.now()
    house.read(lambda conn: what_if(conn, lot.code, now))  # refused before anything is asked
    names = tuple(p.name for p in house.read(all_of) if p.id != lot.place_id)
    ways = [(TARGET, "another target")]
    if lot.stage == DRYING:
        ways += [(PLACE, "another place")] if names else []
        ways += [(HOLD, "on hold for some days")]
    way = TARGET if len(ways) == 1 else (yield Choice(f"{lot.code}: what if", tuple(ways), usual=0))
    asks = {TARGET: _target, PLACE: _place, HOLD: _hold}[way]
    found: LotAhead = yield from asks(page, lot, names)
    page.show_message(what_if_words(found), "good")


def _target(page: Page, lot: LotState, _names: tuple[str, ...]) -> "Generator[Step, Any, LotAhead]":
    def read(text: str) -> LotAhead:
        pct = parse_pct(text)
        return page.house.read(
            lambda conn: what_if(conn, lot.code, page.house.now(), target_pct=pct)
        )

    about = f"the loss to pull it at; now {lot.target_lo_pct:g}–{lot.target_hi_pct:g} %"
    found: LotAhead = yield Text(f"{lot.code}: pulled at", read, about, _echo)
    return found


def _place(page: Page, lot: LotState, names: tuple[str, ...]) -> "Generator[Step, Any, LotAhead]":
    def read(text: str) -> LotAhead:
        name = chosen(text, names)
        return page.house.read(lambda conn: what_if(conn, lot.code, page.house.now(), place=name))

    listed = "   ".join(f"{n} {plain(name)}" for n, name in enumerate(names, 1))
    found: LotAhead = yield Text(f"{lot.code}: from now on in", read, listed, _echo)
    return found


def _hold(page: Page, lot: LotState, _names: tuple[str, ...]) -> "Generator[Step, Any, LotAhead]":
    def read(text: str) -> LotAhead:
        days = _days(text)
        return page.house.read(
            lambda conn: what_if(conn, lot.code, page.house.now(), hold_days=days)
        )

    about = f"days in a sealed bag from now on, e.g. {count(7, 'day')}"
    found: LotAhead = yield Text(f"{lot.code}: on hold for", read, about, _echo)
    return found


def _days(text: str) -> float:
    bare = text.casefold().removesuffix("days").removesuffix("day").removesuffix("d").strip()
    if not bare.isdecimal():
        raise Refused("So many days, e.g. 7.")
    return float(bare)


def _echo(found: LotAhead) -> str:
    """What Enter says, while it is typed."""
    return what_if_words(found)
