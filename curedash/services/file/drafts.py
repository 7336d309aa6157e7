"""What was typed and could not be saved: half-typed forms, and weights for a disk that is full."""

import os
import shlex
from collections.abc import Sequence
from datetime import datetime
from sqlite3 import Connection
from typing import Any

from curedash.domain.errors import CuredashError, FileTrouble
from curedash.domain.record import record
from curedash.domain.times import utc_text
from curedash.store import drafts, paths

UNSAVED = "unsaved.txt"


@record
class Draft:
    """A half-typed form, as it stood when it was kept."""

    name: str
    at: str  # when it was kept [UTC]
    body: dict[str, Any]


def keep(conn: Connection, name: str, body: dict[str, Any], now: datetime) -> None:
    """Keep what a form holds so far, in place of what was kept of it before.

    Raises
    ------
    FileTrouble (or Busy): it could not be kept
    """
    drafts.put(conn, name, utc_text(now), body)


def drop(conn: Connection, name: str) -> None:
    """Forget a draft: the form was saved, or the person does not want it back."""
    drafts.put(conn, name, "", None)


def waiting(conn: Connection) -> list[Draft]:
    """The drafts that can be taken up again, newest first."""
    return [Draft(*row) for row in drafts.every(conn)]


def keep_or_not(
    conn: Connection, name: str, body: dict[str, Any], now: datetime
) -> CuredashError | None:
    """The same for the last moments of a program: what stood in the way comes back, unraised."""
    try:
        keep(conn, name, body, now)
    except CuredashError as trouble:
        return trouble
    return None


def set_aside(
    what: Sequence[str] | str, db_path: str, now: datetime, folders: Sequence[str] | None = None
) -> str:
    """Write what was typed to a text file outside the household file.

    Parameters
    ----------
    what : the words after ``curedash`` of a command that enters it later, such as ``("weigh",
        "C2", "1071 g", "--at", …)``; or a sentence, where no one command does
    db_path : the household file it belongs to, named in each line
    now : when it was not saved
    folders : where to try, in this order; else the usual ones

    Returns
    -------
    path of the file; run its lines once the household file can be written again

    Raises
    ------
    FileTrouble: no folder takes it
    """
    path = os.path.abspath(db_path)
    if isinstance(what, str):
        line = f"# not saved in {path} at {utc_text(now)}: {' '.join(what.split())}\n"
    else:
        line = shlex.join(["curedash", *what, "--db", path]) + "\n"
    for folder in _folders() if folders is None else folders:
        path = os.path.join(folder, UNSAVED)
        try:
            _append(path, line)
        except OSError:
            continue
        return path.replace(os.path.expanduser("~") + "/", "~/", 1)
    raise FileTrouble("No folder can be written to; write the value on paper.")


def _append(path: str, line: str) -> None:
    os.makedirs(os.path.dirname(path), mode=0o700, exist_ok=True)
    number = os.open(path, os.O_CREAT | os.O_WRONLY | os.O_APPEND, 0o600)
    try:
        start = os.fstat(number).st_size
        data = line.encode("utf-8", "replace")
        if os.write(number, data) != len(data):
            os.ftruncate(number, start)
            raise OSError("cut short")
        os.fsync(number)
    finally:
        os.close(number)


def _folders() -> list[str]:
    """The person's own folders first, then memory: another file system than the full one."""
    found = [paths.state_folder(), os.path.expanduser("~")]
    run = os.environ.get("XDG_RUNTIME_DIR")
    return [*found, *([run] if run else []), f"/dev/shm/curedash-{os.getuid()}"]
