"""``curedash note``: a note on a lot."""

from curedash.cli.command import JSON_BARE, LOT, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.photo_flags import PHOTO, taken
from curedash.domain.times import utc_text


def run(chosen: Chosen, context: Context) -> None:
    """Write a note on a lot."""
    from curedash.services.household.note import add_note

    conn, lot = context.open(), context.lot(chosen.lot)
    at = None if chosen.at is None else utc_text(context.at(chosen.at))
    photo = taken(conn, chosen)
    add_note(conn, context.by(), lot.id, lot.code, " ".join(chosen.text), at=at, photo=photo)
    context.answer(chosen.json, {"lot": lot.code, "saved": True}, f"saved for {lot.code}")


COMMAND = Command(
    "note",
    "Write a note on a lot.",
    'curedash note D1 "firm spot near the tip"',
    LOT,
    Word("text", "what you noticed, in your own words", nargs="+"),
    Word("--at", "when it was seen (default: now)"),
    *PHOTO,
    JSON_BARE,
    run=run,
)
