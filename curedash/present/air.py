"""Air, sensors and alert rules in words and as JSON; shared by both fronts."""

from typing import Any

from curedash.services.alert_rules import StandingRule

WIDTH = 21


def rule_line(standing: StandingRule) -> str:
    """``sensor-silent   6 h  (3)  a sensor silent for (act)``."""
    rule = standing.rule
    value = threshold(standing.value, rule.unit)
    usual = f" (usual {threshold(rule.default, rule.unit)})" if standing.own else ""
    return f"{rule.id:<{WIDTH}} {value + usual:<10} {rule.words}"


def threshold(value: float | None, unit: str) -> str:
    """A threshold with its unit, ``off`` if it is switched off."""
    return "off" if value is None else f"{value:g} {unit}"


def rule_document(standing: StandingRule) -> dict[str, Any]:
    """One alert rule as JSON."""
    rule = standing.rule
    return {
        "id": rule.id,
        "value": standing.value,
        "unit": rule.unit,
        "default": rule.default,
        "own": standing.own,
        "range": [rule.least, rule.most],
        "what": rule.words,
        "source": rule.source,
    }
