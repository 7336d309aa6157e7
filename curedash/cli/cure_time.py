"""``curedash cure-time``: days in the cure by diffusion, beside the rules of thumb."""

from __future__ import annotations

import json
from typing import Any

from curedash.cli.command import Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.domain.curing.cure_time import (
    SALTS_DAYS,
    RuleDays,
    days_by_rule,
    rules_for,
    temperature_words,
    why_no_days,
)
from curedash.domain.curing.diffusion import CureDays, cure_days, mean_uptake, salt_rest_days
from curedash.domain.errors import Refused
from curedash.domain.typed.units import parse_length_mm, parse_temp_c
from curedash.domain.typed.weights import parse_weight_g
from curedash.present.display_units import length, temp_tidy

METHODS = {"weighed": "equilibrium", "salt-box": "salt-box"}


def run(chosen: Chosen, context: Context) -> None:
    """Tell the days for one thickness."""
    thickness_mm = parse_length_mm(chosen.thickness)
    temp_c = parse_temp_c(chosen.temp)
    method = METHODS[chosen.boundary]
    missing = why_no_days(method, _weight(chosen), thickness_mm, temp_c)
    if missing:
        raise Refused(missing)
    days = cure_days(
        thickness_mm,
        chosen.shape,
        temp_c,
        frozen=chosen.frozen,
        skin=chosen.skin,
        boundary=chosen.boundary,
    )
    rules = _rules(chosen, thickness_mm)
    answer = _document(chosen, thickness_mm, temp_c, days, rules)
    if chosen.json:
        print(json.dumps(answer))
    else:
        context.out("\n".join(_lines(answer)))


def _rules(chosen: Chosen, thickness_mm: float) -> list[RuleDays]:
    """Rules of the method; those by weight only where a weight is given."""
    weight = _weight(chosen)
    found = []
    for rule in rules_for(METHODS[chosen.boundary], thickness_mm):
        if weight is None and rule.unit in ("lb", "kg"):
            continue
        days = days_by_rule(rule, weight or 0.0, thickness_mm)
        if days is not None:
            found.append(days)
    return found


def _weight(chosen: Chosen) -> float | None:
    return parse_weight_g(chosen.weight) if chosen.weight else None


def _document(
    chosen: Chosen, thickness_mm: float, temp_c: float, days: CureDays, rules: list[RuleDays]
) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "thickness_mm": round(thickness_mm, 2),
        "shape": chosen.shape,
        "temp_c": round(temp_c, 2),
        "boundary": chosen.boundary,
        "days_90": round(days.days_90, 2),
        "days_95": round(days.days_95, 2),
        "band_90": [round(d, 2) for d in days.band_90],
        "band_95": [round(d, 2) for d in days.band_95],
        "rules": [_rule(rule) for rule in rules],
        "messages": [*temperature_words(temp_c), SALTS_DAYS],
    }
    if chosen.boundary == "salt-box":
        rest = salt_rest_days(
            thickness_mm, chosen.shape, temp_c, frozen=chosen.frozen, skin=chosen.skin
        )
        answer["salt_rest_days"] = [round(rest.days_90, 2), round(rest.days_95, 2)]
        for rule, told in zip(rules, answer["rules"], strict=True):
            uptake = mean_uptake(
                rule.days_hi,
                thickness_mm,
                chosen.shape,
                temp_c,
                frozen=chosen.frozen,
                skin=chosen.skin,
            )
            told["mean_uptake_pct"] = round(uptake.central, 1)
    return answer


def _rule(rule: RuleDays) -> dict[str, Any]:
    told: dict[str, Any] = {"name": rule.name, "days": round(rule.days_lo, 2)}
    if rule.days_hi != rule.days_lo:
        told["days_hi"] = round(rule.days_hi, 2)
    return told


def _lines(answer: dict[str, Any]) -> list[str]:
    d90, d95 = answer["days_90"], answer["days_95"]
    lo, hi = answer["band_90"]
    full = "of its final salt" if answer["boundary"] == "weighed" else "as salty as the surface"
    told = [
        f"{length(answer['thickness_mm'])} {answer['shape']} at {temp_tidy(answer['temp_c'])}, "
        f"{answer['boundary']}",
        f"core at 90 % {full}: {d90:.1f} d ({lo:.1f}–{hi:.1f}), at 95 %: {d95:.1f} d",
    ]
    if "salt_rest_days" in answer:
        short, long = answer["salt_rest_days"]
        told.append(f"salt rest after the box: {short:.1f} to {long:.1f} d")
    for rule in answer["rules"]:
        told.append(_against(rule, d90, answer["boundary"] == "weighed"))
    told += answer["messages"]
    told.append("The days are estimates: how fast salt moves in meat is known only as a range.")
    return told


def _against(rule: dict[str, Any], needed: float, weighed: bool) -> str:
    days = rule["days"]
    said = f"“{rule['name']}”: {days:.3g} d"
    if "mean_uptake_pct" in rule:
        return f"{said}, {rule['mean_uptake_pct']:.0f} % of what a salt box gives at most"
    short = needed - float(days)
    if not weighed or abs(short) < 0.5:
        return said
    return f"{said}, {abs(short):.0f} d {'short' if short > 0 else 'longer than needed'}"


COMMAND = Command(
    "cure-time",
    "Days in the cure until the core has its salt, with the rules of thumb for comparison.",
    "curedash cure-time --thickness 89mm --shape slab --temp 4C",
    Word("--thickness LEN", "thickness at the thickest spot, e.g. 89mm", required=True),
    Word(
        "--shape",
        "slab, round (tied) or sphere (default: slab)",
        choices=("slab", "round", "sphere"),
        default="slab",
    ),
    Word("--temp T", "temperature in the cure (default: 4C)", default="4C"),
    switch("--frozen", "the meat was frozen and thawed"),
    switch("--skin", "skin or a fat cap on one side"),
    Word(
        "--boundary",
        "a weighed dose or a salt box (default: weighed)",
        choices=tuple(METHODS),
        default="weighed",
    ),
    Word("--weight W", "green weight, e.g. 1134g, for the rules that go by weight"),
    switch("--json", "one JSON document on stdout"),
    run=run,
)
