"""Looking at a file without changing it: is it whole, what does it hold, does the log agree."""

import os
import sqlite3
from contextlib import closing

from curedash.domain.record import record
from curedash.store.file_trouble import translate_error
from curedash.store.open import open_db
from curedash.store.rows import value

MOST = 20  # findings; the first ones say enough


@record
class Contents:
    """What a household file or a copy of it holds; what was voided or taken back is left out."""

    version: int
    lots: int
    weigh_ins: int
    readings: int
    newest_at: str | None  # when the newest change was written [UTC]
    size_bytes: int


def contents(path: str) -> Contents:
    """What a file holds, whatever version made it.

    Raises
    ------
    NotFound, FileTrouble or Busy: it cannot be read
    """
    with closing(open_db(path, read_only=True, as_it_is=True)) as conn:
        return contents_of(conn, path)


def contents_of(conn: sqlite3.Connection, path: str) -> Contents:
    """What an open file holds."""
    try:
        standing = ("lot WHERE voided_at IS NULL", "weigh_in WHERE voided_at IS NULL", "reading")
        lots, weigh_ins, readings = (
            int(value(conn, f"SELECT count(*) FROM {rows}")) for rows in standing
        )
        newest = value(conn, "SELECT max(recorded_at) FROM change")
        version = int(value(conn, "PRAGMA user_version"))
    except sqlite3.Error as trouble:
        raise translate_error(trouble, path) from None
    return Contents(version, lots, weigh_ins, readings, newest, os.path.getsize(path))


def damage(conn: sqlite3.Connection, *, thorough: bool = False) -> list[str]:
    """What is wrong inside an open file, in the driver's words; empty if nothing is.

    ``thorough`` also compares every index with its table and follows every reference.
    """
    found = _checked(conn, "integrity_check" if thorough else "quick_check")
    try:
        if thorough:
            dangling = conn.execute("PRAGMA foreign_key_check").fetchmany(MOST)
            found += [f"a row of {row[0]} points at nothing in {row[2]}" for row in dangling]
            found += _no_times(conn)
    except sqlite3.Error as trouble:
        return found or [str(trouble)]
    return found


def _checked(conn: sqlite3.Connection, check: str) -> list[str]:
    """The driver's words line by line; where damage stops it, as many as it has before that."""
    try:
        return _words_of(conn, check, MOST)
    except sqlite3.OperationalError as trouble:  # locked or not readable: asking less is no help
        return [str(trouble)]
    except sqlite3.Error as trouble:
        found, fewest, stopped = [str(trouble)], 0, MOST
    while stopped - fewest > 1:
        middle = (fewest + stopped) // 2
        try:
            found, fewest = _words_of(conn, check, middle), middle
        except sqlite3.Error:
            stopped = middle
    return found


def _words_of(conn: sqlite3.Connection, check: str, most: int) -> list[str]:
    rows = conn.execute(f"PRAGMA {check} ({most})").fetchall()
    lines = [line for row in rows for line in str(row[0]).splitlines()]
    return [line for line in lines if line and line != "ok" and not line.startswith("***")]


def _no_times(conn: sqlite3.Connection) -> list[str]:
    """Moments that are none; a column that holds moments is named ``at`` or ``…_at``."""
    columns = conn.execute(
        "SELECT t.name, c.name FROM pragma_table_list t, pragma_table_info(t.name) c"
        " WHERE t.schema = 'main' AND t.type = 'table' AND substr(t.name, 1, 1) <> '_'"
        " AND c.type = 'TEXT' AND (c.name IN ('at', 'at_utc') OR c.name GLOB '*_at')"
    ).fetchall()
    found = []
    for table, column in columns:
        row = conn.execute(
            f"SELECT {column} FROM {table} WHERE {column} IS NOT NULL AND {column} <> ''"
            f" AND strftime('%Y-%m-%dT%H:%M:%SZ', {column}, '+0 days') IS NOT {column} LIMIT 1"
        ).fetchone()
        if row is not None:
            found.append(f"{table}.{column} holds “{row[0]}”, which is not a date and time")
    return found


def against_the_log(conn: sqlite3.Connection) -> list[str]:
    """Weigh-ins whose weight or time is not what the log says was written.

    No database notices a flipped figure by itself; the log holds each one a second time.
    """
    try:
        rows = conn.execute(
            "SELECT w.id, lot.code, w.gross_g, json_extract(i.value, '$[2].gross_g')"
            " FROM change c, json_each(c.after) i JOIN weigh_in w"
            " ON w.id = json_extract(i.value, '$[1]') LEFT JOIN lot ON lot.id = w.lot_id"
            " WHERE json_extract(i.value, '$[0]') = 'weigh_in'"
            " AND json_type(i.value, '$[2]') = 'object'"
            " AND (w.gross_g <> json_extract(i.value, '$[2].gross_g')"
            "  OR w.net_g <> json_extract(i.value, '$[2].net_g')"
            "  OR w.tare_g <> json_extract(i.value, '$[2].tare_g')"
            "  OR w.at <> json_extract(i.value, '$[2].at')"
            "  OR w.lot_id <> json_extract(i.value, '$[2].lot_id')) LIMIT 20"
        ).fetchall()
    except sqlite3.Error as trouble:
        return [str(trouble)]
    return [
        f"weigh-in {number} of {code or 'no lot'}: the row says {row_g:g} g,"
        f" the log {'nothing' if log_g is None else f'{log_g:g} g'}"
        for number, code, row_g, log_g in rows
    ]


def curve_kept_wrong(conn: sqlite3.Connection) -> list[str]:
    """Lots whose kept newest weight is not what their weigh-ins say.

    Triggers keep it; this notices a file whose triggers somebody took out.
    """
    try:
        rows = conn.execute(
            "SELECT lot.code, kept.net_g, last.net_g FROM lot"
            " LEFT JOIN kept_curve kept ON kept.lot_id = lot.id"
            " LEFT JOIN weigh_in last ON last.id = (SELECT w.id FROM weigh_in w"
            "  WHERE w.lot_id = lot.id AND w.voided_at IS NULL"
            "  ORDER BY w.at DESC, w.id DESC LIMIT 1)"
            " WHERE kept.weigh_in_id IS NOT last.id OR kept.net_g IS NOT last.net_g"
            "  OR ifnull(kept.points_count, 0) <> (SELECT count(*) FROM weigh_in w"
            "   WHERE w.lot_id = lot.id AND w.voided_at IS NULL AND w.curve = 1) LIMIT 20"
        ).fetchall()
    except sqlite3.Error as trouble:
        return [str(trouble)]
    return [
        f"{code}: the Rack reads {'nothing' if kept_g is None else f'{kept_g:g} g'},"
        f" the newest weigh-in says {'nothing' if net_g is None else f'{net_g:g} g'}"
        for code, kept_g, net_g in rows
    ]


def page_size(conn: sqlite3.Connection) -> int:
    """Size of the file's pages [bytes]."""
    return int(value(conn, "PRAGMA page_size"))
