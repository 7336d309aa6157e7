"""The Rack to be read aloud or by a program: one lot a paragraph, nothing cut, no drawn signs."""

from __future__ import annotations

from curedash.domain.drying.lot_figures import Figures, chance_short
from curedash.present.display_units import mass, retold
from curedash.present.numbers import number
from curedash.present.rack.state import reached_or_to_go, window_words
from curedash.present.words import ago, odds_words, plain, stage

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import tzinfo

    from curedash.services.rack import Rack, RackRow

LEVELS = {"act": "act now", "today": "today"}
ROOM = 200  # cells: the longest wording of everything


def plain_lots(rack: Rack) -> list[list[str]]:
    """The lines of every lot, worded further by :mod:`curedash.present.aloud`."""
    if not rack.rows:
        return [["No open lots; 'curedash batch add' starts one."]]
    return [_lot(row, rack.zone) for row in rack.rows]


def _lot(row: RackRow, zone: tzinfo) -> list[str]:
    lot, shown = row.lot, row.figures
    of = "" if shown.day_of is None else f" of {shown.day_of:.0f}"
    name = ", ".join(part for part in (plain(lot.piece), plain(lot.batch_name)) if part)
    lines = [f"Lot {lot.code}: {name}.", f"Stage: {stage(lot.stage)}, day {shown.day}{of}."]
    if lot.place:
        lines.append(f"Place: {plain(lot.place)}.")
    lines += _weight(shown, reached_or_to_go(row))
    note = window_words(row, ROOM, zone)
    if any(char.isalnum() for char in note):
        head = "Pull window" if shown.window is not None else "Next"
        lines.append(f"{head}: {note}.")
    if odds := odds_words(chance_short(lot)):
        lines.append(f"Chance: {odds}.")
    lines += [
        f"Needs, {LEVELS.get(need.level, need.level)}: {plain(retold(need.message))};"
        f" {plain(retold(need.action))}."
        for need in row.needs
    ]
    return lines


def _weight(shown: Figures, still: str) -> list[str]:
    lines = []
    if shown.loss_pct is not None and shown.base_g is not None:
        about = "about " if shown.approx else ""
        base = f"{shown.base} weight {mass(round(shown.base_g, 1))}"
        lines.append(f"Lost: {about}{number(shown.loss_pct, 1)} percent of {base}.")
    if shown.days_since_weigh_in is not None:
        lines.append(f"Weighed: {ago(shown.days_since_weigh_in)}.")
    if still:
        lines.append(f"To the target: {still}.")
    return lines
