"""``curedash photo``: the photos of a lot, and whether each file is still there."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """List the photos of a lot; with --confirm let this machine open those from elsewhere."""
    chosen = parser().parse_args(argv)
    from curedash.present.household.photos import photo_document, photo_line
    from curedash.services.find import require_lot
    from curedash.services.household import household, photos

    conn = context.open()
    zone = household.zone(conn)
    found = photos.photos_of(conn, require_lot(conn, chosen.lot).id)
    if chosen.confirm:
        for _, photo in found:
            photos.confirm_photo(conn, photo)
    told = [
        (event, photos.where(conn, photo), photos.state(conn, photo, thorough=True))
        for event, photo in found
    ]
    if chosen.json:
        context.json([photo_document(*one) for one in told])
        return 0
    for one in told:
        context.out(photo_line(*one, zone))
    if not told:
        context.out(f"{chosen.lot} has no photo; 'curedash note LOT TEXT --photo PATH' adds one.")
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "photo",
        "List the photos of a lot, and whether each file is still there.",
        "curedash photo D1",
    )
    parser.add_argument("lot")
    parser.add_argument(
        "--confirm",
        action="store_true",
        help="allow this machine to open the photo paths in the file",
    )
    parser.add_argument("--json", action="store_true", help="one JSON array on stdout")
    return parser
