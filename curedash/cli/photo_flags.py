"""The options --photo and --copy of what is noted on a lot."""

from __future__ import annotations

from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError
from curedash.store.watching import Connection

TYPE_CHECKING = False
if TYPE_CHECKING:
    import argparse

    from curedash.services.household.photos import Photo


def add_photo_flags(parser: Parser) -> None:
    """A photo that goes with it."""
    parser.add_argument("--photo", metavar="PATH", help="a JPEG or PNG that goes with it")
    parser.add_argument(
        "--copy",
        action="store_true",
        help="copy the photo next to the file (default: save only its path)",
    )


def taken(conn: Connection, chosen: argparse.Namespace) -> Photo | None:
    """The photo, looked over; None where none was named."""
    if chosen.photo is None:
        if chosen.copy:
            raise UsageError("--copy goes with --photo PATH.")
        return None
    from curedash.services.household.photos import take

    return take(conn, chosen.photo, copy=chosen.copy)
