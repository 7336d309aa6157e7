"""``curedash calendar``: the days to come, as a calendar file or as lines."""

from curedash.cli.command import JSON_ARRAY, Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.paper_out import output, put_out
from curedash.domain.errors import UsageError


def run(chosen: Chosen, context: Context) -> int:
    """Write a calendar file, or list the days to come."""
    if not (chosen.days is None or 1 <= chosen.days <= 730) or not 0 <= chosen.hour <= 23:
        raise UsageError("--days takes a number from 1 to 730, --hour one from 0 to 23.")
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


COMMAND = Command(
    "calendar",
    "The days to come: out of cure, turns, weigh days, pull windows, planned ends. As lines, "
    "or as a calendar file (.ics) that you can import again and again.",
    "curedash calendar --output curing.ics",
    Word("--days", "how many days ahead (default: 14 for lines, 120 for a file)", type=int),
    Word(
        "--hour",
        "hour of the day for entries without a time, 0 to 23 (default: 18)",
        type=int,
        default=18,
    ),
    JSON_ARRAY,
    *output("text", "ics"),
    run=run,
)
