"""Papers and tags written to a file whose ending names the form; for the screens."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from curedash.domain.errors import Refused
from curedash.papers.blocks import Block, as_html, as_markdown, as_text
from curedash.papers.files import write_file
from curedash.papers.sheet_sizes import size_of
from curedash.papers.tags import Tag, tag_lines
from curedash.present.display_units import paper

FORM_OF = {"txt": as_text, "text": as_text, "md": as_markdown, "html": as_html, "htm": as_html}


def write_paper(path: str, blocks: Sequence[Block], now: datetime, *, never: str) -> None:
    """Write a paper in the form its name asks for.

    Parameters
    ----------
    never : a path that must not be written to: the household's own file

    Raises
    ------
    Refused: an ending that names no form; NoPdf: the extra is missing; FileTrouble
    """
    ending = path.rpartition(".")[2].casefold()
    if ending == "pdf":
        from curedash.papers.blocks_pdf import as_pdf

        write_file(path, as_pdf(blocks, now, paper()), never=never)
    elif ending in FORM_OF:
        write_file(path, FORM_OF[ending](blocks), never=never)
    else:
        raise Refused(f"End the name in .txt, .md, .html or .pdf, not in .{ending[:10]}.")


def write_tags(
    path: str, tags: Sequence[Tag], now: datetime, *, size: str = "a4", never: str
) -> None:
    """Write tags as PDF (.pdf) on a size of paper, or as text (.txt).

    Raises
    ------
    Refused: a size or an ending there is not; NoPdf: the extra is missing; FileTrouble
    """
    ending = path.rpartition(".")[2].casefold()
    if ending not in ("pdf", "txt", "text"):
        raise Refused(f"End the name in .pdf or .txt, not in .{ending[:10]}.")
    if ending == "pdf":
        from curedash.papers.tag_pages import tag_pages

        write_file(path, tag_pages(tags, size_of(size), now), never=never)
    else:
        text = "\n\n".join("\n".join(tag_lines(tag)) for tag in tags) + "\n"
        write_file(path, text, never=never)
