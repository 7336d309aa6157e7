"""``curedash lots``: the Rack as lines or JSON."""

from __future__ import annotations

from curedash.cli.command import JSON_ARRAY, Chosen, Command, Word, plain
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """List every open lot, what needs somebody first."""
    from curedash.services.rack import read_rack

    found = read_rack(context.open(), context.now, base=chosen.base)
    if chosen.json:
        from curedash.present.documents import lot_document

        context.json([lot_document(row) for row in found.rows])
        return
    if context.plain:
        from curedash.present.plain_lots import plain_lots

        for lines in plain_lots(found):
            context.record(lines)
        return
    from curedash.present.lines import rack_lines

    context.lines(rack_lines(found, chosen.base))


def fast(argv: list[str]) -> Chosen | None:
    """The plainest lines without the option parser, whose import costs a third of them."""
    return plain(argv, ("json",), base="hang")


COMMAND = Command(
    "lots",
    "The Rack as lines or JSON.",
    "curedash lots --json",
    Word(
        "--base", "which weight the loss is counted from", choices=("hang", "green"), default="hang"
    ),
    JSON_ARRAY,
    run=run,
    reads=fast,
)
