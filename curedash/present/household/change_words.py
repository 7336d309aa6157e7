"""What one change set, value by value, in words: no name of a column ever reaches a person."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, tzinfo
from typing import Any

from curedash.domain.times import moment
from curedash.present import display_units as units
from curedash.present.numbers import number
from curedash.present.words import count, day, percent, plain, stage
from curedash.services.household.history import Detail

NEWS = ("gross_g", "net_g", "text", "weight_g", "note", "given_to", "name", "voided_at")
#: tables whose new values all say something
WHOLE = ("lot", "finish", "setting", "dose_line", "away", "need")
FEW = 2  # weigh-ins told one by one
#: column → what it is called, and how its value is written
WORDS = {
    "gross_g": ("on the scale", "mass"),
    "net_g": ("net", "mass"),
    "tare_g": ("tare", "mass"),
    "tare_what": ("tare is", "text"),
    "green_g": ("green weight", "mass"),
    "green_pm_g": ("green weight ±", "mass"),
    "start_from": ("start estimated from", "text"),
    "planned_on": ("sticker says", "day"),
    "cured_g": ("cured weight", "mass"),
    "hang_g": ("hang weight", "mass"),
    "hang_pm_g": ("hang weight ±", "mass"),
    "hang_at": ("hung", "moment"),
    "before_g": ("before", "mass"),
    "after_g": ("after", "mass"),
    "reason": ("because", "text"),
    "snoozed_until": ("quiet until", "moment"),
    "stage": ("", "stage"),
    "stage_at": ("since", "moment"),
    "stage_until": ("planned until", "moment"),
    "at": ("time", "moment"),
    "place_id": ("place", "place"),
    "count": ("pieces", "number"),
    "in_bag": ("in a bag", "yes"),
    "piece": ("piece", "text"),
    "code": ("code", "text"),
    "name": ("name", "text"),
    "thickness_mm": ("thickness", "length"),
    "style_name": ("style", "text"),
    "target_lo_pct": ("target from", "percent"),
    "target_hi_pct": ("target to", "percent"),
    "target_base": ("target of", "text"),
    "cure_earliest_days": ("earliest out", "days"),
    "cure_usual_days": ("usual out", "days"),
    "cure_rule": ("rule", "text"),
    "total_salt_pct": ("salt", "percent"),
    "nitrite_mg_per_kg": ("nitrite", "mg/kg"),
    "nitrate_mg_per_kg": ("nitrate", "mg/kg"),
    "voided_at": ("", "void"),
    "note": ("note", "text"),
    "text": ("", "text"),
    "planned_g": ("planned", "grams"),
    "weighed_g": ("went in", "grams"),
    "ticked_at": ("ticked", "moment"),
    "weight_g": ("pack", "mass"),
    "keep_until": ("keep until", "day"),
    "given_to": ("for", "text"),
    "final_g": ("final weight", "mass"),
    "loss_pct": ("lost", "percent"),
    "drying_days": ("dried", "days"),
    "yield_pct": ("yield", "percent"),
    "cut_face": ("cut face", "text"),
    "liked": ("liked", "of five"),
    "liked_at_pct": ("liked at", "percent"),
    "cost_per_kg": ("cost", "cost"),
    "temp_lo_c": ("from", "temp"),
    "temp_hi_c": ("to", "temp"),
    "rh_lo_pct": ("from", "percent"),
    "rh_hi_pct": ("to", "percent"),
    "watch": ("who measures", "watch"),
    "value": ("", "text"),
    "division_g": ("division", "grams"),
    "max_g": ("carries", "grams"),
    "nitrite_pct": ("nitrite", "percent"),
    "nitrate_pct": ("nitrate", "percent"),
    "temp_offset_c": ("temperature offset", "kelvins"),
    "rh_offset_pct": ("humidity offset", "points"),
    "from_day": ("from", "day"),
    "to_day": ("to", "day"),
    "price": ("price", "money"),
    "shop": ("shop", "text"),
    "bought_g": ("bought", "mass"),
}
WATCHES = {"sensor": "a sensor", "hand-log": "somebody, by hand", "not-watched": "nobody"}


def change_parts(found: Sequence[Detail], zone: tzinfo, places: Mapping[int, str]) -> list[str]:
    """Each value that a change set, in words; rows that came with it by what they say.

    Parameters
    ----------
    places : their names by number
    """
    news = [detail for detail in found if detail.before is None and _is_news(detail, found)]
    weighed = {detail.key for detail in news if detail.table == "weigh_in"}
    anew = []
    if len(weighed) > FEW:
        news = [detail for detail in news if detail.table != "weigh_in"]
        anew = [f"{count(len(weighed), 'weigh-in')} rewritten"]
    changed = [detail for detail in found if detail.before is not None]
    parts = [_part(detail, zone, places) for detail in (*changed, *news)]
    return list(dict.fromkeys([*(part for part in parts if part), *anew]))


def _is_news(detail: Detail, found: Sequence[Detail]) -> bool:
    """Whether a value that came with a row, or where none was, says something by itself."""
    if detail.table == "stage_entry":  # the lot's own stage says it, where it changed too
        moved = any(d.table == "lot" and d.column == "stage" and d.before for d in found)
        return not moved and detail.column in ("stage", "note")
    if detail.table in WHOLE:
        return True
    return detail.column in NEWS


def _part(detail: Detail, zone: tzinfo, places: Mapping[int, str]) -> str:
    if detail.column not in WORDS:
        return ""
    name, kind = WORDS[detail.column]
    if kind == "void":
        return "voided" if detail.before is None else "counts again"
    if detail.table == "setting":
        name = plain(str(detail.key)).replace("_", " ").replace("-", " ")
    before, after = (_value_words(v, kind, zone, places) for v in (detail.before, detail.after))
    if detail.before is None and detail.after is not None:
        return f"{name} {after}".strip()
    return f"{name} {before} → {after}".strip()


def _value_words(value: Any, kind: str, zone: tzinfo, places: Mapping[int, str]) -> str:
    """A stored value as a person would write it."""
    if value is None:
        return "nothing"
    if kind == "moment":
        local = moment(str(value)).astimezone(zone)
        return f"{day(local.date())} {local:%H:%M}"
    if kind == "day":
        return day(date.fromisoformat(str(value)[:10]))
    if kind == "place":
        return plain(places.get(int(value), "a place"))
    if isinstance(value, (int, float)) and kind in _NUMBERS:
        return _NUMBERS[kind](value)
    names = {"stage": stage(str(value)), "watch": WATCHES.get(str(value), str(value))}
    return plain(names.get(kind, str(value)))


_NUMBERS: dict[str, Callable[[float], str]] = {
    "mass": lambda g: units.mass(round(g, 2)),
    "grams": lambda g: f"{g:.6g} g",
    "percent": lambda pct: percent(pct),
    "number": lambda n: f"{n:.6g}",
    "length": lambda mm: units.length(mm),
    "temp": lambda c: units.temp_tidy(c),
    "days": lambda n: count(round(n), "day"),
    "mg/kg": lambda n: f"{number(n)} mg/kg",
    "of five": lambda n: f"{number(n)} of 5",
    "money": lambda n: f"{n:.2f}",
    "cost": lambda n: f"{units.cost(n, None)} a {units.cost_unit()}",
    "yes": lambda n: "yes" if n else "no",
    "kelvins": lambda k: ("+" if k > 0 else "") + units.temp_difference(k),
    "points": lambda n: ("+" if n > 0 else "") + units.number_tidy(n, 1) + " %",
}
