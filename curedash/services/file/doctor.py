"""Looking the household over: file, shape, log, clock, room, copies. It only reads."""

import os
import sqlite3
import stat
from contextlib import closing
from datetime import datetime, timedelta

from curedash.domain.clock import clock_doubt
from curedash.domain.errors import Busy, CuredashError
from curedash.domain.record import record
from curedash.domain.times import moment
from curedash.services.file import backup, drafts
from curedash.services.household import household
from curedash.services.needs.check import WRITTEN_ON
from curedash.services.places import roll_up
from curedash.store import inspect, log, pages, vouch
from curedash.store.file_system import SHARED, file_system
from curedash.store.file_trouble import SCHEMA_VERSION
from curedash.store.open import open_db, owner_of

NOTHING_FOUND = "no-finding"  # looked at, and nothing to remark
COPIES_LISTED = "'curedash restore' lists the copies."
COPIES_TRIED = 5
LITTLE_ROOM = 50e6  # design value [bytes]
OLD_COPY = timedelta(days=3)  # design value


@record
class Finding:
    """One thing that was looked at; ``level`` is no-finding, look (worth a look) or bad."""

    what: str
    level: str
    found: str
    advice: str = ""


def examine(path: str, now: datetime, *, thorough: bool = False) -> list[Finding]:
    """Look the household file and what surrounds it over.

    Parameters
    ----------
    thorough : also compare every index and every weigh-in with the log (seconds to minutes)

    Returns
    -------
    what was found, in a fixed order; never raises
    """
    found = [_file(path)]
    if found[0].level != "bad":
        found += _place_on_disk(path)
        try:
            with closing(open_db(path, read_only=True, as_it_is=True)) as conn:
                found += _inside(conn, path, now, thorough)
        except Busy as trouble:
            found.append(Finding("inside", "look", str(trouble), "Look again in a moment."))
        except CuredashError as trouble:
            found.append(Finding("inside", "bad", str(trouble)))
    found.append(_copies(path, now))
    return [*found, *_litter(path)]


def is_damaged(path: str) -> bool:
    """Whether what is inside the file cannot be believed; asked when something went wrong."""
    try:
        with closing(open_db(path, read_only=True, as_it_is=True)) as conn:
            return bool(inspect.damage(conn, thorough=True) or inspect.against_the_log(conn))
    except Busy:
        return False
    except CuredashError:
        return os.path.exists(path)


def _file(path: str) -> Finding:
    try:
        there = os.stat(path)
    except FileNotFoundError:
        return Finding("file", "bad", f"{path} is not there", "The dashboard makes one.")
    except OSError as trouble:
        return Finding("file", "bad", f"{path}: {trouble.strerror}", "Name another with --db.")
    if not stat.S_ISREG(there.st_mode):
        return Finding("file", "bad", f"{path} is not an ordinary file", "Name another with --db.")
    words = f"{path}, {there.st_size / 1e6:.1f} MB"
    if not os.access(path, os.R_OK | os.W_OK):
        may = "you may only read it" if os.access(path, os.R_OK) else "you may not even read it"
        return Finding("file", "bad", f"{words}; {may}", f"It belongs to {owner_of(there.st_uid)}.")
    if stat.S_IMODE(there.st_mode) & 0o077:
        open_to_all = f"{words}; others on this machine may read it"
        return Finding("file", "look", open_to_all, f"chmod 600 {path}")
    return Finding("file", NOTHING_FOUND, words)


def _place_on_disk(path: str) -> list[Finding]:
    folder = os.path.dirname(os.path.abspath(path))
    room = os.statvfs(folder)
    free = room.f_bavail * room.f_frsize
    needed = max(LITTLE_ROOM, 2 * os.path.getsize(path))
    level, advice = NOTHING_FOUND, ""
    if free < needed:
        level, advice = "look", "Free some space: copies need it too."
    found = [Finding("disk", level, f"{free / 1e6:.0f} MB free", advice)]
    if not os.access(folder, os.W_OK):
        words = f"nothing can be written in {folder}"
        found.append(Finding("folder", "bad", words, "The file's log must be beside it."))
    kind = file_system(folder)
    if kind in SHARED:
        words = f"the file lies on a network file system ({kind})"
        advice = "Open it on one machine only, or move it to a disk of this one."
        found.append(Finding("file system", "look", words, advice))
    return found


def _inside(conn: sqlite3.Connection, path: str, now: datetime, thorough: bool) -> list[Finding]:
    wrong = inspect.damage(conn, thorough=thorough)
    if wrong:
        where = pages.named(wrong)
        others = f" ({pages.words(where)})" if len(where) > 1 else ""
        return [Finding("inside", "bad", wrong[0] + others, COPIES_LISTED)]
    holds = inspect.contents_of(conn, path)
    words = f"whole; {holds.lots} lots, {holds.weigh_ins} weigh-ins, {holds.readings} readings"
    found = [Finding("inside", NOTHING_FOUND, words), _shape(holds.version)]
    if holds.version != SCHEMA_VERSION:
        return found
    if thorough:
        found += [_weights(conn), *_repeated(conn, path)]
    return [*found, _clock(conn, now), _drafts(conn)]


def _weights(conn: sqlite3.Connection) -> Finding:
    bent = inspect.against_the_log(conn)
    if bent:
        return Finding("weights", "bad", bent[0], COPIES_LISTED)
    kept = inspect.curve_kept_wrong(conn)
    if kept:
        advice = "The weigh-ins are whole: export, then import into a new file."
        return Finding("weights", "bad", kept[0], advice)
    return Finding("weights", NOTHING_FOUND, "every weigh-in agrees with the log")


def _repeated(conn: sqlite3.Connection, path: str) -> list[Finding]:
    """Every row held against the log, the readings against their days, all against a copy."""
    try:
        fine, odd = roll_up.checked_days(conn)
        copy = _newest_whole_copy(path)
        found = vouch.vouch(conn, copy, fine)
    except (sqlite3.Error, CuredashError, ValueError, TypeError, OverflowError) as trouble:
        return [Finding("log", "bad", f"cannot be followed ({trouble})", COPIES_LISTED)]
    if found.wrong:
        lines = [Finding("log", "bad", found.wrong[0], COPIES_LISTED)]
    else:
        rows = f"{found.rows_by_log} rows agree with the log"
        words = rows if copy is None else f"{rows} and with {os.path.basename(copy)}"
        lines = [Finding("log", NOTHING_FOUND, words)]
    if odd:
        words = f"{odd[0]} differs from its readings ({len(odd)} in all)"
        advice = "A changed zone or way of watching explains that; otherwise restore a copy."
        lines.append(Finding("air", "look", words, advice))
    if found.lines_alone or found.readings_alone:
        alone = f"{found.readings_alone} readings, {found.lines_alone} lines of the log"
        where = pages.words(list(found.pages_alone))
        words = f"{alone} cannot be compared: only this file has them{where and f' ({where})'}"
        lines.append(Finding("unchecked", NOTHING_FOUND, words))
    return lines


def _newest_whole_copy(path: str) -> str | None:
    """The newest copy beside the file that is whole and of today's shape."""
    for copy in backup.copies(path)[:COPIES_TRIED]:
        try:
            with closing(open_db(copy.path, read_only=True, as_it_is=True)) as other:
                todays = inspect.contents_of(other, copy.path).version == SCHEMA_VERSION
                if todays and not inspect.damage(other):
                    return copy.path
        except CuredashError:
            continue
    return None


def _shape(version: int) -> Finding:
    if version > SCHEMA_VERSION:
        words = f"version {version}, newer than this program"
        return Finding("shape", "look", words, "It can be read here; update curedash to write.")
    if version < SCHEMA_VERSION:
        words = f"version {version} of {SCHEMA_VERSION}"
        advice = "Opening it makes a copy, then brings it up to date."
        return Finding("shape", "look", words, advice)
    return Finding("shape", NOTHING_FOUND, f"version {version}, the present one")


def _clock(conn: sqlite3.Connection, now: datetime) -> Finding:
    newest = log.newest_recorded_at(conn)
    doubt = clock_doubt(
        now.timestamp(),
        built_at=WRITTEN_ON.timestamp(),
        newest_recorded_at=None if newest is None else moment(newest).timestamp(),
    )
    zone = household.zone_name(conn)
    words = f"{now.astimezone(household.zone(conn)):%Y-%m-%d %H:%M} in {zone}"
    if doubt is not None:
        return Finding("clock", "bad", words, doubt.sentence)
    return Finding("clock", NOTHING_FOUND, words)


def _drafts(conn: sqlite3.Connection) -> Finding:
    waiting = drafts.waiting(conn)
    if not waiting:
        return Finding("half-typed", NOTHING_FOUND, "nothing is unfinished")
    words = f"{len(waiting)} unfinished, saved {waiting[0].at}"
    return Finding("half-typed", "look", words, "The dashboard offers it.")


def _litter(path: str) -> list[Finding]:
    """What killed programs left beside the file, and logs that were set aside."""
    pieces = backup.litter(path)
    found = []
    if pieces:
        size = sum(os.path.getsize(piece) for piece in pieces) / 1e6
        first = os.path.basename(pieces[0])
        words = f"{len(pieces)} unfinished files ({size:.1f} MB), first {first}"
        advice = "'curedash doctor --sweep' removes them."
        found.append(Finding("litter", "look", words, advice))
    folder, name = os.path.split(os.path.abspath(path))
    there = os.listdir(folder) if os.path.isdir(folder) else []
    logs = [other for other in there if other.startswith(name) and ".left-" in other]
    if logs:
        advice = "Each belongs to a missing file; keep it if that file may come back."
        found.append(Finding("old logs", "look", f"{len(logs)}, first {logs[0]}", advice))
    return found


def _copies(path: str, now: datetime) -> Finding:
    there = backup.copies(path)
    if not there:
        daily = "The dashboard and watch make one a day; 'curedash backup' makes one now."
        return Finding("copies", "look", "none beside the file", daily)
    age = now - moment(there[0].made_at)
    size = sum(copy.size_bytes for copy in there) / 1e6
    words = f"{len(there)} ({size:.1f} MB), the newest of {there[0].made_at[:10]}"
    if age > OLD_COPY:
        return Finding("copies", "look", words, "'curedash backup' makes one now.")
    return Finding("copies", NOTHING_FOUND, words)
