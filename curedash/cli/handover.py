"""``curedash handover``: a page for your stand-in."""

from curedash.cli.context import Context
from curedash.cli.paper_forms import add_paper_output, put_paper
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError


def run(argv: list[str], context: Context) -> int:
    """Write the page."""
    chosen = parser().parse_args(argv)
    if chosen.days is not None and not 1 <= chosen.days <= 60:
        raise UsageError("--days goes from 1 to 60.")
    from curedash.domain.typed.dates import parse_day
    from curedash.papers.handover import handover
    from curedash.services.household import household
    from curedash.services.needs.away import next_away

    conn = context.open()
    zone = household.zone(conn)
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


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "handover",
        "A page for your stand-in: what to look at, weigh and"
        " turn each day, and at how many grams on the scale to pull.",
        'curedash handover --days 8 --ask "Mara 0123 456" -o page.pdf',
    )
    parser.add_argument(
        "--days", type=int, help="how many days (default: your next days away, or 8)"
    )
    parser.add_argument(
        "--from",
        dest="first",
        help="first day, e.g. 12 Dec (default: of your next days away, or today)",
    )
    parser.add_argument("--ask", help="name and phone number for questions")
    parser.add_argument(
        "--weighs-too",
        action="store_true",
        help="the stand-in also weighs and turns on your days away, instead of you before and "
        "after",
    )
    add_paper_output(parser)
    return parser
