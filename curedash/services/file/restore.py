"""Going back to a copy; what was there is kept beside the file, whatever state it is in.

The copy is made ready beside the file first: whole, of today's shape, with the file's own page
size. A file that is whole then gets its content in one transaction. One that is not is given
another name together with its log, and the copy takes the free name.
"""

import os
import shlex
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from sqlite3 import Connection

from curedash.domain.errors import Busy, CuredashError, FileTrouble, NotFound, Refused
from curedash.domain.record import record
from curedash.services.file.backup import copy_near, free_name
from curedash.store import inspect, naming
from curedash.store.backup import as_one_file, bring_back, with_page_size
from curedash.store.copying import copy_anew
from curedash.store.file_trouble import SCHEMA_VERSION, DiskFull
from curedash.store.inspect import Contents
from curedash.store.open import open_db
from curedash.store.work import note_stored


@record
class Restored:
    """What was brought back, and where what was there before is kept."""

    contents: Contents
    kept: str | None


def restore(
    path: str, source: str, now: datetime, accept: Callable[[Connection], None] | None = None
) -> Restored:
    """Bring a copy back into the household file.

    A file that is whole gets the copy's content in one transaction, so that dashboards which have
    it open go on; one that is not is set aside and the copy takes its place.

    Parameters
    ----------
    path : the household file, there or not
    source : the copy; it stays
    now : for the name under which the present content is kept
    accept : given the copy in today's shape before anything is replaced; raises Refused for what
        the program could not work with; None takes it as it is

    Raises
    ------
    NotFound: no such copy; Refused: it is damaged, not accepted, newer, or the file itself;
    FileTrouble or Busy: the file is as it was, unless it says that nobody knows
    """
    if not os.path.exists(source):
        raise NotFound(f"There is no copy {source}; 'curedash restore' lists the copies.")
    if os.path.exists(path) and os.path.samefile(path, source):
        raise Refused(f"{source} is the file itself; name a copy.")
    if os.path.isdir(path):
        raise FileTrouble(f"{path} is a folder; name a file with --db.")
    with closing(open_db(source, read_only=True, as_it_is=True)) as copy:
        _require_good_copy(copy, source)
        ready = naming.part_name(_with_folder(path))
        try:
            copy_anew(copy, ready)
            with closing(open_db(ready, copy_first=False)) as todays:  # of an older shape it was
                _require_accepted(todays, source, accept)
            kept = _put_in_place(path, ready, now)
        finally:
            naming.clear(ready)
    return Restored(inspect.contents(path), kept)


def _require_good_copy(copy: Connection, source: str) -> None:
    damage = inspect.damage(copy)
    if damage:
        raise Refused(f"{source} is damaged itself ({damage[0]}); take another copy.")
    if inspect.contents_of(copy, source).version > SCHEMA_VERSION:
        raise Refused(f"{source} was made by a newer version of curedash; restore it with that.")


def _require_accepted(
    ready: Connection, source: str, accept: Callable[[Connection], None] | None
) -> None:
    try:
        if accept is not None:
            accept(ready)
    except Refused as refusal:
        raise Refused(
            f"{source}: {refusal} Take another copy, or restore it anyway with 'curedash"
            f" restore {shlex.quote(source)} --as-it-is'."
        ) from refusal


def _put_in_place(path: str, ready: str, now: datetime) -> str | None:
    """Bring what is ready to the name; where what bore it is kept, None if nothing did."""
    as_one_file(ready)
    wanted = f"{path}.replaced-{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}"
    with naming.FolderLock(path):
        there = _whole(path)
        if there is None:
            return _in_the_free_name(path, ready, wanted)
        with closing(there):
            page_size = inspect.page_size(there)
        with_page_size(ready, page_size)
        kept: list[str] = []
        try:
            with closing(open_db(ready, read_only=True)) as source:
                bring_back(source, path, lambda before: kept.append(copy_near(before, wanted)))
        except FileTrouble as trouble:
            if isinstance(trouble, (Busy, DiskFull)):  # surely nothing was replaced
                for needless in kept:
                    naming.clear(needless)
            raise
        note_stored()
    return kept[0]


def _in_the_free_name(path: str, ready: str, wanted: str) -> str | None:
    """For a file that is missing or broken: a log that lies there belongs to what was there."""
    kept = free_name(wanted)
    anything = naming.set_aside(path, kept)
    try:
        naming.give_free_name(ready, path)
        note_stored()
    except FileExistsError:
        raise Refused(
            f"{path} was made by another program meanwhile and is as it was; restore again."
        ) from None
    except (OSError, FileTrouble) as trouble:
        where = f" What was there is in {kept}." if anything else ""
        if isinstance(trouble, FileTrouble):
            raise FileTrouble(f"{trouble}{where}") from None
        raise FileTrouble(f"Cannot write {path}: {trouble.strerror}.{where}") from None
    return kept if anything else None


def _whole(path: str) -> Connection | None:
    """The file, open, if it is one that can be written page by page; None if it is broken."""
    if not os.path.exists(path) or os.path.getsize(path) == 0:
        return None
    try:
        conn = open_db(path, as_it_is=True)
    except Busy:
        raise
    except CuredashError:
        return None
    if inspect.damage(conn):
        conn.close()
        return None
    return conn


def _with_folder(path: str) -> str:
    naming.require_name(path)
    folder = os.path.dirname(os.path.abspath(path))
    try:
        os.makedirs(folder, exist_ok=True)
    except OSError as trouble:
        raise FileTrouble(f"Cannot make the folder {folder}: {trouble.strerror}.") from None
    return path
