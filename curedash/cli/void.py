"""``curedash void``: void a weigh-in."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.domain.errors import NotFound


def run(argv: list[str], context: Context) -> int:
    """Void the newest weigh-in of a lot, or the one with a number; both stay in the log."""
    chosen = parser().parse_args(argv)
    from curedash.cli.typed import print_lot
    from curedash.services.drying import forecasts
    from curedash.services.find import require_lot
    from curedash.services.weighing.correct import void_weigh_in, weigh_in_of

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    row = weigh_in_of(conn, lot, chosen.weigh_in)
    if row is None:
        raise NotFound(f"{lot.code} has no such weigh-in.")
    after = void_weigh_in(conn, context.by(), row.id)
    forecasts.refresh(conn, after, context.now)
    from curedash.present.display_units import mass
    from curedash.present.weighing.on_scale import moment_dated
    from curedash.services.household.household import zone

    when = moment_dated(row.at, zone(conn))
    context.err(f"{lot.code}: the weigh-in of {when}, {mass(row.gross_g)}, is void")
    print_lot(context, conn, after, as_json=chosen.json)
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser("void", "Void a weigh-in; it stays in the log.", "curedash void D1")
    parser.add_argument("lot")
    parser.add_argument("--weigh-in", type=int, help="number of the weigh-in (default: the newest)")
    parser.add_argument("--json", action="store_true", help="the lot as 'lots --json' lists it")
    return parser
