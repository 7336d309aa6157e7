"""Pieces under way, taken in as they are: what nobody weighed or wrote down stays unknown.

Each piece gets a lot in the stage it is in, since the day it came there. A weight on the scale
today starts its curve; without one it goes on by its days, and by what is felt and seen.
"""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime
from sqlite3 import Connection
from typing import Any

from curedash.domain.curing.cure_time import CureWindow, cure_window
from curedash.domain.curing.stages import (
    DRYING,
    EQUALISING,
    FERMENT,
    GROUND,
    IN_CURE,
    KEEPING,
    ON_HOLD,
    SALT_REST,
    in_stage,
    word,
)
from curedash.domain.dosing.answers import THICKNESS
from curedash.domain.dosing.request import MOST_IN_A_STRING
from curedash.domain.errors import CuredashError, Refused
from curedash.domain.household.codes import lot_code, next_batch_code
from curedash.domain.household.styles import Style
from curedash.domain.record import as_dict, record, replace
from curedash.domain.records import Batch, LotState
from curedash.domain.times import utc_text
from curedash.domain.typed.pack_line import PacksUsed, packs_words
from curedash.domain.weighing.weights import net_from_gross
from curedash.services.dosing.add_batch import (
    FRIDGE_C,
    MAX_PIECES,
    SourceSpec,
    add_sources,
    clean_name,
    cure_days,
    short_name,
    style_columns,
)
from curedash.services.household import household
from curedash.services.places import places
from curedash.services.weighing.begin_curve import begin_curve
from curedash.store import batches, lots, rack, settings, weigh_ins
from curedash.store.work import By, Work, at_once, change

#: stages a piece may be taken in at
UNDER_WAY = (IN_CURE, SALT_REST, FERMENT, DRYING, EQUALISING, KEEPING, ON_HOLD)
#: trim and cuts between a roast as bought and its pieces, as a share, and the ± of a piece beside
#: an even share (design values)
TRIM_SHARE, PIECE_PM = 0.05, 0.15
NOT_KNOWN = "How it was salted was not recorded, so its salt and nitrite are unknown."
HOW_THICK = "How thick is its thickest spot? Its days in the cure follow from that."
_MEAT_G_PER_MM3 = 1.05e-3  # common practice for lean meat


@record
class Whereabouts:
    """Where one piece is, and since when, where that is not as for the whole batch."""

    stage: str
    since: datetime
    salted_at: datetime | None = None
    place: str | None = None
    in_bag: bool = False
    planned_on: date | None = None


@record
class PieceUnderWay:
    """One piece as it is; None where nobody knows."""

    name: str = ""
    green_g: float | None = None
    green_pm_g: float | None = None
    thickness_mm: float | None = None
    weight_g: float | None = None  # what the scale shows today
    tare_g: float = 0.0
    tare_what: str | None = None
    source: str | None = None
    count: int = 1
    own: Whereabouts | None = None


@record
class UnderWay:
    """Everything that is known of pieces under way."""

    name: str
    style: Style
    pieces: tuple[PieceUnderWay, ...]
    stage: str
    since: datetime
    at: datetime  # now, when the weights were read
    species: str = ""
    method: str = ""
    place: str | None = None
    salted_at: datetime | None = None
    shape: str = ""
    skin: bool = False
    in_bag: bool = False
    planned_on: date | None = None  # as written on its sticker
    note: str | None = None
    packs: PacksUsed | None = None  # ready-mixed ones they were salted with
    sources: tuple[SourceSpec, ...] = ()
    new_style: bool = False


@record
class TakenIn:
    """The lots as they are now, and what there is to say."""

    batch: Batch
    lots: tuple[LotState, ...]
    new_places: tuple[str, ...]
    messages: tuple[str, ...]


def from_roast(roast_g: float, pieces: int) -> tuple[float, float]:
    """Green weight and ± of each piece [g] of a roast cut into so many, less trim.

    Raises
    ------
    Refused: no pieces, or no weight
    """
    if pieces < 1 or not roast_g > 0:
        raise Refused("A roast has a weight and is cut into one piece or more.")
    green_g = roast_g * (1.0 - TRIM_SHARE) / pieces
    return green_g, green_g * PIECE_PM


@at_once
def take_in(conn: Connection, by: By, spec: UnderWay) -> TakenIn:
    """Store pieces under way as lots in their stage; one change, all or none.

    Raises
    ------
    Refused: no piece, a stage it cannot be in, a day ahead, a weight below its tare
    """
    with change(conn, by, "take in") as work:
        batch_id, made = add_under_way(work, spec)
        taken = taken_in(conn, spec, batch_id, made)
        work.subject = taken.batch.code
    return taken


def add_under_way(work: Work, spec: UnderWay) -> tuple[int, tuple[str, ...]]:
    """Add the lots of a batch under way inside a running change; its id, and places made.

    Raises
    ------
    Refused: as for `take_in`
    """
    conn = work.conn
    require_possible(spec)
    code = next_batch_code(batches.codes(conn))
    household.choose_zone(work)
    if not spec.new_style:
        work.rest_on("style", spec.style.id)
    else:
        settings.put_style(work, spec.style.id, asdict(spec.style))
    batch_id = _add_batch(work, spec, code, clean_name(spec.name))
    sources = add_sources(work, batch_id, spec.sources, [p.source for p in spec.pieces])
    first = batches.next_position(conn)
    new_places = []
    for number, piece in enumerate(spec.pieces):
        own = own_of(spec, piece)
        place, made = None, False
        if own.place is not None:
            place, made = places.place_for(work, own.place)
        if made and place is not None:
            new_places.append(place.name)
        place_id = None if place is None else place.id
        lot_id = lots.add(
            work,
            batch_id=batch_id,
            source_id=sources.get(piece.source or ""),
            code=lot_code(code, number + 1),
            place_id=place_id,
            position=first + number,
            created_at=work.by.now,
            **_lot_columns(own, piece),
        )
        _add_stages(work, own, lot_id, place_id)
        _weigh(work, own, piece, lot_id)
    return batch_id, tuple(new_places)


def taken_in(
    conn: Connection, spec: UnderWay, batch_id: int, new_places: tuple[str, ...]
) -> TakenIn:
    """What was taken in, read anew, and what there is to say."""
    batch = batches.one(conn, batch_id)
    assert batch is not None  # inserted by the change before
    kept = tuple(rack.lots_of_batch(conn, batch_id))
    salt = () if spec.packs is None else (salted_words(spec),)
    return TakenIn(batch, kept, new_places, (*salt, *_unknown_words(kept)))


def own_of(spec: UnderWay, piece: PieceUnderWay) -> UnderWay:
    """What holds for one piece: the batch's whereabouts, or its own."""
    return spec if piece.own is None else replace(spec, **as_dict(piece.own))


def require_possible(spec: UnderWay) -> None:
    """Refuse what pieces under way cannot be.

    Raises
    ------
    Refused: no piece or too many, a stage it cannot be in, a day ahead, a weight below its tare
    """
    if not spec.pieces:
        raise Refused("Give the number of pieces, 1 or more.")
    if len(spec.pieces) > MAX_PIECES:
        raise Refused(f"A batch has at most {MAX_PIECES} lots; weigh small pieces as one string.")
    for piece in spec.pieces:
        _require_place_and_day(own_of(spec, piece))
        if not 1 <= piece.count <= MOST_IN_A_STRING:
            raise Refused(f"A string has 1 to {MOST_IN_A_STRING} pieces, not {piece.count}.")
        if piece.weight_g is not None:
            net_from_gross(piece.weight_g, piece.tare_g)


def _require_place_and_day(spec: UnderWay) -> None:
    if spec.stage not in UNDER_WAY:
        can = ", ".join(word(stage) for stage in UNDER_WAY)
        raise Refused(
            f"A piece under way is {can}; add one that is {in_stage(spec.stage)} as a new batch."
        )
    if _method(spec) == GROUND and spec.stage in (IN_CURE, SALT_REST):
        raise Refused(
            f"{spec.style.name}: the salt of ground meat is mixed in, so it is not in the cure;"
            " it ferments or dries."
        )
    if utc_text(spec.since) > utc_text(spec.at):
        raise Refused(f"It has been {in_stage(spec.stage)} since some earlier day; give that day.")
    if spec.salted_at is not None and utc_text(spec.salted_at) > utc_text(spec.since):
        raise Refused("It was salted before it reached that stage; give an earlier day.")


def _add_batch(work: Work, spec: UnderWay, code: str, name: str) -> int:
    owns = [own_of(spec, piece) for piece in spec.pieces]
    days = [own.since if own.stage == IN_CURE else own.salted_at for own in owns]
    salted = min((day for day in days if day is not None), default=None)
    return batches.add(
        work,
        code=code,
        name=name,
        species=(spec.species or spec.style.species).strip(),
        style=spec.style.id,
        method=_method(spec),
        product_class="",
        rule_set="",
        note=spec.note,
        recipe="{}",
        salted_at=None if salted is None else utc_text(salted),
        created_at=work.by.now,
        cut=spec.style.cut or None,
    )


def _add_stages(work: Work, spec: UnderWay, lot_id: int, place_id: int | None) -> None:
    """The cure it went through, where its day is known, and the stage it is in."""
    if spec.salted_at is not None and spec.stage != IN_CURE:
        lots.add_stage(work, lot_id, IN_CURE, utc_text(spec.salted_at), None, None)
    lots.add_stage(work, lot_id, spec.stage, utc_text(spec.since), place_id, None)


def _lot_columns(spec: UnderWay, piece: PieceUnderWay) -> dict[str, Any]:
    """The columns of a lot that come from the piece as it is, and from its style."""
    since = utc_text(spec.since)
    round_one = (spec.shape or spec.style.shape) in ("round", "sphere")
    return {
        "piece": short_name(piece.name),
        "stage": spec.stage,
        "stage_at": since,
        "hang_at": since if spec.stage in (DRYING, FERMENT) else None,
        "planned_on": None if spec.planned_on is None else spec.planned_on.isoformat(),
        "has_rest": int(spec.style.has_rest),
        "salt_box": int(spec.method == "salt-box"),
        "dose_notes": salted_words(spec),
        "asked": f"{THICKNESS}\t{HOW_THICK}" if _asks_thickness(spec, piece) else None,
        "count": piece.count,
        "in_bag": int(spec.in_bag),
        "shape": "round" if round_one else "slab",
        "thickness_mm": piece.thickness_mm,
        "skin": int(spec.skin),
        "green_g": piece.green_g,
        "green_pm_g": piece.green_pm_g,
        "tare_g": piece.tare_g,
        "tare_what": piece.tare_what and short_name(piece.tare_what),
        **cure_days(_window(spec, piece)),
        **style_columns(spec.style),
    }


def _method(spec: UnderWay) -> str:
    return spec.method or ("pack" if spec.packs is not None else spec.style.method)


def salted_words(spec: UnderWay) -> str:
    """What is known of the salt; a green weight of each piece makes the meat known."""
    if spec.packs is None:
        return NOT_KNOWN
    weights = [piece.green_g for piece in spec.pieces]
    known = [grams for grams in weights if grams is not None]
    meat_g = sum(known) if len(known) == len(weights) else None
    return str(packs_words(spec.packs, meat_g))


def _asks_thickness(spec: UnderWay, piece: PieceUnderWay) -> bool:
    """In the cure nothing else says when it comes out, unless somebody wrote a day on it."""
    return spec.stage == IN_CURE and piece.thickness_mm is None and spec.planned_on is None


def _window(spec: UnderWay, piece: PieceUnderWay) -> CureWindow | None:
    """Days in the cure, where somebody measured how thick the piece is."""
    if spec.stage != IN_CURE or piece.thickness_mm is None:
        return None
    each_g = None if piece.green_g is None else piece.green_g / piece.count
    method, shape = _method(spec), spec.shape or spec.style.shape
    return window_of_size(method, piece.thickness_mm, shape, each_g=each_g, skin=spec.skin)


def window_of_size(
    method: str, thickness_mm: float, shape: str, *, each_g: float | None = None, skin: bool = False
) -> CureWindow | None:
    """Days in the cure of a piece that is known by its thickness; None where no rule fits.

    Parameters
    ----------
    thickness_mm : thickest spot [mm]
    each_g : what it weighed green [g]; None: a round piece three times as long as thick
    """
    weight_g = each_g or _of_size_g(thickness_mm)
    try:
        return cure_window(method, weight_g, thickness_mm, shape, FRIDGE_C, skin=skin)
    except CuredashError:
        return None


def _of_size_g(thickness_mm: float) -> float:
    """What a round piece three times as long as thick weighs [g]."""
    return 3.14159 / 4.0 * 3.0 * thickness_mm**3 * _MEAT_G_PER_MM3


def _weigh(work: Work, spec: UnderWay, piece: PieceUnderWay, lot_id: int) -> None:
    """What the scale shows today; of a piece that dries its curve starts here."""
    if piece.weight_g is None:
        return
    lot = rack.one_lot(work.conn, lot_id)
    assert lot is not None  # added above
    net_g = net_from_gross(piece.weight_g, piece.tare_g)
    begun = begin_curve(work, lot, net_g, spec.at)
    new = weigh_ins.weighed(lot, utc_text(spec.at), piece.weight_g, curve=begun)
    weigh_ins.add(work, new)


def _unknown_words(kept: Sequence[LotState]) -> tuple[str, ...]:
    """What is not known of these lots, and what would tell it."""
    said = []
    thick = [lot for lot in kept if lot.thickness_mm is None]
    if thick and thick[0].stage in (IN_CURE, DRYING):
        what = "come out of the cure" if thick[0].stage == IN_CURE else "are dry"
        codes = thick[0].code
        way = f"give the thickness with 'curedash answer {codes} thickness=80mm'"
        said.append(f"It is not known when they {what}; {way}.")
    if any(lot.green_g is None and lot.hang_g is None for lot in kept):
        said.append("Nothing was weighed: the first weigh-in starts the curve.")
    elif any(lot.hang_pm_g is not None for lot in kept):
        said.append("Their hang weight is estimated (≈); every loss is counted from it.")
    return tuple(said)
