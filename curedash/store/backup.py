"""Bringing a copy back into the file, while dashboards have it open."""

import sqlite3
from collections.abc import Callable
from contextlib import suppress

from curedash.domain.errors import Busy, FileTrouble
from curedash.store import copying
from curedash.store.copying import Patience
from curedash.store.file_trouble import is_gone, translate_error
from curedash.store.open import open_db

UNSURE = (
    "The disk failed while the copy was being restored, and it is not known whether it was:"
    " look with 'curedash lots'. What was there before is saved; 'curedash restore' lists it."
)


class Unsure(FileTrouble):
    """The content of a copy may come back when the file is opened next, or may not."""


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
    FileTrouble (or Busy): the file is as it was; Unsure: the disk failed while it was committed
    """
    target = open_db(path, timeout_s=copying.WAIT_S, as_it_is=True)
    reader = open_db(path, timeout_s=copying.WAIT_S, as_it_is=True)
    kept = _KeepFirst(lambda: keep(reader))
    try:
        # The first page takes the write lock of the target, which is held until the last one:
        # between the two everything that anybody was told is saved can be kept.
        source.backup(target, pages=1, progress=kept)
        with suppress(sqlite3.Error):  # it is brought back; its log may be folded in later
            target.execute("PRAGMA wal_checkpoint (PASSIVE)")
    except sqlite3.Error as trouble:
        said = translate_error(trouble, path)
        if kept.commits and not isinstance(said, Busy) and not is_gone(target):
            raise Unsure(UNSURE) from trouble
        raise said from None
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
        raise translate_error(trouble, path) from None
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
        raise translate_error(trouble, path) from None
    finally:
        conn.close()


class _KeepFirst(Patience):
    """Calls ``keep`` once, when the write lock of the target is held."""

    def __init__(self, keep: Callable[[], None]) -> None:
        super().__init__()
        self._keep: Callable[[], None] | None = keep
        self._remaining = 2

    def __call__(self, status: int, remaining: int, total: int) -> None:
        super().__call__(status, remaining, total)
        self._remaining = remaining
        if self._keep is not None and status == sqlite3.SQLITE_OK:
            keep, self._keep = self._keep, None
            keep()

    @property
    def commits(self) -> bool:
        """Whether the step that puts the last page there and commits has begun."""
        return self._keep is None and self._remaining <= 1
