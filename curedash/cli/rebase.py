"""``curedash rebase``: a weight that changed without drying."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Record meat taken off, or something else put on or taken off; the loss stays the same."""
    chosen = parser().parse_args(argv)
    from curedash.cli.typed import grams, when
    from curedash.present.drying.lot_phrases import rebased_document, rebased_line
    from curedash.services.drying import forecasts
    from curedash.services.find import require_lot
    from curedash.services.weighing.rebase import Rebasing, rebase

    conn, by = context.open(), context.by()
    lot = require_lot(conn, chosen.lot)
    what = Rebasing(
        reason=chosen.reason,
        after_g=grams(chosen.after, lot),
        at=when(context, conn, chosen.at),
        before_g=None if chosen.before is None else grams(chosen.before, lot),
        kind="removed" if chosen.meat else "tare" if chosen.not_meat else None,
        tare_what=chosen.tare_what,
        count=chosen.count,
        keep_doubtful=chosen.yes,
    )
    done = rebase(conn, by, lot.id, what)
    forecasts.refresh(conn, done.lot, context.now)
    if chosen.json:
        context.json(rebased_document(done))
    else:
        context.out(rebased_line(done))
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "rebase",
        "Record a weight change that is not drying. Meat taken off changes the"
        " base, everything else the tare.",
        "curedash rebase D1 'end tasted' --before 762 --after 740",
    )
    parser.add_argument("lot")
    parser.add_argument("reason", help="end tasted, trimmed, casing off, larded, re-bagged …")
    parser.add_argument(
        "--before", help="what the scale showed before (default: the weigh-in just taken)"
    )
    parser.add_argument("--after", required=True, help="what the scale shows now")
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--meat", action="store_true", help="with your own words: meat was taken off")
    kind.add_argument(
        "--not-meat", action="store_true", help="with your own words: it was not meat"
    )
    parser.add_argument("--tare-what", help="what is on it now, e.g. net and lard")
    parser.add_argument("--count", type=int, help="pieces left of a string weighed as one")
    parser.add_argument("--at", help="when (default: now)")
    parser.add_argument("--yes", action="store_true", help="save it even if it looks doubtful")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")
    return parser
