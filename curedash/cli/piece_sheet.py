"""A sheet of pieces under way, as ``batch add --from`` and ``import`` take it in."""

from curedash.cli.batch_under_way import place_words
from curedash.cli.context import Context
from curedash.present.dosing.piece_sheet import piece_line, piece_sheet_document, piece_sheet_end
from curedash.present.weighing.sheet_import import problem_line
from curedash.services.dosing.take_in_sheet import take_in_sheet
from curedash.store.outside import SHEET_BYTES, read_text


def run(
    text: str,
    context: Context,
    *,
    as_json: bool,
    dry: bool = False,
    may_be_new: bool = False,
    may_repeat: bool = False,
) -> int:
    """Take in every piece of the sheet, or none, and name each line that does not fit."""

    conn = context.open(create=True)
    found = take_in_sheet(
        conn,
        context.by(),
        text,
        context.now,
        keep=not dry,
        may_be_new=may_be_new,
        may_repeat=may_repeat,
    )
    zone = context.zone
    lines = (piece_line(piece, zone) for piece in found.pieces)
    context.answer(as_json, piece_sheet_document(found), lines)
    new_places = place_words(found.new_places) if found.stored else ()
    problems = map(problem_line, found.problems)
    for message in (*problems, *found.messages, *new_places, piece_sheet_end(found)):
        context.err(message)
    return 65 if found.problems or found.again else 0


def read(path: str) -> str:
    """The text of the sheet, ``-`` for stdin.

    Raises
    ------
    NotFound, Refused or FileTrouble as :func:`curedash.store.outside.read_text`
    """

    return read_text("/dev/stdin" if path == "-" else path, SHEET_BYTES)
