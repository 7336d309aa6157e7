"""Two weigh-ins that were entered for each other's lot, corrected in one change."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.errors import Changed, Refused
from curedash.domain.quantity_text import QuantityText, grams, phrase
from curedash.domain.record import record, replace
from curedash.domain.records import ENDED, LotState, WeighIn
from curedash.domain.times import moment, utc_text
from curedash.services.find import lot_with_id, require_lot
from curedash.services.household import household
from curedash.services.weighing.as_of import lot_at
from curedash.services.weighing.correct import Right, apply_right
from curedash.services.weighing.weigh import Preview, Weighed, preview, preview_at
from curedash.store import rack, weigh_ins
from curedash.store.work import By, Work, at_once, change

APART_S = 86_400.0  # design value: weigh-ins further apart were hardly swapped


@record
class Swapped:
    """Both lots as they are now, and what each weighs on the scale now [g]."""

    one: LotState
    other: LotState
    one_gross_g: float
    other_gross_g: float


@at_once
def swap(conn: Connection, by: By, one_id: int, other_id: int) -> Swapped:
    """Exchange the newest weigh-ins of two lots: what the scale showed, each less its own tare.

    Both old ones are voided and stay in the log; one undo takes the whole change back.

    Raises
    ------
    Refused: the same lot twice, a lot without a weigh-in of its own, weigh-ins more than a day
    apart, or a weight below the other lot's tare
    """
    if one_id == other_id:
        raise Refused("Name two different lots: a lot cannot be swapped with itself.")
    with change(conn, by, "swap weigh-ins") as work:
        one, other = lot_with_id(conn, one_id), lot_with_id(conn, other_id)
        mine, theirs = _newest(conn, one), _newest(conn, other)
        apart_s = abs((moment(mine.at) - moment(theirs.at)).total_seconds())
        if apart_s > APART_S:
            raise Refused(
                f"{one.code} and {other.code} were weighed more than a day apart;"
                " correct each with its own weight instead."
            )
        _give(work, one, mine, theirs.gross_g)
        _give(work, other, theirs, mine.gross_g)
        work.subject = f"{one.code} {theirs.gross_g:g} g, {other.code} {mine.gross_g:g} g"
    one, other = lot_with_id(conn, one_id), lot_with_id(conn, other_id)
    return Swapped(one, other, theirs.gross_g, mine.gross_g)


def swappable(conn: Connection, lot: LotState) -> list[LotState]:
    """Open lots whose newest weigh-in may be exchanged with that of a lot; none if it has none."""
    if lot.last_kind != "stage" or lot.last_at is None:
        return []
    at = moment(lot.last_at)
    return [
        other
        for other in rack.open_lots(conn)
        if other.id != lot.id
        and other.last_kind == "stage"
        and other.last_at is not None
        and abs((moment(other.last_at) - at).total_seconds()) <= APART_S
    ]


@at_once
def weigh_swapped(
    conn: Connection,
    by: By,
    lot_id: int,
    seen: Preview,
    other: tuple[str, float],
    *,
    note: str | None = None,
) -> Weighed:
    """Save a weight for the lot it fits, and give this lot the one saved for that lot before.

    Parameters
    ----------
    lot_id, seen : the lot the weight was typed for, and what was typed
    other : the lot that was weighed before with this lot's weight, and that weight [g]

    Raises
    ------
    Changed: the other lot has been weighed or corrected meanwhile; Refused: a weight below a tare
    """
    zone, now = household.zone(conn), moment(by.now)
    code, own_g = other
    with change(conn, by, "weigh, swapped", at=utc_text(seen.at)) as work:
        lot, before = lot_with_id(conn, lot_id), require_lot(conn, code)
        if lot.stage in ENDED:
            raise Refused(f"{lot.code} is {lot.stage}; it takes no more weigh-ins.")
        theirs = _newest(conn, before)
        if theirs.gross_g != own_g:
            raise Changed(_other_weight(code, theirs.gross_g, lot.code))
        corrected = _give(work, before, theirs, seen.gross_g)
        own = preview_at(conn, lot, f"{own_g:.10g} g", now, zone, seen.at)
        then = own.of or lot
        new = weigh_ins.weighed(then, utc_text(seen.at), own_g, tare_g=own.tare_g, note=note)
        number = weigh_ins.add(work, new)
        work.subject = f"{lot.code} {own_g:g} g, {code} {seen.gross_g:g} g"
        theirs_seen = _beside_the_one_before(conn, before, theirs, seen.gross_g, now)
    after = Weighed(corrected, theirs_seen, lot_with_id(conn, before.id))
    return Weighed(number, replace(own, doubts=()), lot_with_id(conn, lot_id), after)


def _beside_the_one_before(
    conn: Connection, lot: LotState, row: WeighIn, gross_g: float, now: datetime
) -> Preview:
    """What a corrected weight means, compared with the weigh-in before it."""
    earlier = [r for r in weigh_ins.of_lot(conn, lot.id) if r.at < row.at]
    then = lot_at(conn, lot, moment(earlier[-1].at)) if earlier else lot
    zone = household.zone(conn)
    found = preview(then, f"{gross_g:.10g} g", now, zone, at=moment(row.at))
    return replace(found, doubts=())


def _newest(conn: Connection, lot: LotState) -> WeighIn:
    """A lot's newest weigh-in, if it is one of its own."""
    rows = weigh_ins.of_lot(conn, lot.id)
    if not rows:
        raise Refused(f"{lot.code} has no weigh-in to swap.")
    if rows[-1].kind != "stage":
        raise Refused(
            f"The newest weight of {lot.code} is its start, its end or an inherited one;"
            " correct that instead of swapping it."
        )
    return rows[-1]


def _give(work: Work, lot: LotState, row: WeighIn, gross_g: float) -> int:
    return apply_right(work, lot, row, Right(gross_g), row.at)


def _other_weight(code: str, gross_g: float, lot_code: str) -> QuantityText:
    said = "{code}: its newest weigh-in is {shown} on the scale now. Save this one for {lot}?"
    return phrase(said, code=code, shown=grams(gross_g), lot=lot_code)
