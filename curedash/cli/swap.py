"""``curedash swap``: swap two weigh-ins entered for the wrong lots, corrected in one change."""

from curedash.cli.command import LOT, Chosen, Command, Word, switch
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Exchange the newest weigh-ins of two lots; one undo undoes both."""
    from curedash.cli.typed import print_lots
    from curedash.services.weighing.swap import swap

    conn, by = context.open(), context.by()
    one, other = context.lot(chosen.lot), context.lot(chosen.other)
    done = swap(conn, by, one.id, other.id)
    context.refresh(done.one, done.other)
    print_lots(context, conn, (done.one, done.other), as_json=chosen.json)


COMMAND = Command(
    "swap",
    "Exchange the newest weigh-ins of two lots that were entered for each other.",
    "curedash swap D1 F2",
    LOT,
    Word("other", "code of the other lot, e.g. F2"),
    switch("--json", "both lots as 'lots --json' lists them"),
    run=run,
)
