"""``curedash lots``: the Rack as lines or JSON."""

from __future__ import annotations

from curedash.cli.context import Context
from curedash.cli.fast_args import Chosen, plain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """List every open lot, what needs somebody first."""
    chosen = fast(argv) or parser().parse_args(argv)
    from curedash.services.rack import read_rack

    found = read_rack(context.open(), context.now, base=chosen.base)
    if chosen.json:
        from curedash.present.documents import lot_document

        context.json([lot_document(row) for row in found.rows])
        return 0
    if context.plain:
        from curedash.present.plain_lots import plain_lots

        for lines in plain_lots(found):
            context.record(lines)
        return 0
    from curedash.present.lines import rack_lines

    for line in rack_lines(found, chosen.base):
        context.out(line)
    return 0


def fast(argv: list[str]) -> Chosen | None:
    """The plainest lines without the option parser, whose import costs a third of them."""
    return plain(argv, ("json",), base="hang")


def parser() -> Parser:
    """The words it takes."""
    from curedash.cli.parser import Parser

    parser = Parser("lots", "The Rack as lines or JSON.", "curedash lots --json")
    parser.add_argument(
        "--base",
        choices=("hang", "green"),
        default="hang",
        help="which weight the loss is counted from",
    )
    parser.add_argument("--json", action="store_true", help="one JSON array on stdout")
    return parser
