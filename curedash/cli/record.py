"""``curedash record``: the whole record of a lot or batch."""

from curedash.cli.context import Context
from curedash.cli.paper_forms import add_paper_output, put_paper
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Write the record of lots or batches."""
    chosen = parser().parse_args(argv)
    from curedash.papers.record import record_of
    from curedash.services.find import lots_named

    conn = context.open()
    return put_paper(context, chosen, record_of(conn, lots_named(conn, chosen.lot), context.now))


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "record",
        "Everything recorded for a lot or batch: ingredients, weights,"
        " stages, air, alerts, corrections, the curve.",
        "curedash record D1 --output d1.html",
    )
    parser.add_argument("lot", nargs="+", help="lots, or a batch for all its lots")
    add_paper_output(parser)
    return parser
