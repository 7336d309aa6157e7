"""The household as metrics in the text format that monitoring agents read (version 0.0.4).

Names are stable and end in their base unit: grams, celsius, ratio (0–1), seconds since 1970.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, time, tzinfo

from curedash.domain.drying.lot_figures import chance_short
from curedash.domain.needs.lot_needs import LEVELS, Need
from curedash.domain.times import moment
from curedash.present.words import plain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.services.places.air_view import PlaceAir
    from curedash.services.rack import Rack, RackRow

Sample = tuple[dict[str, str], float | None]

#: name → what it is; the order of the file
HELP = {
    "curedash_checked_timestamp_seconds": "When this file was written.",
    "curedash_needs": "Needs by level, gathered by place as 'curedash check' lists them.",
    "curedash_need": "1 for each need.",
    "curedash_lot_info": "1 for each open lot, with its piece, batch, stage and place.",
    "curedash_lot_stage_timestamp_seconds": "Since when the lot is in its stage.",
    "curedash_lot_weight_grams": "Net weight at the last weigh-in.",
    "curedash_lot_weighed_timestamp_seconds": "When it was weighed last.",
    "curedash_lot_loss_ratio": "Loss of hang weight, 0 to 1.",
    "curedash_lot_to_go_grams": "Grams to the heavier end of the target; negative once past it.",
    "curedash_lot_rate_ratio_per_day": "Loss of hang weight a day, 0 to 1.",
    "curedash_lot_window_start_timestamp_seconds": "Start of the first day of the pull window.",
    "curedash_lot_window_end_timestamp_seconds": "Start of the last day of the pull window.",
    "curedash_lot_never_ratio": "Chance that it never reaches its target, from 0.2 up.",
    "curedash_place_temperature_celsius": "Last reading of a place, by sensor.",
    "curedash_place_humidity_ratio": "Relative humidity of the last reading, 0 to 1.",
    "curedash_place_read_timestamp_seconds": "When the last reading was taken.",
}


def metrics_text(rack: Rack, needs: Sequence[Need], air: Sequence[PlaceAir], now: datetime) -> str:
    """The whole file.

    Parameters
    ----------
    rack : every open lot
    needs : gathered, as they are told
    air : every place with its last readings
    now : the moment it was looked (aware)
    """
    samples = {name: list(_samples(name, rack, needs, air, now)) for name in HELP}
    lines = []
    for name, found in samples.items():
        there = [(labels, value) for labels, value in found if value is not None]
        if not there:
            continue
        lines += [f"# HELP {name} {HELP[name]}", f"# TYPE {name} gauge"]
        lines += [f"{name}{_labels(labels)} {_number(value)}" for labels, value in there]
    return "\n".join(lines) + "\n"


def _samples(
    name: str, rack: Rack, needs: Sequence[Need], air: Sequence[PlaceAir], now: datetime
) -> Iterable[Sample]:
    if name == "curedash_checked_timestamp_seconds":
        return [({}, now.timestamp())]
    if name == "curedash_needs":
        counted = {level: sum(need.level == level for need in needs) for level in LEVELS}
        return [({"level": level}, count) for level, count in counted.items()]
    if name == "curedash_need":
        return _once((_need_labels(need), 1.0) for need in needs)
    if name.startswith("curedash_place_"):
        return _of_places(name, air)
    return [(_who(name, row), _of_lot(name, row, rack.zone)) for row in rack.rows]


def _need_labels(need: Need) -> dict[str, str]:
    about = {"lot": need.lot or "", "place": plain(need.place or "")}
    return {"level": need.level, "cause": need.cause, **about}


def _once(samples: Iterable[Sample]) -> list[Sample]:
    """No series twice: an agent refuses the whole file."""
    found = {tuple(labels.items()): (labels, value) for labels, value in samples}
    return list(found.values())


def _who(name: str, row: RackRow) -> dict[str, str]:
    lot = row.lot
    if name != "curedash_lot_info":
        return {"lot": lot.code}
    names = {"piece": lot.piece, "batch": lot.batch_name, "style": lot.style}
    told = {label: plain(name) for label, name in names.items()}
    return {"lot": lot.code, **told, "stage": lot.stage, "place": plain(lot.place or "")}


def _of_lot(name: str, row: RackRow, zone: tzinfo) -> float | None:
    lot, shown = row.lot, row.figures
    match name.removeprefix("curedash_lot_"):
        case "info":
            return 1.0
        case "stage_timestamp_seconds":
            return moment(lot.stage_at).timestamp()
        case "weight_grams":
            return lot.last_net_g
        case "weighed_timestamp_seconds":
            return None if lot.last_at is None else moment(lot.last_at).timestamp()
        case "loss_ratio":
            return None if shown.loss_pct is None else shown.loss_pct / 100
        case "to_go_grams":
            return None if lot.stage == "keeping" else shown.to_go_g
        case "rate_ratio_per_day":
            dries = lot.stage == "drying" and shown.rate_pct_per_day is not None
            return (shown.rate_pct_per_day or 0.0) / 100 if dries else None
        case "window_start_timestamp_seconds" | "window_end_timestamp_seconds" as end:
            if shown.window is None:
                return None
            on = shown.window["end" in end]
            return datetime.combine(on, time(), zone).timestamp()
        case "never_ratio":
            return chance_short(lot)
    raise AssertionError(name)


def _of_places(name: str, air: Sequence[PlaceAir]) -> list[Sample]:
    found: list[Sample] = []
    for item in air:
        readings = [(series.name, series.last) for series in item.series]
        if not readings and item.last is not None:
            readings = [("", item.last)]
        for sensor, last in readings:
            labels = {"place": plain(item.place.name), "sensor": plain(sensor)}
            if name.endswith("celsius"):
                found.append((labels, last.temp_c))
            elif name.endswith("ratio"):
                found.append((labels, None if last.rh_pct is None else last.rh_pct / 100))
            else:
                found.append((labels, float(last.at)))
    return _once(found)


def _labels(labels: dict[str, str]) -> str:
    if not labels:
        return ""
    return "{" + ",".join(f'{name}="{_quoted(value)}"' for name, value in labels.items()) + "}"


def _quoted(value: str) -> str:
    r"""A value of a label: backslash, quote and line end are escaped.

    Example
    -------
    >>> _quoted('3" thick\\')
    '3\\" thick\\\\'
    """
    return value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")


def _number(value: float) -> str:
    return f"{round(value, 6):.6f}".rstrip("0").rstrip(".") or "0"
