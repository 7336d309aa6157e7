"""The whole household as one JSON document: every table, every row, in a stable order.

Exported, imported into a new file and exported again it is the same byte for byte. The document
is plain ASCII, so that nothing in it can steer a terminal.
"""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Iterator
from typing import Any

from curedash.domain.errors import Refused
from curedash.store import dump, outside
from curedash.store.open import Connection

FORMAT = "curedash"
MOST_BYTES = 2_000_000_000  # design value: ten years of a reading a minute from ten sensors
ABOUT = {
    "weights": "g",
    "temperatures": "°C",
    "humidity": "% relative humidity",
    "lengths": "mm",
    "percentages": "0 to 100",
    "times": "ISO-8601 in UTC; readings in seconds since 1970",
    "numbers": "decimal point, no thousands mark",
    "text": "UTF-8",
}


def lines(conn: Connection, tell: dump.Tell) -> Iterator[str]:
    """The document in pieces, one row a line; call inside :func:`whole.snapshot`."""
    head = {"format": FORMAT, "schema": dump.version(conn), "units": ABOUT}
    yield json.dumps(head, indent=1)[:-2] + ',\n "tables": {\n'
    done, names = 0, dump.tables(conn)
    for number, table in enumerate(names):
        columns = json.dumps([column.name for column in table.columns])
        yield f'  {json.dumps(table.name)}: {{"columns": {columns}, "rows": ['
        between = "\n"
        for row in dump.rows(conn, table):
            yield between + json.dumps([_out(value) for value in row])
            between = ",\n"
            done += 1
            tell(done)
        yield "]}" + ("," if number + 1 < len(names) else "") + "\n"
    yield " }\n}\n"


def restore(path: str, text: str, tell: dump.Tell, accept: dump.Accept) -> int:
    """Fill a new file from a document; how many rows it holds then.

    Parameters
    ----------
    accept : what the filled file has to pass before it gets its name, as
        :func:`curedash.papers.acceptance.workable` makes it

    Raises
    ------
    Refused: it is not an export of this program, or a row fits no table
    """
    try:
        told = json.loads(text)
    except (ValueError, RecursionError) as trouble:
        raise Refused(f"This is not JSON ({trouble}); nothing was saved.") from None
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        raise Refused("This JSON is not an export of curedash; nothing was saved.")
    schema, tables = told.get("schema"), told.get("tables")
    if not isinstance(schema, int) or not isinstance(tables, dict):
        raise Refused("This export has no tables; nothing was saved.")
    found = {name: _read(name, body) for name, body in tables.items()}
    return dump.restore(path, schema, lambda _: found, tell, accept)


def _read(name: str, body: Any) -> tuple[list[str], Iterator[dump.Row]]:
    columns, rows = (
        body.get(part) if isinstance(body, dict) else None for part in ("columns", "rows")
    )
    if not isinstance(columns, list) or not isinstance(rows, list):
        raise Refused(f"The table {name} is not written as columns and rows; nothing was saved.")
    return [str(column) for column in columns], (_row(name, n, row) for n, row in enumerate(rows))


def _row(name: str, number: int, row: Any) -> dump.Row:
    if not isinstance(row, list):
        raise Refused(f"Row {number + 1} of {name} is not a list; nothing was saved.")
    try:
        return tuple(_in(value) for value in row)
    except (ValueError, TypeError):
        raise Refused(
            f"Row {number + 1} of {name} holds a value that is not valid; nothing was saved."
        ) from None


def _out(value: Any) -> Any:
    if isinstance(value, bytes):
        return {"base64": base64.b64encode(value).decode("ascii")}
    if isinstance(value, float) and not math.isfinite(value):
        return {"real": repr(value)}
    return value


def _in(value: Any) -> Any:
    if isinstance(value, dict):
        if value.keys() == {"base64"}:
            return base64.b64decode(value["base64"], validate=True)
        if value.keys() == {"real"}:
            return float(value["real"])
        raise ValueError(value)
    if isinstance(value, list):
        raise ValueError(value)
    return value


def read_text(path: str) -> str:
    """A text file, whatever mark of UTF-8 it begins with.

    Raises
    ------
    FileTrouble: it cannot be read, or is not UTF-8 text; Refused: it does not end, or is longer
    than a household's file can be
    """
    return outside.read_text(path, MOST_BYTES)
