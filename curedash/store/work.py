"""One transaction: rows written, their images before and after, and the line in the log.

Every change a person makes goes through a :class:`Work`; readings, forecasts, drafts and the
memory of needs bypass it (they are measured or derived, not decided).
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable

from curedash.domain.errors import Busy, FileTrouble
from curedash.domain.fast_json import dumps
from curedash.domain.record import record
from curedash.store.file_trouble import is_gone, translate_error
from curedash.store.open import Held

TYPE_CHECKING = False
if TYPE_CHECKING:
    from types import TracebackType
    from typing import Any, Concatenate, ParamSpec, TypeVar

    P = ParamSpec("P")
    T = TypeVar("T")

    Row = dict[str, Any]

#: Rows of these tables are taken back by voiding, never by deleting.
VOIDED = frozenset(
    {
        "batch",
        "source",
        "lot",
        "place",
        "weigh_in",
        "stage_entry",
        "rebase",
        "event",
        "pack",
        "away",
    }
)
#: Of a need only what a person says of it is decided; the rest is derived and written again.
DECIDED = {"need": "id, snoozed_until, reason"}
KEYS = {"setting": "name", "style": "id", "alert_rule": "id", "finish": "lot_id"}


UNSURE = (
    "The disk failed while your entry was being saved, and it is not known whether it was:"
    " look with 'curedash history' before you enter it again."
)
_stored = 0


def note_stored() -> None:
    """Something that was asked for is on the disk: from now on nobody may say it is not."""
    global _stored
    _stored += 1


def stored() -> int:
    """How often something that was asked for was stored by this process."""
    return _stored


@record
class By:
    """Who changes something, when and from where."""

    now: str  # ISO-8601 UTC: the moment the clock shows
    actor: str  # login name
    origin: str  # screen | shell | broker | pipe
    session: str  # one run of the program
    seen: int | None = None  # the newest line of the log that was known when it was asked for


def login_name() -> str:
    """Who is called the author of a change: the login name, by the same rule everywhere.

    ``LOGNAME`` is the name of POSIX (Base Definitions, 8.3); ``USER`` is that of other systems.
    """
    for name in ("LOGNAME", "USER"):
        if os.environ.get(name):
            return os.environ[name]
    try:
        import pwd

        return pwd.getpwuid(os.getuid()).pw_name
    except (ImportError, KeyError):
        return "unknown"


class Work:
    """Writes rows and remembers their images; made by :func:`change`."""

    def __init__(self, conn: sqlite3.Connection, by: By) -> None:
        self.conn = conn
        self.by = by
        self.subject = ""  # what the line in the log is about
        self.at: str | None = None  # when it happened, if that is not now
        self.before: list[list[Any]] = []
        self.after: list[list[Any]] = []
        self.rested: set[tuple[str, Any]] = set()  # rows it rests on and leaves as they are

    def rest_on(self, table: str, key: Any) -> None:
        """What is changed rests on this row: changed by another program meanwhile, it is asked."""
        self.rested.add((table, key))

    def insert(self, table: str, **values: Any) -> int:
        """Add a row and return its id (or rowid)."""
        names = ", ".join(values)
        marks = ", ".join("?" * len(values))
        cursor = self.conn.execute(
            f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(values.values())
        )
        key = KEYS.get(table, "id")
        value: Any = values.get(key, cursor.lastrowid)
        self.before.append([table, value, None])
        self.after.append([table, value, self.image(table, value)])
        return int(value) if not isinstance(value, str) else 0

    def update(self, table: str, key: Any, **values: Any) -> None:
        """Change the row with this key; a change to the same values leaves no image."""
        old = self.image(table, key)
        if old is None or all(old[name] == value for name, value in values.items()):
            return
        sets = ", ".join(f"{name} = ?" for name in values)
        self.conn.execute(
            f"UPDATE {table} SET {sets} WHERE {KEYS.get(table, 'id')} = ?", (*values.values(), key)
        )
        self.before.append([table, key, old])
        self.after.append([table, key, self.image(table, key)])

    def put(self, table: str, key: str, **values: Any) -> None:
        """Insert the row, or update it if the key is there."""
        if self.image(table, key) is None:
            self.insert(table, **{KEYS.get(table, "id"): key}, **values)
        else:
            self.update(table, key, **values)

    def restore(self, table: str, key: Any, image: Row | None) -> None:
        """Bring a row back to an image; None takes the row out (or voids it)."""
        if image is not None and self.image(table, key) is None:
            self.insert(table, **image)
        elif image is not None:
            self.update(table, key, **_changeable(table, image))
        elif table in VOIDED:
            self.update(table, key, voided_at=self.by.now)
        else:
            self.before.append([table, key, self.image(table, key)])
            self.conn.execute(f"DELETE FROM {table} WHERE {KEYS.get(table, 'id')} = ?", (key,))
            self.after.append([table, key, None])

    def image(self, table: str, key: Any) -> Row | None:
        """The row as it stands now."""
        cursor = self.conn.execute(
            f"SELECT {DECIDED.get(table, '*')} FROM {table} WHERE {KEYS.get(table, 'id')} = ?",
            (key,),
        )
        row = cursor.fetchone()
        if row is None:
            return None
        return dict(zip((column[0] for column in cursor.description), row, strict=True))


class NotKept(Exception):
    """Leaves a change without keeping anything of it."""


class quiet:
    """A transaction for what is measured or derived and so has no line in the log.

    Written out, since ``contextlib`` is one module more for every shell command.

    Raises
    ------
    FileTrouble (or Busy): nothing was saved, the sentence says what to do
    """

    def __init__(self, conn: sqlite3.Connection) -> None:
        self.conn = conn

    def __enter__(self) -> sqlite3.Connection:
        _begin(self.conn)
        return self.conn

    def __exit__(
        self,
        kind: type[BaseException] | None,
        trouble: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        _end(self.conn, trouble)


class change:
    """One durable change: everything inside commits together with its line in the log.

    ``at`` is when it happened, if that is not now.

    Raises
    ------
    FileTrouble (or Busy): nothing was saved, the sentence says what to do; Changed: another run
    of the program changed the same since ``by.seen``, nothing was saved
    """

    def __init__(
        self,
        conn: sqlite3.Connection,
        by: By,
        verb: str,
        *,
        subject: str = "",
        at: str | None = None,
        undoes: int | None = None,
    ) -> None:
        self.work = Work(conn, by)
        self.work.subject, self.work.at = subject, at
        self.verb, self.undoes = verb, undoes

    def __enter__(self) -> Work:
        _begin(self.work.conn)
        return self.work

    def __exit__(
        self,
        kind: type[BaseException] | None,
        trouble: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        _end(self.work.conn, trouble, self._log)
        if trouble is None and self.work.after:
            note_stored()

    def _log(self) -> None:
        if self.work.after:
            if self.work.by.seen is not None:
                _require_unchanged(self.work, self.work.by.seen)
            _log(self.work, self.verb, self.undoes)


#: Connections whose transaction was begun before its change: what is checked holds when it is kept.
_BEGUN: set[int] = set()


def at_once(
    service: Callable[Concatenate[sqlite3.Connection, P], T],
) -> Callable[Concatenate[sqlite3.Connection, P], T]:
    """Let a service check inside the transaction in which it changes.

    It is begun before the service reads anything, and its ``change`` goes on in it; whatever two
    programs do at the same moment is done one after the other, and the second checks what the
    first has left. A service that refuses, or has nothing to change, leaves nothing behind.
    """

    def begun(conn: sqlite3.Connection, /, *args: P.args, **kwargs: P.kwargs) -> T:
        if id(conn) in _BEGUN or conn.in_transaction:
            return service(conn, *args, **kwargs)
        _begin(conn)
        _BEGUN.add(id(conn))
        try:
            return service(conn, *args, **kwargs)
        except sqlite3.Error as trouble:
            raise translate_error(trouble, conn=conn) from trouble
        finally:
            if id(conn) in _BEGUN:
                _BEGUN.discard(id(conn))
                _roll_back(conn)

    begun.__name__, begun.__doc__, begun.__module__ = (
        service.__name__,
        service.__doc__,
        service.__module__,
    )
    begun.__qualname__, begun.__annotations__ = service.__qualname__, service.__annotations__
    begun.__wrapped__ = service  # type: ignore[attr-defined]
    return begun


def _begin(conn: sqlite3.Connection) -> None:
    if id(conn) in _BEGUN:
        _BEGUN.discard(id(conn))
        return
    try:
        conn.execute("BEGIN IMMEDIATE")
        if isinstance(conn, Held):
            conn.require_same()
    except sqlite3.Error as trouble:
        _roll_back(conn)
        raise translate_error(trouble, conn=conn) from None
    except BaseException:
        _roll_back(conn)
        raise


def _end(
    conn: sqlite3.Connection, trouble: BaseException | None, log: Callable[[], None] | None = None
) -> None:
    """Commit, or roll back and put a driver error into words; any other goes on as it is."""
    committing = False
    try:
        if trouble is None:
            if log is not None:
                log()
            committing = True
            conn.execute("COMMIT")
            if isinstance(conn, Held) and not conn.is_at_its_path():
                _rescue(conn, told=log is not None)
            return
    except sqlite3.Error as failed:
        trouble = failed
    except BaseException:
        _roll_back(conn)
        raise
    _roll_back(conn)
    if isinstance(trouble, sqlite3.Error):
        said = translate_error(trouble, conn=conn)
        unsure = committing and log is not None and not isinstance(said, Busy)
        if unsure and not is_gone(conn):
            raise FileTrouble(UNSURE) from trouble
        raise said from trouble


def _rescue(conn: Held, *, told: bool) -> None:
    """What was committed is in no file that bears the name: copy all of it to one that says so."""
    from curedash.store.rescue import Rescued, rescue

    found = rescue(conn)
    if told:
        raise Rescued(found)


#: Rows that what is shown of a lot rests on; a note or a reading changes nothing of it.
OF_A_LOT = frozenset({"lot", "weigh_in", "rebase", "stage_entry", "dose_line", "finish", "pack"})


def _require_unchanged(work: Work, seen: int) -> None:
    """What another run of the program changed since then is not what this change touches."""
    lines = work.conn.execute(
        "SELECT id, actor, verb, subject, after FROM change WHERE id > ? AND session <> ?"
        " ORDER BY id DESC",
        (seen, work.by.session),
    ).fetchall()
    if not lines:
        return
    from json import loads

    from curedash.domain.errors import Changed

    mine = _touched(work.after) | work.rested
    newest = lines[0][0]
    for _, actor, verb, subject, after in lines:
        if not mine.isdisjoint(_touched(loads(after))):
            raise Changed(f"{actor} changed it meanwhile: {verb} {subject}. Do it anyway?", newest)


def _touched(images: list[list[Any]]) -> set[tuple[str, Any]]:
    """The rows of these images, and the lots that rows of a lot belong to."""
    found: set[tuple[str, Any]] = set()
    for table, key, image in images:
        found.add((table, key))
        lot_id = key if table in ("lot", "finish") else (image or {}).get("lot_id")
        # Of all events an opening alone: it decides how its lot goes on.
        counts = table in OF_A_LOT or (image or {}).get("kind") == "opened"
        if counts and lot_id is not None:
            found.add(("lot", lot_id))
    return found


def _log(work: Work, verb: str, undoes: int | None) -> None:
    by, subject, at = work.by, work.subject, work.at or work.by.now
    work.conn.execute(
        "INSERT INTO change (at_utc, recorded_at, session, actor, origin, verb, subject, undoes,"
        " before, after) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            at,
            by.now,
            by.session,
            by.actor,
            by.origin,
            verb,
            subject,
            undoes,
            dumps(work.before),
            dumps(work.after),
        ),
    )


def _changeable(table: str, image: Row) -> Row:
    """The columns an update may touch (a weigh-in's weight and time never change)."""
    if table == "weigh_in":
        names = ("voided_at", "flagged", "note", "base_factor", "stage", "curve")
        return {name: image[name] for name in names}
    return image


def _roll_back(conn: sqlite3.Connection) -> None:
    if conn.in_transaction:
        conn.execute("ROLLBACK")
