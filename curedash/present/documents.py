"""The JSON documents of the shell: fixed keys, unknown is null, unrounded only where harmless."""

from __future__ import annotations

from curedash.domain.drying.lot_figures import chance_short, is_stalled
from curedash.domain.drying.start_guess import loss_since
from curedash.domain.needs.lot_needs import Need
from curedash.domain.records import Place
from curedash.domain.times import utc_text
from curedash.present.numbers import pair, parts, rounded, rounded_parts

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from curedash.services.rack import RackRow
    from curedash.services.weighing.weigh import Weighed


def need_document(need: Need) -> dict[str, Any]:
    """One need."""
    return {**parts(need, "level", "cause", "lot", "place", "message", "action")}


def lot_document(row: RackRow) -> dict[str, Any]:
    """One lot as ``curedash lots --json`` lists it."""
    lot, shown = row.lot, row.figures
    since = loss_since(lot)
    return {
        **parts(lot, "code", "batch"),
        "name": lot.batch_name,
        "piece": lot.piece or None,
        **parts(lot, "style", "stage"),
        "stage_day": shown.day,
        "stage_since": lot.stage_at,
        "place": lot.place,
        **rounded_parts(lot, "green_g", "green_pm_g"),
        "base": shown.base,
        "base_g": rounded(shown.base_g),
        "base_approx": shown.approx,
        "start_from": lot.start_from,
        "loss_since": None
        if since is None
        else {"at": since.at, "loss_pct": rounded(since.loss_pct)},
        "tare_g": lot.tare_g,
        "last_net_g": rounded(lot.last_net_g),
        "last_weighed_at": lot.last_at,
        "loss_pct": rounded(shown.loss_pct),
        "rate_pct_per_day": rounded(shown.rate_pct_per_day, 4),
        "target_pct": list(shown.target_pct),
        "target_base": lot.target_base,
        "target_g": pair(shown.target_g),
        "to_go_g": rounded(shown.to_go_g),
        "pull_window": None if shown.window is None else [day.isoformat() for day in shown.window],
        "planned_on": lot.planned_on,
        "pull_window_how": shown.window_note or None,
        "never_reaches_chance": rounded(chance_short(lot), 2),
        "stalled": is_stalled(lot),
        **parts(lot, "cure_earliest_days", "cure_usual_days", "cure_rule"),
        "ferment": _ferment(row),
        "needs": [need_document(need) for need in row.needs],
    }


def _ferment(row: RackRow) -> dict[str, Any] | None:
    if row.ferment is None:
        return None
    from curedash.present.curing.ferment import ferment_document

    return ferment_document(row.ferment)


def place_document(place: Place) -> dict[str, Any]:
    """One place with its band."""
    temp_c = band(place.temp_lo_c, place.temp_hi_c)
    rh_pct = band(place.rh_lo_pct, place.rh_hi_pct)
    return {"name": place.name, "temp_c": temp_c, "rh_pct": rh_pct, "watch": place.watch}


def band(lo: float | None, hi: float | None) -> list[float | None] | None:
    """A band as a list, null if neither end was given."""
    return None if lo is None and hi is None else [rounded(lo), rounded(hi)]


def weighed_document(kept: Weighed) -> dict[str, Any]:
    """One kept weigh-in."""
    seen = kept.preview
    return {
        "lot": kept.lot.code,
        "at": utc_text(seen.at),
        "stage": kept.lot.stage,
        **rounded_parts(seen, "gross_g", "tare_g", "net_g", "change_g", "loss_pct"),
        "base": seen.base,
        **rounded_parts(seen, "base_g", "to_go_g"),
        "flagged": seen.doubts[0].kind if seen.doubts else None,
        "saved": True,
    }
