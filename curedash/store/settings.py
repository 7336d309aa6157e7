"""Household settings, scales, jars of curing salt, own styles."""

from __future__ import annotations

from sqlite3 import Connection

from curedash.domain.fast_json import dumps
from curedash.store.rows import value
from curedash.store.work import Work, quiet

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def get(conn: Connection, name: str) -> str | None:
    """One setting, None if it was never chosen."""
    found: str | None = value(conn, "SELECT value FROM setting WHERE name = ?", (name,))
    return found


def put(work: Work, name: str, chosen: str) -> None:
    """Choose a setting."""
    work.put("setting", name, value=chosen)


def cautions_seen(conn: Connection, actor: str) -> set[str]:
    """Ids of the cautions this person has seen; of one shown for a batch with ``@`` and its id."""
    return set((get(conn, f"told.{actor}") or "").split())


def mark(conn: Connection, name: str) -> None:
    """Remember that something was shown."""
    remember(conn, name, "yes")


def mark_cautions_seen(conn: Connection, actor: str, ids: set[str]) -> None:
    """Remember what this person has been told."""
    remember(conn, f"told.{actor}", " ".join(sorted(ids)))


def remember(conn: Connection, name: str, text: str) -> None:
    """Keep what was told or shown; nobody decided it, so it has no line in the log."""
    with quiet(conn):
        conn.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (name, text))


def scales(conn: Connection) -> list[tuple[str, float, float | None]]:
    """The household's scales: name, division [g], maximum [g]."""
    return list(conn.execute("SELECT name, division_g, max_g FROM scale ORDER BY division_g"))


def add_scale(work: Work, name: str, division_g: float, max_g: float | None) -> int:
    """A scale of the household."""
    return work.insert("scale", name=name, division_g=division_g, max_g=max_g)


def scale_ids(conn: Connection) -> dict[str, int]:
    """Id of each scale by its name."""
    return dict(conn.execute("SELECT name, id FROM scale"))


def change_scale(work: Work, scale_id: int, **values: Any) -> None:
    """Another name, division or maximum of a scale."""
    work.update("scale", scale_id, **values)


def drop_scale(work: Work, scale_id: int) -> None:
    """Forget a scale."""
    work.restore("scale", scale_id, None)


def holds_no_lot(conn: Connection) -> bool:
    """Whether no lot was ever kept, not even one that was taken back."""
    return value(conn, "SELECT 1 FROM lot LIMIT 1") is None


def styles(conn: Connection) -> dict[str, dict[str, Any]]:
    """The household's own styles by id."""
    import json

    return {row[0]: json.loads(row[1]) for row in conn.execute("SELECT id, body FROM style")}


def put_style(work: Work, style_id: str, body: dict[str, Any]) -> None:
    """Add or change one of the household's styles."""
    work.put("style", style_id, body=dumps(body))


def jars(conn: Connection) -> list[dict[str, Any]]:
    """The household's jars of curing salt."""
    cursor = conn.execute("SELECT * FROM curing_salt ORDER BY id")
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor]


def put_jar(work: Work, jar_id: str, **values: Any) -> None:
    """Add or change a jar of curing salt, as its label says."""
    work.put("curing_salt", jar_id, **values)


def drop_jar(work: Work, jar_id: str) -> None:
    """Take a jar off the shelf."""
    work.restore("curing_salt", jar_id, None)


def drop_style(work: Work, style_id: str) -> None:
    """Forget one of the household's styles."""
    work.restore("style", style_id, None)
