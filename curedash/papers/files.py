"""Files that hold household data: readable by their owner only, whole or not there at all."""

from __future__ import annotations

import os

from curedash.domain.errors import FileTrouble, Refused
from curedash.store import naming

MAGIC = b"SQLite format 3\0"
HOME = "~"  # where files go that a person names without a folder of their own


def suggested(name: str, ending: str = "pdf") -> str:
    """A name for a new paper in the person's own folder: PDF where that can be made, else text."""
    from importlib.util import find_spec

    if ending == "pdf" and find_spec("fpdf") is None:
        ending = "txt"
    return os.path.join(HOME, f"{name}.{ending}")


def full_path(typed: str, usual: str, ending: str = "") -> str:
    """The whole path of what a person typed; of a folder, the usual name inside it.

    Parameters
    ----------
    usual : a path as :func:`suggested` gives it, meant where nothing was typed
    ending : put at the end of a name that has none, e.g. ``.pdf``

    Raises
    ------
    Refused: its folder is not there
    """
    path = os.path.abspath(os.path.expanduser(typed.strip() or usual))
    if os.path.isdir(path):
        path = os.path.join(path, os.path.basename(usual))
    elif not os.path.splitext(path)[1]:
        path += ending
    folder = os.path.dirname(path)
    if not os.path.isdir(folder):
        raise Refused(f"No such folder: {folder}")
    return path


def write_file(
    path: str, content: str | bytes, *, never: str | None = None, keep_mode: bool = False
) -> None:
    """Write a file beside its place and put it there at once, mode 0600; on the disk on return.

    What is no ordinary file, as ``/dev/stdout`` or a pipe, is written into and never replaced.

    Parameters
    ----------
    never : a path that must not be written to: the household's own file
    keep_mode : one that is replaced stays readable for whom it was, e.g. a web server

    Raises
    ------
    Refused: it is named like an option, or is that file, another household, or the log of one;
    FileTrouble: the disk or the folder says no
    """
    naming.require_name(path)
    _require_no_household(path, never)
    data = content.encode("utf-8") if isinstance(content, str) else content
    if naming.is_special(path):
        _write_into(path, data)
        return
    unfinished = naming.part_name(path)
    try:
        with os.fdopen(naming.open_part(unfinished), "wb") as file:
            file.write(data)
            if keep_mode and os.path.isfile(path):
                os.fchmod(file.fileno(), os.stat(path).st_mode & 0o666)
        naming.replace(unfinished, path)
    except OSError as trouble:
        naming.clear(unfinished)
        raise FileTrouble(f"Cannot write {path}: {trouble.strerror}.") from None


def _write_into(path: str, data: bytes) -> None:
    """Write into a device or a pipe; one that nobody reads is an error at once.

    Behind standard output may be a file that holds something: what is written comes after it.
    """
    try:
        number = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_NONBLOCK | os.O_NOCTTY)
        os.set_blocking(number, True)
        with os.fdopen(number, "wb") as out:
            out.write(data)
    except OSError as trouble:
        raise FileTrouble(f"Cannot write {path}: {trouble.strerror}.") from None


def _require_no_household(path: str, own: str | None) -> None:
    """Refuse to write over a database, whosever it is, and over what belongs to one."""
    if own is not None and _same(path, own):
        raise Refused(f"{path} is the household's own file; give another name.")
    real = os.path.realpath(path)
    for ending in naming.COMPANIONS:
        base = real.removesuffix(ending)
        if base != real and (os.path.exists(base) or os.path.exists(real)):
            raise Refused(f"{path} is where the log of {base} lies; give another name.")
    if _is_database(real):
        raise Refused(f"{path} is a household's file or another database; give another name.")


def _is_database(path: str) -> bool:
    """Whether a file that is there begins as a database does."""
    if not os.path.isfile(path):
        return False
    try:
        with open(path, "rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except OSError:
        return False


def _same(path: str, other: str) -> bool:
    if os.path.realpath(path) == os.path.realpath(other):
        return True
    return os.path.exists(path) and os.path.exists(other) and os.path.samefile(path, other)
