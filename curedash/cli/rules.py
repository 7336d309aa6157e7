"""``curedash rules list``, ``rules set`` and ``rules reset``: the one table of alert rules."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError


def run(argv: list[str], context: Context) -> int:
    """List the alert rules, change one, or take one back to its default."""
    words = {"list": _list, "set": _set, "reset": _reset}
    if not argv or argv[0] not in words:
        raise UsageError("Say 'curedash rules list', 'rules set RULE VALUE' or 'rules reset RULE'.")
    return words[argv[0]](argv[1:], context)


def _list(argv: list[str], context: Context) -> int:
    chosen = _list_parser().parse_args(argv)
    from curedash.present.places.air import rule_document, rule_line
    from curedash.services.needs.alert_rules import all_rules

    found = all_rules(context.open())
    if chosen.json:
        context.json([rule_document(standing) for standing in found])
    else:
        for standing in found:
            context.out(rule_line(standing))
    return 0


def _list_parser() -> Parser:
    parser = Parser(
        "rules list",
        "Every alert rule with its value, default and source.",
        "curedash rules list --json",
    )
    parser.add_argument("--json", action="store_true")
    return parser


def _set(argv: list[str], context: Context) -> int:
    chosen = _set_parser().parse_args(argv)
    from curedash.domain.needs.alert_rules import rule
    from curedash.present.places.air import is_difference, rule_line
    from curedash.services.household.household_settings import typed_threshold
    from curedash.services.needs.alert_rules import set_rule

    known = rule(chosen.rule)
    value = typed_threshold(chosen.value, known.unit, apart=is_difference(known.id))
    standing = set_rule(context.open(), context.by(), known.id, value)
    context.out(rule_line(standing))
    return 0


def _set_parser() -> Parser:
    parser = Parser(
        "rules set",
        "Change one alert rule of this household.",
        "curedash rules set sensor-silent 6",
    )
    parser.add_argument("rule", help="name of the rule, as 'curedash rules list' shows it")
    parser.add_argument("value", help="a number in the unit of the rule (38F for °C), or off")
    return parser


def _reset(argv: list[str], context: Context) -> int:
    chosen = _reset_parser().parse_args(argv)
    from curedash.present.places.air import rule_line
    from curedash.services.needs.alert_rules import reset_rule

    context.out(rule_line(reset_rule(context.open(), context.by(), chosen.rule)))
    return 0


def _reset_parser() -> Parser:
    parser = Parser(
        "rules reset", "Reset one alert rule to its default.", "curedash rules reset sensor-silent"
    )
    parser.add_argument("rule")
    return parser


#: the second words, each with what it takes
PARSERS = {"list": _list_parser, "set": _set_parser, "reset": _reset_parser}
