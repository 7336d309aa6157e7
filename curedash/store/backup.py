"""Consistent copies of the file, made while others write to it, and bringing one back.

A copy is written under a temporary name, checked, forced to the disk and only then given its
name: what bears the name of a copy is whole.
"""

import os
import sqlite3
import time
from collections.abc import Callable

from curedash.domain.errors import Busy, FileTrouble, Refused
from curedash.store.open import say

WAIT_S = 10.0  # how long another program's long write is waited for


class Taken(Refused):
    """Something bears the name of the copy already."""


def copy_to(conn: sqlite3.Connection, target: str) -> None:
    """Write a consistent copy of the open file to ``target`` (0600), whole or not at all.

    Raises
    ------
    FileTrouble (or Busy): the copy could not be made; what bore that name is as it was
    """
    _copy(conn, target, os.replace)


def copy_anew(conn: sqlite3.Connection, target: str) -> None:
    """The same under a name that nothing bears, not even since a moment ago.

    Raises
    ------
    Taken: something bears that name and is as it was; FileTrouble (or Busy): no copy was made
    """
    _copy(conn, target, _give_free_name)


def _give_free_name(part: str, target: str) -> None:
    """A second name fails where it is taken; a file system without them is looked at first."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise Taken(f"{target} is there already; name a new file or a folder.") from None
    except OSError:
        if os.path.lexists(target):
            raise Taken(f"{target} is there already; name a new file or a folder.") from None
        os.replace(part, target)


def _copy(conn: sqlite3.Connection, target: str, give_name: Callable[[str, str], None]) -> None:
    part = f"{target}.part-{os.getpid()}"
    try:
        os.close(os.open(part, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
        _fill(conn, part)
        _to_disk(part)
        give_name(part, target)
        _to_disk(os.path.dirname(os.path.abspath(target)))
    except OSError as trouble:
        raise FileTrouble(f"Cannot write the copy {target}: {trouble.strerror}.") from None
    except sqlite3.Error as trouble:
        raise _about_copy(trouble, target) from None
    finally:
        for ending in ("", "-journal", "-wal", "-shm"):
            if os.path.exists(part + ending):
                os.remove(part + ending)


def bring_back(source: sqlite3.Connection, path: str) -> None:
    """Put the content of a copy into the household file in one transaction.

    Dashboards that have the file open go on and see the old content come back.

    Raises
    ------
    FileTrouble (or Busy): the file is as it was
    """
    target = sqlite3.connect(path, isolation_level=None, timeout=WAIT_S)
    try:
        target.execute("PRAGMA synchronous = FULL")
        source.backup(target, progress=_Patience())
    except sqlite3.Error as trouble:
        raise say(trouble, path) from None
    finally:
        target.close()


def _fill(conn: sqlite3.Connection, part: str) -> None:
    copy = sqlite3.connect(part, isolation_level=None)
    try:
        conn.backup(copy, progress=_Patience())
        copy.execute("PRAGMA journal_mode = delete")  # one file, nothing beside it
        found = copy.execute("PRAGMA quick_check (1)").fetchone()[0]
    finally:
        copy.close()
    if found != "ok":
        raise sqlite3.DatabaseError("malformed")


class _Patience:
    """Ends a backup that waits for a lock, which the driver would do for ever."""

    def __init__(self) -> None:
        self._end = time.monotonic() + WAIT_S

    def __call__(self, status: int, _remaining: int, _total: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            if time.monotonic() > self._end:
                raise Busy("Another program is writing to the file; try again in a moment.")
        else:
            self._end = time.monotonic() + WAIT_S


def _about_copy(trouble: sqlite3.Error, target: str) -> FileTrouble:
    if "malformed" in str(trouble) or "corrupt" in str(trouble):
        return FileTrouble(
            "The file is damaged, so no copy was made of it; go back to an earlier one with"
            " 'curedash restore'."
        )
    if "is full" in str(trouble):
        return FileTrouble(f"The disk is full; the copy {target} was not made.")
    return say(trouble, target)


def _to_disk(path: str) -> None:
    """Force a file, or the names in a folder, to the disk."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
