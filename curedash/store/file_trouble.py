"""The shape of file this program knows; what the driver refuses, as one sentence."""

import os
import sqlite3

from curedash.domain.errors import Busy, FileTrouble

SCHEMA_VERSION = 7
LEAST_ROOM_BYTES = 65_536  # the log and its index of one small change


class DiskFull(FileTrouble):
    """There is no room; nothing was saved."""


def is_read_only(conn: sqlite3.Connection) -> bool:
    """True when the file was opened for reading only (a newer version made it, or no right)."""
    return bool(conn.execute("PRAGMA query_only").fetchone()[0])


def why_read_only(conn: sqlite3.Connection, path: str = "the file") -> str | None:
    """Why a file is open for reading only, with the way out; None if it can be written."""
    if not is_read_only(conn):
        return None
    if int(conn.execute("PRAGMA user_version").fetchone()[0]) > SCHEMA_VERSION:
        return (
            f"{_upper(path)} can only be read here: a newer version of curedash made it; update"
            " the program"
        )
    return (
        f"This login may read {path} but not change it: ask its owner for the right to write, or"
        " name another with --db"
    )


def translate_error(
    trouble: sqlite3.Error, path: str = "the file", conn: sqlite3.Connection | None = None
) -> FileTrouble:
    """Put a driver error into one sentence with the way out; ``conn`` may know more of it."""
    text = str(trouble).lower()
    if "locked" in text or "busy" in text:
        return Busy("Another program is writing to the file; try again in a moment.")
    if "not a database" in text or "unsupported file format" in text:
        return FileTrouble(f"{path} is not a curedash file; name another with --db.")
    if "malformed" in text or "corrupt" in text or "decode" in text:
        return damaged(path)
    if "readonly" in text or "query_only" in text:
        known = None if conn is None else why_read_only(conn, path)
        if known is not None:
            return FileTrouble(f"{known}; nothing was saved.")
        return FileTrouble(
            f"{_upper(path)} can only be read (a newer version of curedash, or somebody else, made"
            " it); nothing was saved."
        )
    if "is full" in text or ("disk i/o" in text and _is_full(path, conn)):
        return DiskFull("The disk is full; nothing was saved. Free some space and try again.")
    if "disk i/o" in text:
        return FileTrouble(
            "The disk reported an error (input/output error); nothing was saved. 'curedash doctor'"
            " looks closer."
        )
    if "unable to open" in text:
        return FileTrouble(f"{_upper(path)} cannot be opened; 'curedash doctor' says why.")
    return FileTrouble(f"{_upper(path)} cannot be read or written ({trouble}).")


def is_gone(conn: sqlite3.Connection) -> bool:
    """Whether the log of the file holds nothing of a commit that failed.

    Its pages may be whole in the log although the disk would not say so: whoever opens the file
    next after a crash takes them for stored. Folding the log into the file leaves them out.
    """
    try:
        conn.execute("PRAGMA wal_checkpoint (TRUNCATE)").fetchone()
    except sqlite3.Error:
        return False
    return True


def damaged(path: str) -> FileTrouble:
    """The sentence for a file whose inside cannot be believed."""
    return FileTrouble(f"{_upper(path)} is damaged; go back to a copy with 'curedash restore'.")


def path_of(conn: sqlite3.Connection) -> str:
    """Where the open file lies; empty for one in memory."""
    return str(conn.execute("PRAGMA database_list").fetchone()[2])


def _is_full(path: str, conn: sqlite3.Connection | None) -> bool:
    """Whether there is no room where the file lies: its index beside it wants a little too."""
    if conn is not None:
        path = path_of(conn)
    try:
        room = os.statvfs(os.path.dirname(os.path.abspath(path)))
    except (OSError, AttributeError):
        return False
    return room.f_bavail * room.f_frsize < LEAST_ROOM_BYTES


def without_denial(trouble: FileTrouble) -> str:
    """Why a file cannot be written, where something was stored all the same."""
    return str(trouble).replace("; nothing was saved", "")


def _upper(path: str) -> str:
    return "The file" if path == "the file" else path
