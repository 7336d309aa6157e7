"""Cutting a lot into parts: each inherits loss, curve, dose, place and target."""

from collections.abc import Sequence
from datetime import datetime, tzinfo
from sqlite3 import Connection
from typing import Any

from curedash.domain.curing.stages import CLOSED, RAW, in_stage
from curedash.domain.drying.lot_figures import loss_on
from curedash.domain.errors import Doubtful, Refused
from curedash.domain.household.codes import part_code
from curedash.domain.quantity_text import Quantity, grams, phrase
from curedash.domain.record import record, replace
from curedash.domain.records import ENDED, LotState, WeighIn
from curedash.domain.times import days_between, moment, utc_text
from curedash.domain.weighing.doubts import Doubt, asked_of, cut_doubt, shown_division_g
from curedash.domain.weighing.weights import divide as part_bases
from curedash.domain.weighing.weights import net_from_gross
from curedash.services.drying.finish import Finishing, apply_finish
from curedash.services.find import lot_with_id
from curedash.services.future_check import ahead
from curedash.services.household import household
from curedash.services.one_line import one_line
from curedash.services.weighing.rebase import FRESH_DAYS
from curedash.services.weighing.weigh import doubts_of, finest_division_g
from curedash.store import lots, rack, rebases, weigh_ins
from curedash.store.work import By, Work, at_once, change

MOST_PARTS = 24
MAX_NAME = 200
LOOKS = ("alarm", "mould", "decision", "bag")


@record
class Part:
    """One part as cut; the weight is what the scale shows [g]."""

    weight_g: float
    tare_g: float = 0.0
    tare_what: str | None = None
    name: str | None = None
    count: int | None = None  # pieces in it, where a string of small ones is divided
    eaten: bool = False  # closes at once with this weight


@record
class Cut:
    """The whole before the cut, as the scale shows it [g], and its parts."""

    parts: tuple[Part, ...]
    at: datetime
    before_g: float | None = None  # None: the weigh-in just taken, else the parts together
    reason: str = "cut in two"
    keep_doubtful: bool = False


@record
class Divided:
    """The closed parent, its parts, and what was trimmed off [g net]."""

    parent: LotState
    parts: tuple[LotState, ...]
    trimmed_g: float


@at_once
def divide(conn: Connection, by: By, lot_id: int, cut: Cut) -> Divided:
    """Divide a lot; the parts inherit its loss and the whole closes.

    Raises
    ------
    Refused: parts that cannot be; Doubtful: a question; nothing is stored then
    """
    whole = lot_with_id(conn, lot_id)
    zone = household.zone(conn)
    at = utc_text(cut.at)
    with change(conn, by, "divide", subject=whole.code, at=at) as work:
        whole = lot_with_id(conn, lot_id)
        _require_possible(whole, cut, at)
        nets = [net_from_gross(part.weight_g, part.tare_g) for part in cut.parts]
        before_g = _whole_g(whole, cut, sum(nets))
        doubt = doubt_of(conn, whole, cut)
        doubts = (*ahead(by, cut.at), *(() if doubt is None else (doubt,)))
        if doubts and not cut.keep_doubtful:
            raise Doubtful(asked_of(whole.code, doubts))
        rows = [row for row in weigh_ins.of_lot(conn, whole.id) if row.curve]
        codes = _codes(conn, whole, len(nets))
        _close(work, whole, cut, before_g, sum(nets), codes)
        children = []
        counts, shares = _counts(whole, cut, nets), _shares(whole, before_g, nets)
        cut_off = zip(codes, cut.parts, nets, shares, counts, strict=True)
        for code, part, net_g, share, count in cut_off:
            child_id = _add_part(work, whole, code, part, share, net_g / sum(nets), count)
            _inherit(work, whole, child_id, share, rows)
            children.append(child_id)
            _weigh_part(work, child_id, part, at, zone)
    parts = tuple(lot_with_id(conn, child_id) for child_id in children)
    return Divided(lot_with_id(conn, lot_id), parts, before_g - sum(nets))


def _shares(whole: LotState, before_g: float, nets: Sequence[float]) -> tuple[float, ...]:
    """Each part's base as a share of the whole's base (of green weight before hanging)."""
    base_g = whole.base_g or whole.green_now_g or before_g  # unknown: shares of what it weighs
    return tuple(part_g / base_g for part_g in part_bases(base_g, before_g, tuple(nets)))


def _counts(whole: LotState, cut: Cut, nets: Sequence[float]) -> list[int]:
    """Pieces in each part: as given, the rest by weight so that together they are the whole's.

    The largest remainders get the pieces left over; each part has one piece at least.
    """
    given = [part.count for part in cut.parts]
    open_ones = [n for n, count in enumerate(given) if count is None]
    left = max(whole.count - sum(count or 0 for count in given), len(open_ones))
    weight_g = sum(nets[n] for n in open_ones)
    shares = {n: left * nets[n] / weight_g for n in open_ones}
    counts = {n: max(1, int(share)) for n, share in shares.items()}
    by_rest = sorted(open_ones, key=lambda n: (counts[n] - shares[n], n))
    while sum(counts.values()) < left:
        for n in by_rest[: left - sum(counts.values())]:
            counts[n] += 1
    while sum(counts.values()) > left:
        most = max((n for n in open_ones if counts[n] > 1), key=lambda n: counts[n] - shares[n])
        counts[most] -= 1
    return [count or counts[n] for n, count in enumerate(given)]


def _bare(weight_g: float) -> Quantity:
    return grams(weight_g, f"{weight_g:g}")


def _require_possible(whole: LotState, cut: Cut, at: str) -> None:
    if whole.stage in ENDED:
        raise Refused(f"{whole.code} is {in_stage(whole.stage)}; it can no longer be divided.")
    if whole.stage == RAW and whole.dose_open:
        raise Refused(
            f"{whole.code} has no salt yet: add the parts as pieces of a batch, each with its dose."
        )
    if not 2 <= len(cut.parts) <= MOST_PARTS:
        raise Refused(f"Give the weights of 2 to {MOST_PARTS} parts, e.g. 400 280.")
    if at < max(whole.stage_at, whole.last_at or "", whole.hang_at or ""):
        raise Refused(
            f"{whole.code} was weighed or moved after that; give a time after its newest entry,"
            " or undo that entry first."
        )


def doubt_of(
    conn: Connection, whole: LotState, cut: Cut, *, weighed: bool = True, tares: bool = True
) -> Doubt | None:
    """What is odd about the weights of a cut, as it will be asked.

    Parameters
    ----------
    weighed : the whole was asked for; before that, less may still be what was trimmed off
    tares : those of the parts were asked for; before that, each part may carry up to the whole's

    Raises
    ------
    Refused: weights that cannot be
    """
    nets = [net_from_gross(part.weight_g, part.tare_g) for part in cut.parts]
    known_g = _known_g(whole, cut)
    reference_g = known_g or whole.last_net_g
    parts_g = sum(nets)
    if not tares and reference_g is not None:
        parts_g = _as_with_tares(whole, parts_g, len(nets), reference_g)
    if not weighed and reference_g is not None and reference_g / 2 <= parts_g <= reference_g:
        return None
    whole_g = parts_g if known_g is None else known_g
    finest_g = finest_division_g(conn, whole_g + whole.tare_g)
    division_g = min(shown_division_g(part.weight_g, finest_g) for part in cut.parts)
    if cut.before_g is not None or known_g is None:
        readings = 1 if cut.before_g is not None else len(nets)
        odd = _doubt_of_whole(whole, cut, whole_g, division_g, readings)
        if odd is not None:
            return odd
    odd = cut_doubt(whole_g, parts_g, len(nets), division_g, trimmed=cut.before_g is not None)
    if odd is None:
        return None
    if odd.kind == "heavier":
        _require_tares(whole, whole_g, parts_g, len(nets))
    part_bases(whole_g, whole_g, (parts_g,))  # refuses what no scale explains
    asked = phrase("{code}: {question}", code=whole.code, question=odd.question)
    return replace(odd, question=asked)


def _as_with_tares(whole: LotState, parts_g: float, parts: int, reference_g: float) -> float:
    """The parts together [g net], nearest to the whole if each may carry up to its tare."""
    lightest_g = parts_g - whole.tare_g * parts
    return min(max(reference_g, lightest_g), parts_g)


def _doubt_of_whole(
    whole: LotState, cut: Cut, whole_g: float, division_g: float, readings: int
) -> Doubt | None:
    """What is odd about the weight before the cut, or about its parts added up."""
    gross_g = whole_g + whole.tare_g
    doubts = doubts_of(whole, gross_g, whole.tare_g, cut.at, division_g, readings)
    if not doubts:
        return None
    question = phrase("{code}, the whole: {question}", code=whole.code, question=doubts[0].question)
    fix_g = None if cut.before_g is None else doubts[0].likely_fix_g
    return replace(doubts[0], question=question, likely_fix_g=fix_g)


def _require_tares(whole: LotState, whole_g: float, parts_g: float, parts: int) -> None:
    """Refuse parts that are heavier by what the whole had on it: their tares are missing."""
    hooked_g = (whole_g + whole.tare_g * parts) * 1.01
    if whole.tare_g and parts_g <= hooked_g:
        said = (
            "The parts weigh {parts} net together, the whole {whole} net ({gross} − {tare} tare):"
            " give the tare of the parts."
        )
        on_it = {"gross": _bare(whole_g + whole.tare_g), "tare": _bare(whole.tare_g)}
        raise Refused(phrase(said, parts=grams(parts_g), whole=grams(whole_g), **on_it))


def outcome(whole: LotState, cut: Cut) -> tuple[tuple[float, ...], float, float | None]:
    """What a cut will come to: net weights of the parts, trimmed off [g], loss they go on with [%].

    Raises
    ------
    Refused: weights that cannot be
    """
    nets = tuple(net_from_gross(part.weight_g, part.tare_g) for part in cut.parts)
    whole_g = _whole_g(whole, cut, sum(nets))
    return nets, whole_g - sum(nets), loss_on(whole.base_g, whole_g)


def just_weighed_g(whole: LotState, at: datetime) -> float | None:
    """The whole's last weight [g net], if it is so young that it may stand for the one before."""
    if whole.last_at is None or days_between(whole.last_at, utc_text(at)) > FRESH_DAYS:
        return None
    return whole.last_net_g


def _known_g(whole: LotState, cut: Cut) -> float | None:
    if cut.before_g is not None:
        return net_from_gross(cut.before_g, whole.tare_g)
    return just_weighed_g(whole, cut.at)


def _whole_g(whole: LotState, cut: Cut, parts_g: float) -> float:
    """The whole before the cut [g net]."""
    known_g = _known_g(whole, cut)
    return parts_g if known_g is None else known_g


def _codes(conn: Connection, whole: LotState, parts: int) -> list[str]:
    taken = {lot.code for lot in rack.lots_of_batch(conn, whole.batch_id)}
    codes: list[str] = []
    for _ in range(parts):
        codes.append(part_code(whole.code, taken | set(codes)))
    return codes


def _close(
    work: Work, whole: LotState, cut: Cut, before_g: float, after_g: float, codes: Sequence[str]
) -> None:
    """The whole keeps its last weight and closes."""
    at = utc_text(cut.at)
    weigh_ins.add(work, weigh_ins.weighed(whole, at, before_g + whole.tare_g, note=cut.reason))
    reason = f"{one_line(cut.reason, MAX_NAME) or 'divided'}: {', '.join(codes)}"
    weights = {"before_g": before_g, "after_g": after_g}
    rebases.add(work, whole, at=at, kind="divided", reason=reason, **weights)
    lots.add_stage(work, whole.id, CLOSED, at, whole.place_id, f"divided: {', '.join(codes)}")
    lots.update(work, whole.id, stage=CLOSED, stage_at=at, stage_until=None)


def _add_part(
    work: Work, whole: LotState, code: str, part: Part, share: float, cost_share: float, count: int
) -> int:
    """A row like the whole's, with the part's share of every weight."""
    values: dict[str, Any] = dict(work.image("lot", whole.id) or {})
    values.pop("id")
    scaled = share * whole.base_factor if whole.hang_g is not None else share
    values.update(
        parent_id=whole.id,
        code=code,
        piece=whole.piece if part.name is None else one_line(part.name, MAX_NAME) or "",
        stage=whole.stage,
        stage_at=whole.stage_at,
        stage_until=whole.stage_until,
        green_g=None if whole.green_now_g is None else whole.green_now_g * share,
        green_factor=1.0,
        base_factor=1.0,
        cured_g=None if whole.cured_g is None else whole.cured_g * scaled,
        hang_g=None if whole.hang_g is None else whole.hang_g * scaled,
        hang_pm_g=None if whole.hang_pm_g is None else whole.hang_pm_g * scaled,
        tare_g=part.tare_g,
        tare_what=one_line(part.tare_what, MAX_NAME),
        cost_share=cost_share,
        count=count,
        created_at=work.by.now,
    )
    return lots.add(work, **values)


def _inherit(
    work: Work, whole: LotState, child_id: int, share: float, rows: Sequence[WeighIn]
) -> None:
    """Stages, curve, dose sheet and what was seen go on with the part."""
    for entry in lots.stages(work.conn, whole.id):
        if entry.stage != CLOSED:
            lots.add_stage(work, child_id, entry.stage, entry.at, entry.place_id, entry.note)
    bare = {"lot_id": child_id, "kind": "inherited", "curve": True, "tare_g": 0.0}
    for row in rows:
        net_g = row.net_g / row.base_factor * whole.base_factor * share
        point = {"stage": row.stage, "flagged": row.flagged, "base_factor": 1.0}
        weigh_ins.add(work, weigh_ins.weighed(whole, row.at, net_g, **bare, **point))
    for line in lots.dose_lines(work.conn, whole.id):
        weighed_g = None if line.weighed_g is None else line.weighed_g * share
        planned = (line.name, line.kind, line.exact_g * share, line.planned_g * share)
        lots.add_dose_line(work, child_id, line.seq, *planned, weighed_g, line.ticked_at)
    for look in whole.looks:
        if look.kind in LOOKS:
            lots.add_event(work, look.at, look.kind, look.text, lot_id=child_id)


def _weigh_part(work: Work, child_id: int, part: Part, at: str, zone: tzinfo) -> None:
    """The part's own first weight; one that is eaten closes with it."""
    child = lot_with_id(work.conn, child_id)
    if part.eaten:
        what = Finishing(moment(at), part.weight_g, part.tare_g, keep_doubtful=True)
        apply_finish(work, child, what, zone)
        return
    new = weigh_ins.weighed(child, at, part.weight_g, tare_g=part.tare_g, base_factor=1.0)
    weigh_ins.add(work, new)
