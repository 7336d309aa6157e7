"""``curedash label``: tags to print, as text or PDF."""

from curedash.cli.command import Chosen, Command, Word
from curedash.cli.context import Context
from curedash.cli.paper_out import output, put_out
from curedash.domain.errors import UsageError


def run(chosen: Chosen, context: Context) -> int:
    """Make the tags of some lots, or of all open ones."""
    from curedash.papers.sheet_sizes import size_of
    from curedash.papers.tags import tag_lines, tags_for
    from curedash.present.display_units import paper
    from curedash.services.find import lots_named

    if not 1 <= chosen.copies <= 100:
        raise UsageError("--copies takes a number from 1 to 100.")
    conn, size = context.open(), size_of(chosen.size or paper())
    made = tags_for(conn, lots_named(conn, chosen.lot), context.now, chosen.kind, chosen.copies)

    def pages() -> bytes:
        from curedash.papers.tag_pages import tag_pages

        return tag_pages(made, size, context.now)

    return put_out(
        context,
        chosen,
        {"text": lambda: "\n\n".join("\n".join(tag_lines(tag)) for tag in made), "pdf": pages},
    )


COMMAND = Command(
    "label",
    "Tags for lots: hang tag, cure-bag tag or pack tag; sizes: "
    "a4, a4-small, letter, letter-small, 62x100, 100x62, 102x152, 100x50, 57x40"
    " or WIDTHxHEIGHT in mm.",
    "curedash label D1 --output tags.pdf",
    Word("lot", "lots or batches (default: every open lot)", nargs="*"),
    Word("--kind", "which tag (default: by its stage)", choices=("hang", "cure", "pack")),
    Word("--size", "paper size, e.g. a4 or 62x100 (default: a4, or letter if you use pounds)"),
    Word("--copies", "how many copies of each tag (default: 1)", type=int, default=1),
    *output("text", "pdf"),
    run=run,
)
