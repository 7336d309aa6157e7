"""``curedash turn``: lots in cure were turned, stirred or overhauled."""

from curedash.cli.command import AT, JSON_BARE, YES, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.domain.errors import UsageError


def run(chosen: Chosen, context: Context) -> None:
    """Log a turn of some lots, or of all in one place."""
    if bool(chosen.lot) == (chosen.place is not None):
        raise UsageError("Name the lots that were turned, or --place for all in cure there.")
    from curedash.domain.times import utc_text
    from curedash.services.curing.turn import may_turn, turn
    from curedash.store.rack import open_lots

    conn = context.open()
    if chosen.place is None:
        lots = [context.lot(code) for code in dict.fromkeys(chosen.lot)]
    else:
        place = context.place(chosen.place)
        lots = [lot for lot in open_lots(conn) if lot.place_id == place.id and may_turn(lot)]
    at = context.at(chosen.at)
    ids = [lot.id for lot in lots]
    turned = turn(conn, context.by(), ids, at, note=chosen.note, keep_doubtful=chosen.yes)
    document = [{"lot": lot.code, "at": utc_text(at)} for lot in turned]
    context.answer(chosen.json, document, f"turned: {', '.join(lot.code for lot in turned)}")


COMMAND = Command(
    "turn",
    "Record that lots in cure were turned, stirred or overhauled.",
    "curedash turn G1 K1",
    Word("lot", "the lots that were turned, e.g. G1 K1", nargs="*"),
    Word("--place", "turn everything that is in cure in this place"),
    AT,
    Word("--note", "a note: purge, smell, salt left …"),
    YES,
    JSON_BARE,
    run=run,
)
