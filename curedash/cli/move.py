"""``curedash move``: hang a lot in another place."""

from curedash.cli.command import AT, JSON_LOT, LOT, PLACE, YES, Chosen, Command, Word
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Move a lot to another place; its stage and days go on."""
    from curedash.cli.typed import print_lot
    from curedash.services.places.move import move_to

    conn, lot = context.open(), context.lot(chosen.lot)
    at, why = context.at(chosen.at), {"note": chosen.note, "keep_doubtful": chosen.yes}
    hung = move_to(conn, context.by(), lot.id, chosen.place, at, **why)
    context.refresh(hung.lot)
    context.about(lot.code, *hung.messages)
    if not chosen.json:
        context.out(f"{hung.lot.code} is in {hung.lot.place} now")
        return
    print_lot(context, conn, hung.lot, as_json=True)


COMMAND = Command(
    "move",
    "Hang a lot in another place.",
    "curedash move D1 'Landing fridge'",
    LOT,
    PLACE,
    AT,
    Word("--note", "the reason, if you are asked for one"),
    YES,
    JSON_LOT,
    run=run,
)
