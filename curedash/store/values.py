"""Whether every value of a file is one that the program itself could have written.

What comes from elsewhere is checked by kind of column: moments, days, numbers, JSON, text. The
driver holds types and ranges of the tables; this holds what it cannot.
"""

from __future__ import annotations

import json
from sqlite3 import Connection
from typing import Any

FIRST_YEAR, LAST_YEAR = 1970, 2399  # what is typed ends with 2200; a shelf life may reach beyond
FIRST_S, LAST_S = 0, 13_569_465_599  # the same in seconds since 1970
LARGEST = 1e12  # of any number, whatever its unit
LONGEST_TEXT = 1_000_000  # characters; the images of a large import in the log may be longer
DEEPEST = 24  # levels of a JSON value; the program writes five
INT64 = 2**63
DAYS = ("pack_date", "use_by", "keep_until", "from_day", "to_day")
_NAMES = (
    "SELECT t.name, c.name, c.type FROM pragma_table_list t, pragma_table_info(t.name) c"
    " WHERE t.schema = 'main' AND t.type = 'table' AND substr(t.name, 1, 1) <> '_'"
    " AND t.name NOT GLOB 'kept_*' AND t.name NOT GLOB 'sqlite_*' ORDER BY t.name, c.cid"
)
JSON_COLUMNS = frozenset(
    {
        ("style", "body"),
        ("alert_rule", "body"),
        ("batch", "recipe"),
        ("event", "data"),
        ("draft", "body"),
        ("change", "before"),
        ("change", "after"),
    }
)


NUMBERS = ("forecast", "near")  # rows of numbers as JSON, or nothing


def wrong_values(conn: Connection) -> list[str]:
    """The first value of each column that the program could not have written, in words.

    Example
    -------
    >>> from curedash.store.open import open_db
    >>> import tempfile
    >>> wrong_values(open_db(tempfile.mkdtemp() + "/new.db", create=True))
    []
    """
    found = []
    for table, column, kind in conn.execute(_NAMES).fetchall():
        wrong = _wrong(conn, table, column, kind)
        if wrong:
            found.append(f"{table}.{column} holds {wrong}")
    return found


def _wrong(conn: Connection, table: str, column: str, kind: str) -> str | None:
    if (table, column) in JSON_COLUMNS:
        return _wrong_json(conn, table, column)
    if (table, column) == NUMBERS:
        return _wrong_numbers(conn)
    if kind == "TEXT":
        return _wrong_text(conn, table, column)
    if kind == "REAL" and table not in ("forecast", "forecast_told"):
        row = _first(conn, table, column, f"abs({column}) > {LARGEST}")
        return None if row is None else f"{row[0]!r}, beyond any quantity"
    if kind == "INTEGER" and column in ("at", "last_at", "bad_at"):
        row = _first(conn, table, column, f"{column} NOT BETWEEN {FIRST_S} AND {LAST_S}")
        return None if row is None else f"{row[0]}, which is not a date and time"
    return None


def _wrong_text(conn: Connection, table: str, column: str) -> str | None:
    long = _first(conn, table, f"length({column})", f"length({column}) > {LONGEST_TEXT}")
    if long is not None:
        return f"a text of {long[0]:,} characters"
    if column in ("at", "at_utc") or column.endswith("_at"):
        row = _first(
            conn,
            table,
            column,
            f"{column} <> ''"
            f" AND (strftime('%Y-%m-%dT%H:%M:%SZ', {column}, '+0 days') IS NOT {column}"
            f" OR substr({column}, 1, 4) NOT BETWEEN '{FIRST_YEAR}' AND '{LAST_YEAR}')",
        )
        return None if row is None else f"“{row[0][:40]}”, which is not a date and time"
    if column.endswith("_on") or column in DAYS:
        row = _first(
            conn,
            table,
            column,
            f"{column} <> '' AND (date({column}, '+0 days') IS NOT {column}"
            f" OR substr({column}, 1, 4) NOT BETWEEN '{FIRST_YEAR}' AND '{LAST_YEAR}')",
        )
        return None if row is None else f"“{row[0][:40]}”, which is not a day"
    return None


def _first(conn: Connection, table: str, what: str, where: str) -> Any:
    return conn.execute(f"SELECT {what} FROM {table} WHERE {where} LIMIT 1").fetchone()


def _wrong_json(conn: Connection, table: str, column: str) -> str | None:
    longest = INT64 if table == "change" else LONGEST_TEXT
    for (text,) in conn.execute(f"SELECT {column} FROM {table} WHERE {column} IS NOT NULL"):
        if len(text) > longest:
            return f"a text of {len(text):,} characters"
        try:
            value = json.loads(text, parse_int=_int64, parse_float=_finite, parse_constant=_finite)
        except (ValueError, RecursionError) as trouble:
            return f"JSON that cannot be read ({str(trouble)[:60]})"
        if text.count("[") + text.count("{") > DEEPEST and _depth(value) > DEEPEST:
            return f"JSON of more than {DEEPEST} levels"
    return None


def _wrong_numbers(conn: Connection) -> str | None:
    for (text,) in conn.execute("SELECT near FROM forecast WHERE near <> ''"):
        try:
            rows = json.loads(text, parse_int=_int64, parse_float=_finite, parse_constant=_finite)
            if not all(len(row) == 4 and all(map(_is_number, row)) for row in rows):
                raise ValueError("other rows")
        except (ValueError, TypeError, RecursionError):
            return f"“{text[:40]}”, which is not a curve"
    return None


def _is_number(value: Any) -> bool:
    return type(value) in (int, float)


def _int64(figures: str) -> int:
    value = int(figures) if len(figures) < 21 else INT64
    if not -INT64 <= value < INT64:
        raise ValueError("a whole number beyond 64 bits")
    return value


def _finite(figures: str) -> float:
    value = float(figures)
    if value - value != 0:
        raise ValueError("a number without end")
    return value


def _depth(value: Any) -> int:
    """Levels of lists and objects in each other."""
    deepest, level = 0, [value]
    while level:
        inside: list[Any] = []
        for one in level:
            if isinstance(one, dict):
                inside += one.values()
            elif isinstance(one, list):
                inside += one
        deepest, level = deepest + 1, inside
        if deepest > DEEPEST:
            break
    return deepest
