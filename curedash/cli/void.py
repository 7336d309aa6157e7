"""``curedash void``: void a weigh-in."""

from curedash.cli.command import JSON_LOT, LOT, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.domain.errors import NotFound


def run(chosen: Chosen, context: Context) -> None:
    """Void the newest weigh-in of a lot, or the one with a number; both stay in the log."""
    from curedash.cli.typed import print_lot
    from curedash.services.weighing.correct import void_weigh_in, weigh_in_of

    conn, lot = context.open(), context.lot(chosen.lot)
    row = weigh_in_of(conn, lot, chosen.weigh_in)
    if row is None:
        raise NotFound(f"{lot.code} has no such weigh-in.")
    after = void_weigh_in(conn, context.by(), row.id)
    context.refresh(after)
    from curedash.present.display_units import mass
    from curedash.present.weighing.on_scale import moment_dated

    when = moment_dated(row.at, context.zone)
    context.err(f"{lot.code}: the weigh-in of {when}, {mass(row.gross_g)}, is void")
    print_lot(context, conn, after, as_json=chosen.json)


COMMAND = Command(
    "void",
    "Void a weigh-in; it stays in the log.",
    "curedash void D1",
    LOT,
    Word("--weigh-in", "number of the weigh-in (default: the newest)", type=int),
    JSON_LOT,
    run=run,
)
