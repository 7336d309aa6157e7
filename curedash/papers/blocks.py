"""A paper as a list of blocks, and the same blocks as text, Markdown and HTML.

Whatever a person typed is made harmless in each form: no markup, no control characters.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from html import escape

from curedash.domain.record import record
from curedash.papers.curve_svg import Curve, svg
from curedash.present.words import cells, left, plain, right, wrapped

TEXT_WIDTH = 80
LEAST_COLUMN = 8  # cells, where so many columns fit
MOST_LINES = 40


@record
class Heading:
    """A heading; 1 is the title of the paper."""

    text: str
    level: int = 2


@record
class Para:
    """A paragraph."""

    text: str
    strong: bool = False


@record
class Items:
    """A list; with boxes to tick, crossed where True."""

    texts: tuple[str, ...]
    ticks: tuple[bool, ...] | None = None


@record
class Table:
    """A table; ``numbers`` are the columns set to the right, an empty cell is there to write in.

    With empty heads it has none.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()

    @property
    def headed(self) -> bool:
        """Whether its columns have names."""
        return any(self.heads)


@record
class Figure:
    """A curve, with the words that stand for it where no picture can be."""

    curve: Curve
    caption: str


@record
class PageBreak:
    """The next block begins a new page."""


Block = Heading | Para | Items | Table | Figure | PageBreak


# ── text ──────────────────────────────────────────────────────────────────────────────────


def as_text(blocks: Iterable[Block], width: int = TEXT_WIDTH) -> str:
    """The paper for a terminal or a plain printer, in lines of at most this many cells."""
    lines: list[str] = []
    for block in blocks:
        if isinstance(block, Heading):
            title = plain(block.text)
            lines += ["", title, ("=" if block.level == 1 else "-") * min(cells(title), width)]
        elif isinstance(block, Para):
            lines += ["", *wrapped(plain(block.text), width, MOST_LINES)]
        elif isinstance(block, Items):
            lines += _text_items(block, width)
        elif isinstance(block, Table):
            lines += ["", *_text_table(block, width)]
        elif isinstance(block, Figure):
            lines += ["", *wrapped(plain(block.caption), width, MOST_LINES)]
    return "\n".join(lines).strip("\n") + "\n"


def as_records(blocks: Iterable[Block]) -> list[list[str]]:
    """The paper to be read aloud: each heading, paragraph, item and row of a table one record.

    A cell follows the head of its column; an empty one, there to write in, is left out.
    """
    found: list[list[str]] = []
    for block in blocks:
        if isinstance(block, (Heading, Para)):
            found.append([plain(block.text)])
        elif isinstance(block, Figure):
            found.append([plain(block.caption)])
        elif isinstance(block, Items):
            done = block.ticks or (None,) * len(block.texts)
            words = {None: "", True: "done: ", False: "not done: "}
            found += [[words[d] + plain(x)] for d, x in zip(done, block.texts, strict=True)]
        elif isinstance(block, Table):
            found += [_record_row(block.heads, row) for row in block.rows]
    return found


def _record_row(heads: Sequence[str], row: Sequence[str]) -> list[str]:
    told = [(plain(head), plain(cell)) for head, cell in zip(heads, row, strict=True) if cell]
    if not any(heads):
        return [": ".join(cell for _, cell in told)]
    return ["; ".join(f"{head}: {cell}" if head else cell for head, cell in told)]


def _text_items(block: Items, width: int) -> list[str]:
    lines = []
    for number, text in enumerate(block.texts):
        mark = "-"
        if block.ticks is not None:
            mark = "[x]" if block.ticks[number] else "[ ]"
        first, *more = wrapped(plain(text), width - len(mark) - 1, MOST_LINES)
        lines += [f"{mark} {first}", *(" " * (len(mark) + 1) + line for line in more)]
    return lines


def _text_table(table: Table, width: int) -> list[str]:
    """Columns as wide as their longest cell; the widest ones are broken where they do not fit."""
    rows = [table.heads, *table.rows]
    plain_rows = [[plain(cell) for cell in row] for row in rows]
    widths = [max(cells(row[n]) for row in plain_rows) for n in range(len(table.heads))]
    blank = [n for n in range(len(widths)) if any(not row[n] for row in table.rows)]
    for n in blank:
        widths[n] = max(widths[n], LEAST_COLUMN)
    spare = width - 2 * (len(widths) - 1)
    least = min(LEAST_COLUMN, max(1, spare // len(widths)))
    while sum(widths) > spare and max(widths) > least:
        widths[widths.index(max(widths))] -= 1
    lines: list[str] = []
    if table.headed:
        lines += _text_row(plain_rows[0], widths, table.numbers, fill=False)
        lines.append("  ".join("-" * width for width in widths))
    for row in plain_rows[1:]:
        lines += _text_row(row, widths, table.numbers, fill=True)
    return lines


def _text_row(
    row: Sequence[str], widths: Sequence[int], numbers: tuple[int, ...], *, fill: bool
) -> list[str]:
    parts = [
        wrapped(cell, width, MOST_LINES) if cell or not fill else ["_" * width]
        for cell, width in zip(row, widths, strict=True)
    ]
    lines = []
    for at in range(max(len(part) for part in parts)):
        words = [part[at] if at < len(part) else "" for part in parts]
        lines.append(
            "  ".join(
                right(word, width) if n in numbers else left(word, width)
                for n, (word, width) in enumerate(zip(words, widths, strict=True))
            ).rstrip()
        )
    return lines


# ── Markdown ──────────────────────────────────────────────────────────────────────────────

_MARKS = "\\`*_{}[]#+-.!|~"
_ENTITIES = {"<": "&lt;", ">": "&gt;", "&": "&amp;"}


def as_markdown(blocks: Iterable[Block]) -> str:
    """The paper as Markdown; what a person typed cannot become markup."""
    parts: list[str] = []
    for block in blocks:
        if isinstance(block, Heading):
            parts.append(f"{'#' * block.level} {_md(block.text)}")
        elif isinstance(block, Para):
            text = _md(block.text)
            parts.append(f"**{text}**" if block.strong else text)
        elif isinstance(block, Items):
            parts.append("\n".join(_md_items(block)))
        elif isinstance(block, Table):
            parts.append("\n".join(_md_table(block)))
        elif isinstance(block, Figure):
            data = base64.b64encode(svg(block.curve).encode()).decode("ascii")
            parts.append(f"![{_md(block.caption)}](data:image/svg+xml;base64,{data})")
            parts.append(_md(block.caption))
    return "\n\n".join(parts) + "\n"


def _md(text: str) -> str:
    """Text with every character that could be markup escaped."""
    clean = plain(text)
    return "".join(
        f"\\{char}" if char in _MARKS and _could_mark(clean, n) else _ENTITIES.get(char, char)
        for n, char in enumerate(clean)
    )


def _could_mark(text: str, at: int) -> bool:
    """A point, plus or minus marks a list only where a line begins (after digits at most)."""
    if text[at] in "+-.!#":
        return text[:at].strip().isdecimal() or not text[:at].strip() or text[at] == "!"
    return True


def _md_items(block: Items) -> list[str]:
    if block.ticks is None:
        return [f"- {_md(text)}" for text in block.texts]
    marks = ("x" if ticked else " " for ticked in block.ticks)
    return [f"- [{mark}] {_md(text)}" for mark, text in zip(marks, block.texts, strict=True)]


def _md_table(table: Table) -> list[str]:
    rule = ["---:" if n in table.numbers else "---" for n in range(len(table.heads))]
    rows = [[_md(cell) for cell in row] for row in (table.heads, *table.rows)]
    return [f"| {' | '.join(row)} |" for row in (rows[0], rule, *rows[1:])]


# ── HTML ──────────────────────────────────────────────────────────────────────────────────

_STYLE = (
    "body{font:15px/1.45 sans-serif;max-width:50em;margin:2em auto;padding:0 1em;color:#111}"
    "table{border-collapse:collapse;margin:1em 0}th,td{border:1px solid #999;padding:.25em .6em;"
    "text-align:left;vertical-align:top}td.n,th.n{text-align:right}ul.t{list-style:none;padding:0}"
    "svg{max-width:100%;height:auto}@media print{body{margin:0}tr,figure{break-inside:avoid}}"
)


def as_html(blocks: Sequence[Block]) -> str:
    """The paper as one HTML file without anything from elsewhere."""
    title = next((plain(b.text) for b in blocks if isinstance(b, Heading)), "curedash")
    body = "\n".join(_html(block) for block in blocks)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head>\n<body>\n{body}\n"
        "</body></html>\n"
    )


def _html(block: Block) -> str:
    if isinstance(block, Heading):
        return f"<h{block.level}>{_esc(block.text)}</h{block.level}>"
    if isinstance(block, Para):
        text = _esc(block.text)
        return f"<p><strong>{text}</strong></p>" if block.strong else f"<p>{text}</p>"
    if isinstance(block, Items):
        return _html_items(block)
    if isinstance(block, Table):
        return _html_table(block)
    if isinstance(block, Figure):
        caption = _esc(block.caption)
        return f"<figure>{svg(block.curve)}<figcaption>{caption}</figcaption></figure>"
    return '<div style="break-after:page"></div>'


def _html_items(block: Items) -> str:
    if block.ticks is None:
        return "<ul>" + "".join(f"<li>{_esc(text)}</li>" for text in block.texts) + "</ul>"
    lines = (
        f"<li>{'☒' if ticked else '☐'} {_esc(text)}</li>"
        for ticked, text in zip(block.ticks, block.texts, strict=True)
    )
    return f'<ul class="t">{"".join(lines)}</ul>'


def _html_table(table: Table) -> str:
    def row(tag: str, cells_: Sequence[str]) -> str:
        marked = (
            f"<{tag}{' class=n' if n in table.numbers else ''}>{_esc(cell)}</{tag}>"
            for n, cell in enumerate(cells_)
        )
        return f"<tr>{''.join(marked)}</tr>"

    body = "".join(row("td", cells_) for cells_ in table.rows)
    head = f"<thead>{row('th', table.heads)}</thead>" if table.headed else ""
    return f"<table>{head}<tbody>{body}</tbody></table>"


def _esc(text: str) -> str:
    return escape(plain(text))
