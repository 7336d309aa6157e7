"""Moving a lot to another stage, with the weights that are asked for at that moment."""

from collections.abc import Sequence
from datetime import datetime, timedelta, tzinfo
from sqlite3 import Connection

from curedash.domain.curing.ferment import open_question
from curedash.domain.curing.stages import (
    DRYING,
    EQUALISING,
    FERMENT,
    GROUND,
    IN_CURE,
    RAW,
    can_move,
    in_stage,
    mixed_at,
    next_stage,
    notes_needed,
    stated,
    weights_asked,
    word,
)
from curedash.domain.drying.equalising import equalising_days
from curedash.domain.drying.inspections import dose_undecided, thickness_now_mm
from curedash.domain.drying.lot_figures import loss_on, net_now_g, target_net_g
from curedash.domain.errors import Doubtful, NoteWanted, Refused
from curedash.domain.quantity_text import grams, phrase
from curedash.domain.record import record, replace
from curedash.domain.records import LotState
from curedash.domain.times import days_between, local_day, moment, utc_text
from curedash.domain.weighing.doubts import (
    Doubt,
    WeighInContext,
    WeighInEntry,
    asked_of,
    cured_shares,
    shown_division_g,
    weigh_in_doubts,
)
from curedash.domain.weighing.rebase_reasons import TARE
from curedash.domain.weighing.weight_history import same_g
from curedash.domain.weighing.weights import bag_leaked, loss_pct, net_from_gross
from curedash.domain.wording import listed
from curedash.services import find
from curedash.services.curing.ferment import ferment_of
from curedash.services.future_check import ahead
from curedash.services.household import household
from curedash.services.places import places
from curedash.services.weighing.as_of import follow, history_of, lot_at
from curedash.services.weighing.weigh import finest_division_g
from curedash.store import batches, lots, rack, rebases, weigh_ins
from curedash.store.work import By, Work, at_once, change

HUNG_UNWEIGHED = "not weighed: its first weigh-in will start a curve, with an estimated start"
MOST_TARE = 0.1  # of what is on the scale, before the tare is known (design value)


@record
class Move:
    """What a person says of a move; weights are what the scale shows [g]."""

    stage: str
    at: datetime
    weight_g: float | None = None
    tare_g: float | None = None
    tare_what: str | None = None
    plus_minus_g: float | None = None
    place: str | None = None
    new_place: places.NewPlace | None = None  # made with the move, where none fits
    place_by: str = ""  # how a place is named; without one it is hung in the usual place then
    note: str | None = None
    until: datetime | None = None
    keep_doubtful: bool = False
    unweighed: bool = False  # hung without a hang weight: nobody weighs it


@record
class Moved:
    """The lot in its new stage and what there is to say about it."""

    lot: LotState
    messages: tuple[str, ...]


def planned_words(until: str, zone: tzinfo) -> str:
    """What a move says of the planned end of a stage."""
    last = local_day(until, zone)
    return f"planned until {last.day} {last:%b %Y}"


def usual_next(lot: LotState) -> str | None:
    """The stage this lot usually goes to next; one equalised short of its target dries on."""
    if lot.stage == EQUALISING:
        net_g, target_g = net_now_g(lot), target_net_g(lot)
        if net_g is not None and target_g is not None and net_g > target_g[1]:
            return DRYING
    return next_stage(lot.stage, lot.has_rest, lot.ferments, ground=lot.method == GROUND)


def what_is_asked(lot: LotState, stage: str) -> tuple[str, ...]:
    """The weights this move asks for: cured, hang, tare, stage, final."""
    return weights_asked(lot.stage, stage, lot.hang_g is not None)


@at_once
def change_stage(conn: Connection, by: By, lot_id: int, move: Move) -> Moved:
    """Move a lot; everything is on disk when this returns.

    Raises
    ------
    Refused: a move that cannot be, a missing hang weight; Doubtful: a question (a note, or
    ``keep_doubtful``, answers it); nothing is stored then
    """
    with change(conn, by, "stage", at=utc_text(move.at)) as work:
        lot = find.lot_with_id(conn, lot_id)
        work.subject = f"{lot.code} {word(move.stage)}"
        messages = apply_move(work, lot, move)
    return Moved(find.lot_with_id(conn, lot_id), messages)


@at_once
def change_together(
    conn: Connection, by: By, lot_ids: Sequence[int], move: Move
) -> tuple[Moved, ...]:
    """Move several lots to one stage in one change, without a weight; all or none.

    Raises
    ------
    as :func:`change_stage`; Refused also when the move asks for a weight of a lot
    """
    moved = []
    with change(conn, by, "stage", at=utc_text(move.at)) as work:
        codes = codes_of([find.lot_with_id(conn, lot_id) for lot_id in lot_ids])
        work.subject = f"{codes} {word(move.stage)}"
        for lot_id in lot_ids:
            lot = find.lot_with_id(conn, lot_id)
            moved.append((lot_id, apply_move(work, lot, move)))
    return tuple(Moved(find.lot_with_id(conn, lot_id), said) for lot_id, said in moved)


def codes_of(lots_named: Sequence[LotState]) -> str:
    """``B1–B4`` where none is left out between, else ``B1, B3``."""
    codes = [lot.code for lot in lots_named]
    head = codes[0].rstrip("0123456789")
    run = [f"{head}{n}" for n in range(int(codes[0][len(head) :] or 0), 1000)][: len(codes)]
    return f"{codes[0]}–{codes[-1]}" if len(codes) > 2 and codes == run else ", ".join(codes)


def mates_of(conn: Connection, lot: LotState) -> list[LotState]:
    """The lots of a batch that are where this one is, itself too, in the order of their codes."""
    return [mate for mate in rack.lots_of_batch(conn, lot.batch_id) if mate.stage == lot.stage]


def reasons_before(conn: Connection, lot: LotState, move: Move) -> list[str]:
    """Of those the ones that are known before a weight or a place is: too early, not ticked."""
    return _reasons(conn, lot, move)


def reasons_against(conn: Connection, lot: LotState, move: Move) -> list[str]:
    """What a move may only be done against with a note."""
    place = None if move.place is None else places.require_place(conn, move.place)
    stays = place or next((p for p in places.all_of(conn) if p.id == lot.place_id), None)
    read_c, band_c = places.temp_of(conn, stays, move.at)
    if move.new_place is not None:
        read_c, band_c = None, move.new_place.temp_c
    return _reasons(conn, lot, move, read_c, band_c)


def _reasons(
    conn: Connection,
    lot: LotState,
    move: Move,
    place_temp_c: float | None = None,
    place_band_c: tuple[float, float] | None = None,
) -> list[str]:
    reasons = notes_needed(
        move.stage,
        dose_open=lot.dose_open,
        cure_days_left=_cure_days_left(lot, move),
        place_temp_c=place_temp_c,
        place_band_c=place_band_c,
        skips_ferment=lot.ferments and lot.stage in (RAW, IN_CURE),
        of_ferment=_of_ferment(conn, lot, move),
        ground=lot.method == GROUND and lot.stage == RAW,
        of_salting=_of_salting(conn, lot, move),
    )
    return list(reasons)


def _of_salting(conn: Connection, lot: LotState, move: Move) -> list[str]:
    """What is against salting raw meat: a dose outside its rules, a use-by date that is past."""
    if lot.stage != RAW or lot.salted_at is not None:
        return []
    found = []
    if lot.dose_verdict == "refused":
        mg = lot.nitrite_mg_per_kg
        held = "" if mg is None else f" ({mg:.0f} mg/kg nitrite)"
        found.append(f"Its dose is outside every rule it is checked against{held}")
    use_by = batches.use_by_of(conn, lot.id)
    if use_by is not None and use_by < (mixed_at(lot) or utc_text(move.at))[:10]:
        found.append(f"The meat's use-by date, {use_by}, is past; curing does not rescue it")
    return found


def _of_ferment(conn: Connection, lot: LotState, move: Move) -> str | None:
    """What is open of the ferment that a lot leaves."""
    state = ferment_of(conn, lot, move.at)
    return None if state is None else open_question(state, lot, move.at)


def apply_move(work: Work, lot: LotState, move: Move) -> tuple[str, ...]:
    """Move a lot inside a running change; what there is to say about it.

    Raises
    ------
    as :func:`change_stage`
    """
    _require_possible(lot, move)
    if move.new_place is not None:
        made, _ = places.place_for(work, move.new_place.name, move.new_place)
        move = replace(move, place=made.name)
    move, where = _placed(work.conn, lot, move)
    place = None if move.place is None else places.require_place(work.conn, move.place)
    asked = what_is_asked(lot, move.stage)
    messages = [*where, *_questions(work, lot, move, asked)]
    at, known = utc_text(move.at), history_of(work.conn, lot.id)
    _keep_weight(work, lot, move, asked, messages)
    if "hang" in asked and move.weight_g is None:
        lots.update(work, lot.id, hang_at=lot.hang_at or at)
        messages.append(HUNG_UNWEIGHED)
    messages += (*_smoke_words(work, lot, move), *_warm_words(work, lot, move))
    place_id = place.id if place else lot.place_id
    lots.add_stage(work, lot.id, move.stage, at, place_id, move.note)
    _decide_with_it(work, lot, move)
    stuffed = lot.method == GROUND and lot.stage == RAW and move.stage in places.HANGS
    if (move.stage == IN_CURE or stuffed) and lot.salted_at is None:
        batches.update(work, lot.batch_id, salted_at=min(at, mixed_at(lot) or at))
    until = _until(lot, move)
    ends = None if until is None else utc_text(until)
    lots.update(work, lot.id, stage=move.stage, stage_at=at, stage_until=ends, place_id=place_id)
    follow(work, lot.id, known)
    if ends is not None:
        messages.append(planned_words(ends, household.zone(work.conn)))
    return tuple(messages)


def _decide_with_it(work: Work, lot: LotState, move: Move) -> None:
    """Why meat goes on with a dose outside its rules, or without its pH, is a decision."""
    open_dose = lot.stage == RAW and dose_undecided(lot) is not None
    if move.note and (open_dose or _of_ferment(work.conn, lot, move) is not None):
        text = f"{word(move.stage)} anyway: {move.note}"
        lots.add_event(work, utc_text(move.at), "decision", text, lot_id=lot.id)


def _warm_words(work: Work, lot: LotState, move: Move) -> tuple[str, ...]:
    """Hung to dry where it is too warm for that, as no cooler place is known."""
    if move.stage != DRYING or move.place not in (None, lot.place):
        return ()
    here = places.too_warm_to_dry(work.conn, lot, move.at)
    if here is None:
        return ()
    return (f"{here.name} is too warm to dry in: use or add a cooler place",)


def _smoke_words(work: Work, lot: LotState, move: Move) -> tuple[str, ...]:
    """Out of the ferment: the smoke that was planned when the batch was mixed, if it is to come."""
    if lot.stage != FERMENT or move.stage != DRYING:
        return ()
    from curedash.services.dosing.recipe import plan_from

    batch = batches.one(work.conn, lot.batch_id)
    planned = plan_from("{}" if batch is None else batch.recipe).smoke
    if not planned or lots.events(work.conn, lot_id=lot.id, kind="smoke"):
        return ()
    return (f"smoke was planned: {planned}",)


def _placed(conn: Connection, lot: LotState, move: Move) -> tuple[Move, tuple[str, ...]]:
    """The move with the place the lot is hung in, where none was named; which one, and why.

    Raises
    ------
    Doubtful: several places, and nothing says which
    """
    fermented = lot.stage == FERMENT and move.stage == DRYING
    hangs = move.stage in places.HANGS and (fermented or lot.stage not in places.HANGS)
    if move.place is not None or not move.place_by or not hangs:
        return move, ()
    known = [place.name for place in places.all_of(conn)]
    found, why = places.where_to_hang(conn, lot, move.at, move.stage)
    if not known:
        return move, ()
    if found is None and known != [lot.place] and not (fermented or move.keep_doubtful):
        here = f"in {lot.place}, where it is now, or " if lot.place else ""
        others = listed((name for name in known if name != lot.place), "or")
        raise Doubtful(f"{lot.code}: does it hang {here}in {others}? Name it with {move.place_by}.")
    name = lot.place if found is None else found.name
    if name is None:
        return move, ()
    if name == lot.place:
        why = "the only place there is" if known == [name] else "where it was"
    return replace(move, place=name), (
        f"hangs in {name}, {why}; {move.place_by} names another place.",
    )


def _require_possible(lot: LotState, move: Move) -> None:
    reason = can_move(lot.stage, move.stage)
    if reason is not None:
        raise Refused(f"{lot.code}: {reason}")
    require_later(lot, move.at)


def require_later(lot: LotState, at: datetime) -> None:
    """Refuse a move before the lot came into the stage it is in.

    Raises
    ------
    Refused: it was in that stage later
    """
    if utc_text(at) < lot.stage_at:
        raise Refused(
            f"{lot.code} has been {in_stage(lot.stage)} since {lot.stage_at[:10]};"
            " give a later time, or undo that entry first."
        )


def _questions(work: Work, lot: LotState, move: Move, asked: tuple[str, ...]) -> list[str]:
    """What speaks against the move and may be overruled; the sentences that were overruled."""
    reasons = reasons_against(work.conn, lot, move)
    if reasons and not move.note and not move.keep_doubtful:
        raise NoteWanted(phrase("{code}: {reason}", code=lot.code, reason=reasons[0]))
    if "hang" in asked and move.weight_g is None and not goes_unweighed(lot, move):
        raise Refused(
            f"{lot.code}: the loss is counted from the hang weight; give what the scale shows,"
            " an estimate with its ±, or say that it is not weighed."
        )
    early, odd = ahead(work.by, move.at), _weight_doubts(lot, move)
    if (early or odd) and not move.keep_doubtful:
        raise Doubtful(asked_of(lot.code, (*early, *odd)))
    return [*(stated(reason) for reason in reasons), *(_kept(move, doubt) for doubt in odd)]


def goes_unweighed(lot: LotState, move: Move) -> bool:
    """Whether a lot may be hung without a weight: it was never weighed, or somebody says so."""
    return move.unweighed or (lot.green_g is None and lot.last_net_g is None)


def _cure_days_left(lot: LotState, move: Move) -> float:
    if lot.stage != "in-cure" or lot.has_stop or lot.cure_earliest_days is None:
        return 0.0
    return lot.cure_earliest_days - days_between(lot.stage_at, utc_text(move.at))


#: what is said of a doubtful weight that was kept all the same
_KEPT = {
    "slip": "far from the last weight",
    "other-lot": "it fits another lot better",
    "heavier": "heavier than last time",
    "too-light": "lighter than bone dry",
    "too-fast": "lost faster than meat can dry",
    "far-off": "far from what was expected",
    "earlier": "earlier than the newest weigh-in",
}


def _kept(move: Move, doubt: Doubt) -> str:
    """``400 g on the scale, saved: far from the last weight``."""
    shown, why = grams(move.weight_g or 0.0), _KEPT.get(doubt.kind, "doubtful")
    return phrase("{shown} on the scale, saved: {why}", shown=shown, why=why)


def weight_doubt(lot: LotState, move: Move) -> Doubt | None:
    """The first question about the weight of a move, so that it is asked where it was typed."""
    for doubt in _weight_doubts(lot, move):
        asked = phrase("{code}: {question}", code=lot.code, question=doubt.question)
        return replace(doubt, question=asked)
    return None


def surely_doubtful(lot: LotState, move: Move) -> Doubt | None:
    """A question that stands whatever hangs with the meat, up to a tenth of what was weighed."""
    if move.weight_g is None:
        return None
    bare = weight_doubt(lot, replace(move, tare_g=0.0))
    laden = weight_doubt(lot, replace(move, tare_g=MOST_TARE * move.weight_g))
    return bare if bare and laden and bare.kind == laden.kind else None


def _weight_doubts(lot: LotState, move: Move) -> list[Doubt]:
    if move.weight_g is None:
        return []
    tare_g = lot.tare_g if move.tare_g is None else move.tare_g
    context = WeighInContext(
        stage="drying" if lot.hang_g is not None else "in-cure",
        last_net_g=net_now_g(lot) if lot.curve or lot.green_factor != 1.0 else lot.last_net_g,
        last_at=moment(lot.curve[0].at).timestamp() if lot.curve else None,
        base_g=lot.base_g,
        green_g=lot.green_now_g,
        thickness_mm=lot.thickness_mm,
        shares=cured_shares(lot),
        spread_g=(move.plus_minus_g or 0.0) + (lot.green_pm_g or 0.0),
    )
    entry = WeighInEntry(move.weight_g, tare_g, move.at.timestamp())
    return list(weigh_in_doubts(entry, context))


def _keep_weight(
    work: Work, lot: LotState, move: Move, asked: tuple[str, ...], messages: list[str]
) -> None:
    if move.weight_g is None:
        return
    then = lot_at(work.conn, lot, move.at)
    tare_g = then.tare_g if move.tare_g is None else move.tare_g
    if "tare" in asked and move.tare_g is None:
        messages.append("no tare given: counted as 0")
    net_g = net_from_gross(move.weight_g, tare_g)
    kind = next((k for k in ("hang", "cured", "final") if k in asked), "stage")
    at = utc_text(move.at)
    if kind == "hang":
        start = {"hang_g": net_g, "hang_at": at, "hang_pm_g": move.plus_minus_g}
        tared = {"tare_g": tare_g, "tare_what": move.tare_what, "base_factor": 1.0}
        lots.update(work, lot.id, **start, **tared)
    if kind == "cured" or (kind == "hang" and lot.cured_g is None):
        lots.update(work, lot.id, cured_g=net_g)
    elif move.tare_g is not None and kind != "hang":
        lots.update(work, lot.id, tare_what=move.tare_what or lot.tare_what)
        _tare_since(work, then, move, tare_g)
    hung = lot.hang_g is not None
    share = 1.0 if kind == "hang" else then.base_factor
    on_curve = kind == "hang" or (kind != "cured" and hung)
    point = {"stage": move.stage, "kind": kind, "curve": on_curve, "base_factor": share}
    odd = next((doubt.kind for doubt in _weight_doubts(lot, move)), None)
    new = weigh_ins.weighed(then, at, move.weight_g, tare_g=tare_g, flagged=odd, **point)
    weigh_ins.add(work, new)
    messages += leak_words(work.conn, lot, move.weight_g, net_g)


def _tare_since(work: Work, then: LotState, move: Move, tare_g: float) -> None:
    """Another tare from this move on, whatever was on the scale before."""
    shown_g = move.weight_g
    if shown_g is None or same_g(tare_g, then.tare_g):
        return
    same = {"before_g": shown_g, "after_g": shown_g}
    at, reason = utc_text(move.at), word(move.stage)
    rebases.add(work, then, at=at, kind=TARE, tare_after_g=tare_g, reason=reason, **same)


def leak_words(conn: Connection, lot: LotState, gross_g: float, net_g: float) -> tuple[str, ...]:
    """Lighter out of a sealed bag than in, by more than the scale may be off: it may have leaked.

    Parameters
    ----------
    lot : as it stands in the bag
    gross_g, net_g : what the scale showed out of it, and that without the tare [g]
    """
    sealed_g = net_now_g(lot)
    if lot.stage not in ("equalising", "on-hold") or sealed_g is None:
        return ()
    division_g = shown_division_g(gross_g, finest_division_g(conn, gross_g))
    if not bag_leaked(sealed_g, net_g, division_g):
        return ()
    lost = loss_pct(sealed_g, net_g)
    return (f"{lost:.1f} % lost in the sealed bag: the bag may have leaked",)


def _until(lot: LotState, move: Move) -> datetime | None:
    """The planned end of softening or of the salt rest."""
    if move.until is not None:
        return move.until
    if move.stage == "equalising" and lot.thickness_mm is not None:
        lost = loss_on(lot.base_g, net_now_g(lot))
        today_mm = thickness_now_mm(lot.thickness_mm, lost or 0.0)
        return move.at + timedelta(days=equalising_days(today_mm, lot.shape).days)
    if move.stage == "salt-rest" and lot.rest_days is not None:
        return move.at + timedelta(days=lot.rest_days)
    return None
