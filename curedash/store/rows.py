"""Rows of a table as records whose fields are its columns, and records as rows."""

from __future__ import annotations

from collections.abc import Sequence
from sqlite3 import Connection

from curedash.domain.record import field_names

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any, TypeVar

    T = TypeVar("T")


def many(
    conn: Connection, kind: type[T], rest: str, values: Sequence[Any] | dict[str, Any] = ()
) -> list[T]:
    """What is found; ``rest`` is the statement from the name of its table on."""
    rows = conn.execute(f"SELECT {', '.join(field_names(kind))} FROM {rest}", values)
    return [kind(*row) for row in rows]


def one(
    conn: Connection, kind: type[T], rest: str, values: Sequence[Any] | dict[str, Any] = ()
) -> T | None:
    """The first that is found."""
    row = conn.execute(f"SELECT {', '.join(field_names(kind))} FROM {rest}", values).fetchone()
    return None if row is None else kind(*row)


def value(conn: Connection, statement: str, values: Sequence[Any] | dict[str, Any] = ()) -> Any:
    """The first column of the first row of a statement; None where there is no row."""
    row = conn.execute(statement, values).fetchone()
    return None if row is None else row[0]


def put(conn: Connection, table: str, values: Sequence[dict[str, Any]]) -> None:
    """Write rows, each by the names of its columns; one of the same key is replaced."""
    if values:
        names = tuple(values[0])
        marks = ", ".join(f":{name}" for name in names)
        conn.executemany(
            f"INSERT OR REPLACE INTO {table} ({', '.join(names)}) VALUES ({marks})", values
        )
