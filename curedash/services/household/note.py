"""A note on a lot, in the person's own words."""

from sqlite3 import Connection

from curedash.domain.errors import Refused
from curedash.services.household.photos import Photo, noted
from curedash.store import lots
from curedash.store.work import By, at_once, change

MAX_NOTE = 2000


@at_once
def add_note(
    conn: Connection,
    by: By,
    lot_id: int,
    code: str,
    text: str,
    *,
    at: str | None = None,
    photo: Photo | None = None,
) -> int:
    """Write a note on a lot; its id.

    Raises
    ------
    Refused: an empty or endless note
    """
    clean = text.strip()
    if not clean:
        raise Refused("A note needs some words, e.g. a firm spot near the tip.")
    if len(clean) > MAX_NOTE:
        raise Refused(f"A note has at most {MAX_NOTE} characters; this one has {len(clean)}.")
    with change(conn, by, "note", subject=code, at=at) as work:
        return lots.add_event(work, at or by.now, "note", clean, lot_id=lot_id, data=noted(photo))
