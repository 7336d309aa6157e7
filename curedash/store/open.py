"""Opening the one file: pragmas, version check, migration with a copy first."""

import os
import sqlite3
from datetime import UTC, datetime

from curedash.domain.errors import Busy, FileTrouble, NotFound

Connection = sqlite3.Connection
SCHEMA_VERSION = 1
SHELL_TIMEOUT_S = 5.0
SCREEN_TIMEOUT_S = 0.2


def open_db(
    path: str, *, create: bool = False, timeout_s: float = SHELL_TIMEOUT_S, read_only: bool = False
) -> sqlite3.Connection:
    """Open the household file and bring it to today's shape.

    Parameters
    ----------
    path : the SQLite file
    create : make the file if it is missing; else a missing file raises NotFound
    timeout_s : how long a locked file is waited for [s]
    read_only : never write, whatever the version

    Returns
    -------
    an autocommit connection with foreign keys on; check ``is_read_only`` before writing

    Raises
    ------
    NotFound, FileTrouble or Busy, each one sentence
    """
    new = _look_at(path, create)
    try:
        if new:
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        conn = _connect(path, timeout_s, read_only=read_only)
        version = conn.execute("PRAGMA user_version").fetchone()[0]
        if version > SCHEMA_VERSION:
            conn.close()
            return _connect(path, timeout_s, read_only=True)
        if version < SCHEMA_VERSION and not read_only:
            _require_ours(conn, version, path)
            _migrate(conn, path, version)
        elif version < SCHEMA_VERSION:
            raise FileTrouble(f"{path} has an older shape; open it once for writing first.")
        return conn
    except FileExistsError:
        return open_db(path, create=create, timeout_s=timeout_s, read_only=read_only)
    except OSError as trouble:
        raise FileTrouble(f"Cannot open {path}: {trouble.strerror}.") from None
    except sqlite3.Error as trouble:
        raise say(trouble, path) from None


def is_read_only(conn: sqlite3.Connection) -> bool:
    """True when the file was opened for reading only (a newer version made it)."""
    return bool(conn.execute("PRAGMA query_only").fetchone()[0])


def say(trouble: sqlite3.Error, path: str = "the file") -> FileTrouble:
    """Put a driver error into one sentence with the way out."""
    text = str(trouble)
    if "locked" in text or "busy" in text:
        return Busy("Another program is writing to the file; try again in a moment.")
    if "not a database" in text:
        return FileTrouble(f"{path} is not a curedash file; name another with --db.")
    if "malformed" in text or "corrupt" in text:
        return FileTrouble(f"{path} is damaged; go back to a copy with 'curedash restore'.")
    if "readonly" in text or "query_only" in text:
        return FileTrouble(f"{path} can only be read; nothing was stored.")
    if "full" in text:
        return FileTrouble("The disk is full; nothing was stored. Free some space and try again.")
    return FileTrouble(f"{path} cannot be read or written ({text}).")


def _look_at(path: str, create: bool) -> bool:
    """True if the file has to be made; says why when it cannot be used."""
    if os.path.isdir(path):
        raise FileTrouble(f"{path} is a folder; name a file with --db.")
    if os.path.exists(path) and os.path.getsize(path) > 0:
        return False
    if not create:
        raise NotFound(f"There is no file {path}; 'curedash batch add' or the dashboard makes one.")
    folder = os.path.dirname(os.path.abspath(path))
    try:
        os.makedirs(folder, exist_ok=True)
    except OSError as trouble:
        raise FileTrouble(f"Cannot make the folder {folder}: {trouble.strerror}.") from None
    return not os.path.exists(path)


def _connect(path: str, timeout_s: float, *, read_only: bool) -> sqlite3.Connection:
    mode = "ro" if read_only else "rw"
    uri = f"file:{_in_uri(os.path.abspath(path))}?mode={mode}"
    conn = sqlite3.connect(uri, uri=True, timeout=timeout_s, isolation_level=None)
    try:
        if read_only:
            conn.execute("PRAGMA query_only = 1")
        elif conn.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            conn.execute("PRAGMA journal_mode = wal")
        conn.execute("PRAGMA synchronous = FULL")
        conn.execute("PRAGMA foreign_keys = 1")
    except sqlite3.Error:
        conn.close()
        raise
    return conn


def _in_uri(path: str) -> str:
    """The path with the three characters a URI gives a meaning to escaped (RFC 3986)."""
    return path.replace("%", "%25").replace("?", "%3F").replace("#", "%23")


def _require_ours(conn: sqlite3.Connection, version: int, path: str) -> None:
    """Refuse to put our tables into somebody else's database."""
    tables = {row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type='table'")}
    if version == 0 and tables and "_sqlite_migrations" not in tables:
        raise FileTrouble(f"{path} is not a curedash file; name another with --db.")


def _migrate(conn: sqlite3.Connection, path: str, version: int) -> None:
    from sqlite_utils import Database

    from curedash.store.migrations import curedash

    if version > 0:
        stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
        copy_to(conn, f"{path}.before-v{SCHEMA_VERSION}-{stamp}")
    conn.execute("PRAGMA foreign_keys = 0")
    curedash.apply(Database(conn))
    broken = conn.execute("PRAGMA foreign_key_check").fetchall()
    conn.execute("PRAGMA foreign_keys = 1")
    if broken:
        raise FileTrouble(f"{path} has rows that point nowhere; go back to the copy beside it.")


def copy_to(conn: sqlite3.Connection, target: str) -> None:
    """Write a consistent copy of the open file to ``target`` (0600)."""
    os.close(os.open(target, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
    with sqlite3.connect(target) as copy:
        conn.backup(copy)
    copy.close()
