"""Giving a finished file its name: private part names, the disk, what lies beside a database.

A database is one thing with its companions (``-wal``, ``-shm``, ``-journal``): whoever replaces
the file replaces them too, under one lock, and throws nothing away.
"""

import errno
import os
import stat
from contextlib import suppress

from curedash.domain.errors import FileTrouble, Refused
from curedash.store.paths import node_of

COMPANIONS = ("-wal", "-shm", "-journal")
LOGS = ("-wal", "-journal")  # what holds data of the person; the index is made again
RANDOM_BYTES = 6


def require_name(path: str) -> None:
    """Refuse to make what would be named like an option of a command.

    Raises
    ------
    Refused: the path as it was typed begins with a hyphen
    """
    if path.startswith("-"):
        raise Refused(f"{path} looks like an option; for a file of that name give ./{path}.")


def part_name(target: str) -> str:
    """A name beside ``target`` that nobody can guess: the process, then 12 random hex digits."""
    return f"{target}.part-{os.getpid()}-{os.urandom(RANDOM_BYTES).hex()}"


def open_part(part: str) -> int:
    """Make the file (0600) and open it for writing; never follows a link that lies there.

    Raises
    ------
    OSError: something bears the name, or the folder takes nothing
    """
    flags = os.O_CREAT | os.O_EXCL | os.O_WRONLY | getattr(os, "O_NOFOLLOW", 0)
    return os.open(part, flags, 0o600)


def to_disk(path: str) -> None:
    """Force a file, or the names in a folder, to the disk.

    Raises
    ------
    OSError: the disk did not take it
    """
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def folder_of(path: str) -> str:
    """The folder a path lies in."""
    return os.path.dirname(os.path.abspath(path))


def is_special(path: str) -> bool:
    """Whether a device, a pipe or a socket bears the name, also through a link.

    So is what is open already: ``/dev/stdout`` is a link of the system, whatever lies behind it.
    """
    try:
        mode = os.stat(path).st_mode
    except (OSError, ValueError):
        return False
    if not (stat.S_ISREG(mode) or stat.S_ISDIR(mode)):
        return True
    folder = os.path.realpath(folder_of(path))
    return folder == "/dev" or folder.startswith("/proc/")


def replace(part: str, target: str) -> None:
    """Give a finished part its name in place of what bears it, all of it on the disk.

    Raises
    ------
    OSError: the disk did not take it, or a device bears the name; what bore it is as it was.
    FileTrouble: the disk failed behind that, and nobody knows which of the two bears the name
    """
    if is_special(target):
        raise OSError(errno.EINVAL, "it is a device, not a file")
    to_disk(part)
    os.replace(part, target)
    try:
        to_disk(folder_of(target))
    except OSError as trouble:
        raise unsure(target, trouble) from None


def give_free_name(part: str, target: str) -> None:
    """The same for a name that nothing bears, not even since a moment ago.

    Raises
    ------
    FileExistsError: something bears it and is as it was; OSError: the disk did not take it;
    FileTrouble: it took it, failed behind that, and would not let it be taken away
    """
    to_disk(part)
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without second names: claimed first, then replaced
        os.close(open_part(target))
        os.replace(part, target)
    else:
        with suppress(OSError):  # :func:`clear` tries again
            os.remove(part)
    try:
        to_disk(folder_of(target))
    except OSError as trouble:  # what is called not written must not be there
        try:
            os.remove(target)
        except OSError:
            raise unsure(target, trouble) from None
        raise


def unsure(target: str, trouble: OSError) -> FileTrouble:
    """The disk failed when the file had its name already."""
    return FileTrouble(
        f"The disk failed while {target} was written ({trouble.strerror}), and it is not known"
        " whether the file is complete: look before you write it again."
    )


def clear(part: str) -> None:
    """Take an unfinished part and what the driver put beside it away, as far as the disk lets it.

    What stays is litter that ``doctor`` lists; it must not hide what came of the work itself.
    """
    for ending in ("", *COMPANIONS):
        with suppress(OSError):
            os.remove(part + ending)


class FolderLock:
    """Held while a household file is made or replaced; other programs of ours wait for it.

    Where the file system knows no such lock it does nothing.
    """

    def __init__(self, path: str) -> None:
        self._folder = folder_of(path)
        self._number: int | None = None

    def __enter__(self) -> "FolderLock":
        """Wait for it."""
        try:
            import fcntl

            self._number = os.open(self._folder, os.O_RDONLY)
            fcntl.flock(self._number, fcntl.LOCK_EX)
        except (ImportError, OSError):
            self.__exit__()
        return self

    def __exit__(self, *_: object) -> None:
        """Let go of it."""
        if self._number is not None:
            os.close(self._number)
            self._number = None


def set_aside(path: str, kept: str) -> bool:
    """Give a database and its companions another name, in the state they are in.

    Programs that have it open go on in the file of the new name, log and index included; none of
    them can mix its log with what comes to lie at ``path``. Call it inside a :class:`FolderLock`.

    Returns
    -------
    whether there was anything

    Raises
    ------
    FileTrouble: it could not be kept; the file is as it was, at ``path`` or, if it says so, at
    ``kept``
    """
    linked: dict[str, tuple[int, int] | None] = {}
    renamed = False
    try:
        for ending in COMPANIONS:
            if os.path.lexists(path + ending):
                _second_name(path + ending, kept + ending)
                linked[ending] = node_of(path + ending)
        there = os.path.lexists(path)
        if there:
            if stat.S_ISREG(os.stat(path).st_mode):
                os.chmod(path, 0o600)
            os.rename(path, kept)
            renamed = True
        for ending, node in linked.items():
            if node_of(path + ending) == node:
                os.remove(path + ending)
        to_disk(folder_of(path))
    except OSError as trouble:
        if renamed:
            raise FileTrouble(
                f"The disk failed ({trouble.strerror}), so nothing was restored. What was in {path}"
                f" is in {kept} now."
            ) from None
        raise FileTrouble(
            f"What is in {path} could not be saved ({trouble.strerror}), so nothing was restored."
        ) from None
    return there or any(ending in linked for ending in LOGS)


def _second_name(path: str, name: str) -> None:
    """A second name for the same file; a copy where the file system has none."""
    try:
        os.link(path, name, follow_symlinks=False)
    except FileExistsError:
        raise
    except OSError:
        import shutil

        shutil.copy2(path, name, follow_symlinks=False)


def set_logs_aside(path: str) -> list[str]:
    """Rename logs that lie beside a name without a file, which the driver would throw away.

    Returns
    -------
    their new names
    """
    made = []
    for log in leftover_logs(path):
        name = part_name(log).replace(".part-", ".left-")
        os.rename(log, name)
        made.append(name)
    return made


def leftover_logs(path: str) -> list[str]:
    """Logs that lie beside a name which no file bears (or an empty one)."""
    if os.path.exists(path) and os.path.getsize(path):
        return []
    return [path + ending for ending in LOGS if os.path.lexists(path + ending)]
