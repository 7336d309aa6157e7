"""The whole file, table by table, for leaving and coming back; nothing here knows what it means."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from typing import Any

from curedash.domain.errors import FileTrouble, Refused
from curedash.domain.record import record
from curedash.store import naming
from curedash.store.backup import as_one_file
from curedash.store.file_trouble import SCHEMA_VERSION, translate_error
from curedash.store.open import open_db
from curedash.store.work import note_stored

Row = tuple[Any, ...]
Tell = Callable[[int], None]
StoredTables = Mapping[str, tuple[list[str], Iterable[Row]]]
Reader = Callable[["list[Table]"], StoredTables]
Accept = Callable[[sqlite3.Connection], None]
#: tables of the driver and of the migrations, and what triggers keep, belong to no export
_OURS_ALONE = "name NOT GLOB 'sqlite_*' AND name NOT GLOB '_sqlite*' AND name NOT GLOB 'kept_*'"


@record
class Column:
    """A column and how it keeps its values: TEXT, INTEGER, REAL or BLOB."""

    name: str
    kind: str


@record
class Table:
    """A table with its columns, and the columns that name a row."""

    name: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]


def version(conn: sqlite3.Connection) -> int:
    """The version of the file's shape."""
    return int(conn.execute("PRAGMA user_version").fetchone()[0])


def tables(conn: sqlite3.Connection) -> list[Table]:
    """Every table that holds the household's data, by name."""
    names = conn.execute(
        f"SELECT name FROM sqlite_master WHERE type = 'table' AND {_OURS_ALONE} ORDER BY name"
    ).fetchall()
    return [_table(conn, name) for (name,) in names]


def _table(conn: sqlite3.Connection, name: str) -> Table:
    told = conn.execute(f"PRAGMA table_info ({name})").fetchall()
    columns = tuple(Column(row[1], row[2]) for row in told)
    key = [row[1] for row in sorted(told, key=lambda row: row[5]) if row[5]]
    return Table(name, columns, tuple(key))


def rows(conn: sqlite3.Connection, table: Table) -> Iterator[Row]:
    """The rows of a table in the order of its key."""
    names = ", ".join(column.name for column in table.columns)
    return iter(conn.execute(f"SELECT {names} FROM {table.name} ORDER BY {', '.join(table.key)}"))


def count(conn: sqlite3.Connection) -> int:
    """How many rows there are in all tables."""
    return sum(
        conn.execute(f"SELECT count(*) FROM {table.name}").fetchone()[0] for table in tables(conn)
    )


def is_empty(conn: sqlite3.Connection) -> bool:
    """Whether nobody has kept anything in it yet: no change, no reading."""
    return not any(
        conn.execute(f"SELECT 1 FROM {name} LIMIT 1").fetchone()
        for name in ("change", "lot", "batch", "place", "reading", "weigh_in")
    )


@contextmanager
def snapshot(conn: sqlite3.Connection) -> Iterator[None]:
    """Everything read inside belongs to one moment, whatever others write meanwhile."""
    conn.execute("BEGIN")
    try:
        yield
    finally:
        conn.execute("ROLLBACK")


def restore(path: str, schema: int, read: Reader, tell: Tell, accept: Accept) -> int:
    """Fill a new file, or one that holds nothing yet; all of it or nothing.

    Parameters
    ----------
    schema : version of the shape the data were told in
    read : given the tables of that shape, their columns and rows
    tell : called with the number of rows kept so far
    accept : given the filled file of today's shape before it gets its name; raises Refused for
        what the program could not work with

    Returns
    -------
    how many rows the file holds, read from it once it bears its name

    Raises
    ------
    Refused: the file holds something, a shape that is not known, rows that fit no table
    """
    if not 1 <= schema <= SCHEMA_VERSION:
        raise Refused("A newer curedash wrote this; import it with that version.")
    if os.path.exists(path) and os.path.getsize(path):
        return _into_empty(path, schema, read, tell, accept)
    unfinished = naming.part_name(path)
    try:
        conn = _shaped(unfinished, schema)
        try:
            _fill(conn, read, tell)
        finally:
            conn.close()
        with closing(open_db(unfinished, copy_first=False)) as conn:  # today's shape
            accept(conn)
        as_one_file(unfinished)
        _put_in_place(unfinished, path)
    finally:
        naming.clear(unfinished)
    with closing(open_db(path, read_only=True)) as conn:
        return count(conn)


def _put_in_place(unfinished: str, path: str) -> None:
    """Give the file its name, if that is still free; a log that lies there is set aside."""
    with naming.FolderLock(path):
        try:
            naming.set_logs_aside(path)
            if os.path.isfile(path) and os.path.getsize(path) == 0:
                os.remove(path)
            naming.give_free_name(unfinished, path)
            note_stored()
        except FileExistsError:
            raise Refused(
                f"{path} was made by another program meanwhile and is as it was; name a new file"
                " with --db."
            ) from None
        except OSError as trouble:
            raise FileTrouble(f"Cannot write {path}: {trouble.strerror}.") from None


def _into_empty(path: str, schema: int, read: Reader, tell: Tell, accept: Accept) -> int:
    with closing(open_db(path)) as conn:
        _require_empty(conn, path)
        if schema != SCHEMA_VERSION:
            raise Refused(f"{path} has a newer format than these data; name a new file with --db.")

        def clear() -> None:
            _require_empty(conn, path)
            for table in tables(conn):
                conn.execute(f"DELETE FROM {table.name}")

        _fill(conn, read, tell, clear=clear, accept=accept)
        note_stored()
        return count(conn)


def _require_empty(conn: sqlite3.Connection, path: str) -> None:
    if not is_empty(conn):
        raise Refused(f"{path} holds a household already; name a new file with --db.")


def _shaped(path: str, schema: int) -> sqlite3.Connection:
    """A new file in the shape of that version."""
    naming.require_name(path)
    folder = os.path.dirname(os.path.abspath(path))
    try:
        os.makedirs(folder, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except OSError as trouble:
        raise FileTrouble(f"Cannot make {path}: {trouble.strerror}.") from None
    if schema == SCHEMA_VERSION:
        return open_db(path, create=True)
    from sqlite_utils import Database

    from curedash.store.migrations import curedash, steps_after

    later = steps_after(schema)
    conn = sqlite3.connect(path, isolation_level=None)
    curedash.apply(Database(conn), stop_before=later)
    return conn


def _fill(
    conn: sqlite3.Connection,
    read: Reader,
    tell: Tell,
    *,
    clear: Callable[[], None] | None = None,
    accept: Accept | None = None,
) -> None:
    known = {table.name: table for table in tables(conn)}
    told = read(list(known.values()))
    _require_whole(known, told)
    kept = 0
    conn.execute("BEGIN IMMEDIATE")
    try:
        conn.execute("PRAGMA defer_foreign_keys = 1")
        if clear is not None:
            clear()
        for name, (columns, lines) in told.items():
            kept = _insert(conn, name, columns, lines, kept, tell)
        broken = conn.execute("PRAGMA foreign_key_check").fetchone()
        if broken:
            raise Refused(f"A row of {broken[0]} points at one of {broken[2]} that is not there.")
        if accept is not None:
            accept(conn)
        conn.execute("COMMIT")
    except sqlite3.Error as trouble:
        conn.execute("ROLLBACK")
        raise translate_error(trouble) from None
    except BaseException:
        conn.execute("ROLLBACK")
        raise


def _require_whole(known: Mapping[str, Table], told: StoredTables) -> None:
    missing = sorted(known.keys() - told.keys())
    strange = sorted(str(name) for name in told.keys() - known.keys())
    if missing or strange:
        what = f"misses the table {missing[0]}" if missing else f"has a strange table {strange[0]}"
        raise Refused(f"This export {what}; nothing was saved.")
    for name, (columns, _) in told.items():
        wanted = sorted(column.name for column in known[name].columns)
        if sorted(columns) != wanted:
            raise Refused(f"The columns of {name} are not {', '.join(wanted)}; nothing was saved.")


def _insert(
    conn: sqlite3.Connection,
    name: str,
    columns: list[str],
    lines: Iterable[Row],
    kept: int,
    tell: Tell,
) -> int:
    marks = ", ".join("?" * len(columns))
    statement = f"INSERT INTO {name} ({', '.join(columns)}) VALUES ({marks})"
    for number, row in enumerate(lines):
        try:
            conn.execute(statement, row)
        except (
            sqlite3.IntegrityError,
            sqlite3.ProgrammingError,
            sqlite3.InterfaceError,
            OverflowError,
            UnicodeEncodeError,
        ) as trouble:
            why = str(trouble).removesuffix(".")
            raise Refused(
                f"Row {number + 1} of {name} does not fit ({why}); nothing was saved."
            ) from None
        kept += 1
        if kept % 500 == 0:
            tell(kept)
    return kept
