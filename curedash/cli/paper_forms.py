"""The forms of a paper made of blocks: text, Markdown, HTML, PDF."""

from __future__ import annotations

from curedash.cli.context import Context
from curedash.cli.paper_out import put_out
from curedash.cli.parser import Parser

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import Namespace

    from curedash.papers.blocks import Block

FORMS = {"text": "", "markdown": "", "html": "", "pdf": ""}


def add_paper_output(parser: Parser) -> None:
    """The options --output, --format and --page."""
    from curedash.cli.paper_out import add_output

    add_output(parser, FORMS)
    parser.add_argument(
        "--page",
        choices=("a4", "letter"),
        help="page size of a PDF (default: a4, or letter if you use pounds)",
    )


def put_paper(context: Context, chosen: Namespace, blocks: list[Block]) -> int:
    """Write or print the paper in the form that was asked for."""
    from curedash.papers import blocks as forms

    def pdf() -> bytes:
        from curedash.papers.blocks_pdf import as_pdf
        from curedash.present.display_units import paper

        return as_pdf(blocks, context.now, chosen.page or paper())

    if context.plain and not chosen.output and chosen.format in (None, "text"):
        for lines in forms.as_records(blocks):
            context.record(lines)
        return 0
    return put_out(
        context,
        chosen,
        {
            "text": lambda: forms.as_text(blocks),
            "markdown": lambda: forms.as_markdown(blocks),
            "html": lambda: forms.as_html(blocks),
            "pdf": pdf,
        },
    )
