"""``curedash rules list``, ``rules set`` and ``rules reset``: the one table of alert rules."""

from curedash.cli.command import JSON_BARE, Chosen, Command, Group, Word
from curedash.cli.context import Context
from curedash.domain.needs.alert_rules import rule
from curedash.present.places.air import is_difference, rule_document, rule_line
from curedash.services.household.household_settings import typed_threshold
from curedash.services.needs.alert_rules import all_rules, reset_rule, set_rule


def _list(chosen: Chosen, context: Context) -> None:

    found = all_rules(context.open())
    context.each(chosen.json, found, rule_document, rule_line)


_LIST = Command(
    "rules list",
    "Every alert rule with its value, default and source.",
    "curedash rules list --json",
    JSON_BARE,
    run=_list,
)


def _set(chosen: Chosen, context: Context) -> None:

    known = rule(chosen.rule)
    value = typed_threshold(chosen.value, known.unit, apart=is_difference(known.id))
    standing = set_rule(context.open(), context.by(), known.id, value)
    context.out(rule_line(standing))


_SET = Command(
    "rules set",
    "Change one alert rule of this household.",
    "curedash rules set sensor-silent 6",
    Word("rule", "name of the rule, as 'curedash rules list' shows it"),
    Word("value", "a number in the unit of the rule (38F for °C), or off"),
    run=_set,
)


def _reset(chosen: Chosen, context: Context) -> None:

    context.out(rule_line(reset_rule(context.open(), context.by(), chosen.rule)))


_RESET = Command(
    "rules reset",
    "Reset one alert rule to its default.",
    "curedash rules reset sensor-silent",
    Word("rule", "name of the rule, as 'curedash rules list' shows it"),
    run=_reset,
)


COMMAND = Group(
    "Say 'curedash rules list', 'rules set RULE VALUE' or 'rules reset RULE'.", _LIST, _SET, _RESET
)
