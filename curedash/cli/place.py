"""``curedash place add`` and ``curedash place list``."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError


def run(argv: list[str], context: Context) -> int:
    """Add a place, or list them."""
    words = {"add": _add, "list": _list}
    if not argv or argv[0] not in words:
        raise UsageError("Say 'curedash place add NAME' or 'curedash place list'.")
    return words[argv[0]](argv[1:], context)


def _add(argv: list[str], context: Context) -> int:
    parser = Parser("place add", "Make a fridge, chamber or cellar known.",
                    "curedash place add 'Fridge 2' --temp 2..5C --rh 70..80%")  # fmt: skip
    parser.add_argument("name")
    parser.add_argument("--temp", help="the band it should keep, e.g. 2..5C or 36..41F")
    parser.add_argument("--rh", help="the humidity it should keep, e.g. 70..80%%")
    parser.add_argument("--watch", choices=("sensor", "hand-log", "not-watched"),
                        default="hand-log", help="who measures there")  # fmt: skip
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args(argv)
    from curedash.domain.units import parse_rh_range_pct, parse_temp_range_c
    from curedash.services.places import add_place

    place = add_place(
        context.open(create=True), context.by(), chosen.name,
        temp_c=parse_temp_range_c(chosen.temp) if chosen.temp else None,
        rh_pct=parse_rh_range_pct(chosen.rh) if chosen.rh else None, watch=chosen.watch,
    )  # fmt: skip
    if chosen.json:
        from curedash.present.documents import place_document

        context.json(place_document(place))
    else:
        context.out(f"{place.name} added")
    return 0


def _list(argv: list[str], context: Context) -> int:
    parser = Parser("place list", "The places and their bands.", "curedash place list --json")
    parser.add_argument("--json", action="store_true")
    chosen = parser.parse_args(argv)
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
