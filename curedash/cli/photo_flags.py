"""The options --photo and --copy of what is noted on a lot."""

from __future__ import annotations

from curedash.cli.command import Chosen, Word, switch
from curedash.domain.errors import UsageError
from curedash.services.household.photos import Photo, take
from curedash.store.watching import Connection

#: A photo that goes with it.
PHOTO = (
    Word("--photo PATH", "a JPEG or PNG that goes with it"),
    switch("--copy", "copy the photo next to the file (default: save only its path)"),
)


def taken(conn: Connection, chosen: Chosen) -> Photo | None:
    """The photo, looked over; None where none was named."""
    if chosen.photo is None:
        if chosen.copy:
            raise UsageError("--copy goes with --photo PATH.")
        return None

    return take(conn, chosen.photo, copy=chosen.copy)
