"""``curedash sheet``: planned beside weighed, with times."""

from curedash.cli.command import JSON_BARE, LOT, Chosen, Command
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> int:
    """Print the dose sheet of a lot."""
    return print_sheet(context, chosen.lot, as_json=chosen.json)


def print_sheet(context: Context, code: str, *, as_json: bool) -> int:
    """The dose sheet of a lot as it is now."""
    from curedash.present.dosing.dose_sheet import sheet_document, sheet_lines
    from curedash.services.dosing.dose_sheet import dose_sheet
    from curedash.services.find import require_lot

    conn = context.open()
    sheet = dose_sheet(conn, require_lot(conn, code), context.now)
    if as_json:
        context.json(sheet_document(sheet))
    else:
        for line in sheet_lines(sheet):
            context.out(line)
    return 0


COMMAND = Command(
    "sheet",
    "Show the dose sheet of a lot: what is planned, what was weighed, and when.",
    "curedash sheet G1",
    LOT,
    JSON_BARE,
    run=run,
)
