"""``curedash page``: the household as one web page for a phone."""

from curedash.cli.context import Context
from curedash.cli.parser import Parser


def run(argv: list[str], context: Context) -> int:
    """Write the page once; ``watch --page`` keeps it fresh."""
    chosen = parser().parse_args(argv)
    from curedash.papers.page_file import PageFile

    PageFile(chosen.file, never=context.db_path).write(context.open(), context.now)
    context.err(f"written to {chosen.file}")
    return 0


def parser() -> Parser:
    """The words it takes."""
    parser = Parser(
        "page",
        "A web page of needs, Rack, places and every lot's curve, for a phone."
        " One file without script or outside address; 'watch --page FILE' keeps it"
        " fresh.",
        "curedash page rack.html",
    )
    parser.add_argument(
        "file",
        metavar="FILE",
        help="where to write it, e.g. rack.html; a page that exists keeps its permissions",
    )
    return parser
