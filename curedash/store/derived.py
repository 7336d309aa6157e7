"""What may be dropped and made again: remembered needs and stored forecasts."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.domain.record import as_dict, field_names
from curedash.domain.records import StoredForecast, StoredNeed, StoredWindow
from curedash.store.rows import many, put
from curedash.store.work import Work, quiet

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

STOOD_S = 600  # design value: a need shorter than this went with the work under way


def open_needs(conn: Connection) -> list[StoredNeed]:
    """Needs that stand open."""
    return many(conn, StoredNeed, "need WHERE cleared_at IS NULL ORDER BY id")


def cleared_needs(conn: Connection) -> list[StoredNeed]:
    """Needs that cleared lately after they stood a while, newest first."""
    stood = f"strftime('%s', cleared_at) - strftime('%s', opened_at) >= {STOOD_S}"
    lately = f"need WHERE cleared_at IS NOT NULL AND {stood} ORDER BY cleared_at DESC LIMIT 50"
    return many(conn, StoredNeed, lately)


def causes_cleared_since(conn: Connection, since: str) -> list[tuple[int, str]]:
    """Places and causes of the needs that cleared after a moment [ISO-8601 UTC]."""
    cleared = "SELECT place_id, cause FROM need WHERE cleared_at > ? AND place_id IS NOT NULL"
    return list(conn.execute(cleared, (since,)))


def announced_since(conn: Connection, since: str) -> set[tuple[str, int, int]]:
    """Causes with their lot and place that were told after a moment [ISO-8601 UTC]."""
    told = "SELECT cause, ifnull(lot_id, 0), ifnull(place_id, 0) FROM need WHERE told_at > ?"
    return set(conn.execute(told, (since,)))


def write_needs(
    conn: Connection,
    *,
    opened: list[dict[str, Any]],
    reworded: list[dict[str, Any]],
    cleared: list[int],
    now: str,
) -> None:
    """Write transitions only: new needs, new words of open ones, cleared ones."""
    if not (opened or reworded or cleared):
        return
    with quiet(conn):
        for need in opened:
            conn.execute(
                "INSERT OR IGNORE INTO need (cause, lot_id, place_id, level, message, action,"
                " opened_at) VALUES (:cause, :lot_id, :place_id, :level, :message, :action,"
                " :opened_at)",
                need,
            )
        for need in reworded:
            words = "level = :level, message = :message, action = :action"
            conn.execute(f"UPDATE need SET {words} WHERE id = :id", need)
        for need_id in cleared:
            conn.execute("UPDATE need SET cleared_at = ? WHERE id = ?", (now, need_id))


def snooze(work: Work, need_id: int, until: str | None, reason: str | None) -> None:
    """Keep a need quiet until a time, or no longer; a person decides that, so it has its line."""
    work.update("need", need_id, snoozed_until=until, reason=reason)


def mark_announced(conn: Connection, need_ids: list[int], now: str) -> None:
    """Remember when a need was last told by bell or command."""
    with quiet(conn):
        conn.executemany("UPDATE need SET told_at = ? WHERE id = ?", [(now, i) for i in need_ids])


def forecast(conn: Connection, lot_id: int) -> tuple[StoredForecast, bytes | None] | None:
    """The stored pull window of a lot and its posterior."""
    columns = ", ".join((*field_names(StoredForecast), "posterior"))
    found = f"SELECT {columns} FROM forecast WHERE lot_id = ?"
    row = conn.execute(found, (lot_id,)).fetchone()
    return None if row is None else (StoredForecast(*row[:-1]), row[-1])


def models(conn: Connection) -> list[str]:
    """What each stored forecast was computed from."""
    return [model for (model,) in conn.execute("SELECT model FROM forecast")]


def put_forecast(conn: Connection, forecast: StoredForecast, posterior: bytes | None) -> None:
    """Store the pull window of a lot; call inside a transaction or on its own."""
    put(conn, "forecast", [as_dict(forecast) | {"posterior": posterior}])


def store_window(conn: Connection, window: StoredWindow) -> None:
    """Record what a window said; the last of a day counts. Call inside a transaction."""
    put(conn, "forecast_told", [as_dict(window)])


def stored_windows(conn: Connection, lot_id: int | None = None) -> list[StoredWindow]:
    """What windows said, of one lot or of all, oldest first."""
    where, values = ("", ()) if lot_id is None else (" WHERE lot_id = ?", (lot_id,))
    return many(conn, StoredWindow, f"forecast_told{where} ORDER BY lot_id, told_on", values)


def lots_with_windows(conn: Connection, style: str | None = None) -> list[int]:
    """Ids of the lots, of one style or of all, of which windows were told, in order of id."""
    rows = conn.execute(
        "SELECT DISTINCT told.lot_id FROM forecast_told told JOIN lot ON lot.id = told.lot_id"
        " WHERE ? IS NULL OR lot.style = ? ORDER BY told.lot_id",
        (style, style),
    )
    return [lot_id for (lot_id,) in rows]


def drop_forecast(conn: Connection, lot_id: int) -> None:
    """Forget the pull window of a lot."""
    conn.execute("DELETE FROM forecast WHERE lot_id = ?", (lot_id,))
