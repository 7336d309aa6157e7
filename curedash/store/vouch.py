"""What the file says a second time, held against the first: no database notices a flipped bit.

The log holds every row as it was before and after each change, so each image must be the one
before it, and the last one the row itself. Days of readings are boiled down from the readings. The
shape is that of a new file. And the newest copy beside the file says all of it once more.
"""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from typing import Any

from curedash.domain.record import record
from curedash.store import pages
from curedash.store.open import open_db
from curedash.store.work import DECIDED, KEYS

Image = dict[str, Any]
Key = tuple[str, Any]
MOST = 20  # findings; the first ones say enough
#: what is derived and written again when needed: a wrong value lasts a day at most
DERIVED = ("need", "heard", "draft", "forecast", "forecast_told", "reading_day")
_LINES = "SELECT id, before, after FROM change ORDER BY id"
_LINE = "id, at_utc, recorded_at, session, actor, origin, verb, subject, undoes, before, after"


@record
class Vouched:
    """What the file and a copy say twice, and what only once."""

    wrong: tuple[str, ...]
    rows_by_log: int  # rows that the log holds a second time
    lines_alone: int  # lines of the log that no copy holds
    readings_alone: int  # readings that neither a boiled-down day nor a copy holds
    copy: str | None  # the copy it was held against
    pages_alone: tuple[int, ...]  # where those lie; empty where the driver cannot tell


def vouch(
    conn: sqlite3.Connection, copy: str | None, by_day: frozenset[tuple[int, int]]
) -> Vouched:
    """Hold the file against itself and against a copy.

    Parameters
    ----------
    copy : path of a whole copy of the same household, None if there is none
    by_day : places and days whose readings were found to be what was boiled down
    """
    state, not_following = _replayed(conn)
    wrong = wrong_shape(conn) + not_following + _rows_against(conn, state) + wrong_curves(conn)
    if copy is None:
        return _summed(conn, None, wrong, state, by_day, copy)
    with closing(open_db(copy, read_only=True, as_it_is=True)) as other:
        return _summed(conn, other, wrong, state, by_day, copy)


def _summed(
    conn: sqlite3.Connection,
    other: sqlite3.Connection | None,
    wrong: list[str],
    state: dict[Key, Image | None],
    by_day: frozenset[tuple[int, int]],
    copy: str | None,
) -> Vouched:
    found, held = ([], 0) if other is None else _against_copy(conn, other)
    lines = conn.execute("SELECT count(*) FROM change").fetchone()[0] - held
    readings = _readings_alone(conn, other, by_day)
    once = ("change",) * (lines > 0) + ("reading",) * (readings > 0)
    where = pages.alone(conn, other, once) if once else []
    return Vouched(tuple([*wrong, *found][:MOST]), len(state), lines, readings, copy, tuple(where))


def wrong_shape(conn: sqlite3.Connection) -> list[str]:
    """Tables, indexes and triggers that are not those of a new file."""
    from sqlite_utils import Database

    from curedash.store.migrations import curedash

    new = sqlite3.connect(":memory:", isolation_level=None)
    curedash.apply(Database(new))
    query = "SELECT type || ' ' || name, tbl_name, sql FROM sqlite_master ORDER BY 1"
    told, usual = ({row[0]: row[1:] for row in each.execute(query)} for each in (conn, new))
    new.close()
    odd = [name for name in {*told, *usual} if told.get(name) != usual.get(name)]
    return [f"the {name} is not as curedash makes it" for name in sorted(odd)]


# ── the log against itself and against the rows ───────────────────────────────────────────


def _replayed(conn: sqlite3.Connection) -> tuple[dict[Key, Image | None], list[str]]:
    """The last image of each row, and the lines that do not follow from those before them."""
    state: dict[Key, Image | None] = {}
    wrong: list[str] = []
    for line, before, after in conn.execute(_LINES):
        try:
            was, now = json.loads(before), json.loads(after)
            pairs = list(zip(was, now, strict=True))
            for (table, key, old), (table_now, key_now, new) in pairs:
                wrong += _one_step(state, line, (table, key), (table_now, key_now), old, new)
        except (ValueError, TypeError, AttributeError):
            wrong.append(f"line {line} of the log cannot be read")
    return state, wrong


def _one_step(
    state: dict[Key, Image | None],
    line: int,
    key: Key,
    key_now: Key,
    old: Image | None,
    new: Image | None,
) -> list[str]:
    wrong = []
    if key != key_now:
        wrong.append(f"line {line} of the log says {_row(key)} before and {_row(key_now)} after")
    elif key[0] in DECIDED:
        return []
    elif key in state:
        odd = _differs(state[key], old)
        if odd:
            wrong.append(f"line {line} of the log does not follow: {_row(key)}, {odd}")
    elif old is not None and new is not None and set(old) != set(new):
        wrong.append(f"line {line} of the log names other columns of {_row(key)} after than before")
    state[key_now] = new
    return wrong


def _differs(one: Image | None, other: Image | None) -> str:
    """The first column in which two images differ, in words; columns only one has are newer."""
    if one is None or other is None:
        return "" if one is other else "there or not there"
    if len(one.keys() - other.keys()) and len(other.keys() - one.keys()):
        return "other columns"
    for name in one.keys() & other.keys():
        if one[name] != other[name]:
            return f"{name} {str(one[name])[:30]!r} or {str(other[name])[:30]!r}"
    return ""


def _rows_against(conn: sqlite3.Connection, state: dict[Key, Image | None]) -> list[str]:
    """Rows that are not what the log says last."""
    wrong: list[str] = []
    known = {row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    for key, image in state.items():
        table, value = key
        if table in DECIDED or str(value).startswith("told.") or table not in known:
            if table not in DECIDED and table not in known:
                wrong.append(f"the log names a table {str(table)[:30]!r}")
            continue
        row = _image(conn, table, value)
        odd = _differs(image, row)
        if odd:
            wrong.append(f"{_row(key)}: {odd}, by the log and by the row")
        elif image is not None and row is not None and image.keys() - row.keys():
            wrong.append(f"the log names a column of {table} that is not there")
    return wrong


def _image(conn: sqlite3.Connection, table: str, key: Any) -> Image | None:
    name = KEYS.get(table, "id")
    cursor = conn.execute(f"SELECT * FROM {table} WHERE {name} = ?", (key,))
    row = cursor.fetchone()
    if row is None:
        return None
    return dict(zip((column[0] for column in cursor.description), row, strict=True))


def _row(key: Key) -> str:
    return f"{str(key[0])[:30]} {str(key[1])[:30]}"


# ── against a copy ────────────────────────────────────────────────────────────────────────


def _against_copy(conn: sqlite3.Connection, other: sqlite3.Connection) -> tuple[list[str], int]:
    """What a copy says otherwise, and how many lines of the log it holds."""
    wrong: list[str] = []
    held = last = 0
    mine = {row[0]: row for row in conn.execute(f"SELECT {_LINE} FROM change")}
    for row in other.execute(f"SELECT {_LINE} FROM change ORDER BY id"):
        here = mine.get(row[0])
        odd = 2 if here is None else sum(a != b for a, b in zip(here, row, strict=True))
        if odd > 1:  # somebody went back to an earlier copy: from here on it is another log
            break
        held, last = held + 1, row[0]
        if odd:
            wrong.append(f"line {row[0]} of the log is not that of the copy")
    if not held:  # the copy of another household
        return wrong, 0
    touched, times = _touched(conn, last)
    theirs, more_times = _touched(other, last)
    wrong += _tables_against(conn, other, touched | theirs)
    wrong += _forecasts_against(conn, other)
    wrong += _readings_against(conn, other, times | more_times)
    return wrong, held


def _touched(conn: sqlite3.Connection, after: int) -> tuple[set[Key], set[str]]:
    """Rows that changes beyond that line touched, and the moments of events among them."""
    keys: set[Key] = set()
    times: set[str] = set()
    for before, now in conn.execute("SELECT before, after FROM change WHERE id > ?", (after,)):
        try:
            for table, key, image in [*json.loads(before), *json.loads(now)]:
                keys.add((table, key))
                if table == "event" and image:
                    times.add(image["at"])
        except (ValueError, TypeError, KeyError):
            continue
    return keys, times


def _tables_against(
    conn: sqlite3.Connection, other: sqlite3.Connection, touched: set[Key]
) -> list[str]:
    wrong: list[str] = []
    tables = [
        row[0]
        for row in other.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT GLOB 'kept_*'"
            " AND name NOT GLOB 'sqlite_*' AND name NOT GLOB '_sqlite*'"
        )
    ]
    for table in tables:
        if table in (*DERIVED, "reading", "change"):
            continue
        name = KEYS.get(table, "id")
        for (key,) in other.execute(f"SELECT {name} FROM {table}").fetchall():
            if (table, key) in touched or str(key).startswith(("told.", "air-thinned")):
                continue
            odd = _differs(_image(other, table, key), _image(conn, table, key))
            if odd:
                wrong.append(f"{table} {str(key)[:30]}: {odd}, by the copy and by the file")
    return wrong


def _forecasts_against(conn: sqlite3.Connection, other: sqlite3.Connection) -> list[str]:
    """A forecast made of the same weigh-in at the same moment is the same one."""
    query = "SELECT * FROM forecast ORDER BY lot_id"
    mine = {row[:4]: row for row in conn.execute(query)}
    return [
        f"the forecast of lot {row[0]} is not that of the copy"
        for row in other.execute(query)
        if row[:4] in mine and mine[row[:4]] != row
    ]


def _readings_against(
    conn: sqlite3.Connection, other: sqlite3.Connection, changed_at: set[str]
) -> list[str]:
    wrong: list[str] = []
    edited = {
        int(row[0])
        for at in changed_at
        for row in conn.execute("SELECT strftime('%s', ?)", (at,))
        if row[0]
    }
    thinned = conn.execute(
        "SELECT CAST(value AS INTEGER) FROM setting WHERE name = 'air-thinned-before'"
    ).fetchone()
    whole_from = 0 if thinned is None else (thinned[0] - 719_163 + 1) * 86_400
    for row in other.execute("SELECT place_id, at, sensor_id, temp_c, rh_pct, bad FROM reading"):
        if row[1] in edited or row[1] < whole_from:
            continue
        here = conn.execute(
            "SELECT place_id, at, sensor_id, temp_c, rh_pct, bad FROM reading"
            " WHERE place_id = ? AND at = ? AND sensor_id = ?",
            row[:3],
        ).fetchone()
        if here != row:
            wrong.append(f"the reading of place {row[0]} at {row[1]} is not that of the copy")
            if len(wrong) >= MOST:
                break
    return wrong


def _readings_alone(
    conn: sqlite3.Connection, other: sqlite3.Connection | None, by_day: frozenset[tuple[int, int]]
) -> int:
    newest = None
    if other is not None:
        newest = other.execute("SELECT max(at) FROM reading").fetchone()[0]
    total = 0
    for place, day, count in conn.execute(
        "SELECT place_id, at / 86400, count(*) FROM reading WHERE at > ? GROUP BY 1, 2",
        (newest if newest is not None else -1,),
    ):
        if (place, day + 719_163) not in by_day:
            total += count
    return total


def wrong_curves(conn: sqlite3.Connection) -> list[str]:
    """Lots whose curve kept for the Rack is not what their weigh-ins make."""
    from curedash.store.migrations import NEWEST_OF_A_LOT

    made = {row[0]: row for row in conn.execute(NEWEST_OF_A_LOT)}
    kept = conn.execute(
        "SELECT lot_id, weigh_in_id, at, kind, gross_g, net_g, points, points_count FROM kept_curve"
    ).fetchall()
    return [
        f"the stored curve of lot {row[0]} is not that of its weigh-ins"
        for row in kept
        if made.get(row[0]) != row
    ]
