"""A sheet of pieces under way, as ``batch add --from`` and ``import`` take it in."""

from curedash.cli.context import Context


def run(
    text: str, context: Context, *, dry: bool = False, may_be_new: bool = False, as_json: bool
) -> int:
    """Take in every piece of the sheet, or none; say each line that does not fit."""
    from curedash.cli.batch_under_way import place_words
    from curedash.present.dosing.piece_sheet import (
        piece_line,
        piece_problem,
        piece_sheet_document,
        piece_sheet_end,
    )
    from curedash.services.dosing.take_in_sheet import take_in_sheet
    from curedash.services.household.household import zone

    conn = context.open(create=True)
    found = take_in_sheet(
        conn, context.by(), text, context.now, keep=not dry, may_be_new=may_be_new
    )
    if as_json:
        context.json(piece_sheet_document(found))
    else:
        days_in = zone(conn)
        for piece in found.pieces:
            context.out(piece_line(piece, days_in))
    told = (*found.messages, *place_words(found.new_places)) if found.kept else found.messages
    for message in (*map(piece_problem, found.problems), *told, piece_sheet_end(found)):
        context.err(message)
    return 65 if found.problems else 0


def read(path: str) -> str:
    """The text of the sheet, ``-`` for stdin.

    Raises
    ------
    NotFound: there is no such file
    """
    import os
    import sys

    from curedash.domain.errors import NotFound
    from curedash.papers.whole_json import read_text

    if path == "-":
        return sys.stdin.read()
    if not os.path.isfile(path):
        raise NotFound(f"There is no file {path}.")
    return read_text(path)
