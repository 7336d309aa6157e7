"""A paper made of blocks written to a file whose ending names the form."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from curedash.domain.errors import Refused
from curedash.papers.blocks import Block, as_html, as_markdown, as_text
from curedash.papers.files import write_file

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

        write_file(path, as_pdf(blocks, now), never=never)
    elif ending in FORM_OF:
        write_file(path, FORM_OF[ending](blocks), never=never)
    else:
        raise Refused(f"End the name in .txt, .md, .html or .pdf, not in .{ending[:10]}.")
