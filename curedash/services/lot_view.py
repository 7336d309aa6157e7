"""Everything the page of one lot shows, read at one moment."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.turning import turn_every_days
from curedash.domain.drying.lot_figures import Figures, figures, net_now_g, pull_is_ahead
from curedash.domain.drying.water import WaterEstimate, water_estimate
from curedash.domain.errors import CuredashError
from curedash.domain.facts.composition import COMPOSITION, SOURCE
from curedash.domain.needs.lot_needs import Need, NeedRules, days_to_weigh_in
from curedash.domain.record import record
from curedash.domain.records import Batch, DoseLine, Finish, LotState, Pack
from curedash.services.drying.lot_curve import LotCurve, curve_of
from curedash.services.drying.past_windows import (
    EarlierWindow,
    PastWindow,
    past_windows_of,
    window_before,
)
from curedash.services.find import lot_with_id
from curedash.services.household import household
from curedash.services.household.history import LogLine, lot_log
from curedash.services.needs import check
from curedash.store import batches, finishes, lots

#: style → the row of raw composition that comes nearest; mixtures and back fat have none
RAW_MEAT = {
    "bresaola": "beef eye of round",
    "beef-pasted": "beef eye of round",
    "beef-strips": "beef eye of round",
    "coppa": "pork Boston butt, lean",
    "lonza": "pork top loin",
    "loin-smoked": "pork top loin",
    "leg-boned": "pork leg, lean",
    "leg-bone-in": "pork leg, lean",
    "leg-small": "pork leg, lean",
    "duck-breast": "duck, meat and skin",
    "venison": "deer",
}


#: An average row says nothing of one belly or cheek: their fat goes from a third to nine tenths.
FATTY = frozenset({"pancetta-flat", "pancetta-rolled", "belly-to-fry", "guanciale", "lardo"})


@record
class Water:
    """Water and salt of a lot as an estimate, or in words why there is none."""

    estimate: WaterEstimate | None
    meat: str | None  # the row of raw composition it rests on
    source: str
    why_not: str


@record
class LotView:
    """One lot with all that is known of it; the log is newest first."""

    lot: LotState
    batch: Batch | None
    figures: Figures
    needs: tuple[Need, ...]
    curve: LotCurve
    log: tuple[LogLine, ...]
    doses: tuple[DoseLine, ...]
    water: Water
    finish: Finish | None
    packs: tuple[Pack, ...]
    weigh_in_days: int | None = None  # until the next weigh-in is due
    past_windows: tuple[PastWindow, ...] = ()  # its windows, once it reached its target
    window_before: EarlierWindow | None = None  # until then, by the weigh-in before the newest
    roast: batches.Roast | None = None  # what it was cut from, once it ended
    turn_every_days: float | None = None  # while it is in the cure, where there is a turn


def read_lot(conn: Connection, lot_id: int, now: datetime, *, base: str = "hang") -> LotView:
    """Read one lot.

    Parameters
    ----------
    now : the moment asked about (aware)
    base : ``hang`` or ``green``, what loss is shown on

    Raises
    ------
    NotFound: it was taken back meanwhile
    """
    lot = lot_with_id(conn, lot_id)
    zone, rules = household.zone(conn), household.need_rules(conn)
    past = tuple(past_windows_of(conn, lot))
    ended = finishes.of_lot(conn, lot_id)
    return LotView(
        lot=lot,
        batch=batches.one(conn, lot.batch_id),
        figures=figures(lot, now, zone, base),
        needs=tuple(check.needs_of_lot(conn, lot, now, zone)),
        curve=curve_of(conn, lot_id, now, base=base),
        log=tuple(reversed(lot_log(conn, lot_id))),
        doses=tuple(lots.dose_lines(conn, lot_id)),
        water=water_of(lot),
        finish=ended,
        packs=tuple(finishes.packs(conn, lot_id)),
        weigh_in_days=days_to_weigh_in(lot, now, zone, rules),
        past_windows=past,
        window_before=window_before(conn, lot) if not past and pull_is_ahead(lot) else None,
        roast=None if ended is None else batches.roast_of(conn, lot_id),
        turn_every_days=_turn_every_days(lot, rules),
    )


def _turn_every_days(lot: LotState, rules: NeedRules) -> float | None:
    """Days between two turns as this household wants them; None where nothing is turned."""
    if lot.stage != "in-cure" or turn_every_days(lot.method) is None:
        return None
    return rules.turn_box_days if lot.salt_box else rules.turn_bag_days


def water_of(lot: LotState) -> Water:
    """Estimate the average water of a hanging lot from what went in and what it weighs now."""
    meat = RAW_MEAT.get(lot.style)
    net_g = net_now_g(lot)
    if net_g is None:
        return _none(meat, "not hung yet")
    if lot.style in FATTY:
        return _none(None, "fat varies too much in this cut for an estimate")
    if meat is None:
        return _none(None, "no raw composition is known for this style")
    if lot.total_salt_pct is None:
        return _none(meat, "how much salt went in is not known")
    green_g = lot.green_now_g
    if green_g is None:
        return _none(meat, "its green weight is not known")
    raw, salt_g = COMPOSITION[meat], green_g * lot.total_salt_pct / 100
    try:
        found = water_estimate(green_g, net_g, raw.water_pct, raw.protein_pct, salt_g)
    except CuredashError as outside:
        return _none(meat, str(outside))
    return Water(found, meat, SOURCE, "")


def _none(meat: str | None, why: str) -> Water:
    return Water(None, meat, SOURCE, why)
