"""``curedash undo``: take a change back, or do it again."""

from curedash.cli.command import JSON_BARE, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.domain.errors import NotFound
from curedash.store.log import last_change_id


def run(chosen: Chosen, context: Context) -> None:
    """Take back one change by its number, or the newest one of this login from the shell."""
    from curedash.services.household.undo import newest_of, require_not_restored_since, undo_change
    from curedash.store.rack import one_lot
    from curedash.store.watching import lots_changed_since

    conn, by = context.open(), context.by()
    number = chosen.change if chosen.change is not None else newest_of(conn, by.actor, by.origin)
    if number is None:
        raise NotFound(
            "Nothing you changed from the shell is left to undo. 'curedash history' lists every"
            " change, 'curedash undo NUMBER' undoes one of them."
        )
    if chosen.change is None:
        require_not_restored_since(conn, number)
    last = last_change_id(conn)
    words = undo_change(conn, by, number)
    _, touched = lots_changed_since(conn, last)
    for lot_id in sorted(touched):
        lot = one_lot(conn, lot_id)
        if lot is not None:
            context.refresh(lot)
    context.answer(chosen.json, {"change": number, "undone": words}, f"undone: {words}")


COMMAND = Command(
    "undo",
    "Undo a change; weigh-ins are voided and stay in the log. The number"
    " of an undo redoes the change.",
    "curedash undo",
    Word("change", "its number in the history", nargs="?", type=int),
    JSON_BARE,
    run=run,
)
