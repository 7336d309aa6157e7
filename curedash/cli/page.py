"""``curedash page``: the household as one web page for a phone."""

from curedash.cli.command import Chosen, Command, Word
from curedash.cli.context import Context


def run(chosen: Chosen, context: Context) -> None:
    """Write the page once; ``watch --page`` keeps it fresh."""
    from curedash.papers.page_file import PageFile

    PageFile(chosen.file, never=context.db_path).write(context.open(), context.now)
    context.err(f"written to {chosen.file}")


COMMAND = Command(
    "page",
    "A web page of needs, Rack, places and every lot's curve, for a phone."
    " One file without script or outside address; 'watch --page FILE' keeps it"
    " fresh.",
    "curedash page rack.html",
    Word(
        "file FILE", "where to write it, e.g. rack.html; a page that exists keeps its permissions"
    ),
    run=run,
)
