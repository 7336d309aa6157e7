"""``curedash handover``: a page for your stand-in."""

from curedash.cli.command import Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.cli.paper_forms import PAPER_OUTPUT, put_paper
from curedash.domain.errors import UsageError


def run(chosen: Chosen, context: Context) -> int:
    """Write the page."""
    if chosen.days is not None and not 1 <= chosen.days <= 60:
        raise UsageError("--days takes a number from 1 to 60.")
    from curedash.domain.typed.dates import parse_day
    from curedash.papers.handover import handover
    from curedash.services.needs.away import next_away

    conn = context.open()
    zone = context.zone
    days, first = chosen.days, None
    if chosen.first is not None:
        first = parse_day(chosen.first, context.now, zone)
    elif days is None:
        saved = next_away(conn, context.now.astimezone(zone).date())
        if saved is not None:
            first, days = saved.first, min(60, (saved.last - saved.first).days + 1)
    made = handover(
        conn, context.now, days=days or 8, first=first, ask=chosen.ask, weighs_too=chosen.weighs_too
    )
    return put_paper(context, chosen, made)


COMMAND = Command(
    "handover",
    "A page for your stand-in: what to look at, weigh and"
    " turn each day, and at how many grams on the scale to pull.",
    'curedash handover --days 8 --ask "Mara 0123 456" -o page.pdf',
    Word("--days", "how many days (default: your next days away, or 8)", type=int),
    Word(
        "--from", "first day, e.g. 12 Dec (default: of your next days away, or today)", dest="first"
    ),
    Word("--ask", "name and phone number for questions"),
    switch(
        "--weighs-too",
        "the stand-in weighs and turns too; none of it moves to before or after your days away",
    ),
    *PAPER_OUTPUT,
    run=run,
)
