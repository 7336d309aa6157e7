"""``curedash calendar``: the days to come, as a calendar file or as lines."""

from curedash.cli.context import Context
from curedash.cli.paper_out import add_output, put_out
from curedash.cli.parser import Parser
from curedash.domain.errors import UsageError


def run(argv: list[str], context: Context) -> int:
    """Write a calendar file, or list the days to come."""
    chosen = parser().parse_args(argv)
    if not (chosen.days is None or 1 <= chosen.days <= 730) or not 0 <= chosen.hour <= 23:
        raise UsageError("--days goes from 1 to 730, --hour from 0 to 23.")
    from curedash.present.needs.diary import agenda_lines, item_document
    from curedash.services.needs.diary import AGENDA_DAYS, read_diary

    conn = context.open()
    if chosen.json:
        found = read_diary(conn, context.now, days=chosen.days or AGENDA_DAYS)
        context.json([item_document(item) for item in found.items])
        return 0

    def lines() -> str:
        return "\n".join(
            agenda_lines(read_diary(conn, context.now, days=chosen.days or AGENDA_DAYS))
        )

    def file() -> str:
        from curedash.papers.calendar import DAYS, calendar_file

        return calendar_file(conn, context.now, days=chosen.days or DAYS, hour=chosen.hour)

    return put_out(context, chosen, {"text": lines, "ics": file})


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "calendar",
        "The days to come: out of cure, turns, weigh days, pull windows, planned ends. As lines, "
        "or as a calendar file (.ics) that you can import again and again.",
        "curedash calendar --output curing.ics",
    )
    parser.add_argument(
        "--days", type=int, help="how many days ahead (default: 14 for lines, 120 for a file)"
    )
    parser.add_argument(
        "--hour", type=int, default=18, help="hour for entries that have none (default: 18)"
    )
    parser.add_argument("--json", action="store_true", help="one JSON array on stdout")
    add_output(parser, {"text": "", "ics": ""})
    return parser
