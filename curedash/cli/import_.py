"""``curedash import``: a whole export into a new file, or a sheet of weigh-ins or pieces."""

from __future__ import annotations

import os

from curedash.cli.command import JSON, Chosen, Command, Word, switch
from curedash.cli.context import Context
from curedash.domain.errors import NotFound, UsageError


def run(chosen: Chosen, context: Context) -> int:
    """Bring everything back, or keep the weigh-ins of a sheet."""
    path = chosen.path
    if not os.path.exists(path):
        raise NotFound(f"There is no file {path}.")
    from curedash.papers.whole_json import read_text

    if os.path.isdir(path):
        _require_to_keep(chosen)
        return _whole(path, None, context, as_json=chosen.json)
    text = read_text(path)
    if text.lstrip()[:1] in ("{", "["):
        _require_to_keep(chosen)
        return _whole(path, text, context, as_json=chosen.json)
    from curedash.services.dosing.take_in_sheet import is_sheet_of_pieces

    if is_sheet_of_pieces(text):
        from curedash.cli import piece_sheet

        return piece_sheet.run(
            text, context, dry=chosen.dry_run, as_json=chosen.json, may_repeat=chosen.yes
        )
    return _sheet(text, chosen, context)


COMMAND = Command(
    "import",
    "Import a whole export (JSON file or CSV folder) into a new --db file. Or import a CSV "
    "sheet of weigh-ins (columns date, lot, weight, also time, note, net). A sheet of pieces "
    "under way works as with batch add --from. Either all of it is saved, or nothing.",
    "curedash import weights.csv",
    Word("path", "JSON file, CSV folder, or CSV sheet of weigh-ins or pieces"),
    switch("--dry-run", "only show what would be saved"),
    switch(
        "--yes", "save doubtful weights too, flagged, and add pieces that are in the file already"
    ),
    JSON,
    run=run,
)


def _require_to_keep(chosen: Chosen) -> None:
    """A whole export is not tried out in the household's file: it goes into a new one."""
    if chosen.dry_run:
        raise UsageError(
            f"{chosen.path} is a whole export and --dry-run is for a sheet of weigh-ins; nothing "
            f"was saved. Import it into a new file with --db NEW.db."
        )


def _whole(path: str, text: str | None, context: Context, *, as_json: bool) -> int:
    from curedash.cli.progress import Progress
    from curedash.papers import whole_csv, whole_json
    from curedash.papers.acceptance import workable

    if text is not None:
        bar = Progress("import", text.count("\n["))
        kept = whole_json.restore(context.db_path, text, bar, workable(context.now))
    else:
        bar = Progress("import", 0)
        kept = whole_csv.restore(context.db_path, path, bar, workable(context.now))
    bar.end()
    context.stored()
    document = {"rows": kept, "file": context.db_path, "saved": True}
    context.answer(as_json, document, f"{kept} rows imported into {context.db_path}")
    return 0


def _sheet(text: str, chosen: Chosen, context: Context) -> int:
    from curedash.present.weighing import sheet_import as words
    from curedash.services.weighing.import_sheet import import_sheet

    conn = context.open()
    dry = chosen.dry_run
    how = {"keep": not dry, "keep_doubtful": chosen.yes}
    found = import_sheet(conn, context.by(), text, context.now, **how)
    context.answer(chosen.json, words.sheet_document(found), map(words.sheet_line, found.lines))
    for problem in found.problems:
        context.err(words.problem_line(problem))
    context.err(words.sheet_end(found, dry=dry))
    return 0 if found.kept or (dry and not found.problems) else 65
