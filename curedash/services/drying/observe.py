"""What was felt, smelled and seen on a lot, kept as events; the usual ways on come back."""

from datetime import date, datetime, timedelta
from sqlite3 import Connection
from typing import Any

from curedash.domain.curing.stages import DRYING, EQUALISING, FERMENT, SALT_REST, in_stage
from curedash.domain.drying.inspections import (
    ACTIONS,
    COLOURS,
    CONTACTS,
    FIRMNESSES,
    GOES_ON,
    MOULD_AGAIN_DAYS,
    RIMS,
    SMELLS,
    SPREADS,
    TEXTURES,
    Felt,
    Mould,
    Offer,
    chosen,
    offers,
    spoiled,
    thickness_now_mm,
    undecided,
    usual_offer,
)
from curedash.domain.drying.lot_figures import loss_on, net_now_g
from curedash.domain.errors import Refused
from curedash.domain.record import as_dict, record
from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.services.find import lot_with_id
from curedash.services.household import household
from curedash.services.household.photos import Photo, noted
from curedash.services.one_line import one_line
from curedash.store import lots
from curedash.store.work import By, Work, at_once, change

MAX_WORDS = 1000
SMOKED_IN = (SALT_REST, FERMENT, DRYING)  # out of the cure and in no bag


@record
class Answered:
    """The three answers as kept, and the ways on, the usual one first."""

    lot: LotState
    felt: Felt
    offers: tuple[Offer, ...]


@record
class Logged:
    """A mould entry as kept; ``again`` are the days on which to look again."""

    lot: LotState
    mould: Mould
    again: tuple[date, date]


def felt_from(rim: str, firmness: str, smell: str) -> Felt:
    """The three answers as typed or picked.

    Raises
    ------
    Refused: another word; it lists those there are
    """
    return Felt(
        chosen(rim, RIMS, "rim"),
        chosen(firmness, FIRMNESSES, "firmness"),
        chosen(smell, SMELLS, "smell"),
    )


def mould_from(colour: str, texture: str, spread: str, action: str) -> Mould:
    """A mould entry as typed or picked.

    Raises
    ------
    Refused: another word; it lists those there are
    """
    return Mould(
        chosen(colour, COLOURS, "colour"),
        chosen(texture, TEXTURES, "texture"),
        chosen(spread, SPREADS, "spread"),
        chosen(action, ACTIONS, "action"),
    )


def offers_for(lot: LotState, felt: Felt) -> tuple[Offer, ...]:
    """The ways on for this lot in their fixed order, with the days its thickness of today takes."""
    lost = loss_on(lot.base_g, net_now_g(lot)) or 0.0
    today_mm = None if lot.thickness_mm is None else thickness_now_mm(lot.thickness_mm, lost)
    return offers(
        felt,
        thickness_mm=today_mm,
        shape=lot.shape,
        stage=lot.stage,
        ferments=lot.ferments,
        alarm=undecided(lot),
    )


def usual_first(felt: Felt, found: tuple[Offer, ...]) -> tuple[Offer, ...]:
    """The same ways on, led by the usual one, for a list that nobody answers by number."""
    at = usual_offer(felt, found)
    return (found[at], *found[:at], *found[at + 1 :])


@at_once
def equalise_on(conn: Connection, by: By, lot_id: int, until: datetime) -> LotState:
    """A lot that equalises goes on with it until another day.

    Raises
    ------
    Refused: it is in no bag to equalise in
    """
    lot = lot_with_id(conn, lot_id)
    if lot.stage != EQUALISING:
        raise Refused(f"{lot.code} is {in_stage(lot.stage)}; it does not equalise.")
    with change(conn, by, "keep equalising", subject=lot.code) as work:
        lots.update(work, lot_id, stage_until=utc_text(until))
    return lot_with_id(conn, lot_id)


@at_once
def answer(
    conn: Connection,
    by: By,
    lot_id: int,
    felt: Felt,
    at: datetime,
    *,
    goes_on: bool = False,
    photo: Photo | None = None,
) -> Answered:
    """Keep the three answers at target.

    Parameters
    ----------
    goes_on : it was decided at once to keep drying; asked again after the next weigh-in

    Raises
    ------
    Refused: it is to go on although it smells of spoilage, or something waits for a decision
    """
    lot = lot_with_id(conn, lot_id)
    off = spoiled(felt, ferments=lot.ferments)
    against = f"it smells {off}" if off is not None else undecided(lot)
    if goes_on and against is not None:
        raise Refused(
            f"{lot.code}: {against}. Put it aside or throw it away; record what you decide."
        )
    words = felt.words + (f", {GOES_ON}" if goes_on else "")
    with change(conn, by, "feel", subject=f"{lot.code} {felt.words}", at=utc_text(at)) as work:
        _event(work, lot, at, "target", words, noted(photo, as_dict(felt)))
        if off is not None:
            _event(work, lot, at, "alarm", f"smell {off}", None)
    return Answered(lot_with_id(conn, lot_id), felt, usual_first(felt, offers_for(lot, felt)))


@at_once
def log_mould(
    conn: Connection, by: By, lot_id: int, mould: Mould, at: datetime, *, photo: Photo | None = None
) -> Logged:
    """Keep a mould entry; black, red or slimy growth asks for a decision until one is kept."""
    lot = lot_with_id(conn, lot_id)
    kind = "alarm" if mould.asks_decision else "mould"
    with change(conn, by, "mould", subject=f"{lot.code} {mould.words}", at=utc_text(at)) as work:
        _event(work, lot, at, kind, mould.words, noted(photo, as_dict(mould)))
    seen = at.astimezone(household.zone(conn)).date()
    first, last = (seen + timedelta(days=days) for days in MOULD_AGAIN_DAYS)
    return Logged(lot_with_id(conn, lot_id), mould, (first, last))


@at_once
def decide(
    conn: Connection, by: By, lot_id: int, words: str, at: datetime, *, photo: Photo | None = None
) -> LotState:
    """Keep what a person decided after an alarm, in their own words.

    Raises
    ------
    Refused: no words
    """
    clean = one_line(words, MAX_WORDS)
    if clean is None:
        raise Refused("Record what you decided, e.g. cut away, washed, goes on.")
    lot = lot_with_id(conn, lot_id)
    with change(conn, by, "decide", subject=lot.code, at=utc_text(at)) as work:
        return _noted(work, lot, at, "decision", clean, photo)


@at_once
def bag_contact(
    conn: Connection, by: By, lot_id: int, contact: str, at: datetime, *, photo: Photo | None = None
) -> LotState:
    """Keep how a bag lies on its meat: good, partly or lost.

    Raises
    ------
    Refused: another word, or a lot without a bag
    """
    lot = lot_with_id(conn, lot_id)
    if not lot.in_bag:
        raise Refused(f"{lot.code} is in no bag.")
    word = chosen(contact, CONTACTS, "bag contact")
    with change(conn, by, "bag contact", subject=f"{lot.code} {word}", at=utc_text(at)) as work:
        return _noted(work, lot, at, "bag", word, photo)


@at_once
def smoked(
    conn: Connection, by: By, lot_id: int, words: str, at: datetime, *, photo: Photo | None = None
) -> LotState:
    """Record that a piece was smoked: how long, on what, how warm, in the person's own words.

    Raises
    ------
    Refused: no words, or a lot that is not out in the air
    """
    lot = lot_with_id(conn, lot_id)
    if lot.stage not in SMOKED_IN:
        raise Refused(
            f"{lot.code} is {in_stage(lot.stage)}; a lot is smoked after the cure, out of its bag."
        )
    clean = one_line(words, MAX_WORDS)
    if clean is None:
        raise Refused("Say how it was smoked, e.g. 6 h beech, 18 °C.")
    with change(conn, by, "smoke", subject=lot.code, at=utc_text(at)) as work:
        return _noted(work, lot, at, "smoke", clean, photo)


def _noted(
    work: Work, lot: LotState, at: datetime, kind: str, text: str, photo: Photo | None
) -> LotState:
    """An event of nothing but words, perhaps with a photo; the lot after it."""
    _event(work, lot, at, kind, text, noted(photo))
    return lot_with_id(work.conn, lot.id)


def _event(
    work: Work, lot: LotState, at: datetime, kind: str, text: str, data: dict[str, Any] | None
) -> None:
    lots.add_event(work, utc_text(at), kind, text, lot_id=lot.id, data=data)
