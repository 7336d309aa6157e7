"""One line of text for one thing, as the shell prints it."""

from __future__ import annotations

from curedash.domain.drying.lot_figures import target_net_g
from curedash.domain.needs.lot_needs import Need
from curedash.domain.record import replace
from curedash.domain.records import LotState, Place
from curedash.present.display_units import mass, mass_range, retold, temp, temp_range
from curedash.present.words import LEVEL_WORDS, cells, stage, text_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import tzinfo

    from curedash.services.rack import Rack
    from curedash.services.weighing.weigh import Weighed


#: who measures in a place
WIDTH = 120  # cells of the Rack in the shell
WATCHES = {"sensor": "a sensor", "hand-log": "read by hand", "not-watched": "nobody measures here"}


def need_line(need: Need) -> str:
    """``now   C2: in the salt box 1.2 d too long — take it out``."""
    level = LEVEL_WORDS.get(need.level, need.level)
    return f"{level:<5} {need.subject}: {retold(need.message)} — {retold(need.action)}"


def place_line(place: Place) -> str:
    """A place with its bands."""
    parts = [place.name]
    if place.temp_lo_c is not None and place.temp_hi_c is not None:
        parts.append(temp_range(place.temp_lo_c, place.temp_hi_c))
    if place.rh_lo_pct is not None and place.rh_hi_pct is not None:
        parts.append(f"{place.rh_lo_pct:g}–{place.rh_hi_pct:g} % RH")
    return ", ".join([*parts, WATCHES[place.watch]])


def air_words(temp_c: float | None, rh_pct: float | None) -> str:
    """``3.5 °C, 78 %``."""
    parts = []
    if temp_c is not None:
        parts.append(temp(temp_c))
    if rh_pct is not None:
        parts.append(f"{rh_pct:.0f} %")
    return ", ".join(parts)


def weighed_line(kept: Weighed) -> str:
    """``C2: 1043 g net (1071 − 28 tare), 32.0 % lost from hang 1534 g, 46 g to go; saved``."""
    from curedash.present.weighing.weigh_line import (
        is_heavier_than_hung,
        loss_words,
        net_words,
        starts_curve,
        target_of,
    )

    seen = kept.preview
    parts = [f"{kept.lot.code}: {net_words(seen)}"]
    if seen.loss_pct is not None:
        about = "≈" if seen.approx else ""
        parts.append(loss_words(seen, f"{seen.base} {about}{mass(seen.base_g or 0.0)}"))
    elif starts_curve(seen):
        parts.append(loss_words(seen, ""))
    if seen.to_go_g is not None and not is_heavier_than_hung(seen):
        parts.append(target_of(seen))
    flagged = ", flagged" if seen.doubts else ""
    return ", ".join(parts) + f"; saved{flagged}"


def moved_line(lot: LotState, zone: tzinfo) -> str:
    """``A1: drying since 20 Nov 2026, hang 1052 g net, pull at 684–736 g on the scale``."""
    from curedash.present.weighing.on_scale import dated_from, pull_verb

    parts = [f"{lot.code}: {stage(lot.stage)} since {dated_from(lot.stage_at, zone)}"]
    target = target_net_g(lot)
    if lot.base_g is not None:
        about = "≈" if lot.hang_pm_g is not None else ""
        parts.append(f"hang {about}{mass(round(lot.base_g) if about else lot.base_g)} net")
    if target is not None and lot.stage == "drying":
        low, high = (grams + lot.tare_g for grams in target)
        worn = f" with {lot.tare_what}" if lot.tare_what else ""
        unsure = lot.hang_pm_g is not None
        span = ("≈" if unsure else "") + mass_range(low, high, whole=unsure)
        parts.append(f"{pull_verb(lot)} at {span} on the scale{worn}")
    return ", ".join(parts)


def rack_lines(rack: Rack, base: str) -> list[str]:
    """The Rack as the shell prints it: heads, then a line a lot."""
    from curedash.present.rack.columns import span_of
    from curedash.present.rack.layout import PANE_FROM, axis_of, heads_line, layout_for
    from curedash.present.rack.row import Around, row_line

    if not rack.rows:
        return ["No open lots; 'curedash batch add' starts one."]
    cells_of_codes = max(cells(row.lot.code) for row in rack.rows)
    layout = layout_for(min(WIDTH, PANE_FROM - 1), cells_of_codes)
    if layout.act:  # its keys are those of the dashboard
        layout = replace(layout, act=0, meat=layout.meat + layout.act + 1)
    spans = [span_of(row, rack.zone) for row in rack.rows]
    axis = axis_of((each for each in spans if each), rack.today, layout.axis - 1)
    around = Around(rack.zone, axis, today=rack.today)
    lines = [heads_line(layout, axis), *(text_of(row_line(r, layout, around)) for r in rack.rows)]
    return [f"loss from {base} weight", *(line.rstrip() for line in lines)]
