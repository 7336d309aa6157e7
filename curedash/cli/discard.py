"""``curedash discard``: throw a lot away, with the reason."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Discard a lot; 'curedash undo' brings it back."""
    chosen = parser().parse_args(argv)
    from curedash.cli.typed import grams, print_lot, when
    from curedash.services.curing.hold import discard
    from curedash.services.find import require_lot

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    moved = discard(
        conn,
        context.by(),
        lot.id,
        " ".join(chosen.reason),
        when(context, conn, chosen.at),
        weight_g=None if chosen.weight is None else grams(chosen.weight, lot),
    )
    print_lot(context, conn, moved.lot, as_json=chosen.json)
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "discard",
        "Throw a lot away; 'curedash undo' brings it back.",
        "curedash discard K1 'smelled rotten'",
    )
    parser.add_argument("lot")
    parser.add_argument("reason", nargs="+")
    parser.add_argument("--weight", help="what the scale shows")
    parser.add_argument("--at", help="when (default: now)")
    parser.add_argument("--json", action="store_true", help="the lot as 'lots --json' lists it")
    return parser
