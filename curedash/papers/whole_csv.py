"""The whole household as a folder of CSV files, one a table, harmless in a spreadsheet.

A cell that a spreadsheet would take for a formula gets an apostrophe in front, which the way
back takes off again; an empty cell is an unknown value, a lone apostrophe an empty text.
Numbers stand as they are.
"""

from __future__ import annotations

import base64
import csv
import io
import os
from collections.abc import Iterator
from typing import Any

from curedash.domain.errors import FileTrouble, Refused
from curedash.papers.files import write_file
from curedash.papers.whole_json import ABOUT, FORMAT, read_text
from curedash.store import dump, naming
from curedash.store.open import Connection

ABOUT_FILE = "about.csv"
FORMULA_STARTS = tuple("=+-@＝＋－＠'\t\r\n")


def write_folder(conn: Connection, folder: str, tell: dump.Tell) -> None:
    """Write every table; call inside :func:`whole.snapshot`.

    Raises
    ------
    Refused: the folder holds something already
    """
    naming.require_name(folder)
    try:
        os.makedirs(folder, mode=0o700, exist_ok=True)
        if os.listdir(folder):
            raise Refused(f"{folder} is not empty; name a new folder.")
    except OSError as trouble:
        raise FileTrouble(f"Cannot make the folder {folder}: {trouble.strerror}.") from None
    about = {"format": FORMAT, "schema": str(dump.version(conn))} | ABOUT
    about |= {
        "separator": "comma",
        "empty cell": "unknown",
        "apostrophe in front": "taken off when it is read back",
    }
    write_file(os.path.join(folder, ABOUT_FILE), as_csv([["name", "value"], *about.items()]))
    done = 0
    for table in dump.tables(conn):
        lines: list[Any] = [[column.name for column in table.columns]]
        kinds = [column.kind for column in table.columns]
        for row in dump.rows(conn, table):
            lines.append([cell(v, kind) for v, kind in zip(row, kinds, strict=True)])
            done += 1
            tell(done)
        write_file(os.path.join(folder, f"{table.name}.csv"), as_csv(lines))


def restore(path: str, folder: str, tell: dump.Tell, accept: dump.Accept) -> int:
    """Fill a new file from such a folder; how many rows it holds then.

    Parameters
    ----------
    accept : what the filled file has to pass before it gets its name, as
        :func:`curedash.papers.acceptance.workable` makes it

    Raises
    ------
    Refused: it is not an export of this program, or a row fits no table
    """

    def read(tables: list[dump.Table]) -> dump.StoredTables:
        kinds = {table.name: {c.name: c.kind for c in table.columns} for table in tables}
        names = [
            name.removesuffix(".csv")
            for name in sorted(os.listdir(folder))
            if name.endswith(".csv") and name != ABOUT_FILE
        ]
        return {name: _table(folder, name, kinds.get(name, {})) for name in names}

    return dump.restore(path, _schema(folder), read, tell, accept)


def _schema(folder: str) -> int:
    path = os.path.join(folder, ABOUT_FILE)
    if not os.path.exists(path):
        raise Refused(f"{folder} has no {ABOUT_FILE}; it is not an export of curedash.")
    about = dict(line for line in _parsed(ABOUT_FILE, read_text(path)) if len(line) == 2)
    schema = about.get("schema", "")
    if about.get("format") != FORMAT or not schema.isdecimal():
        raise Refused(f"{path} does not belong to an export of curedash; nothing was saved.")
    return int(schema)


def _table(folder: str, table: str, kinds: dict[str, str]) -> tuple[list[str], Iterator[dump.Row]]:
    text = read_text(os.path.join(folder, f"{table}.csv"))
    lines = _parsed(f"{table}.csv", text)
    columns = next(lines, [])
    return columns, _rows(table, lines, [kinds.get(column, "TEXT") for column in columns])


def _rows(table: str, lines: Iterator[list[str]], kinds: list[str]) -> Iterator[dump.Row]:
    for number, line in enumerate(lines):
        where = f"{table}.csv, row {number + 1}"
        if len(line) != len(kinds):
            raise Refused(f"{where}: {len(line)} cells instead of {len(kinds)}; nothing saved.")
        try:
            yield tuple(value(text, kind) for text, kind in zip(line, kinds, strict=True))
        except ValueError:
            raise Refused(
                f"{where}: a cell is not {'/'.join(set(kinds))}; nothing saved."
            ) from None


def cell(kept: Any, kind: str) -> str:
    """A value as the text of a cell.

    Example
    -------
    >>> cell("=1+1", "TEXT"), cell("", "TEXT"), cell(None, "TEXT"), cell(-1.5, "REAL")
    ("'=1+1", "'", '', '-1.5')
    >>> cell(bytes([0xF8]), "BLOB")
    "'+A=="
    """
    if kept is None:
        return ""
    if isinstance(kept, (int, float)) and kind != "TEXT":
        return repr(kept)
    text = base64.b64encode(kept).decode("ascii") if isinstance(kept, bytes) else str(kept)
    return f"'{text}" if not text or text.startswith(FORMULA_STARTS) else text


def value(text: str, kind: str) -> Any:
    """The value of a cell.

    Raises
    ------
    ValueError: it is not a number where one is wanted

    Example
    -------
    >>> value("'=1+1", "TEXT"), value("'", "TEXT"), value("", "TEXT"), value("-1.5", "REAL")
    ('=1+1', '', None, -1.5)
    """
    if not text:
        return None
    if kind == "BLOB":
        return base64.b64decode(text.removeprefix("'"), validate=True)
    if kind == "INTEGER":
        return int(text)
    if kind == "REAL":
        return float(text)
    return text.removeprefix("'")


def as_csv(lines: list[Any]) -> str:
    """Lines of cells as CSV with commas."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows(lines)
    return out.getvalue()


def _parsed(name: str, text: str) -> Iterator[list[str]]:
    csv.field_size_limit(2**31 - 1)  # one image of a change may be long
    try:
        yield from csv.reader(io.StringIO(text, newline=""), strict=True)
    except csv.Error as trouble:
        raise Refused(f"{name} is not CSV ({trouble}); nothing was saved.") from None
