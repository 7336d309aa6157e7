"""``curedash discard``: throw a lot away, with the reason."""

from curedash.cli.command import AT, JSON_LOT, LOT, Chosen, Command, Word
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Discard a lot; 'curedash undo' brings it back."""
    from curedash.cli.typed import grams, if_given, print_lot
    from curedash.services.curing.hold import discard

    conn, lot = context.open(), context.lot(chosen.lot)
    weight_g = if_given(grams, chosen.weight, lot)
    why, at = " ".join(chosen.reason), context.at(chosen.at)
    moved = discard(conn, context.by(), lot.id, why, at, weight_g=weight_g)
    print_lot(context, conn, moved.lot, as_json=chosen.json)


COMMAND = Command(
    "discard",
    "Throw a lot away; 'curedash undo' brings it back.",
    "curedash discard K1 'smelled rotten'",
    LOT,
    Word("reason", "why, in a few words", nargs="+"),
    Word("--weight", "what the scale shows, e.g. 940"),
    AT,
    JSON_LOT,
    run=run,
)
