"""``curedash opened``: a lot was cut open."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser
from curedash.cli.photo_flags import add_photo_flags, taken


def run(argv: list[str], context: Context) -> int:
    """Record the cut face and take the lot on; its siblings hear of it."""
    chosen = parser().parse_args(argv)
    from curedash.cli.typed import grams, when
    from curedash.present.drying.lot_phrases import opened_document, opened_lines
    from curedash.services.drying import forecasts
    from curedash.services.drying.opened import Opening, opened
    from curedash.services.find import require_lot

    conn, by = context.open(), context.by()
    lot = require_lot(conn, chosen.lot)
    what = Opening(
        cut_face=chosen.face,
        next=chosen.next,
        at=when(context, conn, chosen.at),
        before_g=None if chosen.before is None else grams(chosen.before, lot),
        after_g=None if chosen.after is None else grams(chosen.after, lot),
        place=chosen.place,
        note=chosen.note,
        liked=chosen.liked,
        keep_doubtful=chosen.yes,
        photo=taken(conn, chosen),
    )
    done = opened(conn, by, lot.id, what)
    forecasts.refresh(conn, done.lot, context.now)
    for message in done.messages:
        context.about(lot.code, message)
    if chosen.json:
        context.json(opened_document(done))
    else:
        for line in opened_lines(done):
            context.out(line)
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "opened",
        "Record that a lot was cut open, at any loss.",
        "curedash opened D2 'raw middle' back --before 704 --after 690",
    )
    parser.add_argument("lot")
    parser.add_argument(
        "face",
        help="even, grey rim, case hardening, soft middle, raw middle or smells off; or two,"
        " like ‘case hardening, soft middle’",
    )
    parser.add_argument("next", help="back (to drying), equalise, eat, put (aside) or throw (away)")
    parser.add_argument("--before", help="what the scale showed before")
    parser.add_argument("--after", help="what is left, if some was eaten")
    parser.add_argument("--place", help="where it goes")
    parser.add_argument("--note", help="what was found")
    parser.add_argument("--liked", type=int, help="1 to 5, if it is eaten")
    parser.add_argument("--at", help="when (default: now)")
    add_photo_flags(parser)
    parser.add_argument("--yes", action="store_true", help="save it even if it looks doubtful")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")
    return parser
