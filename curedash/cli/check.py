"""``curedash check``: what needs somebody, for people, cron and status bars. It only reads."""

from __future__ import annotations

from curedash.cli.command import JSON_ARRAY, Chosen, Command, Word, plain
from curedash.cli.context import Context

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

    from curedash.domain.needs.lot_needs import Need

NOTHING, TODAY, ACT = 0, 1, 2


def run(chosen: Chosen, context: Context) -> int:
    """Print every need, one line each; the exit code is the worst level."""
    from curedash.services.needs.check import current_needs

    needs = current_needs(context.open(), context.now)
    if chosen.json:
        from curedash.present.documents import need_document

        context.json([need_document(need) for need in needs])
    else:
        from curedash.present.lines import need_line

        for need in needs:
            context.out(need_line(need))
        if context.plain and not needs:
            context.out("Nothing needs you.")
    if chosen.metrics:
        _write_metrics(chosen.metrics, context, needs)
    levels = {need.level for need in needs}
    return ACT if "act" in levels else TODAY if "today" in levels else NOTHING


def _write_metrics(path: str, context: Context, needs: Sequence[Need]) -> None:
    """The metrics as a whole file; one that is replaced stays readable for whom it was."""
    from curedash.papers.files import write_file
    from curedash.present.metrics import metrics_text
    from curedash.services.places.air_view import air_of_places
    from curedash.services.rack import read_rack

    conn, now = context.open(), context.now
    rack = read_rack(conn, now)
    air = air_of_places(conn, now, [row.lot for row in rack.rows])
    write_file(path, metrics_text(rack, needs, air, now), never=context.db_path, keep_mode=True)


def fast(argv: list[str]) -> Chosen | None:
    """The plainest lines without the option parser."""
    return plain(argv, ("json",), metrics=None)


COMMAND = Command(
    "check",
    "What needs you, one line each. Exits with 0 for nothing, 1 for today, 2 for now.",
    "curedash check || mail -s 'the cellar' me",
    JSON_ARRAY,
    Word(
        "--metrics FILE",
        "also write lots, places and needs to this file, in the text format monitoring agents read",
    ),
    run=run,
    reads=fast,
)
