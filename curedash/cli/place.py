"""``curedash place add``, ``place set`` and ``place list``."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError

WATCHES = ("sensor", "hand-log", "not-watched")


def run(argv: list[str], context: Context) -> int:
    """Add a place, change one, or list them."""
    words = {"add": _add, "set": _set, "list": _list}
    if not argv or argv[0] not in words:
        raise UsageError("Say 'curedash place add NAME', 'place set NAME' or 'place list'.")
    return words[argv[0]](argv[1:], context)


def _add(argv: list[str], context: Context) -> int:
    chosen = _add_parser().parse_args(argv)
    from curedash.domain.typed.units import parse_rh_range_pct, parse_temp_range_c
    from curedash.services.places.places import add_place

    place = add_place(
        context.open(create=True),
        context.by(),
        chosen.name,
        temp_c=parse_temp_range_c(chosen.temp) if chosen.temp else None,
        rh_pct=parse_rh_range_pct(chosen.rh) if chosen.rh else None,
        watch=chosen.watch,
    )
    if chosen.json:
        from curedash.present.documents import place_document

        context.json(place_document(place))
    else:
        context.out(f"{place.name} added")
    return 0


def _add_parser() -> Parser:
    parser = Parser(
        "place add",
        "Add a fridge, chamber or cellar.",
        "curedash place add 'Fridge 2' --temp 2..5C --rh 70..80%",
    )
    parser.add_argument("name")
    parser.add_argument("--temp", help="its temperature band, e.g. 2..5C or 36..41F")
    parser.add_argument("--rh", help="its humidity band, e.g. 70..80%%")
    parser.add_argument("--watch", choices=WATCHES, default="hand-log", help="who measures there")
    parser.add_argument("--json", action="store_true")
    return parser


def _set(argv: list[str], context: Context) -> int:
    chosen = _set_parser().parse_args(argv)
    from curedash.domain.typed.units import parse_rh_range_pct, parse_temp_range_c
    from curedash.present.lines import place_line
    from curedash.services.dosing.answer import answered_by
    from curedash.services.places.places import change_place, require_place

    conn = context.open()
    place = require_place(conn, chosen.name)
    change_place(
        conn,
        context.by(),
        place,
        watch=chosen.watch,
        name=chosen.rename,
        temp_c=parse_temp_range_c(chosen.temp) if chosen.temp else None,
        rh_pct=parse_rh_range_pct(chosen.rh) if chosen.rh else None,
        then=answered_by(place),
    )
    context.out(place_line(require_place(conn, chosen.rename or chosen.name)))
    return 0


def _set_parser() -> Parser:
    parser = Parser(
        "place set",
        "Change a place's band, its name, or who measures there.",
        "curedash place set Cellar --rh 70..80% --watch not-watched",
    )
    parser.add_argument("name")
    parser.add_argument("--temp", help="its temperature band, e.g. 2..5C or 36..41F")
    parser.add_argument("--rh", help="its humidity band, e.g. 70..80%%")
    parser.add_argument("--watch", choices=WATCHES, help="who measures there")
    parser.add_argument("--rename", metavar="NAME")
    return parser


def _list(argv: list[str], context: Context) -> int:
    chosen = _list_parser().parse_args(argv)
    from curedash.present.documents import place_document
    from curedash.present.lines import place_line
    from curedash.store.places import all_places

    found = all_places(context.open())
    if chosen.json:
        context.json([place_document(place) for place in found])
    else:
        for place in found:
            context.out(place_line(place))
    return 0


def _list_parser() -> Parser:
    parser = Parser("place list", "The places and their bands.", "curedash place list --json")
    parser.add_argument("--json", action="store_true")
    return parser


#: the second words, each with what it takes
PARSERS = {"add": _add_parser, "set": _set_parser, "list": _list_parser}
