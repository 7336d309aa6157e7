"""``curedash jar``: the household's own jars of curing salt, pre-mixes and their labels."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError


def run(argv: list[str], context: Context) -> int:
    """Add a jar, list the shelf, mix a pre-mix, print a label, take a jar away."""
    words = {"add": _add, "list": _list, "premix": _premix, "label": _label, "remove": _remove}
    if not argv or argv[0] not in words:
        raise UsageError(
            "Say 'curedash jar add NAME 6.25/0', 'jar list', 'jar premix', 'jar label NAME'"
            " or 'jar remove NAME'."
        )
    return words[argv[0]](argv[1:], context)


def _add(argv: list[str], context: Context) -> int:
    chosen = _add_parser().parse_args(argv)
    from curedash.domain.typed.dates import parse_day
    from curedash.present.dosing.jars import jar_document, jar_line
    from curedash.services.dosing.jars import add_jar
    from curedash.services.household import household

    conn = context.open(create=True)
    opened = chosen.opened_on
    day = None
    if opened is not None:
        day = parse_day(opened, context.now, household.zone(conn), ahead=False)
    jar = add_jar(
        conn,
        context.by(),
        chosen.name,
        chosen.strength,
        nitrate_as=chosen.nitrate_as,
        opened_on=day,
        note=chosen.note,
    )
    _cautions(context)
    if chosen.json:
        context.json(jar_document(jar))
    else:
        context.out(jar_line(jar))
    return 0


def _add_parser() -> Parser:
    parser = Parser(
        "jar add",
        "Add a jar of curing salt, with the strength on its label.",
        "curedash jar add 'red jar' 6.25/0 --opened-on today",
    )
    parser.add_argument("name", help="its name, as --curing-salt will use it")
    parser.add_argument("strength", help="label: nitrite %%/nitrate %%, or with /salt %% after it")
    parser.add_argument(
        "--nitrate-as",
        choices=("NaNO3", "KNO3"),
        default="NaNO3",
        help="which nitrate salt the label means",
    )
    parser.add_argument("--opened-on", metavar="DAY", help="the day it was opened")
    parser.add_argument("--note", default="", help="batch number, shop …")
    parser.add_argument("--json", action="store_true")
    return parser


def _list(argv: list[str], context: Context) -> int:
    chosen = _list_parser().parse_args(argv)
    from curedash.present.dosing import jars as words
    from curedash.services.dosing.jars import generic, jars

    own = jars(context.open_if_there())
    types = () if chosen.own else generic()
    if chosen.json:
        context.json([*map(words.jar_document, own), *map(words.salt_document, types)])
        return 0
    for line in (*map(words.jar_line, own), *map(words.generic_line, types)):
        context.out(line)
    return 0


def _list_parser() -> Parser:
    parser = Parser(
        "jar list",
        "Your own jars, then the generic types with their sources.",
        "curedash jar list --json",
    )
    parser.add_argument("--own", action="store_true", help="only the household's own jars")
    parser.add_argument("--json", action="store_true")
    return parser


def _premix(argv: list[str], context: Context) -> int:
    chosen = _premix_parser().parse_args(argv)
    from curedash.cli.dose_flags import number
    from curedash.domain.typed.units import parse_weight_g
    from curedash.present.dosing.doses import premix_document
    from curedash.present.dosing.jars import jar_document, mixed_lines
    from curedash.services.dosing.jars import add_premix
    from curedash.services.household import household

    conn = context.open(create=True)
    jar, made = add_premix(
        conn,
        context.by(),
        chosen.curing_salt,
        number(chosen.parts, "--parts takes a number, for example 4."),
        parse_weight_g(chosen.weight, marks_are_decimal=True),
        name=chosen.name,
        mixed_on=context.now.astimezone(household.zone(conn)).date(),
    )
    _cautions(context)
    if chosen.json:
        context.json(jar_document(jar) | {"premix": premix_document(made)})
        return 0
    for line in mixed_lines(jar, made):
        context.out(line)
    return 0


def _premix_parser() -> Parser:
    parser = Parser(
        "jar premix",
        "Dilute a curing salt in table salt, so that a kitchen scale can weigh it. The mix "
        "becomes a jar with its own strength.",
        "curedash jar premix no1 --parts 4 --weight 200g --name weak",
    )
    parser.add_argument("curing_salt", help="a jar, a generic type or a label strength")
    parser.add_argument("--parts", required=True, help="parts of table salt to one of curing salt")
    parser.add_argument("--weight", required=True, help="weight of the whole mix")
    parser.add_argument("--name", default="", help="name of the jar")
    parser.add_argument("--json", action="store_true")
    return parser


def _label(argv: list[str], context: Context) -> int:
    chosen = _label_parser().parse_args(argv)
    from curedash.present.dosing.jars import jar_label
    from curedash.services.dosing.jars import require_jar

    for line in jar_label(require_jar(context.open(), chosen.name)):
        context.out(line)
    return 0


def _label_parser() -> Parser:
    parser = Parser("jar label", "The label of a jar as text.", "curedash jar label 'red jar'")
    parser.add_argument("name")
    return parser


def _remove(argv: list[str], context: Context) -> int:
    chosen = _remove_parser().parse_args(argv)
    from curedash.services.dosing.jars import remove_jar

    jar = remove_jar(context.open(), context.by(), chosen.name)
    context.out(f"{jar.salt.name} is removed; batches keep the strength they were dosed with")
    return 0


def _remove_parser() -> Parser:
    parser = Parser("jar remove", "Remove a jar.", "curedash jar remove 'red jar'")
    parser.add_argument("name")
    return parser


def _cautions(context: Context) -> None:
    from curedash.services.needs.cautions import cautions_once

    for sentence in cautions_once(context.open(), context.by(), "curing-salt"):
        context.err(sentence)


#: the second words, each with what it takes
PARSERS = {
    "add": _add_parser,
    "list": _list_parser,
    "premix": _premix_parser,
    "label": _label_parser,
    "remove": _remove_parser,
}
