"""Packs: what went into which bag, until when it keeps by the household's rule, who got it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from sqlite3 import Connection

from curedash.domain.curing.stages import CLOSED, KEEPING, in_stage
from curedash.domain.drying.inspections import require_decided
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.quantity_text import QuantityText, grams, phrase
from curedash.domain.record import record
from curedash.domain.records import LotState, Pack
from curedash.domain.times import local_day, utc_text
from curedash.domain.typed.shares import typed_shares
from curedash.domain.wording import listed
from curedash.services.find import lot_with_id, require_lot
from curedash.services.household import household
from curedash.services.one_line import one_line
from curedash.store import finishes, settings
from curedash.store.work import By, Work, at_once, change

KEEP_RULE = "keep-days"  # setting: days a pack keeps by the household's own rule
MAX_NAME = 200
MOST_OVER = 1.02  # design value: packs may weigh this much more than the lot (bag, scale)


@record
class NewPack:
    """One bag: net weight [g], when it was packed, and what is said of it."""

    weight_g: float
    at: datetime
    keep_until: date | None = None  # None: the household's rule
    given_to: str | None = None
    note: str | None = None


@record
class Share:
    """How much of a mixed pack came from one lot [g net]."""

    lot_id: int
    weight_g: float


@at_once
def add_packs(
    conn: Connection, by: By, lot_id: int, new: Sequence[NewPack], *, sure: bool = False
) -> tuple[Pack, ...]:
    """Pack (a part of) a lot that is keeping or finished; its packs as they are now.

    Raises
    ------
    Refused: a lot that still hangs; Doubtful: packs that outweigh the lot, unless ``sure``
    """
    lot = lot_with_id(conn, lot_id)
    require_decided(lot)
    with change(conn, by, "pack", subject=lot.code) as work:
        apply_packs(work, lot_with_id(conn, lot_id), new, sure=sure)
    return tuple(finishes.packs(conn, lot_id))


@at_once
def mix_pack(
    conn: Connection, by: By, shares: Sequence[Share], new: NewPack, *, sure: bool = False
) -> tuple[Pack, ...]:
    """Put parts of several lots into one pack; the weight of ``new`` is that of all shares.

    Raises
    ------
    Refused: fewer than two lots, or shares that do not add up; Doubtful as for packs
    """
    if len({share.lot_id for share in shares}) < 2 or len(shares) > 100:
        raise Refused("A mixed pack needs parts of at least two lots.")
    total_g = sum(share.weight_g for share in shares)
    if abs(total_g - new.weight_g) > max(1.0, 0.01 * new.weight_g):
        said = "The parts weigh {parts} together, the pack {pack}."
        raise Refused(phrase(said, parts=grams(total_g), pack=grams(new.weight_g)))
    found = [lot_with_id(conn, share.lot_id) for share in shares]
    subject = " + ".join(lot.code for lot in found)
    first: int | None = None
    with change(conn, by, "pack", subject=subject) as work:
        for lot, share in zip(found, shares, strict=True):
            _require_room(work, lot, share.weight_g, sure=sure)
            pack_id = _add(work, lot, new, share.weight_g, first)
            first = first or pack_id
    packs = finishes.packs(conn)
    return tuple(pack for pack in packs if first in (pack.id, pack.mixed_with))


def shares_of(conn: Connection, text: str, lot: LotState | None = None) -> tuple[Share, ...]:
    """What goes into one pack from several lots, as typed: ``C2 120 D1 80``.

    Parameters
    ----------
    lot : the one that is being packed or finished just now, if there is one

    Raises
    ------
    NotFound: no such lot; Refused: one that still hangs, or what cannot be read
    """
    shares = []
    for code, weight_g in typed_shares(text, None if lot is None else lot.code):
        found = require_lot(conn, code)
        if lot is None or found.id != lot.id:
            require_ended(found)
        shares.append(Share(found.id, weight_g))
    return tuple(shares)


def mates_of(conn: Connection, lot_id: int) -> dict[int, tuple[tuple[str, float], ...]]:
    """For each pack of a lot that is part of a mixed one, what else is in it.

    Returns
    -------
    number of the pack → code and weight [g] of each other lot
    """
    every = finishes.packs(conn)
    found = {}
    for pack in (pack for pack in every if pack.lot_id == lot_id):
        first = pack.mixed_with or pack.id
        others = [p for p in every if first in (p.id, p.mixed_with) and p.id != pack.id]
        if others:
            found[pack.id] = tuple((lot_with_id(conn, p.lot_id).code, p.weight_g) for p in others)
    return found


@at_once
def give(conn: Connection, by: By, to: Mapping[int, str]) -> None:
    """Write down who got which pack, by its number; a mixed one as a whole.

    Raises
    ------
    Refused: no such pack, or nobody named
    """
    known = {pack.id: pack for pack in finishes.packs(conn)}
    names = {pack_id: one_line(name, MAX_NAME) for pack_id, name in to.items()}
    if not names or not names.keys() <= known.keys() or None in names.values():
        raise Refused("Name a pack by its number and who got it.")
    subject = listed(dict.fromkeys(name or "" for name in names.values()))
    with change(conn, by, "give pack", subject=subject) as work:
        for pack_id, name in names.items():
            first = known[pack_id].mixed_with or pack_id
            for pack in known.values():
                if first in (pack.id, pack.mixed_with):
                    finishes.give(work, pack.id, given_to=name)


def names_for(text: str | None, packs: int) -> tuple[str | None, ...]:
    """Who gets each of so many packs, from one line.

    Parameters
    ----------
    text : a name for all of them, or as many names as packs with commas between
    packs : how many there are

    Raises
    ------
    Refused: several names, but not one for each pack

    Example
    -------
    >>> names_for("Ilse, Jon, Mara", 3)
    ('Ilse', 'Jon', 'Mara')
    >>> names_for("Ilse and Jon", 3), names_for(None, 1)
    (('Ilse and Jon', 'Ilse and Jon', 'Ilse and Jon'), (None,))
    """
    names = [name.strip() for name in (text or "").replace(";", ",").split(",")]
    names = [name for name in names if name]
    if packs > 1 and len(names) == packs:
        return tuple(names)
    if packs > 1 and len(names) > 1:
        raise Refused(
            f"{len(names)} names for {packs} packs: type {packs} names, one each, or one for all"
            f" of them, like {listed(dict.fromkeys(names))}."
        )
    return (text,) * packs


def all_packs(conn: Connection) -> list[Pack]:
    """Every pack that stands, oldest first."""
    return finishes.packs(conn)


def packs_of(conn: Connection, lot_id: int) -> tuple[Pack, ...]:
    """The packs of one lot, oldest first."""
    return tuple(finishes.packs(conn, lot_id))


def codes_of(conn: Connection) -> dict[int, str]:
    """Codes of the lots that have packs, by id."""
    ids = {pack.lot_id for pack in finishes.packs(conn)}
    return {lot_id: lot_with_id(conn, lot_id).code for lot_id in ids}


@at_once
def choose_keep_days(conn: Connection, by: By, days: int) -> None:
    """Set the household's own rule: how many days a pack keeps, 0 for none. The program has none.

    Raises
    ------
    Refused: outside 0–3650 days
    """
    if not 0 <= days <= 3650:
        raise Refused("A pack keeps 1 to 3650 days by your rule; 0 for no rule.")
    household.choose(conn, by, KEEP_RULE, str(days))


def apply_packs(work: Work, lot: LotState, new: Sequence[NewPack], *, sure: bool = False) -> None:
    """Add packs of one lot inside a running change."""
    if not new:
        return
    now = lot_with_id(work.conn, lot.id)
    _require_room(work, now, sum(pack.weight_g for pack in new), sure=sure)
    for pack in new:
        _add(work, now, pack, pack.weight_g, None)


def require_ended(lot: LotState) -> None:
    """Refuse a lot that still hangs."""
    if lot.stage not in (KEEPING, CLOSED):
        raise Refused(f"{lot.code} is {in_stage(lot.stage)}; finish it, then pack it.")


def _require_room(work: Work, lot: LotState, more_g: float, *, sure: bool) -> None:
    require_ended(lot)
    doubt = outweighed(work.conn, lot, more_g)
    if doubt is not None and not sure:
        raise Doubtful(doubt)


def outweighed(
    conn: Connection, lot: LotState, more_g: float, whole_g: float | None = None
) -> QuantityText | None:
    """What is odd about packs that weigh more than the lot they come from.

    Parameters
    ----------
    more_g : net weight of the new packs [g]
    whole_g : what the lot weighs at its end [g net]; None: as it is kept
    """
    packed_g = sum(pack.weight_g for pack in finishes.packs(conn, lot.id)) + more_g
    if whole_g is None:
        ended = finishes.of_lot(conn, lot.id)
        whole_g = lot.last_net_g if ended is None else ended.final_g
    if whole_g is None or packed_g <= whole_g * MOST_OVER:
        return None
    said = "{code}: its packs weigh {packs} together, the lot {whole}."
    return phrase(said, code=lot.code, packs=grams(packed_g), whole=grams(whole_g))


def _add(work: Work, lot: LotState, new: NewPack, weight_g: float, first: int | None) -> int:
    if not weight_g > 0:
        raise Refused("A pack weighs more than 0.")
    until = new.keep_until or _by_rule(work.conn, new.at)
    if until is not None and until < local_day(utc_text(new.at), household.zone(work.conn)):
        raise Refused("The keep-until day is before the day it was packed.")
    return finishes.add_pack(
        work,
        lot_id=lot.id,
        at=utc_text(new.at),
        weight_g=weight_g,
        given_to=one_line(new.given_to, MAX_NAME),
        keep_until=None if until is None else until.isoformat(),
        note=one_line(new.note),
        mixed_with=first,
    )


def _by_rule(conn: Connection, at: datetime) -> date | None:
    days = keep_days(conn)
    day = local_day(utc_text(at), household.zone(conn))
    return None if days is None else day + timedelta(days=days)


def keep_days(conn: Connection) -> int | None:
    """Days a pack keeps by the household's own rule [d], None without one."""
    kept = settings.get(conn, KEEP_RULE)
    return int(kept) or None if kept is not None else None
