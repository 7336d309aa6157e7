"""Opening the one file: whose it is, pragmas, version check, migration with a copy first.

Nothing is written before the file is known to be a household's; what is refused stays as it was.
"""

import os
import sqlite3
import stat
from datetime import UTC, datetime

from curedash.domain.errors import Busy, CuredashError, FileTrouble, NotFound
from curedash.store.file_system import require_no_share
from curedash.store.file_trouble import SCHEMA_VERSION, damaged, translate_error, why_read_only
from curedash.store.paths import node_of

Connection = sqlite3.Connection
SHELL_TIMEOUT_S = 5.0
SCREEN_TIMEOUT_S = 0.2
COPY_KINDS = ("backup", "copy", "before", "replaced", "rescued")  # in the names of copies
OPEN_TRIES = 5  # a file that is replaced while it is being opened is opened again
OURS = ("change", "lot", "setting", "weigh_in")  # tables of every version from the first on
FIRST_LINE = "SELECT recorded_at || ' ' || session FROM change ORDER BY id LIMIT 1"


class Moved(FileTrouble):
    """The file that was opened no longer bears its name; nothing was saved."""


class OtherHousehold(FileTrouble):
    """Another household was put into the file that was opened; nothing was saved."""


class Held(sqlite3.Connection):
    """A connection that knows which file it was opened on, and whose household is in it.

    A household is known by the first line of its log, which nobody can change.
    """

    path = ""
    node: "tuple[int, int] | None" = None  # device and inode; None: not looked after
    household: "str | None" = None  # None: nothing was ever done in it
    adrift = False  # the file lost its name: changes are made here, and copied to a rescue file
    rescue: "str | None" = None  # that file, once there is one

    def is_at_its_path(self) -> bool:
        """Whether the file still bears the name it was opened by."""
        return self.node is None or node_of(self.path) == self.node

    def require_same(self) -> None:
        """Make sure, inside a transaction, that what is written goes where it is meant to.

        Raises
        ------
        Moved, OtherHousehold, or FileTrouble (a newer version took the file over): nothing saved
        """
        if self.node is None or self.adrift:
            return
        if node_of(self.path) != self.node:
            gone = not os.path.lexists(self.path)
            raise Moved(
                f"{self.path} was {'removed or renamed' if gone else 'replaced'} while it was open"
                " here; nothing was saved. Open it again, or go back to a copy with 'curedash"
                " restore'."
            )
        if self.execute("PRAGMA user_version").fetchone()[0] > SCHEMA_VERSION:
            self.execute("PRAGMA query_only = 1")
            raise FileTrouble(f"{why_read_only(self, self.path)}; nothing was saved.")
        self.require_household()

    def require_household(self) -> None:
        """Make sure that it is still the same household.

        Raises
        ------
        OtherHousehold: somebody put another into the file
        """
        row = self.execute(FIRST_LINE).fetchone()
        if self.household is None:
            self.household = None if row is None else row[0]
        elif row is None or row[0] != self.household:
            raise OtherHousehold(
                f"Another household was put into {self.path} while it was open here; nothing was"
                " saved. Leave and open it again."
            )


def open_db(
    path: str,
    *,
    create: bool = False,
    timeout_s: float = SHELL_TIMEOUT_S,
    read_only: bool = False,
    as_it_is: bool = False,
    copy_first: bool = True,
) -> Held:
    """Open the household file and bring it to the present format.

    Parameters
    ----------
    path : the SQLite file
    create : make the file if it is missing; else a missing file raises NotFound
    timeout_s : how long a locked file is waited for [s]
    read_only : never write, whatever the version
    as_it_is : leave an older shape as it is (for copies; the services want today's)
    copy_first : copy the file before an older shape is brought to today's

    Returns
    -------
    an autocommit connection with foreign keys on; check ``is_read_only`` before writing

    Raises
    ------
    NotFound, FileTrouble or Busy, each one sentence; the file is as it was then
    """
    new = _look_at(path, create)
    if not read_only:
        require_no_share(path)
    try:
        if new:
            _make(path)
        read_only = read_only or not os.access(path, os.W_OK)
        how = {"read_only": read_only, "as_it_is": as_it_is, "copy_first": copy_first}
        for _ in range(OPEN_TRIES):
            conn = _opened(path, timeout_s, **how)
            if conn is not None:
                return conn
        raise Busy("Another program is replacing the file; try again in a moment.")
    except FileExistsError:
        return open_db(path, create=create, timeout_s=timeout_s, read_only=read_only)
    except OSError as trouble:
        raise FileTrouble(
            f"Cannot open {path}: {trouble.strerror}; name another with --db."
        ) from None
    except sqlite3.Error as trouble:
        raise translate_error(trouble, path) from None
    except UnicodeDecodeError:  # the driver's own message quotes a damaged schema
        raise damaged(path) from None


# ── before the driver sees the file ───────────────────────────────────────────────────────


def _look_at(path: str, create: bool) -> bool:
    """True if the file has to be made; says why when it cannot be used."""
    try:
        found = os.stat(path)
    except FileNotFoundError:
        return _may_be_made(path, create)
    except OSError as trouble:
        raise FileTrouble(
            f"Cannot open {path}: {trouble.strerror}; name another with --db."
        ) from None
    if stat.S_ISDIR(found.st_mode):
        raise FileTrouble(f"{path} is a folder; name a file with --db.")
    if not stat.S_ISREG(found.st_mode):
        raise FileTrouble(f"{path} is not an ordinary file; name another with --db.")
    if not os.access(path, os.R_OK):
        raise FileTrouble(
            f"{path} belongs to {owner_of(found.st_uid)} and you may not read it; ask for the"
            " right, or name another with --db."
        )
    if found.st_size == 0:
        return _may_be_made(path, create) and False
    _require_magic(path)
    return False


def _copies_beside(path: str) -> bool:
    """Whether a copy of a file that is gone lies in its folder, going by its name."""
    folder, name = os.path.split(os.path.abspath(path))
    starts = tuple(f"{name}.{kind}-" for kind in COPY_KINDS)
    try:
        return any(other.startswith(starts) for other in os.listdir(folder))
    except OSError:
        return False


def _may_be_made(path: str, create: bool) -> bool:
    """True if a missing (or empty) file is to be made here and its folder stands."""
    if not create:
        if _copies_beside(path):
            raise NotFound(
                f"There is no file {path}, but copies of it lie beside it; 'curedash restore'"
                " lists them and restores one."
            )
        raise NotFound(f"There is no file {path}; 'curedash batch add' or the dashboard makes one.")
    from curedash.store.naming import require_name

    require_name(path)
    folder = os.path.dirname(os.path.abspath(path))
    try:
        os.makedirs(folder, exist_ok=True)
    except OSError as trouble:
        raise FileTrouble(
            f"Cannot make the folder {folder}: {trouble.strerror}; name another file with --db."
        ) from None
    return True


def _require_magic(path: str) -> None:
    """Refuse what is not a database before anything may touch it.

    The driver itself looks, without locks and without the log beside the file. Opening and closing
    the file by hand would drop the locks of every connection this process holds on it (POSIX
    locks belong to the process): another program would then delete the log in use.
    """
    try:
        conn = sqlite3.connect(f"file:{_in_uri(os.path.abspath(path))}?immutable=1", uri=True)
        try:
            conn.execute("PRAGMA schema_version")
        finally:
            conn.close()
    except sqlite3.OperationalError as trouble:
        raise translate_error(trouble, path) from None
    except sqlite3.DatabaseError as trouble:
        # "malformed" is not decided here: the log beside the file may hold what it lacks
        if "not a database" in str(trouble):
            raise translate_error(trouble, path) from None


def owner_of(user_id: int) -> str:
    """The login name of a user, or the number where it has none."""
    try:
        import pwd

        return pwd.getpwuid(user_id).pw_name
    except (ImportError, KeyError):
        return f"user {user_id}"


# ── the connection ────────────────────────────────────────────────────────────────────────


def _opened(
    path: str, timeout_s: float, *, read_only: bool, as_it_is: bool, copy_first: bool
) -> Held | None:
    """Connect, see whose it is and which version, and only then let anything be written.

    None if the file was replaced meanwhile: the driver finds the log by its name and may have
    read that of another file; nothing was written then.
    """
    node = node_of(path)
    conn = _connect(path, timeout_s, read_only=read_only)
    try:
        version = _version_of(conn, path)
        conn.household = _household_in(conn) if version else None
        if node_of(path) != node:
            conn.close()
            return None
        if version > SCHEMA_VERSION and not read_only:
            conn.close()
            return _opened(
                path, timeout_s, read_only=True, as_it_is=as_it_is, copy_first=copy_first
            )
        if version < SCHEMA_VERSION and read_only and not as_it_is:
            raise FileTrouble(f"{path} has an older format; open it once for writing first.")
        if not read_only:
            conn.path, conn.node = os.path.abspath(path), node
            _make_durable(conn)
            if version < SCHEMA_VERSION and not as_it_is:
                _migrate(conn, path, version, copy_first=copy_first)
        return conn
    except BaseException:
        conn.close()
        raise


def _household_in(conn: sqlite3.Connection) -> str | None:
    row = conn.execute(FIRST_LINE).fetchone()
    return None if row is None else str(row[0])


def _make(path: str) -> None:
    """An empty file under a free name; a log left over from one that is gone is set aside first.

    The driver would throw such a log away.
    """
    from curedash.store import naming

    with naming.FolderLock(path):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        naming.set_logs_aside(path)


def _connect(path: str, timeout_s: float, *, read_only: bool) -> Held:
    uri = f"file:{_in_uri(os.path.abspath(path))}?mode={'ro' if read_only else 'rw'}"
    if read_only and _nobody_can_write(path):
        uri += "&immutable=1"
    conn = sqlite3.connect(uri, uri=True, timeout=timeout_s, isolation_level=None, factory=Held)
    try:
        if read_only:
            conn.execute("PRAGMA query_only = 1")
        conn.execute("PRAGMA foreign_keys = 1")
    except sqlite3.Error:
        conn.close()
        raise
    return conn


def _nobody_can_write(path: str) -> bool:
    """A file on a read-only card or in a closed folder: the driver cannot put its index beside."""
    folder = os.path.dirname(os.path.abspath(path))
    if os.access(folder, os.W_OK) or os.path.exists(path + "-shm"):
        return False
    return not (os.path.exists(path + "-wal") and os.path.getsize(path + "-wal") > 0)


def _in_uri(path: str) -> str:
    """The path with the three characters a URI gives a meaning to escaped (RFC 3986)."""
    return path.replace("%", "%25").replace("?", "%3F").replace("#", "%23")


def _version_of(conn: sqlite3.Connection, path: str) -> int:
    """The version of the file's shape, 0 for one still to be made; refuses what is not ours."""
    version = int(conn.execute("PRAGMA user_version").fetchone()[0])
    tables = {row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    complete = tables.issuperset(OURS)
    if tables and not complete and tables != {"_sqlite_migrations"}:
        raise FileTrouble(f"{path} is not a curedash file; name another with --db.")
    if version < 0 or complete != (version > 0):
        raise (
            damaged(path)
            if tables
            else FileTrouble(f"{path} is not a curedash file; name another with --db.")
        )
    return version


def _make_durable(conn: sqlite3.Connection) -> None:
    """Every commit from here on is on the disk before it is reported."""
    if conn.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        conn.execute("PRAGMA journal_mode = wal")
    conn.execute("PRAGMA synchronous = FULL")


def _migrate(conn: sqlite3.Connection, path: str, version: int, *, copy_first: bool = True) -> None:
    """Every pending step in one transaction, after a copy; a step that fails leaves all as it was.

    Two programs may get here at once: the second finds the work done when the lock is its own.
    """
    conn.execute("PRAGMA foreign_keys = 0")
    conn.execute("BEGIN IMMEDIATE")
    try:
        if int(conn.execute("PRAGMA user_version").fetchone()[0]) < SCHEMA_VERSION:
            if version > 0 and copy_first:
                _copy_before(path)
            _apply(conn, path)
        conn.execute("COMMIT")
    except BaseException as trouble:
        if conn.in_transaction:
            conn.execute("ROLLBACK")
        if _is_a_failed_step(trouble) and version > 0:
            raise FileTrouble(
                f"{path} could not be brought to the present format ({trouble}); it is as it was,"
                f" and"
                " the version of curedash that wrote it still opens it."
            ) from trouble
        raise
    conn.execute("PRAGMA foreign_keys = 1")


def _copy_before(path: str) -> None:
    """The file as it is now, beside it; nobody can write until the steps are through.

    Read by a second connection: the driver copies nothing from one that is writing.
    """
    from curedash.store.copying import copy_to

    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    reader = _connect(path, SHELL_TIMEOUT_S, read_only=True)
    try:
        copy_to(reader, f"{path}.before-v{SCHEMA_VERSION}-{stamp}")
    finally:
        reader.close()


def _is_a_failed_step(trouble: BaseException) -> bool:
    """Neither worded already, nor a lock or a full disk, which pass."""
    if isinstance(trouble, CuredashError) or not isinstance(trouble, Exception):
        return False
    return not any(word in str(trouble) for word in ("locked", "is full", "disk I/O"))


def _apply(conn: sqlite3.Connection, path: str) -> None:
    """Run the pending steps, then make sure that every row still points somewhere."""
    from sqlite_utils import Database

    from curedash.store.migrations import curedash

    curedash.apply(Database(conn))
    if conn.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise FileTrouble(
            f"{path} has rows that point nowhere and was left as it was; go back to a copy with"
            " 'curedash restore'."
        )
