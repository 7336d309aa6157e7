"""The household's alert rules: read fast, changed one at a time, always back to the default."""

from sqlite3 import Connection

from curedash.domain.needs.lot_needs import DEFAULT_RULES, NeedRules
from curedash.domain.needs.place_needs import DEFAULT_AIR_RULES, AirRules
from curedash.domain.record import record
from curedash.store import alert_rules
from curedash.store.work import By, at_once, change

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.needs.alert_rules import AlertRule


@record
class StandingRule:
    """A rule with the value it has here."""

    rule: "AlertRule"
    value: float | None  # None: switched off
    own: bool  # the household chose it


def rules_of(conn: Connection) -> tuple[NeedRules, AirRules]:
    """The thresholds for lots and for places."""
    chosen = alert_rules.chosen(conn)
    if not chosen:
        return DEFAULT_RULES, DEFAULT_AIR_RULES
    from curedash.domain.needs import alert_rules as table

    values = {rule_id: body.get("value") for rule_id, body in chosen.items()}
    return table.need_rules(values), table.air_rules(values)


def all_rules(conn: Connection) -> list[StandingRule]:
    """Every rule as it stands."""
    from curedash.domain.needs.alert_rules import RULES

    chosen = alert_rules.chosen(conn)
    return [
        StandingRule(rule, chosen[rule.id].get("value"), own=True)
        if rule.id in chosen
        else StandingRule(rule, rule.default, own=False)
        for rule in RULES
    ]


@at_once
def set_rule(conn: Connection, by: By, rule_id: str, value: float | None) -> StandingRule:
    """Choose a threshold; None switches the rule off.

    Raises
    ------
    NotFound: no such rule; Refused: out of its range, or it cannot be off
    """
    from curedash.domain.needs.alert_rules import checked, rule

    known = rule(rule_id)
    fixed = checked(known, value)
    with change(conn, by, "set rule", subject=known.id) as work:
        alert_rules.put(work, known.id, fixed)
    return StandingRule(known, fixed, own=True)


@at_once
def reset_rule(conn: Connection, by: By, rule_id: str) -> StandingRule:
    """Take a threshold back to its default.

    Raises
    ------
    NotFound: no such rule
    """
    from curedash.domain.needs.alert_rules import rule

    known = rule(rule_id)
    if known.id in alert_rules.chosen(conn):
        with change(conn, by, "reset rule", subject=known.id) as work:
            alert_rules.drop(work, known.id)
    return StandingRule(known, known.default, own=False)
