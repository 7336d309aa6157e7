"""Going back to a copy; what was there is kept beside the file, whatever state it is in."""

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime

from curedash.domain.errors import Busy, CuredashError, FileTrouble, NotFound, Refused
from curedash.domain.record import record
from curedash.services.backup import free_name
from curedash.store import inspect
from curedash.store.backup import bring_back, copy_to
from curedash.store.inspect import Contents
from curedash.store.open import SCHEMA_VERSION, open_db

BESIDE = ("-wal", "-shm", "-journal")


@record
class Restored:
    """What was brought back, and where what was there before is kept."""

    contents: Contents
    kept: str | None


def restore(path: str, source: str, now: datetime) -> Restored:
    """Bring a copy back into the household file.

    A file that is whole gets the copy's content in one transaction, so that dashboards which have
    it open go on; one that is not is set aside and the copy takes its place.

    Parameters
    ----------
    path : the household file, there or not
    source : the copy; it stays
    now : for the name under which the present content is kept

    Raises
    ------
    NotFound: no such copy; Refused: it is damaged, of a newer version, or the file itself;
    FileTrouble or Busy: the file is as it was
    """
    if not os.path.exists(source):
        raise NotFound(f"There is no copy {source}; 'curedash restore' lists those there are.")
    if os.path.exists(path) and os.path.samefile(path, source):
        raise Refused(f"{source} is the file itself; name a copy.")
    with closing(open_db(source, read_only=True, as_it_is=True)) as copy:
        found = _of_good_copy(copy, source)
        kept = _put_in_place(path, copy, now)
    return Restored(found, kept)


def _of_good_copy(copy: sqlite3.Connection, source: str) -> Contents:
    damage = inspect.damage(copy)
    if damage:
        raise Refused(f"{source} is damaged itself ({damage[0]}); take another copy.")
    found = inspect.contents_of(copy, source)
    if found.version > SCHEMA_VERSION:
        raise Refused(f"{source} was made by a newer version of curedash; restore it with that.")
    return found


def _put_in_place(path: str, copy: sqlite3.Connection, now: datetime) -> str | None:
    kept = free_name(f"{path}.replaced-{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}")
    if not os.path.exists(path):
        copy_to(copy, _with_folder(path))
        return None
    there = _whole(path)
    if there is None:
        _set_aside(path, kept)
        copy_to(copy, path)
        return kept
    with closing(there):
        copy_to(there, kept)
        if inspect.page_size(there) == inspect.page_size(copy):
            bring_back(copy, path)
            return kept
    _set_aside(path, kept)
    copy_to(copy, path)
    return kept


def _whole(path: str) -> sqlite3.Connection | None:
    """The file, open, if it is one that can be written page by page; None if it is broken."""
    try:
        conn = open_db(path, as_it_is=True)
    except Busy:
        raise
    except CuredashError:
        if os.path.isdir(path):
            raise
        return None
    if inspect.damage(conn):
        conn.close()
        return None
    return conn


def _set_aside(path: str, kept: str) -> None:
    """Give the file and what the driver keeps beside it another name, untouched."""
    try:
        for ending in ("", *BESIDE):
            if os.path.exists(path + ending):
                shutil.copy2(path + ending, kept + ending)
                os.chmod(kept + ending, 0o600)
        for ending in BESIDE:
            if os.path.exists(path + ending):
                os.remove(path + ending)
    except OSError as trouble:
        raise FileTrouble(
            f"What is in {path} could not be kept ({trouble.strerror}), so nothing was restored."
        ) from None


def _with_folder(path: str) -> str:
    folder = os.path.dirname(os.path.abspath(path))
    try:
        os.makedirs(folder, exist_ok=True)
    except OSError as trouble:
        raise FileTrouble(f"Cannot make the folder {folder}: {trouble.strerror}.") from None
    return path
