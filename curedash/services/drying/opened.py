"""A lot was cut open, at whatever loss: what the cut face showed, and how it goes on."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import DISCARDED, DRYING, EQUALISING, OPEN, in_stage, word
from curedash.domain.drying.inspections import (
    AFTER_OPENING,
    AFTER_SPOILED,
    GOES_ON,
    OPENED_FACES,
    PUT_ASIDE_WORDS,
    SMELLS_OFF,
    chosen,
    next_after,
    require_as_felt,
    undecided,
)
from curedash.domain.drying.lot_figures import figures, net_now_g
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.times import utc_text
from curedash.domain.weighing.doubts import Doubt, asked_of
from curedash.services.curing.change_stage import Move, apply_move
from curedash.services.drying.finish import Finishing, apply_finish
from curedash.services.find import lot_with_id
from curedash.services.future_check import ahead
from curedash.services.household import household
from curedash.services.household.photos import Photo, noted
from curedash.services.one_line import one_line
from curedash.services.weighing.as_of import lot_at
from curedash.services.weighing.rebase import Rebasing, apply_rebase
from curedash.services.weighing.weigh import doubts_of, finest_division_g
from curedash.store import lots, rack, weigh_ins
from curedash.store.work import By, Work, at_once, change

EAT = AFTER_OPENING[-1]
EARLY_SHARE = 2 / 3  # design value: of the target; below it eating is asked about
NEXT = (*AFTER_OPENING, *AFTER_SPOILED)
PUT_ASIDE, THROW_AWAY = AFTER_SPOILED


@record
class Opening:
    """What a person says; weights are what the scale shows [g]."""

    cut_face: str
    next: str
    at: datetime
    before_g: float | None = None  # before the cut
    after_g: float | None = None  # what is left, if some was eaten
    place: str | None = None
    note: str | None = None
    liked: int | None = None
    keep_doubtful: bool = False
    early: bool = False  # that it is eaten although little is lost was asked, and said
    photo: Photo | None = None  # of the cut face


@record
class Opened:
    """The lot as it goes on, in words what was found, and who of its batch hears of it."""

    lot: LotState
    words: str
    short_g: float | None  # grams short of the target's first weight
    siblings: tuple[str, ...]
    messages: tuple[str, ...]


@at_once
def opened(conn: Connection, by: By, lot_id: int, what: Opening) -> Opened:
    """Record that a lot was cut open and take it on, in one change.

    Closed up again, what was eaten comes off by ratio, so its loss goes on; its siblings of the
    batch hear of the cut face once.

    Raises
    ------
    Refused: not an open lot, or words that are not known; Doubtful: a question
    """
    face = chosen(what.cut_face, OPENED_FACES, "cut face")
    then = chosen(what.next, NEXT, "next step")
    with change(conn, by, "open", at=utc_text(what.at)) as work:
        lot = lot_with_id(conn, lot_id)
        work.subject = f"{lot.code} {face}"
        if lot.stage not in OPEN:
            raise Refused(f"{lot.code} is {in_stage(lot.stage)}; it was opened before.")
        require_as_felt(lot, face, sure=what.keep_doubtful)
        against = undecided(lot)
        if then not in (*next_after(face, against), *AFTER_SPOILED):
            raise Refused(
                f"{lot.code}: {against or f'it {SMELLS_OFF}'}. Put it aside or throw it away;"
                " record what you decide."
            )
        messages: tuple[str, ...] = ()
        if then in AFTER_SPOILED:
            words, short_g = _found(work, lot, what, face)
            messages = _aside_or_away(work, lot, what, face, then)
        elif then == EAT:
            early = early_words(lot, what.before_g)
            if early is not None and not (what.early or what.keep_doubtful):
                raise Doubtful(f"{lot.code}: {early} Is it eaten anyway?")
            _eat(work, lot, what, face)
            words, short_g = _found(work, lot_with_id(conn, lot_id), what, face)
        else:
            _eaten_on_the_way(work, lot, what)
            words, short_g = _found(work, lot_with_id(conn, lot_id), what, face)
            messages = _goes_on(work, lot_with_id(conn, lot_id), what, then)
        siblings = _tell_siblings(work, lot, words, what)
    return Opened(lot_with_id(conn, lot_id), words, short_g, siblings, messages)


def early_words(lot: LotState, before_g: float | None) -> str | None:
    """That a lot lost far too little to be eaten as it is, with its share; else None.

    What goes by its days, not by weight, is not judged here, nor what nobody weighed.

    Parameters
    ----------
    before_g : what the scale shows now [g]; None: its newest weight counts
    """
    if lot.by_date:
        return None
    if lot.hang_at is None:
        return "It has not hung yet. Inside it is raw."
    net_g = net_now_g(lot) if before_g is None else before_g - lot.tare_g
    if net_g is None or lot.hang_g is None:
        return None
    loss_pct = 100 * (1 - net_g / (lot.hang_g * lot.base_factor))
    if loss_pct >= EARLY_SHARE * lot.target_lo_pct:
        return None
    about = "about " if lot.hang_pm_g is not None else ""
    lost = f"{about}{loss_pct:.0f} %"
    return f"It has lost {lost}; its target is {lot.target_lo_pct:g} %. Inside it is raw."


def _found(work: Work, lot: LotState, what: Opening, face: str) -> tuple[str, float | None]:
    """The event with its words: code, loss, face, grams short."""
    shown = figures(lot, what.at, household.zone(work.conn), lot.target_base)
    known = shown.loss_pct is not None
    about = "≈" if shown.approx else ""
    at_loss = f" at {about}{shown.loss_pct:.0f} %" if known else ""
    words = f"{lot.code} opened{at_loss}: {face}"
    short_g = shown.to_go_g if shown.to_go_g is not None and shown.to_go_g > 0.5 else None
    note = one_line(what.note)
    text = words if short_g is None else f"{words}; {short_g:.0f} g short of target"
    text += f"; {note}" if note else ""
    data = {"cut_face": face, "loss_pct": shown.loss_pct, "next": what.next, "short_g": short_g}
    at = utc_text(what.at)
    lots.add_event(work, at, "opened", text, lot_id=lot.id, data=noted(what.photo, data))
    return words, short_g


def _eaten_on_the_way(work: Work, lot: LotState, what: Opening) -> None:
    if what.after_g is None:
        _weighed_only(work, lot, what)
        return
    before_g, sure = what.before_g, what.keep_doubtful
    eaten = Rebasing("end tasted", what.after_g, what.at, before_g=before_g, keep_doubtful=sure)
    apply_rebase(work, lot, eaten)


def _weighed_only(work: Work, lot: LotState, what: Opening) -> None:
    """Nothing was eaten, but it was weighed."""
    if what.before_g is None:
        return
    doubts = ahead(work.by, what.at) + _doubts(work.conn, lot, what.before_g, what.at)
    if doubts and not what.keep_doubtful:
        raise Doubtful(asked_of(lot.code, doubts))
    then = lot_at(work.conn, lot, what.at)
    flagged = doubts[0].kind if doubts else None
    new = weigh_ins.weighed(then, utc_text(what.at), what.before_g, flagged=flagged)
    weigh_ins.add(work, new)


def _doubts(conn: Connection, lot: LotState, before_g: float, at: datetime) -> tuple[Doubt, ...]:
    then, finest_g = lot_at(conn, lot, at), finest_division_g(conn, before_g)
    return doubts_of(then, before_g, then.tare_g, at, finest_g, newest_at=lot.last_at)


def doubt_of(conn: Connection, lot: LotState, before_g: float | None, at: datetime) -> Doubt | None:
    """What is odd about the weight before the cut [g on the scale], as it will be asked."""
    doubts = () if before_g is None else _doubts(conn, lot, before_g, at)
    return doubts[0] if doubts else None


def _aside_or_away(
    work: Work, lot: LotState, what: Opening, face: str, then: str
) -> tuple[str, ...]:
    """Out of reach until somebody decides, or gone."""
    at = utc_text(what.at)
    if then == THROW_AWAY:
        move = Move(DISCARDED, what.at, note=f"opened: {face}", keep_doubtful=True)
        return apply_move(work, lot, move)
    lots.add_event(work, at, "alarm", f"opened: {face}, put aside", lot_id=lot.id)
    return (f"{PUT_ASIDE_WORDS}; then record what you decide",)


def _goes_on(work: Work, lot: LotState, what: Opening, then: str) -> tuple[str, ...]:
    stage = EQUALISING if then == "equalise" else DRYING
    if stage == DRYING and lot.hang_at is not None:
        text = f"cut face {what.cut_face}, {GOES_ON}"
        lots.add_event(work, utc_text(what.at), "target", text, lot_id=lot.id)
    if lot.stage == stage:
        return (f"it goes on {word(stage)}",)
    if lot.hang_at is None:
        raise Refused(f"{lot.code} never hung; it can only be eaten, or go on as it is.")
    again = "again" if stage == DRYING else "now"
    sure = what.keep_doubtful
    move = Move(stage, what.at, place=what.place, note=what.note, keep_doubtful=sure)
    return (f"it is {in_stage(stage)} {again}", *apply_move(work, lot, move))


def _eat(work: Work, lot: LotState, what: Opening, face: str) -> None:
    end = Finishing(
        what.at,
        what.before_g,
        cut_face=face,
        liked=what.liked,
        note=what.note,
        keep_doubtful=what.keep_doubtful,
    )
    apply_finish(work, lot, end, household.zone(work.conn))


def _tell_siblings(work: Work, lot: LotState, words: str, what: Opening) -> tuple[str, ...]:
    told = []
    for other in rack.lots_of_batch(work.conn, lot.batch_id):
        if other.id != lot.id and other.stage in OPEN:
            lots.add_event(work, utc_text(what.at), "sibling", words, lot_id=other.id)
            told.append(other.code)
    return tuple(told)
