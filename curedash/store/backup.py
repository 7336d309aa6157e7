"""Consistent copies of the file, made while others write to it, and bringing one back.

A copy is written under a temporary name, checked, forced to the disk and only then given its
name: what bears the name of a copy is whole.
"""

import os
import sqlite3
import time
from collections.abc import Callable
from contextlib import suppress

from curedash.domain.errors import Busy, FileTrouble, Refused
from curedash.store import naming
from curedash.store.open import open_db, say

WAIT_S = 10.0  # how long another program's long write is waited for


class Taken(Refused):
    """Something bears the name of the copy already."""


def copy_to(conn: sqlite3.Connection, target: str) -> None:
    """Write a consistent copy of the open file to ``target`` (0600), whole or not at all.

    Raises
    ------
    FileTrouble (or Busy): the copy could not be made; what bore that name is as it was
    """
    _copy(conn, target, naming.replace)


def copy_anew(conn: sqlite3.Connection, target: str) -> None:
    """The same under a name that nothing bears, not even since a moment ago.

    Raises
    ------
    Taken: something bears that name and is as it was; FileTrouble (or Busy): no copy was made
    """
    _copy(conn, target, _give_free_name)


def _give_free_name(part: str, target: str) -> None:
    try:
        naming.give_free_name(part, target)
    except FileExistsError:
        raise Taken(f"{target} is there already; name a new file or a folder.") from None


def _copy(conn: sqlite3.Connection, target: str, give_name: Callable[[str, str], None]) -> None:
    part = naming.part_name(target)
    try:
        os.close(naming.open_part(part))
        _fill(conn, part)
        give_name(part, target)
    except OSError as trouble:
        raise FileTrouble(f"Cannot write the copy {target}: {trouble.strerror}.") from None
    except sqlite3.Error as trouble:
        raise _about_copy(trouble, target) from None
    finally:
        naming.clear(part)


def bring_back(
    source: sqlite3.Connection, path: str, keep: Callable[[sqlite3.Connection], None]
) -> None:
    """Put the content of a copy into the household file in one transaction.

    Dashboards that have the file open go on and see the old content come back. Both files need
    the same page size.

    Parameters
    ----------
    keep : called with a connection to the file as it is, once nobody else can write to it and
        before anything is replaced; what it raises ends it all and leaves the file as it was

    Raises
    ------
    FileTrouble (or Busy): the file is as it was
    """
    target = open_db(path, timeout_s=WAIT_S, as_it_is=True)
    reader = open_db(path, timeout_s=WAIT_S, as_it_is=True)
    try:
        # The first page takes the write lock of the target, which is held until the last one:
        # between the two everything that anybody was told is saved can be kept.
        source.backup(target, pages=1, progress=_KeepFirst(lambda: keep(reader)))
        with suppress(sqlite3.Error):  # it is brought back; its log may be folded in later
            target.execute("PRAGMA wal_checkpoint (PASSIVE)")
    except sqlite3.Error as trouble:
        raise say(trouble, path) from None
    finally:
        reader.close()
        target.close()


def as_one_file(path: str) -> None:
    """Write the log of a file that nobody else has open back into it, so that it is one file.

    Raises
    ------
    FileTrouble: the disk did not take it
    """
    conn = sqlite3.connect(path, isolation_level=None)
    try:
        conn.execute("PRAGMA journal_mode = delete")
    except sqlite3.Error as trouble:
        raise say(trouble, path) from None
    finally:
        conn.close()


def with_page_size(path: str, page_bytes: int) -> None:
    """Give a file that nobody else has open pages of this size.

    Raises
    ------
    FileTrouble: the disk did not take it
    """
    conn = sqlite3.connect(path, isolation_level=None)
    try:
        if conn.execute("PRAGMA page_size").fetchone()[0] != page_bytes:
            conn.execute(f"PRAGMA page_size = {int(page_bytes)}")
            conn.execute("VACUUM")
    except sqlite3.Error as trouble:
        raise say(trouble, path) from None
    finally:
        conn.close()


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


class _KeepFirst(_Patience):
    """Calls ``keep`` once, when the write lock of the target is held."""

    def __init__(self, keep: Callable[[], None]) -> None:
        super().__init__()
        self._keep: Callable[[], None] | None = keep

    def __call__(self, status: int, remaining: int, total: int) -> None:
        super().__call__(status, remaining, total)
        if self._keep is not None and status == sqlite3.SQLITE_OK:
            keep, self._keep = self._keep, None
            keep()


def _about_copy(trouble: sqlite3.Error, target: str) -> FileTrouble:
    if "malformed" in str(trouble) or "corrupt" in str(trouble):
        return FileTrouble(
            "The file is damaged, so no copy was made of it; go back to an earlier one with"
            " 'curedash restore'."
        )
    if "is full" in str(trouble):
        return FileTrouble(f"The disk is full; the copy {target} was not made.")
    return say(trouble, target)
