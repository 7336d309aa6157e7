"""``curedash sheet``: planned beside weighed, with times."""

from curedash.cli.command import JSON_BARE, LOT, Chosen, Command
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Print the dose sheet of a lot."""
    print_sheet(context, chosen.lot, as_json=chosen.json)


def print_sheet(context: Context, code: str, *, as_json: bool) -> None:
    """The dose sheet of a lot as it is now."""
    from curedash.present.dosing.dose_sheet import sheet_document, sheet_lines
    from curedash.services.dosing.dose_sheet import dose_sheet

    sheet = dose_sheet(context.open(), context.lot(code), context.now)
    context.answer(as_json, sheet_document(sheet), sheet_lines(sheet))


COMMAND = Command(
    "sheet",
    "Show the dose sheet of a lot: what is planned, what was weighed, and when.",
    "curedash sheet G1",
    LOT,
    JSON_BARE,
    run=run,
)
