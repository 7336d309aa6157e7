"""Pages of the file by number: those that the driver names, and those that nothing vouches for.

A page is named only where the driver can tell which table it belongs to (its table ``dbstat``,
which not every build has).
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable

MOST_RUNS = 8  # runs of pages in words; the rest is counted


def alone(
    conn: sqlite3.Connection, copy: sqlite3.Connection | None, tables: tuple[str, ...]
) -> list[int]:
    """Pages with rows of these tables that no copy holds bit by bit at the same place.

    Parameters
    ----------
    copy : a copy of the same file, None if there is none
    tables : what is said once, e.g. ``("change", "reading")``

    Returns
    -------
    numbers of pages in order, from 1; empty where this driver cannot tell
    """
    marks = ", ".join("?" * len(tables))
    try:
        numbers = [
            int(row[0])
            for row in conn.execute(
                f"SELECT pageno FROM dbstat WHERE name IN ({marks}) AND pagetype <> 'internal'"
                " ORDER BY pageno",
                tables,
            )
        ]
        if copy is None or not numbers:
            return numbers
        mine, theirs = conn.serialize(), copy.serialize()
        size, other = (int(each.execute("PRAGMA page_size").fetchone()[0]) for each in (conn, copy))
    except (sqlite3.Error, AttributeError, MemoryError):
        return []
    if size != other:
        return numbers
    spans = ((number, slice((number - 1) * size, number * size)) for number in numbers)
    return [number for number, span in spans if mine[span] != theirs[span]]


def named(lines: Iterable[str]) -> list[int]:
    """The pages that the driver's words about damage name, in order.

    Example
    -------
    >>> named(["Tree 4 page 9 cell 0: Rowid 7 out of order", "Page 3: never used"])
    [3, 9]
    """
    found = (re.findall(r"\bpage (\d{1,10})\b", line, re.IGNORECASE) for line in lines)
    return sorted({int(number) for numbers in found for number in numbers})


def words(numbers: list[int]) -> str:
    """Pages in words, the first eight runs of them; empty for none.

    Example
    -------
    >>> words([4, 5, 6, 9]), words([7]), words([])
    ('pages 4–6, 9', 'page 7', '')
    """
    runs: list[tuple[int, int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    if not runs:
        return ""
    shown = ", ".join(f"{a}" if a == b else f"{a}–{b}" for a, b in runs[:MOST_RUNS])
    left = sum(b - a + 1 for a, b in runs[MOST_RUNS:])
    return f"page{'s' if len(numbers) > 1 else ''} {shown}{f' and {left} more' if left else ''}"
