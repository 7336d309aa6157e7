"""``curedash note``: a note on a lot."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.cli.photo_flags import add_photo_flags, taken


def run(argv: list[str], context: Context) -> int:
    """Write a note on a lot."""
    chosen = parser().parse_args(argv)
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
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser("note", "Write a note on a lot.", 'curedash note D1 "firm spot near the tip"')
    parser.add_argument("lot")
    parser.add_argument("text", nargs="+")
    parser.add_argument("--at", default=None, help="when it was seen (default: now)")
    add_photo_flags(parser)
    parser.add_argument("--json", action="store_true")
    return parser
