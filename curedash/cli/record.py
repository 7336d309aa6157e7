"""``curedash record``: the whole record of a lot or batch."""

from curedash.cli.command import Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.paper_forms import PAPER_OUTPUT, put_paper


def run(chosen: Chosen, context: Context) -> int:
    """Write the record of lots or batches."""
    from curedash.papers.record import record_of
    from curedash.services.find import lots_named

    conn = context.open()
    return put_paper(context, chosen, record_of(conn, lots_named(conn, chosen.lot), context.now))


COMMAND = Command(
    "record",
    "Everything recorded for a lot or batch: ingredients, weights,"
    " stages, air, alerts, corrections, the curve.",
    "curedash record D1 --output d1.html",
    Word("lot", "lots, or a batch for all its lots", nargs="+"),
    *PAPER_OUTPUT,
    run=run,
)
