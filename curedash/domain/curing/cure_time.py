"""Days in the cure: the rules of thumb for a method beside the days salt really needs.

A weighed dose can wait and so has an earliest and a usual day; a salt box goes on salting and is
overdue from its rule's day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite, pi
from typing import Any

from curedash.domain.curing.diffusion import (
    CureDays,
    Share,
    core_share,
    cure_days,
    mean_uptake,
    salt_rest_days,
)
from curedash.domain.errors import Refused
from curedash.domain.facts import cure_time_rules as facts
from curedash.domain.facts.units import G_PER_LB, MM_PER_IN
from curedash.domain.quantity_text import celsius, grams, millimetres, phrase
from curedash.domain.wording import no_such

COLD_C, WARM_C = 2.0, 5.0
# Sizes at which a weight and a thickness hardly belong to one piece; design values. A boned side of
# pork is some 40 cm wide where it is thickest; lean meat weighs 1.05 g/cm³ (common practice).
_DENSITY_G_PER_MM3 = 1.05e-3
_THICKER_THAN_A_BALL = 1.15
_WIDEST_SLAB_MM = 420.0
_LONGEST_ROUND_MM = 1200.0
# Said once beside the days: nitrite in pork moved at 1.0 to 4.6e-12 m²/s at 2 to 12 °C
# (J. Food Eng. 149:188, 2015, abstract), salt at about 2.2e-10.
SALTS_DAYS = "These days are for the salt; nitrite moves 50 to 200 times more slowly in pork."

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


# What a question is about (thickness, place) and its sentence.
Asked = tuple[str, str]


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
    """When a piece comes out: its days, the rule they rest on, and what there is to say.

    ``usual_days`` is None where no rule was ever used: ``no_days`` says what is missing, as it
    does where only the rest has none; it is one of the ``messages``. What has a stop goes on
    taking up salt: ``overdue_from_days``, and for a pick-up ``stop_g`` on the scale. ``asks`` are
    questions about the piece itself.
    """

    earliest_days: float | None = None
    usual_days: float | None = None
    rule_name: str = ""
    rules: tuple[RuleDays, ...] = ()
    diffusion: CureDays | None = None
    core_share_on_rule_day: Share | None = None
    overdue_from_days: float | None = None
    mean_uptake: Share | None = None
    salt_rest: CureDays | None = None
    messages: tuple[str, ...] = ()
    asks: tuple[Asked, ...] = ()
    stop_g: float | None = None
    no_days: str = ""


def rules_for(method: str, thickness_mm: float | None = None) -> tuple[facts.CureTimeRule, ...]:
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
        raise Refused(no_such("method", method[:40], _RULES_FOR)) from None
    thin = thickness_mm is not None and thickness_mm <= facts.THIN_PIECE_MM
    if thin and "box" in kinds:
        kinds = ("box-thin", *kinds)
    found = [
        rule
        for rule in (*facts.CURE_TIME_RULES, *facts.MORE_CURE_TIME_RULES)
        if set(kinds) & set(rule.applies_to)
    ]
    return tuple(sorted(found, key=_usual_first))


def _usual_first(rule: facts.CureTimeRule) -> int:
    if "box-thin" in rule.applies_to:
        return 0
    return 1 if rule.applies_to == ("box",) and rule.how == "read" else 2


def days_by_rule(
    rule: facts.CureTimeRule, green_g: float, thickness_mm: float | None
) -> RuleDays | None:
    """Apply one rule of thumb to a piece.

    Parameters
    ----------
    rule : the rule
    green_g : green weight [g], above 0
    thickness_mm : thickest spot [mm], above 0, or None where nobody measured

    Returns
    -------
    its days, or None where the rule needs the thickness, or was never used for so large a piece

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
    if rule.most_mm is not None and (thickness_mm or 0.0) > rule.most_mm + 1e-9:
        return None
    if rule.most_g is not None and green_g > rule.most_g * (1 + 1e-9):
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
    salt_pct: float | None = None,
    pickup_pct: float | None = None,
) -> CureWindow | None:
    """Say when a piece comes out of its cure, where a rule was ever used for such a piece.

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
    salt_pct : total salt of a weighed dose [%]; None where it is not known
    pickup_pct : brine a short immersion is meant to take up [% of green weight]

    Returns
    -------
    the window, or None where nothing has to be waited for (ground or injected meat); without
    days where the piece, its salt or its place is outside what any rule was used for

    Source
    ------
    weighed dose: the later of the rule and the core at 90 (earliest) and 95 % (usual);
    salt box and pick-up: the rule's day, overdue from then

    Example
    -------
    >>> window = cure_window("equilibrium", 1134, 76.2, "round", 5.0)
    >>> round(window.earliest_days, 1), round(window.usual_days, 1), window.rule_name
    (21.0, 21.0, 'one week per inch')
    >>> cure_window("equilibrium", 10_000, None, "round", 4.0).usual_days is None
    True
    """
    if not rules_for(method, thickness_mm):
        return None
    rules = cure_days_by_rules(method, green_g, thickness_mm)
    said, asks = list(temperature_words(temp_c)), list(_size(green_g, thickness_mm, shape))
    missing = _no_days(method, rules, green_g, thickness_mm, temp_c, salt_pct)
    if thickness_mm is None:
        asks.append(("thickness", "Thickness not given: how thick is it at its thickest spot?"))
    meat = {"shape": shape, "temp_c": temp_c, "frozen": frozen, "skin": skin}
    known = _Known(rules, thickness_mm, meat, tuple(said), tuple(asks))
    stop_g = None if pickup_pct is None else green_g * (1 + pickup_pct / 100)
    if missing:
        return replace(known.without_days(missing), stop_g=stop_g)
    chosen = _chosen(rules, rule, method, thickness_mm)
    if method == "immersion":
        return _pickup_window(known, chosen, stop_g)
    return _box_window(known, chosen) if method == "salt-box" else _weighed_window(known, chosen)


@dataclass(frozen=True, slots=True)
class _Known:
    """What a window is made from: the days of every rule, the piece, and what is said so far."""

    rules: tuple[RuleDays, ...]
    thickness_mm: float | None
    meat: dict[str, Any]  # what diffusion asks beside the thickness
    said: tuple[str, ...]
    asks: tuple[Asked, ...]

    def window(self, chosen: RuleDays, first: float, usual: float, *said: str) -> CureWindow:
        """The days by a rule; what one method knows beside them is put in by its own function."""
        messages = (*self.said, *said)
        return CureWindow(first, usual, chosen.name, self.rules, messages=messages, asks=self.asks)

    def without_days(self, *missing: str) -> CureWindow:
        """A window that says why it has no days; the last sentence is the reason."""
        messages = (*self.said, *missing)
        return CureWindow(rules=self.rules, messages=messages, asks=self.asks, no_days=missing[-1])


def why_no_days(method: str, green_g: float | None, thickness_mm: float, temp_c: float) -> str:
    """Say why no days are given for a thickness and a temperature.

    Parameters
    ----------
    method : one of the dose methods
    green_g : green weight [g], or None where only a thickness is asked about
    thickness_mm : thickest spot [mm], 1–400
    temp_c : temperature in the cure [°C]

    Returns
    -------
    the sentence; empty where a rule was used for such a piece

    Source
    ------
    the ranges of `domain/facts/cure_time_rules.py`

    Example
    -------
    >>> str(why_no_days("equilibrium", None, 60, 12))
    'No days are given below -1 °C or above 7 °C: no rule of thumb covers that.'
    """
    weight_g = 1.0 if green_g is None else green_g
    rules = cure_days_by_rules(method, weight_g, thickness_mm)
    return _no_days(method, rules, weight_g, thickness_mm, temp_c, None)


def _no_days(
    method: str,
    rules: tuple[RuleDays, ...],
    green_g: float,
    thickness_mm: float | None,
    temp_c: float,
    salt_pct: float | None,
) -> str:
    """Why no days are given; empty where a rule was used for such a piece."""
    coldest, warmest = facts.RULES_TEMPS_C
    if not coldest <= temp_c <= warmest:
        text = "No days are given below {coldest} or above {warmest}: no rule of thumb covers that."
        return phrase(text, coldest=celsius(coldest), warmest=celsius(warmest))
    weighed = method not in ("salt-box", "immersion")
    if weighed and salt_pct is not None and salt_pct < facts.RULES_LEAST_SALT_PCT - 1e-9:
        return (
            f"No days are given at {salt_pct:.3g} % salt: no rule of thumb goes below "
            f"{facts.RULES_LEAST_SALT_PCT:g} %."
        )
    if weighed and thickness_mm is None and green_g > facts.WITHOUT_THICKNESS_MOST_G:
        text = "No days are given above {most} without a thickness: measure the thickest spot."
        return phrase(text, most=grams(facts.WITHOUT_THICKNESS_MOST_G))
    if rules:
        return ""
    if thickness_mm is None:
        return phrase(
            "No days for {green}: no rule of thumb covers so heavy a piece. "
            "Measure the thickest spot.",
            green=grams(green_g),
        )
    text = "No days for {green}, {thick} thick: no rule of thumb covers so large a piece."
    return phrase(text, green=grams(green_g), thick=millimetres(thickness_mm))


def _size(green_g: float, thickness_mm: float | None, shape: str) -> tuple[Asked, ...]:
    """Ask about a weight and a thickness that make no piece of meat."""
    if thickness_mm is None:
        return ()
    volume_mm3 = green_g / _DENSITY_G_PER_MM3
    ball_mm = 2 * (3 * volume_mm3 / 4 / pi) ** (1 / 3)
    size = {"green": grams(green_g), "thick": millimetres(thickness_mm)}
    if thickness_mm > ball_mm * _THICKER_THAN_A_BALL:
        text = "{green} and {thick} thick: a ball of that weight is thinner. Is it a slip?"
        return (("thickness", phrase(text, **size)),)
    if shape == "slab":
        long_mm = (volume_mm3 / thickness_mm) ** 0.5
        most_mm = _WIDEST_SLAB_MM
    else:
        long_mm = volume_mm3 / (pi * thickness_mm**2 / 4)
        most_mm = _LONGEST_ROUND_MM
    if long_mm <= most_mm:
        return ()
    text = "{green} and {thick} thick: such a {shape} is {long} {side}. Is it a slip?"
    long, side = millimetres(round(long_mm, -1)), "on each side" if shape == "slab" else "long"
    return (("thickness", phrase(text, **size, shape=shape, long=long, side=side)),)


def _pickup_window(known: _Known, chosen: RuleDays, stop_g: float | None) -> CureWindow:
    """A short immersion stops by weight, at the latest on the rule's first day."""
    said = []
    if stop_g is not None:
        text = "Weigh it every day: take it out at {stop}, whatever the day. It cannot wait."
        said.append(phrase(text, stop=grams(stop_g)))
    found = known.window(chosen, chosen.days_lo, chosen.days_lo, *said)
    return replace(found, overdue_from_days=chosen.days_lo, stop_g=stop_g)


def _weighed_window(known: _Known, chosen: RuleDays) -> CureWindow:
    thickness_mm, meat, said = known.thickness_mm, known.meat, list[str]()
    if thickness_mm is None:
        return known.window(chosen, chosen.days_lo, chosen.days_hi, SALTS_DAYS)
    days = cure_days(thickness_mm, **meat)
    share = core_share(chosen.days_lo, thickness_mm, **meat)
    if chosen.days_lo < days.days_90:
        said.append(
            f"{chosen.days_lo:.3g} d by “{chosen.name}”: core at about {share.central:.0f} % "
            f"({share.lo:.0f}–{share.hi:.0f} %) of its final salt."
        )
    earliest = max(chosen.days_lo, days.days_90)
    usual = max(chosen.days_hi, days.days_95, earliest)
    if usual > facts.LONGEST_CURE_DAYS:
        missing = phrase(
            "No days at {thick}: the core would need {days} d by diffusion, and no rule of thumb"
            " covers that.",
            thick=millimetres(thickness_mm),
            days=f"{usual:.0f}",
        )
        return known.without_days(*said, missing)
    found = known.window(chosen, earliest, usual, *said, SALTS_DAYS)
    return replace(found, diffusion=days, core_share_on_rule_day=share)


def _box_window(known: _Known, chosen: RuleDays) -> CureWindow:
    said = [
        "A salt box goes on salting: take the meat out on the day, then rest it so that the"
        " core gets its salt."
    ]
    uptake, rest, no_rest = None, None, ""
    if known.thickness_mm is not None:
        uptake = mean_uptake(chosen.days_hi, known.thickness_mm, **known.meat)
        rest = salt_rest_days(known.thickness_mm, **known.meat)
        if rest.days_90 > facts.LONGEST_REST_DAYS:
            rest = None
            no_rest = (
                f"No days for the salt rest: diffusion gives over {facts.LONGEST_REST_DAYS:g} d,"
                " longer than any rest. Go by the months of its style and by its weight."
            )
            said.append(no_rest)
    return replace(
        known.window(chosen, chosen.days_lo, chosen.days_hi, *said, SALTS_DAYS),
        overdue_from_days=chosen.days_hi,
        mean_uptake=uptake,
        salt_rest=rest,
        no_days=no_rest,
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
    known = (f"“{rule.name}”" for rule in rules)
    raise Refused(no_such("rule for this method called", name[:60], known))


def temperature_words(temp_c: float) -> tuple[str, ...]:
    """Say that a cure is colder than 2 °C or warmer than 5 °C.

    Parameters
    ----------
    temp_c : temperature in the cure [°C]; no number raises `Refused`

    Returns
    -------
    the sentence, or nothing

    Source
    ------
    common practice

    Example
    -------
    >>> str(temperature_words(6)[0])
    '6 °C is warmer than 5 °C: too warm for a cure.'
    """
    if not isfinite(temp_c):
        raise Refused("A temperature in the cure is a number, for example 4 °C or 39 °F.")
    here = celsius(temp_c)
    if temp_c < COLD_C:
        text = "{here} is colder than {least}: salt hardly moves, allow more days."
        return (phrase(text, here=here, least=celsius(COLD_C)),)
    if temp_c > WARM_C:
        text = "{here} is warmer than {most}: too warm for a cure."
        return (phrase(text, here=here, most=celsius(WARM_C)),)
    return ()


def _check(green_g: float, thickness_mm: float | None) -> None:
    if not isfinite(green_g) or green_g <= 0:
        raise Refused(
            "A green weight of {green} makes no sense; give more than 0.", green=grams(green_g)
        )
    if thickness_mm is not None and not (isfinite(thickness_mm) and 1 <= thickness_mm <= 400):
        raise Refused(
            "A thickness of {thick} makes no sense; give {least} to {most}.",
            thick=millimetres(thickness_mm),
            least=millimetres(1, "1"),
            most=millimetres(400),
        )
