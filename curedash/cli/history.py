"""``curedash history``: what was done, by whom, when and from where."""

from curedash.cli.command import JSON_ARRAY, Chosen, Command, Word
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """List changes, newest first, of the file or of one lot; or what one change set."""
    from curedash.domain.record import as_dict
    from curedash.present.drying import lot_phrases
    from curedash.present.household.change_words import change_parts
    from curedash.services.household.history import details, history
    from curedash.services.places.places import all_of

    conn = context.open()
    zone = context.zone
    if chosen.change is not None:
        found = details(conn, chosen.change)
        document = [as_dict(detail) for detail in found]
        names = {place.id: place.name for place in all_of(conn)}
        lines = change_parts(found, zone, names)
    else:
        lot_id = None if chosen.lot is None else context.lot(chosen.lot).id
        changes = history(conn, limit=max(1, chosen.limit), lot_id=lot_id)
        document = [lot_phrases.history_document(line, zone) for line in changes]
        lines = [lot_phrases.history_line(line, zone) for line in changes]
    context.answer(chosen.json, document, lines)


COMMAND = Command(
    "history",
    "What was done, by whom, when and from where; newest first.",
    "curedash history D1",
    Word("lot", "only the changes to this lot", nargs="?"),
    Word("--limit", "how many lines (default: 50)", type=int, default=50),
    Word("--change", "show what the change with this number did", type=int),
    JSON_ARRAY,
    run=run,
)
