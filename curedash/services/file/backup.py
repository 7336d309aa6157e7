"""Copies of the household file: daily and dated beside it, or where the person wants one."""

import os
import re
from contextlib import closing
from datetime import UTC, datetime
from sqlite3 import Connection

from curedash.domain.errors import CuredashError, FileTrouble, NotFound, Refused
from curedash.domain.record import record
from curedash.domain.times import utc_text
from curedash.services.household import household
from curedash.store import inspect, settings
from curedash.store.copying import Taken, copy_anew, copy_to
from curedash.store.open import open_db
from curedash.store.work import By, at_once, change

KEPT = "backups-kept"  # name of the setting
USUALLY_KEPT = 14  # design value: two weeks of days on which the program was open
MOST_KEPT = 1000
KINDS = {
    "daily": "daily copy",
    "copy": "made by hand",
    "before": "before an update",
    "replaced": "before a restore",
    "rescued": "after the file was lost",
}
NAME = re.compile(
    r"(?P<kind>backup|copy|before|replaced|rescued)-(v\d+-)?(?P<day>\d{4}-?\d\d-?\d\d)"
    r"(T(?P<time>\d{6})Z?)?(-\d+)?"
)
#: unfinished files of ours, and how earlier versions called them
PIECE = re.compile(r"\.part-(?P<process>\d+)-[0-9a-f]{12}(-wal|-shm|-journal)?$")
OLD_PIECE = re.compile(r"\.(part|import)-(?P<process>\d+)(-wal|-shm|-journal)?$")
ROOM = 2  # a copy is made only where this many more would fit


@record
class Copy:
    """A copy beside the household file."""

    path: str
    kind: str  # daily | copy | before | replaced | rescued
    made_at: str  # by its name [UTC]
    timed: bool  # False: its name says the household's day only
    size_bytes: int


@record
class Held:
    """A copy, and what it holds or why that cannot be told."""

    copy: Copy
    contents: inspect.Contents | None
    trouble: str | None


@record
class CopyReport:
    """What the look after the file at the start of a day found; empty words when all is well."""

    damage: tuple[str, ...]
    trouble: str | None  # why none could be made

    @property
    def sentence(self) -> str | None:
        """What a person has to know, None if nothing."""
        if self.damage:
            return (
                f"The file is damaged ({self.damage[0]}): 'curedash restore' lists the copies to"
                " go back to."
            )
        return self.trouble


def copies(path: str) -> list[Copy]:
    """The copies beside the file, newest first."""
    folder, name = os.path.split(os.path.abspath(path))
    found = []
    for other in os.listdir(folder) if os.path.isdir(folder) else ():
        named = NAME.fullmatch(other.removeprefix(f"{name}.")) if name in other else None
        made_at = None if named is None else _moment_in(named)
        if named is not None and made_at is not None:
            at = os.path.join(folder, other)
            timed = named["time"] is not None
            found.append(Copy(at, _kind(named), made_at, timed, os.path.getsize(at)))
    return sorted(found, key=lambda copy: (copy.made_at, copy.path), reverse=True)


def _kind(named: re.Match[str]) -> str:
    """Made by hand if a time stands in its name, whatever it was called then."""
    if named["kind"] != "backup":
        return named["kind"]
    return "daily" if named["time"] is None else "copy"


def _moment_in(named: re.Match[str]) -> str | None:
    """When a copy was made, from its name: a day, or a day and a time [UTC]."""
    try:
        figures = named["day"].replace("-", "") + (named["time"] or "000000")
        return utc_text(datetime.strptime(figures + "+0000", "%Y%m%d%H%M%S%z"))
    except ValueError:
        return None


def copy_named(path: str, name: str) -> str:
    """The copy a person means: a path, the bare name of one beside the household file, a number.

    Raises
    ------
    NotFound: there are not so many
    """
    if name.isdecimal() and not os.path.exists(name):
        found = copies(path)
        if not 1 <= int(name) <= len(found):
            raise NotFound(f"There is no copy {name}; 'curedash restore' lists the copies.")
        return found[int(name) - 1].path
    near = os.path.join(os.path.dirname(os.path.abspath(path)), name)
    return near if not os.path.exists(name) and os.path.exists(near) else name


def restored_after(path: str, moment: str) -> Copy | None:
    """The file as it was before the newest restore, where that came after a moment [UTC]."""
    kept = next((copy for copy in copies(path) if copy.kind == "replaced"), None)
    return None if kept is None or kept.made_at <= moment else kept


def held(copy: Copy) -> Held:
    """What a copy holds, or why it cannot be told."""
    try:
        return Held(copy, inspect.contents(copy.path), None)
    except CuredashError as trouble:
        return Held(copy, None, str(trouble))


def back_up(conn: Connection, path: str, target: str | None, now: datetime) -> str:
    """Write a consistent copy while others may go on writing.

    Parameters
    ----------
    target : a file that does not exist, or a folder; None: beside the household file

    Returns
    -------
    path of the copy; in a folder it is called after the file and the moment [UTC], and of several
    made in one second each has its own name

    Raises
    ------
    Refused: something bears that name; FileTrouble or Busy: no copy was made
    """
    folder = os.path.dirname(os.path.abspath(path)) if target is None else target
    if not os.path.isdir(folder):
        if os.path.lexists(folder):
            raise Refused(f"{folder} is there already; name a new file or a folder.")
        copy_anew(conn, folder)
        return folder
    stamp = f"{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}"
    return copy_near(conn, os.path.join(folder, f"{os.path.basename(path)}.copy-{stamp}"))


def copy_near(conn: Connection, wanted: str) -> str:
    """A copy under a name that nothing bears yet: this one, or with a number; its path."""
    while True:
        free = free_name(wanted)
        try:
            copy_anew(conn, free)
        except Taken:  # another program took the name meanwhile
            continue
        return free


def free_name(name: str) -> str:
    """This name, or with a number where it is taken."""
    number, free = 1, name
    while os.path.lexists(free):
        number += 1
        free = f"{name}-{number}"
    return free


def daily(conn: Connection, path: str, now: datetime) -> str | None:
    """Make today's copy if there is none yet and let the oldest beyond the count go.

    Raises
    ------
    FileTrouble or Busy: no copy was made, none was let go
    """
    target = _of_today(conn, path, now)
    if os.path.exists(target):
        return None
    _require_room(path, target)
    copy_to(conn, target)
    _let_go(path, target, kept(conn))
    return target


def is_due(conn: Connection, path: str, now: datetime) -> bool:
    """Whether today's copy is still to be made."""
    return not os.path.exists(_of_today(conn, path, now))


def _of_today(conn: Connection, path: str, now: datetime) -> str:
    day = now.astimezone(household.zone(conn)).date()
    return f"{os.path.abspath(path)}.backup-{day.isoformat()}"


def look_after(path: str, now: datetime) -> CopyReport:
    """The quick check and the daily copy, as the dashboard and ``watch`` do them once a day.

    A damaged file is not copied, so that it never pushes a good copy out. Opens a connection of
    its own and may take seconds: run it off the paint path. Raises nothing.
    """
    try:
        with closing(open_db(path)) as conn:
            found = inspect.damage(conn)
            if not found:
                daily(conn, path, now)
    except NotFound:  # whoever has it open says that it is gone
        return CopyReport((), None)
    except CuredashError as trouble:
        return CopyReport((), str(trouble))
    return CopyReport(tuple(found), None)


def kept(conn: Connection) -> int:
    """How many daily copies stay."""
    chosen = settings.get(conn, KEPT)
    return int(chosen) if chosen is not None and chosen.isdecimal() else USUALLY_KEPT


def require_count(count: int) -> None:
    """Refuse a number of daily copies that is below 1 or above 1000."""
    if not 1 <= count <= MOST_KEPT:
        raise Refused(f"1 to {MOST_KEPT} daily copies can be kept.")


@at_once
def keep(conn: Connection, by: By, count: int) -> None:
    """Choose how many daily copies stay.

    Raises
    ------
    Refused: fewer than 1 or more than 1000
    """
    require_count(count)
    with change(conn, by, "choose", subject=KEPT) as work:
        settings.put(work, KEPT, str(count))


def _require_room(path: str, target: str) -> None:
    """The copy must not take the room the next weigh-ins need."""
    room = os.statvfs(os.path.dirname(target))
    free = room.f_bavail * room.f_frsize
    if free < ROOM * os.path.getsize(path):
        raise FileTrouble(
            f"Only {free / 1e6:.0f} MB are free beside {path}: today's copy was not made."
        )


def _let_go(path: str, made: str, count: int) -> None:
    """Remove the oldest daily copies by the day in their name, never the one made just now.

    Those before a restore or a new version stay. Pieces that were cut short go too.
    """
    names = {copy.path for copy in copies(path) if copy.kind == "daily"} - {made}
    for other in [*sorted(names, reverse=True)[count - 1 :], *litter(path)]:
        os.remove(other)


def litter(path: str) -> list[str]:
    """Unfinished pieces beside the file whose program runs no longer: killed, or cut off."""
    folder, name = os.path.split(os.path.abspath(path))
    if not os.path.isdir(folder):
        return []
    return [
        os.path.join(folder, other)
        for other in sorted(os.listdir(folder))
        if (PIECE.search(other) or (other.startswith(name) and OLD_PIECE.search(other)))
        and not _being_made(other)
        and os.path.isfile(os.path.join(folder, other))
    ]


def sweep(path: str) -> list[str]:
    """Remove that litter; what was removed.

    Raises
    ------
    FileTrouble: a piece cannot be removed
    """
    found = litter(path)
    try:
        for piece in found:
            os.remove(piece)
    except OSError as trouble:
        raise FileTrouble(f"Cannot remove {trouble.filename}: {trouble.strerror}.") from None
    return found


def _being_made(piece: str) -> bool:
    """Whether the program that began this piece still runs; its number is part of the name."""
    named = PIECE.search(piece) or OLD_PIECE.search(piece)
    try:
        os.kill(int(named["process"]) if named else 0, 0)
    except (OverflowError, ProcessLookupError):
        return False
    except PermissionError:
        return True
    return True
