"""A new batch: doses and days for every piece, kept with its sheets in one change."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from math import ceil
from sqlite3 import Connection
from typing import Any

from curedash.domain.curing.cure_time import CureWindow, cure_window
from curedash.domain.curing.stages import GROUND
from curedash.domain.dosing import Dose, DoseRequest, bag_doses, compute_dose
from curedash.domain.dosing.answers import TEMPERATURE, THICKNESS, USE_BY
from curedash.domain.dosing.classes import answered
from curedash.domain.dosing.meat_kinds import check_species
from curedash.domain.errors import Refused, Unclear
from curedash.domain.household.codes import lot_code, next_batch_code
from curedash.domain.household.styles import Style
from curedash.domain.quantity_text import celsius, phrase
from curedash.domain.record import record
from curedash.domain.records import Batch, LotState, Place
from curedash.domain.times import utc_text
from curedash.domain.typed.words import on_one_line
from curedash.services.dosing.recipe import ASKED, FIGURES, SausagePlan, recipe_json, still_asked
from curedash.services.household import household
from curedash.services.places import places
from curedash.services.places.places import NewPlace
from curedash.store import batches, lots, rack, settings
from curedash.store.work import By, Work, at_once, change

FRIDGE_C = 4.0  # taken where the place has no band of its own; common practice for a cure
MAX_PIECES = 200
MAX_NAME = 200


@dataclass(frozen=True, slots=True)
class SourceSpec:
    """A roast as bought."""

    name: str
    shop: str | None = None
    pack_date: str | None = None
    price: float | None = None
    currency: str | None = None
    bought_g: float | None = None
    condition: str = "fresh"
    use_by: str | None = None  # the day on its label


@dataclass(frozen=True, slots=True)
class PieceSpec:
    """One piece, or a string of small ones weighed as one."""

    green_g: float
    name: str = ""
    thickness_mm: float | None = None
    source: str | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class BatchSpec:
    """Everything the form or the shell says of a new batch."""

    name: str
    species: str
    style: Style
    pieces: tuple[PieceSpec, ...]
    dose: DoseRequest
    place: str | None = None
    salted_at: datetime | None = None
    shape: str = "slab"
    skin: bool = False
    in_bag: bool = False
    temp_c: float | None = None
    sources: tuple[SourceSpec, ...] = ()
    note: str | None = None
    rule: str | None = None
    doses: tuple[DoseRequest, ...] = ()  # one a piece where they differ, e.g. shared packs
    bags: tuple[tuple[int, ...], ...] = ()  # pieces salted in one bag, by number from 0
    new_style: bool = False
    plan: SausagePlan | None = None  # what a sausage is to go through
    new_places: tuple[NewPlace, ...] = ()  # made with it, each with its band


@dataclass(frozen=True, slots=True)
class PlannedLot:
    """One piece with its dose and its days in the cure."""

    piece: PieceSpec
    dose: Dose
    window: CureWindow | None
    bag: tuple[int, ...] = ()  # the pieces it is dosed and salted with, itself too


@dataclass(frozen=True, slots=True)
class AddedBatch:
    """A batch as kept."""

    batch: Batch
    lots: tuple[LotState, ...]
    planned: tuple[PlannedLot, ...]
    new_place: Place | None  # made with it, without a band so far


def plan_batch(spec: BatchSpec, temp_c: float | None = None) -> tuple[PlannedLot, ...]:
    """Dose and days for every piece, without keeping anything.

    Parameters
    ----------
    temp_c : temperature of the place during the cure [°C], where the spec says none; else 4

    Raises
    ------
    Refused: no pieces, or numbers that make no sense
    """
    check_species(spec.species)
    if not spec.pieces:
        raise Refused("A batch needs at least one piece with its green weight, e.g. 1134 g.")
    if len(spec.pieces) > MAX_PIECES:
        raise Refused(f"A batch has at most {MAX_PIECES} lots; weigh small pieces as one string.")
    warm = next((t for t in (spec.temp_c, temp_c) if t is not None), None)
    return tuple(
        PlannedLot(piece, dose, _window(spec, piece, dose, warm), _bag_of(spec, n))
        for n, (piece, dose) in enumerate(zip(spec.pieces, _doses(spec), strict=True))
    )


def open_questions(spec: BatchSpec, lot: PlannedLot, now: str) -> list[tuple[str, str]]:
    """What is asked of a lot before it is saved, and not answered: question and sentence.

    Parameters
    ----------
    now : the moment it is saved [UTC], for a batch that is not salted yet
    """
    asked = lot.dose.must_answer
    found = [] if asked is None else [(asked.question, asked.text)]
    of_the_piece = [each for each in _asks(lot) if each[0] != TEMPERATURE]
    return [*found, *of_the_piece, *_of_the_label(spec, lot, now)]


def _asks(lot: PlannedLot) -> list[tuple[str, str]]:
    """What is asked about the piece and its place, and not answered."""
    asks = () if lot.window is None else lot.window.asks
    return [(about, text) for about, text in asks if not answered(lot.dose.request, about)]


def _of_the_label(spec: BatchSpec, lot: PlannedLot, now: str) -> list[tuple[str, str]]:
    """Meat that is salted after the use-by date on its label."""
    salted = now if spec.salted_at is None else spec.salted_at.date().isoformat()
    source = next((s for s in spec.sources if s.name == lot.piece.source), None)
    if source is None or source.use_by is None or source.condition == "frozen":
        return []
    if source.use_by >= salted[:10] or answered(spec.dose, USE_BY):
        return []
    return [(USE_BY, past_use_by(source.use_by))]


def past_use_by(day: str) -> str:
    """That the use-by date of the meat is past; curing does not rescue it."""
    return f"The meat's use-by date, {day}, is past. Curing does not rescue it. Why is it salted?"


@at_once
def add_batch(conn: Connection, by: By, spec: BatchSpec) -> AddedBatch:
    """Keep a new batch; with its salting date the lots are in cure, else raw.

    Raises
    ------
    Refused: a dose outside its limit (nothing is kept), an empty name
    Unclear: a question that wants a reason first (nothing is kept)
    """
    with change(conn, by, "add batch") as work:
        adding = add_into(work, spec)
    return added(conn, adding)


@record
class Adding:
    """A batch inside the change that adds it."""

    batch_id: int
    lot_ids: tuple[int, ...]
    planned: tuple[PlannedLot, ...]
    new_place: Place | None


def added(conn: Connection, adding: Adding) -> AddedBatch:
    """The batch and its lots, read anew."""
    kept = batches.one(conn, adding.batch_id)
    assert kept is not None  # inserted by the change before
    lots_kept = tuple(rack.lots_of_batch(conn, adding.batch_id))
    return AddedBatch(kept, lots_kept, adding.planned, adding.new_place)


def add_into(work: Work, spec: BatchSpec) -> Adding:
    """Add a batch inside a running change.

    Raises
    ------
    Refused, Unclear: as for `add_batch`
    """
    conn = work.conn
    name = clean_name(spec.name)
    known = None if spec.place is None else places.find_place(conn, spec.place)
    planned = plan_batch(spec, None if known is None else places.middle_temp_c(known))
    _require_answered(spec, planned, work.by.now)
    first = spec.pieces[0]
    spec = replace(spec, dose=replace(_of_piece(spec, first, spec.dose), green_g=first.green_g))
    code = work.subject = next_batch_code(batches.codes(conn))
    _rest_on(work, spec, known)
    household.choose_zone(work)
    if spec.new_style:
        settings.put_style(work, spec.style.id, asdict(spec.style))
    for new in spec.new_places:
        places.place_for(work, new.name, new)
    place, made = (None, False) if spec.place is None else places.place_for(work, spec.place)
    batch_id = _add_row(work, spec, code, name)
    place_id = None if place is None else place.id
    lot_ids = _add_lots(work, spec, planned, batch_id, code, place_id)
    return Adding(batch_id, lot_ids, planned, place if made else None)


def _rest_on(work: Work, spec: BatchSpec, place: Place | None) -> None:
    """What was shown of the dose and its days rests on the style, the jars and the place.

    A style that is made with it rests on nothing.
    """
    if not spec.new_style:
        work.rest_on("style", spec.style.id)
    for request in (spec.dose, *spec.doses):
        if request.curing_salt is not None:
            work.rest_on("curing_salt", request.curing_salt.id)
    if place is not None:
        work.rest_on("place", place.id)


def _add_lots(
    work: Work,
    spec: BatchSpec,
    planned: Sequence[PlannedLot],
    batch_id: int,
    code: str,
    place_id: int | None,
) -> tuple[int, ...]:
    """The lots of a batch with their sheets; ground meat has its salt mixed in, and is raw."""
    sources = add_sources(work, batch_id, spec.sources, [piece.source for piece in spec.pieces])
    position = batches.next_position(work.conn)
    stage = "raw" if spec.salted_at is None or spec.dose.method == GROUND else "in-cure"
    since = work.by.now if spec.salted_at is None else utc_text(spec.salted_at)
    made = []
    for number, lot in enumerate(planned):
        lot_id = lots.add(
            work,
            batch_id=batch_id,
            source_id=sources.get(lot.piece.source or ""),
            code=lot_code(code, number + 1),
            place_id=place_id,
            position=position + number,
            stage=stage,
            stage_at=since,
            created_at=work.by.now,
            **_lot_columns(spec, lot),
        )
        lots.add_stage(work, lot_id, stage, since, place_id, None)
        _add_sheet(work, lot_id, lot.dose, spec.salted_at)
        made.append(lot_id)
    return tuple(made)


def _doses(spec: BatchSpec) -> list[Dose]:
    """The dose of every piece; pieces in one bag are dosed together.

    Raises
    ------
    Refused: a bag of pieces there are not, or a piece in two bags
    """
    same = (spec.dose,) * len(spec.pieces)
    asked = spec.doses if len(spec.doses) == len(spec.pieces) else same
    requests = [
        replace(_of_piece(spec, piece, request), green_g=piece.green_g, pieces=piece.count)
        for piece, request in zip(spec.pieces, asked, strict=True)
    ]
    together: dict[int, Dose] = {}
    for bag in spec.bags:
        if len(set(bag)) != len(bag) or any(n in together for n in bag):
            raise Refused("A piece lies in one bag only; name it once.")
        if not all(0 <= n < len(requests) for n in bag):
            raise Refused(
                f"There are {len(requests)} pieces; name a bag by the numbers of its pieces."
            )
        together |= zip(bag, bag_doses([requests[n] for n in bag]), strict=True)
    return [together.get(n) or compute_dose(request) for n, request in enumerate(requests)]


def _of_piece(spec: BatchSpec, piece: PieceSpec, request: DoseRequest) -> DoseRequest:
    """The request with what the batch says of the meat."""
    wild = _came(spec, piece, "wild")
    return replace(request, species=spec.species.strip(), skin=spec.skin, wild=wild)


def _came(spec: BatchSpec, piece: PieceSpec, condition: str) -> bool:
    """Whether the roast of a piece was bought in this condition."""
    return any(s.name == piece.source and s.condition == condition for s in spec.sources)


def _bag_of(spec: BatchSpec, piece: int) -> tuple[int, ...]:
    return next((bag for bag in spec.bags if piece in bag and len(bag) > 1), ())


def _window(
    spec: BatchSpec, piece: PieceSpec, dose: Dose, temp_c: float | None
) -> CureWindow | None:
    window = cure_window(
        spec.dose.method,
        piece.green_g / max(1, piece.count),
        piece.thickness_mm,
        spec.shape,
        FRIDGE_C if temp_c is None else temp_c,
        frozen=_came(spec, piece, "frozen"),
        skin=spec.skin,
        rule=spec.rule,
        salt_pct=dose.total_salt_pct,
        pickup_pct=spec.dose.pickup_pct,
    )
    if window is None or temp_c is not None or window.usual_days is None:
        return window
    said = "No temperature known: the days are for {usual}. How cold is its place?"
    asked = phrase(said, usual=celsius(FRIDGE_C))
    return replace(window, asks=(*window.asks, (TEMPERATURE, asked)))


def add_sources(
    work: Work, batch_id: int, sources: Sequence[SourceSpec], wanted: Sequence[str | None]
) -> dict[str, int]:
    """The roasts of a batch, those that pieces only name too; their ids by name."""
    named = {source.name: source for source in sources}
    for name in wanted:
        if name and name not in named:
            named[name] = SourceSpec(name)
    return {
        name: batches.add_source(work, batch_id=batch_id, **asdict(source))
        for name, source in named.items()
    }


def _require_answered(spec: BatchSpec, planned: Sequence[PlannedLot], now: str) -> None:
    """No dose outside its limit, and no question without an answer."""
    for lot in planned:
        if lot.dose.refusal is not None:
            raise Refused(lot.dose.refusal)
        open_ones = open_questions(spec, lot, now)
        if open_ones:
            raise Unclear(open_ones[0][1], open_ones[0][0])


def _add_row(work: Work, spec: BatchSpec, code: str, name: str) -> int:
    bags = [[lot_code(code, n + 1) for n in bag] for bag in spec.bags if len(bag) > 1]
    return batches.add(
        work,
        code=code,
        name=name,
        species=spec.species.strip(),
        style=spec.style.id,
        method=spec.dose.method,
        product_class=spec.dose.product_class or "",
        rule_set=spec.dose.rule_set or "",
        note=spec.note,
        recipe=recipe_json(spec.dose, bags, spec.plan),
        salted_at=None if spec.salted_at is None else utc_text(spec.salted_at),
        created_at=work.by.now,
        cut=short_name(spec.dose.cut) or None,
    )


def _lot_columns(spec: BatchSpec, planned: PlannedLot) -> dict[str, Any]:
    """The columns of a lot that come from its piece, its style and its dose."""
    piece, in_box = planned.piece, spec.dose.method == "salt-box"
    return {
        "piece": short_name(piece.name),
        "count": piece.count,
        "in_bag": int(spec.in_bag),
        "shape": spec.shape,
        "thickness_mm": piece.thickness_mm,
        "frozen": int(_came(spec, piece, "frozen")),
        "skin": int(spec.skin),
        "green_g": piece.green_g,
        "has_rest": int(in_box or spec.style.has_rest),
        "salt_box": int(in_box),
        "asked": _still_open(planned),
        **style_columns(spec.style),
        **_of_cure(planned),
    }


def style_columns(style: Style) -> dict[str, Any]:
    """The columns of a lot that come from its style."""
    return {
        "style": style.id,
        "style_name": style.name,
        "target_lo_pct": style.loss_lo_pct,
        "target_hi_pct": style.loss_hi_pct,
        "target_base": style.base,
        "min_age_days": style.min_age_days,
        "weigh_every_days": style.weigh_every_days,
        "by_date": int(style.by_date_only),
        "ferments": int(style.fermented),
    }


def _of_cure(planned: PlannedLot) -> dict[str, Any]:
    """Columns of a lot that its dose and its days in the cure decide."""
    dose = planned.dose
    return {
        **days_kept(planned.window),
        **{name: getattr(dose, name) for name in FIGURES},
        "dose_verdict": dose.verdict,
        "dose_notes": _notes(planned),
    }


def days_kept(window: CureWindow | None) -> dict[str, Any]:
    """The days in the cure as columns of a lot; all empty where nothing is waited for."""
    return cure_days(window) | {"rest_days": _rest_days(window)}


def cure_days(window: CureWindow | None) -> dict[str, Any]:
    """The days in the cure as a lot keeps them, and the rule they are by."""
    return {
        "cure_earliest_days": None if window is None else window.earliest_days,
        "cure_usual_days": None if window is None else window.usual_days,
        "cure_rule": (window.rule_name or None) if window else None,
    }


def _still_open(planned: PlannedLot) -> str | None:
    """What is asked and may be answered later, a line each: question, tab, sentence."""
    asks = "\n".join(f"{about}\t{text}" for about, text in _asks(planned))
    return still_asked(planned.dose, asks)


def _notes(planned: PlannedLot) -> str | None:
    """What is said of the dose and of its days, and what was answered, a line each."""
    dose, window = planned.dose, planned.window
    missing = () if window is None or window.usual_days is not None else window.messages
    answers = dict(dose.request.answers)
    unknown = (
        f"{about.capitalize()} {answers[about]}".rstrip(".") + "."
        for about in (THICKNESS, TEMPERATURE, USE_BY)
        if about in answers
    )
    asked = (f"{ASKED}{text}" for text in (*(text for _about, text in _asks(planned)), *missing))
    return "\n".join((*dose.messages, *unknown, *asked)) or None


def _rest_days(window: CureWindow | None) -> float | None:
    """Whole days of the salt rest that brings the salt of a box to the core."""
    if window is None or window.salt_rest is None:
        return None
    return float(ceil(window.salt_rest.days_90))


def _add_sheet(work: Work, lot_id: int, dose: Dose, salted_at: datetime | None) -> None:
    """The tick-off list; a batch added with its salting date counts as weighed as planned."""
    ticked = None if salted_at is None else utc_text(salted_at)
    for seq, item in enumerate(dose.ingredients):
        planned = (item.name, item.kind, item.exact_g, item.weigh_g)
        weighed_g = None if ticked is None else item.weigh_g
        lots.add_dose_line(work, lot_id, seq, *planned, weighed_g, ticked)


def clean_name(name: str) -> str:
    """The name of a batch, which is needed, on one line.

    Raises
    ------
    Refused: an empty one, or one too long
    """
    clean = short_name(name)
    if not clean:
        raise Refused("A batch needs a name, e.g. Beef eye.")
    return clean


def short_name(name: str) -> str:
    """One line without control characters, of a length the screens can show."""
    clean = on_one_line(name)
    if len(clean) > MAX_NAME:
        raise Refused(f"A name has at most {MAX_NAME} characters; this one has {len(clean)}.")
    return clean
