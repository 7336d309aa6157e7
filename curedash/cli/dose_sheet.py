"""``curedash dose-sheet``: the tick-off list of a dose, to print."""

from curedash.cli.command import Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.paper_forms import PAPER_OUTPUT, put_paper


def run(chosen: Chosen, context: Context) -> int:
    """Write the dose sheets of lots or batches."""
    from curedash.papers.dose_sheet import dose_sheet
    from curedash.services.find import lots_named

    conn = context.open()
    return put_paper(context, chosen, dose_sheet(conn, lots_named(conn, chosen.lot), context.now))


COMMAND = Command(
    "dose-sheet",
    "A tick-off list for each lot: grams to weigh out, nitrite, days and turns.",
    "curedash dose-sheet G --output doses.pdf",
    Word("lot", "lots, or a batch for all its lots", nargs="+"),
    *PAPER_OUTPUT,
    run=run,
)
