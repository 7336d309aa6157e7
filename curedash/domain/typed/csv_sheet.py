"""A sheet as people keep one: CSV with a line of headings, each line with its number."""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from curedash.domain.errors import Refused
from curedash.domain.record import record
from curedash.domain.wording import listed

MOST_LINES = 20_000  # design value: more are cut in two


@record
class SheetRow:
    """One line of a sheet as it was typed."""

    number: int  # of the line in the file, the heading is line 1
    cells: dict[str, str]
    odd: str | None  # what is wrong with it before a cell is read


@record
class SheetProblem:
    """What is wrong with one line; a doubt can be kept all the same."""

    number: int
    words: str
    doubt: bool = False


def sheet_rows(
    text: str, headings: Mapping[str, str], needed: Sequence[str], *, only_known: bool = False
) -> Iterator[SheetRow]:
    """Read a sheet line by line; cells are parted by comma, semicolon or tab.

    Parameters
    ----------
    text : the sheet, its first line the headings
    headings : what a heading may be called, in small letters, and the column it names
    needed : columns every sheet has
    only_known : whether a column of another name is refused, or left out

    Returns
    -------
    the lines that hold something; a column that is missing, doubled or unknown, and a text that
    is no CSV, raises ``Refused``

    Source
    ------
    RFC 4180 for the quoting; the headings are the project's own

    Example
    -------
    >>> called = {"day": "date", "grams": "g"}
    >>> [row.cells for row in sheet_rows("Day;Grams\\n2 Jan;780", called, ["date"])]
    [{'date': '2 Jan', 'g': '780'}]
    """
    heads, numbered = _headings(text, headings, needed, only_known)
    return _rows(heads, numbered)


def headings_of(text: str) -> list[str]:
    """The headings of a sheet as they are typed, in small letters; none where it is no CSV."""
    try:
        return _heading_words(_numbered(text))
    except Refused:
        return []


def _rows(heads: list[str], numbered: Iterator[tuple[int, list[str]]]) -> Iterator[SheetRow]:
    for count, (number, row) in enumerate(numbered):
        if count >= MOST_LINES:
            raise Refused(f"A sheet has at most {MOST_LINES} lines; cut it in two.")
        if not any(cell.strip() for cell in row):
            continue
        odd = None
        if len(row) != len(heads):
            odd = f"{len(row)} cells where the headings name {len(heads)}"
        cells = {head: cell.strip() for head, cell in zip(heads, row, strict=False) if head}
        yield SheetRow(number, cells, odd)


def _headings(
    text: str, headings: Mapping[str, str], needed: Sequence[str], only_known: bool
) -> tuple[list[str], Iterator[tuple[int, list[str]]]]:
    numbered = _numbered(text)
    typed = _heading_words(numbered)
    heads = [headings.get(name, "") for name in typed]
    if only_known:
        _require_known(typed, heads, headings)
    missing = [head for head in needed if head not in heads]
    if missing:
        names = listed(needed)
        raise Refused(f"The first line must name the columns {names}; {missing[0]} is missing.")
    doubled = next((head for head in heads if head and heads.count(head) > 1), None)
    if doubled:
        raise Refused(f"Two columns are headed {doubled}; keep one of them.")
    return heads, numbered


def _require_known(typed: list[str], heads: list[str], headings: Mapping[str, str]) -> None:
    strange = [name for name, head in zip(typed, heads, strict=True) if name and not head]
    if strange:
        known = ", ".join(dict.fromkeys(headings.values()))
        raise Refused(f"There is no column “{strange[0][:40]}”; a sheet may have {known}.")


def _heading_words(numbered: Iterator[tuple[int, list[str]]]) -> list[str]:
    names = next((row for _, row in numbered if any(row)), [])
    return [" ".join(name.casefold().split()) for name in names]


def _numbered(text: str) -> Iterator[tuple[int, list[str]]]:
    """Each line with its number, parted at the mark that the first line has most of."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    between = max(",;\t", key=first.count)
    reader: Any = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    line = 1
    try:
        for row in reader:
            yield line, row
            line = reader.line_num + 1
    except csv.Error as trouble:
        raise Refused(f"Line {line} is not CSV ({trouble}); nothing was saved.") from None
