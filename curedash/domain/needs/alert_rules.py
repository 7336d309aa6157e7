"""The one table of alert rules: every threshold with its unit, range, default and source.

Not loaded while all rules stand at their defaults: the defaults are those of
:class:`~curedash.domain.needs.lot_needs.NeedRules` and
:class:`~curedash.domain.needs.place_needs.AirRules`.
"""

from collections.abc import Mapping
from typing import Any

from curedash.domain.curing.stages import WORDS
from curedash.domain.errors import NotFound, Refused
from curedash.domain.facts.air import AIR_LIMITS, AIR_LIMITS_SOURCE, WATCH_SOURCE
from curedash.domain.needs.lot_needs import DEFAULT_RULES, NeedRules
from curedash.domain.needs.place_needs import DEFAULT_AIR_RULES, AirRules
from curedash.domain.record import field_names, record, replace
from curedash.domain.wording import no_such

_DESIGN = "this program's own figure, not from any standard; you may change it"


@record
class AlertRule:
    """One threshold that the household can change."""

    id: str
    unit: str  # °C | % | h | d | min | points | %/d
    least: float
    most: float
    default: float | None
    words: str
    source: str
    field: str  # of NeedRules or AirRules
    part: int | None = None  # index into a field that is a tuple
    stage: str | None = None  # a temperature limit of this stage
    may_be_off: bool = False


def _lot(
    rule_id: str,
    field: str,
    unit: str,
    least: float,
    most: float,
    words: str,
    part: int | None = None,
) -> AlertRule:
    default: Any = getattr(DEFAULT_RULES, field)
    value = float(default if part is None else default[part])
    return AlertRule(rule_id, unit, least, most, value, words, _DESIGN, field, part)


def _air(
    rule_id: str, field: str, unit: str, least: float, most: float, words: str, off: bool = False
) -> AlertRule:
    default = getattr(DEFAULT_AIR_RULES, field)
    return AlertRule(
        rule_id, unit, least, most, default, words, WATCH_SOURCE, field, may_be_off=off
    )


_LIMITS = (
    ("warm-24h", "mean of 24 h above (today)"),
    ("warm-6h", "mean of 6 h above (now)"),
    ("cold-24h", "mean of 24 h below (today)"),
)


def _limit(stage: str, part: int, usual: float | None) -> AlertRule:
    name, words = _LIMITS[part]
    rule_id, said = f"{stage}-{name}", f"{WORDS[stage]}: {words}"
    return AlertRule(
        rule_id, "°C", -30.0, 45.0, usual, said, AIR_LIMITS_SOURCE, "limits", part, stage, True
    )


_STAGE_RULES = tuple(
    _limit(stage, part, usual)
    for stage, limits in AIR_LIMITS.items()
    for part, usual in enumerate(limits)
)

RULES: tuple[AlertRule, ...] = (
    *_STAGE_RULES,
    _air("sensor-silent", "sensor_silent_h", "h", 0.25, 240, "silence of a sensor (now)", True),
    _air("hand-log-silent", "hand_log_silent_h", "h", 6, 720,
         "silence of a place read by hand (today)", True),
    _air("loading-grace", "grace_h", "h", 0, 240,
         "time that humidity may be off after fresh meat was hung"),
    _air("clears-inside-temp", "clears_inside_c", "°C", 0, 5,
         "how far inside its limit an open alert clears"),
    _air("clears-inside-rh", "clears_inside_rh_pct", "%", 0, 20,
         "how far inside its band an open alert clears"),
    _air("sensors-apart-temp", "sensors_apart_c", "°C", 0.2, 20,
         "difference in temperature of two sensors of a place (today)", True),
    _air("sensors-apart-rh", "sensors_apart_rh_pct", "%", 1, 60,
         "difference in humidity of two sensors of a place (today)", True),
    _lot("dose-open", "ticks_open_hours", "h", 1, 240, "time with a dose sheet half ticked (now)"),
    _lot("cure-decide", "cure_decide_days", "d", 1, 365, "days in cure past the usual day (today)"),
    _lot("weigh-soon-every", "weigh_soon_every_days", "d", 1, 30,
         "days between weigh-ins once the pull window is near"),
    _lot("weigh-soon-before", "weigh_soon_before_window_days", "d", 0, 60,
         "days before it opens that the pull window is near"),
    _lot("past-target-first", "past_target_points", "points", 0.5, 30,
         "points of loss past the end of the target (today)", 0),
    _lot("past-target-second", "past_target_points", "points", 0.5, 40,
         "points of loss past the end of the target (today, again)", 1),
    _lot("levelling-rate", "levelling_pct_per_day", "%/d", 0.01, 2,
         "stalled: loss a day below this (today)"),
    _lot("levelling-apart", "levelling_apart_days", "d", 2, 60,
         "stalled: fewest days between the two weigh-ins"),
    _lot("ph-wait", "ph_wait_hours", "h", 6, 240, "time in a ferment without a pH (today)"),
    _lot("turn-bag", "turn_bag_days", "d", 1, 60,
         "in cure, bag or brine: days between turns (today)"),
    _lot("turn-box", "turn_box_days", "d", 1, 60, "in a salt box: days between overhauls (today)"),
    _lot("mould-again", "mould_again_days", "d", 0.5, 30,
         "days until mould is looked at again (today)"),
    _lot("clock-back", "clock_back_minutes", "min", 1, 1440,
         "time the clock is behind the newest entry (now)"),
)  # fmt: skip


def rule(rule_id: str) -> AlertRule:
    """The rule with this id.

    Raises
    ------
    NotFound: no such rule; names those that look like it
    """
    wanted = rule_id.strip().lower()
    for known in RULES:
        if known.id == wanted:
            return known
    like = [known.id for known in RULES if wanted and wanted.split("-")[0] in known.id][:6]
    if like:
        raise NotFound(no_such("rule", rule_id[:40], like))
    raise NotFound(f"There is no rule “{rule_id[:40]}”; 'curedash rules list' names them.")


def checked(known: AlertRule, value: float | None) -> float | None:
    """A value that the rule can take.

    Raises
    ------
    Refused: out of range, or off where that makes no sense; says what would be accepted
    """
    if value is None:
        if known.may_be_off:
            return None
        raise Refused(
            f"{known.id} cannot be off; give {known.least:g} to {known.most:g} {known.unit}."
        )
    if not known.least <= value <= known.most:
        raise Refused(f"{known.id} takes {known.least:g} to {known.most:g} {known.unit}.")
    return value


def need_rules(chosen: Mapping[str, float | None]) -> NeedRules:
    """The thresholds for lots, with what the household chose."""
    changed: dict[str, Any] = {}
    for known in RULES:
        value = chosen.get(known.id)
        if value is None or known.field not in field_names(NeedRules):
            continue
        if known.part is None:
            changed[known.field] = value
        else:
            parts = list(changed.get(known.field, getattr(DEFAULT_RULES, known.field)))
            parts[known.part] = value
            changed[known.field] = tuple(parts)
    return replace(DEFAULT_RULES, **changed)


def air_rules(chosen: Mapping[str, float | None]) -> AirRules:
    """The thresholds for places, with what the household chose; None switches a rule off."""
    limits = {stage: list(row) for stage, row in AIR_LIMITS.items()}
    changed: dict[str, Any] = {}
    for known in RULES:
        if known.id not in chosen or known.field not in field_names(AirRules):
            continue
        if known.stage is not None and known.part is not None:
            limits[known.stage][known.part] = chosen[known.id]
        else:
            changed[known.field] = chosen[known.id]
    fixed = {stage: (row[0], row[1], row[2]) for stage, row in limits.items()}
    return replace(DEFAULT_AIR_RULES, limits=fixed, **changed)
