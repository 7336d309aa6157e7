"""What a roast cost, said or corrected after it was salted; what ended already follows."""

from collections.abc import Sequence
from sqlite3 import Connection

from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.records import LotState
from curedash.domain.typed.prices import Price
from curedash.domain.wording import listed
from curedash.services.drying.finish import sum_up_again
from curedash.services.find import lot_with_id
from curedash.services.household import household
from curedash.store import batches, finishes, lots, rack
from curedash.store.batches import Roast
from curedash.store.work import By, Work, at_once, change


@record
class Priced:
    """A roast with its price, the pieces that share it, and this lot's cost a kilogram."""

    roast: Roast
    pieces: tuple[str, ...]  # codes
    cost_per_kg: float | None  # None: the lot goes on, or was never weighed


def roast_of(conn: Connection, lot: LotState) -> Roast | None:
    """The roast a lot, or the piece it was cut from, came from; None where nobody said."""
    return batches.roast_of(conn, lot.id)


def cost_per_kg(conn: Connection, lot_id: int) -> float | None:
    """What a kilogram of a finished lot cost; None while it goes on, or without a price."""
    ended = finishes.of_lot(conn, lot_id)
    return None if ended is None else ended.cost_per_kg


def pieces_of(conn: Connection, lot: LotState) -> list[LotState]:
    """The whole pieces that share the price with a lot.

    Where no roast was named these are the pieces of its batch without one.
    """
    roast = batches.roast_of(conn, lot.id)
    members = rack.lots_of_batch(conn, lot.batch_id)
    known = batches.source_ids(conn, lot.batch_id)
    wanted = None if roast is None else roast.id
    return [one for one in members if one.parent_id is None and known[one.id] == wanted]


@at_once
def price_roast(
    conn: Connection, by: By, lot_id: int, asked: Price, bought_g: float | None = None
) -> Priced:
    """Set what the roast of a lot cost; without a roast its batch gets one, named as the batch.

    Parameters
    ----------
    asked : for the whole, or for a weight
    bought_g : what the roast weighed as bought [g]; None: as known

    Raises
    ------
    Refused: a price for a weight without the weight as bought
    """
    lot = lot_with_id(conn, lot_id)
    known, pieces = batches.roast_of(conn, lot_id), pieces_of(conn, lot)
    bought_g = bought_g if bought_g is not None or known is None else known.bought_g
    total = asked.total(bought_g)
    if total is None:
        raise Refused(
            f"A price {asked.each} needs the weight as bought; or give the price of the whole."
        )
    currency = asked.currency or (None if known is None else known.currency)
    with change(conn, by, "price", subject=listed([one.code for one in pieces])) as work:
        values = {"price": total, "currency": currency, "bought_g": bought_g}
        if known is None:
            _name_roast(work, lot, pieces, values)
        else:
            batches.change_source(work, known.id, **values)
        _follow(work, pieces)
    found = batches.roast_of(conn, lot_id)
    assert found is not None  # made or known above
    return Priced(found, tuple(one.code for one in pieces), cost_per_kg(conn, lot_id))


def _name_roast(
    work: Work, lot: LotState, pieces: Sequence[LotState], values: dict[str, float | str | None]
) -> None:
    source_id = batches.add_source(work, batch_id=lot.batch_id, name=lot.batch_name, **values)
    for piece in pieces:
        lots.update(work, piece.id, source_id=source_id)


def _follow(work: Work, pieces: Sequence[LotState]) -> None:
    """The cost of what ended already, whole or in parts."""
    zone = household.zone(work.conn)
    shared = {piece.id for piece in pieces}
    members = rack.lots_of_batch(work.conn, pieces[0].batch_id)
    for one in sorted(members, key=lambda member: member.id):
        if one.id in shared or one.parent_id in shared:
            shared.add(one.id)  # a part has a higher number than what it was cut from
            sum_up_again(work, one, zone)
