"""``curedash settings list``, ``set``, ``scale`` and ``forget-scale``."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import Refused, UsageError
from curedash.domain.wording import no_such


def run(argv: list[str], context: Context) -> int:
    """List what is set, or change one thing."""
    words = {"list": _list, "set": _set, "scale": _scale, "forget-scale": _forget}
    if not argv or argv[0] not in words:
        raise UsageError(
            "Say 'curedash settings list', 'settings set NAME VALUE' or"
            " 'settings scale \"kitchen 1 g 5 kg\"'."
        )
    return words[argv[0]](argv[1:], context)


def _list(argv: list[str], context: Context) -> int:
    chosen = _list_parser().parse_args(argv)
    from curedash.present.household.settings import setting_lines, settings_document
    from curedash.services.household.household_settings import read_settings
    from curedash.services.household.preferences import load, view_path

    view, found = load(), read_settings(context.open())
    if chosen.json:
        context.json(settings_document(view, found, view_path()))
    else:
        for line in setting_lines(view, found, view_path()):
            context.out(line)
    return 0


def _list_parser() -> Parser:
    parser = Parser(
        "settings list",
        "Your own view, and the settings of the household.",
        "curedash settings list --json",
    )
    parser.add_argument("--json", action="store_true")
    return parser


def _set(argv: list[str], context: Context) -> int:
    chosen = _set_parser().parse_args(argv)
    from curedash.services.household import household_settings, preferences

    if chosen.name in preferences.CHOICES:
        preferences.choose(chosen.name, chosen.value)
        context.err(f"{chosen.name} is {chosen.value}, saved in {preferences.view_path()}")
        return 0
    household = {
        "rule-set": household_settings.set_rule_set,
        "zone": household_settings.set_zone,
        "copies": household_settings.set_copies,
        "keep-days": household_settings.set_keep_days,
    }
    if chosen.name not in household:
        raise Refused(no_such("setting", chosen.name[:40], (*preferences.CHOICES, *household)))
    conn, said = context.open(create=True), chosen.value.strip()
    household[chosen.name](conn, context.by(), chosen.value)
    if chosen.name == "zone":  # a city was enough
        from curedash.services.household.household import zone_name

        said = zone_name(conn)
    context.err(f"{chosen.name} is {said}")
    return 0


def _set_parser() -> Parser:
    parser = Parser(
        "settings set",
        "Change one setting: weights, temperatures, lengths, paper,"
        " theme, signs, mouse (this person's view); rule-set, zone, copies, keep-days (the"
        " household's).",
        "curedash settings set weights lb",
    )
    parser.add_argument(
        "name",
        help="weights, temperatures, lengths, paper, theme, signs, mouse, rule-set, zone, copies or"
        " keep-days",
    )
    parser.add_argument("value", help="lb, F, in, paper-light, eu, Europe/Vienna, 14 …")
    return parser


def _scale(argv: list[str], context: Context) -> int:
    chosen = _scale_parser().parse_args(argv)
    from curedash.present.household.settings import scale_words
    from curedash.services.household.household_settings import (
        add_scale,
        change_scale,
        read_settings,
        typed_scale,
    )

    scale = typed_scale(" ".join(chosen.scale))
    conn = context.open(create=True)
    if scale.name.casefold() in (own.name.casefold() for own in read_settings(conn).scales):
        change_scale(conn, context.by(), scale.name, scale)
    else:
        add_scale(conn, context.by(), scale)
    context.err(f"{scale.name}: {scale_words(scale)}")
    return 0


def _scale_parser() -> Parser:
    parser = Parser(
        "settings scale",
        "Add a scale, or change the one of that name.",
        "curedash settings scale 'fine 0.1 g 500 g'",
    )
    parser.add_argument("scale", nargs="+", help="name, resolution, capacity")
    return parser


def _forget(argv: list[str], context: Context) -> int:
    chosen = _forget_parser().parse_args(argv)
    from curedash.services.household.household_settings import remove_scale

    remove_scale(context.open(), context.by(), chosen.scale)
    context.err(f"{chosen.scale} removed; 'curedash undo' restores it")
    return 0


def _forget_parser() -> Parser:
    parser = Parser(
        "settings forget-scale", "Remove a scale.", "curedash settings forget-scale fine"
    )
    parser.add_argument("scale")
    return parser


#: the second words, each with what it takes
PARSERS = {
    "list": _list_parser,
    "set": _set_parser,
    "scale": _scale_parser,
    "forget-scale": _forget_parser,
}
