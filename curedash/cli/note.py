"""``curedash note``: a note on a lot."""

from curedash.cli.command import JSON_BARE, LOT, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.photo_flags import PHOTO, taken


def run(chosen: Chosen, context: Context) -> None:
    """Write a note on a lot."""
    from curedash.domain.times import utc_text
    from curedash.services.find import require_lot
    from curedash.services.household import household
    from curedash.services.household.note import add_note

    conn = context.open()
    lot = require_lot(conn, chosen.lot)
    at = None
    if chosen.at is not None:
        from curedash.domain.typed.dates import parse_when

        at = utc_text(parse_when(chosen.at, context.now, household.zone(conn)))
    photo = taken(conn, chosen)
    add_note(conn, context.by(), lot.id, lot.code, " ".join(chosen.text), at=at, photo=photo)
    if chosen.json:
        context.json({"lot": lot.code, "saved": True})
    else:
        context.out(f"noted on {lot.code}")


COMMAND = Command(
    "note",
    "Write a note on a lot.",
    'curedash note D1 "firm spot near the tip"',
    LOT,
    Word("text", nargs="+"),
    Word("--at", help="when it was seen (default: now)"),
    *PHOTO,
    JSON_BARE,
    run=run,
)
