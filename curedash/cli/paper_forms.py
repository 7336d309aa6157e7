"""The forms of a paper made of blocks: text, Markdown, HTML, PDF."""

from __future__ import annotations

from curedash.cli.command import Chosen, Word
from curedash.cli.context import Context
from curedash.cli.paper_out import output, put_out

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.papers.blocks import Block

#: the options --output, --format and --page.
PAPER_OUTPUT = (
    *output("text", "markdown", "html", "pdf"),
    Word(
        "--page",
        "page size of a PDF (default: a4, or letter if you use pounds)",
        choices=("a4", "letter"),
    ),
)


def put_paper(context: Context, chosen: Chosen, blocks: list[Block]) -> int:
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
