"""``curedash move``: hang a lot in another place."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Move a lot to another place; its stage and days go on."""
    chosen = parser().parse_args(argv)
    from curedash.cli.typed import print_lot, when
    from curedash.services.drying import forecasts
    from curedash.services.find import require_lot
    from curedash.services.places.move import move_to

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    hung = move_to(
        conn,
        context.by(),
        lot.id,
        chosen.place,
        when(context, conn, chosen.at),
        note=chosen.note,
        keep_doubtful=chosen.yes,
    )
    forecasts.refresh(conn, hung.lot, context.now)
    for message in hung.messages:
        context.about(lot.code, message)
    if not chosen.json:
        context.out(f"{hung.lot.code} is in {hung.lot.place} now")
        return 0
    print_lot(context, conn, hung.lot, as_json=True)
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser("move", "Hang a lot in another place.", "curedash move D1 'Landing fridge'")
    parser.add_argument("lot")
    parser.add_argument("place")
    parser.add_argument("--at", help="when (default: now)")
    parser.add_argument("--note", help="why, where the move asks for a reason")
    parser.add_argument("--yes", action="store_true", help="save it even if it looks doubtful")
    parser.add_argument("--json", action="store_true", help="the lot as 'lots --json' lists it")
    return parser
