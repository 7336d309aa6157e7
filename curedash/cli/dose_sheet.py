"""``curedash dose-sheet``: the tick-off list of a dose, to print."""

from curedash.cli.context import Context
from curedash.cli.paper_forms import add_paper_output, put_paper
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Write the dose sheets of lots or batches."""
    chosen = parser().parse_args(argv)
    from curedash.papers.dose_sheet import dose_sheet
    from curedash.services.find import lots_named

    conn = context.open()
    return put_paper(context, chosen, dose_sheet(conn, lots_named(conn, chosen.lot), context.now))


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "dose-sheet",
        "A tick-off list for each lot: grams to weigh out, nitrite, days and turns.",
        "curedash dose-sheet G --output doses.pdf",
    )
    parser.add_argument("lot", nargs="+", help="lots, or a batch for all its lots")
    add_paper_output(parser)
    return parser
