"""``curedash export``: everything, lossless."""

import sys

from curedash.cli.command import Chosen, Command, Word
from curedash.cli.context import Context
from curedash.domain.errors import UsageError


def _read(argv: list[str]) -> Chosen:
    """Its words; JSON is what it writes anyhow, so the option of other commands is no mistake."""
    chosen: Chosen = COMMAND.parser().parse_args([word for word in argv if word != "--json"])
    return chosen


def run(chosen: Chosen, context: Context) -> int:
    """Write the whole file as JSON, or as a folder of CSV tables."""
    if sum(map(bool, (chosen.file, chosen.csv, chosen.output, chosen.weigh_ins))) > 1:
        raise UsageError(
            "Give one of these: FILE for JSON, --csv FOLDER for tables, or --weigh-ins FILE."
        )
    if chosen.weigh_ins:
        return _weigh_ins(chosen.weigh_ins, context)
    chosen.output = chosen.output or chosen.file
    from curedash.cli.progress import Progress
    from curedash.papers import whole_json
    from curedash.papers.whole_files import write_json, write_tables
    from curedash.store import dump

    conn = context.open()
    bar = Progress("export", dump.count(conn))
    if not (chosen.csv or chosen.output):
        bar.watched = bar.watched and not sys.stdout.isatty()  # the rows themselves are seen
    if chosen.csv:
        write_tables(conn, chosen.csv, bar)
    elif chosen.output:
        write_json(conn, chosen.output, bar, never=context.db_path)
    else:
        with dump.snapshot(conn):
            for piece in whole_json.lines(conn, bar):
                sys.stdout.write(piece)
    bar.end()
    if chosen.csv or chosen.output:
        context.stored()
        context.err(f"written to {chosen.csv or chosen.output}")
    return 0


def _weigh_ins(path: str, context: Context) -> int:
    from curedash.papers.whole_files import write_weigh_ins

    conn = context.open()
    write_weigh_ins(conn, path, context.zone, never=context.db_path)
    context.stored()
    context.err(f"written to {path}")
    return 0


COMMAND = Command(
    "export",
    "Everything in the file, without loss: one JSON document, or a folder with one CSV per table.",
    "curedash export household.json",
    Word("file", "a new JSON file, e.g. household.json (default: stdout)", nargs="?"),
    Word("--output/-o FILE", "the same as FILE"),
    Word("--csv FOLDER", "one CSV file per table, in a new folder"),
    Word("--weigh-ins FILE", "only the weigh-ins, one CSV for a spreadsheet"),
    run=run,
    reads=_read,
)
