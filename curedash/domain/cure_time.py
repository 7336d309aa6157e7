"""Days in the cure: the rules of thumb for a method beside the days salt really needs.

A weighed dose can wait and so has an earliest and a usual day; a salt box goes on salting and is
overdue from its rule's day.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from curedash.domain.diffusion import (
    CureDays,
    Share,
    core_share,
    cure_days,
    mean_uptake,
    salt_rest_days,
)
from curedash.domain.errors import Refused
from curedash.domain.facts.cure_time_rules import (
    CURE_TIME_RULES,
    MORE_CURE_TIME_RULES,
    THIN_PIECE_MM,
    CureTimeRule,
)
from curedash.domain.facts.units import G_PER_LB, MM_PER_IN
from curedash.domain.said import celsius, grams, millimetres, say
from curedash.domain.turning import turn_every_days

__all__ = [
    "COLD_C",
    "WARM_C",
    "CureWindow",
    "RuleDays",
    "cure_days_by_rules",
    "cure_window",
    "days_by_rule",
    "rules_for",
    "turn_every_days",
]

COLD_C, WARM_C = 2.0, 5.0
_DIFFUSION_TEMPS_C = (-2.0, 25.0)

# Which rules a method may use; ground and injected meat is salted through at once.
_RULES_FOR = {
    "equilibrium": ("bag",),
    "pack": ("bag",),
    "equilibrium-brine": ("brine",),
    "immersion": ("brine",),
    "salt-box": ("box",),
    "injection": (),
    "ground": (),
}


@dataclass(frozen=True, slots=True)
class RuleDays:
    """What one rule of thumb says for one piece [d]."""

    name: str
    days_lo: float
    days_hi: float
    source: str
    how: str


@dataclass(frozen=True, slots=True)
class CureWindow:
    """When a piece comes out: its days, the rule they rest on, and what there is to say."""

    earliest_days: float
    usual_days: float
    rule_name: str
    rules: tuple[RuleDays, ...]
    diffusion: CureDays | None
    core_share_on_rule_day: Share | None
    overdue_from_days: float | None
    mean_uptake: Share | None
    salt_rest: CureDays | None
    messages: tuple[str, ...]


def rules_for(method: str, thickness_mm: float | None = None) -> tuple[CureTimeRule, ...]:
    """Give the rules of thumb that belong to a method.

    Parameters
    ----------
    method : one of the dose methods; an unknown one is refused
    thickness_mm : thickest spot [mm]; the rule for thin pieces is offered up to 30 mm only

    Returns
    -------
    the rules, the usual one first; none for ground or injected meat

    Source
    ------
    `domain/facts/cure_time_rules.py`

    Example
    -------
    >>> [rule.name for rule in rules_for("salt-box")][:2]
    ['three days plus one per kg', 'one week per inch']
    """
    try:
        kinds = _RULES_FOR[method]
    except KeyError:
        names = ", ".join(_RULES_FOR)
        raise Refused(f"There is no method {method[:40]!r}; known are {names}.") from None
    thin = thickness_mm is not None and thickness_mm <= THIN_PIECE_MM
    if thin and "box" in kinds:
        kinds = ("box-thin", *kinds)
    found = [
        rule
        for rule in (*CURE_TIME_RULES, *MORE_CURE_TIME_RULES)
        if set(kinds) & set(rule.applies_to)
    ]
    return tuple(sorted(found, key=_usual_first))


def _usual_first(rule: CureTimeRule) -> int:
    if "box-thin" in rule.applies_to:
        return 0
    return 1 if rule.applies_to == ("box",) and rule.how == "read" else 2


def days_by_rule(rule: CureTimeRule, green_g: float, thickness_mm: float | None) -> RuleDays | None:
    """Apply one rule of thumb to a piece.

    Parameters
    ----------
    rule : the rule
    green_g : green weight [g], above 0
    thickness_mm : thickest spot [mm], above 0, or None where nobody measured

    Returns
    -------
    its days, or None where the rule needs the thickness

    Source
    ------
    the rule's own

    Example
    -------
    >>> round(days_by_rule(rules_for("equilibrium")[0], 2000, 89).days_lo, 1)
    24.5
    """
    if rule.unit == "inch" and thickness_mm is None:
        return None
    amounts = {
        "inch": (thickness_mm or 0.0) / MM_PER_IN,
        "lb": green_g / G_PER_LB,
        "kg": green_g / 1000,
        "": 0.0,
    }
    amount = amounts[rule.unit]
    return RuleDays(
        rule.name,
        rule.fixed_days + rule.per_unit_lo * amount,
        rule.fixed_days + rule.per_unit_hi * amount,
        rule.source,
        rule.how,
    )


def cure_days_by_rules(
    method: str, green_g: float, thickness_mm: float | None
) -> tuple[RuleDays, ...]:
    """Apply every rule of thumb of a method, each named, side by side.

    Parameters
    ----------
    method : one of the dose methods
    green_g : green weight [g], above 0
    thickness_mm : thickest spot [mm], 1–400, or None where nobody measured

    Returns
    -------
    one line a rule, the usual one first

    Source
    ------
    `domain/facts/cure_time_rules.py`

    Example
    -------
    >>> [round(rule.days_lo, 1) for rule in cure_days_by_rules("salt-box", 2000, 89)]
    [5.0, 24.5, 8.8]
    """
    _check(green_g, thickness_mm)
    found = (days_by_rule(rule, green_g, thickness_mm) for rule in rules_for(method, thickness_mm))
    return tuple(rule for rule in found if rule is not None)


def cure_window(
    method: str,
    green_g: float,
    thickness_mm: float | None,
    shape: str,
    temp_c: float,
    *,
    frozen: bool = False,
    skin: bool = False,
    rule: str | None = None,
) -> CureWindow | None:
    """Say when a piece comes out of its cure.

    Parameters
    ----------
    method : one of the dose methods
    green_g : green weight [g], above 0
    thickness_mm : thickest spot [mm], 1–400, or None where nobody measured
    shape : slab, round or sphere
    temp_c : temperature in the cure [°C]
    frozen : the meat was frozen and thawed
    skin : skin or a fat cap closes one side
    rule : name of the rule to go by; None takes the method's usual one, or the longest where a
        weighed dose's thickness is not known

    Returns
    -------
    the window, or None where nothing has to be waited for (ground or injected meat)

    Source
    ------
    weighed dose: the later of the rule and the core at 90 (earliest) and 95 % (usual);
    salt box: the rule's day, overdue from then

    Example
    -------
    >>> window = cure_window("equilibrium", 1134, 76.2, "round", 5.0)
    >>> round(window.earliest_days, 1), round(window.usual_days, 1), window.rule_name
    (21.0, 21.0, 'one week per inch')
    """
    rules = cure_days_by_rules(method, green_g, thickness_mm)
    if not rules:
        return None
    chosen = _chosen(rules, rule, method, thickness_mm)
    said = list(_temperature(temp_c))
    if thickness_mm is None:
        said.append("Thickness not given: measure the thickest spot for the core's own days.")
    inside = _DIFFUSION_TEMPS_C[0] <= temp_c <= _DIFFUSION_TEMPS_C[1]
    measured = thickness_mm if inside else None
    if method == "salt-box":
        return _box_window(rules, chosen, measured, shape, temp_c, frozen, skin, said)
    return _weighed_window(rules, chosen, measured, shape, temp_c, frozen, skin, said)


def _weighed_window(
    rules: tuple[RuleDays, ...],
    chosen: RuleDays,
    thickness_mm: float | None,
    shape: str,
    temp_c: float,
    frozen: bool,
    skin: bool,
    said: list[str],
) -> CureWindow:
    if thickness_mm is None:
        return _window(rules, chosen, chosen.days_lo, chosen.days_hi, said)
    days = cure_days(thickness_mm, shape, temp_c, frozen=frozen, skin=skin)
    share = core_share(chosen.days_lo, thickness_mm, shape, temp_c, frozen=frozen, skin=skin)
    if chosen.days_lo < days.days_90:
        said.append(
            f"{chosen.days_lo:.3g} d by “{chosen.name}”: core at about {share.central:.0f} % "
            f"({share.lo:.0f}–{share.hi:.0f} %) of its final salt."
        )
    earliest = max(chosen.days_lo, days.days_90)
    usual = max(chosen.days_hi, days.days_95, earliest)
    return _window(rules, chosen, earliest, usual, said, diffusion=days, share=share)


def _box_window(
    rules: tuple[RuleDays, ...],
    chosen: RuleDays,
    thickness_mm: float | None,
    shape: str,
    temp_c: float,
    frozen: bool,
    skin: bool,
    said: list[str],
) -> CureWindow:
    said.append("A salt box goes on salting: out on the day, then a salt rest for the core.")
    uptake = rest = None
    if thickness_mm is not None:
        uptake = mean_uptake(chosen.days_hi, thickness_mm, shape, temp_c, frozen=frozen, skin=skin)
        rest = salt_rest_days(thickness_mm, shape, temp_c, frozen=frozen, skin=skin)
    return _window(
        rules,
        chosen,
        chosen.days_lo,
        chosen.days_hi,
        said,
        overdue=chosen.days_hi,
        uptake=uptake,
        rest=rest,
    )


def _window(
    rules: tuple[RuleDays, ...],
    chosen: RuleDays,
    earliest: float,
    usual: float,
    said: list[str],
    *,
    diffusion: CureDays | None = None,
    share: Share | None = None,
    overdue: float | None = None,
    uptake: Share | None = None,
    rest: CureDays | None = None,
) -> CureWindow:
    return CureWindow(
        earliest_days=earliest,
        usual_days=usual,
        rule_name=chosen.name,
        rules=rules,
        diffusion=diffusion,
        core_share_on_rule_day=share,
        overdue_from_days=overdue,
        mean_uptake=uptake,
        salt_rest=rest,
        messages=tuple(said),
    )


def _chosen(
    rules: tuple[RuleDays, ...], name: str | None, method: str, thickness_mm: float | None
) -> RuleDays:
    if name is None:
        if method == "salt-box" or thickness_mm is not None:
            return rules[0]
        return max(rules, key=lambda rule: rule.days_lo)  # a weighed dose can wait: the longest
    for rule in rules:
        if rule.name == name:
            return rule
    known = "; ".join(rule.name for rule in rules)
    raise Refused(f"No rule {name[:60]!r} for this method; known are {known}.")


def _temperature(temp_c: float) -> tuple[str, ...]:
    if not isfinite(temp_c):
        raise Refused("A temperature in the cure is a number, for example 4 °C or 39 °F.")
    if temp_c < COLD_C:
        return (say("{here} is colder than {least}: salt hardly moves, count longer.",
                    here=celsius(temp_c), least=celsius(COLD_C)),)  # fmt: skip
    if temp_c > WARM_C:
        return (say("{here} is warmer than {most}: too warm for a cure.",
                    here=celsius(temp_c), most=celsius(WARM_C)),)  # fmt: skip
    return ()


def _check(green_g: float, thickness_mm: float | None) -> None:
    if not isfinite(green_g) or green_g <= 0:
        raise Refused(
            say("A green weight of {green} makes no sense; give more than 0.", green=grams(green_g))
        )
    if thickness_mm is not None and not (isfinite(thickness_mm) and 1 <= thickness_mm <= 400):
        raise Refused(say("A thickness of {thick} makes no sense; give {least} to {most}.",
                          thick=millimetres(thickness_mm), least=millimetres(1, "1"),
                          most=millimetres(400)))  # fmt: skip
