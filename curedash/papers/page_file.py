"""The page for the phone as a file: written whole, and kept fresh without wearing a card out."""

from __future__ import annotations

import os
from datetime import datetime, timedelta
from sqlite3 import Connection

from curedash.domain.errors import UsageError
from curedash.papers.files import write_file
from curedash.papers.page_html import RELOAD_S, page, undated

ENDINGS = (".html", ".htm")
AT_LEAST_EVERY = timedelta(minutes=5)  # so that the page says that somebody still looks


class PageFile:
    """One page at one path.

    Parameters
    ----------
    path : ends in ``.html`` or ``.htm``
    never : a path that must not be written to: the household's own file

    Raises
    ------
    UsageError: another ending, so that no other file is replaced by mistake
    """

    def __init__(self, path: str, *, never: str) -> None:
        if os.path.splitext(path)[1].casefold() not in ENDINGS:
            raise UsageError(f"{path}: the page is a web page; give it a name like rack.html.")
        self.path, self._never = path, never
        self._folder = os.path.dirname(os.path.abspath(path))
        self._last = ""
        self._at: datetime | None = None  # when it was written last

    def write(self, conn: Connection, now: datetime) -> None:
        """Write it once.

        Raises
        ------
        FileTrouble: the disk or the folder says no
        """
        made = page(conn, now, folder=self._folder)
        write_file(self.path, made, never=self._never, keep_mode=True)

    def refresh(self, conn: Connection, now: datetime) -> bool:
        """Write it if something in it changed, or it is five minutes old; True if it was written.

        Raises
        ------
        FileTrouble: the disk or the folder says no
        """
        made = page(conn, now, reload_s=RELOAD_S, folder=self._folder)
        bare = undated(made)
        recent = self._at is not None and self._at <= now < self._at + AT_LEAST_EVERY
        if recent and bare == self._last and os.path.exists(self.path):
            return False
        write_file(self.path, made, never=self._never, keep_mode=True)
        self._last, self._at = bare, now
        return True
