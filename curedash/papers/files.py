"""Files that hold household data: readable by their owner only, whole or not there at all."""

from __future__ import annotations

import os

from curedash.domain.errors import FileTrouble, Refused

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


def write_file(path: str, content: str | bytes, *, never: str | None = None) -> None:
    """Write a file beside its place and put it there at once, mode 0600.

    Parameters
    ----------
    never : a path that must not be written to: the household's own file

    Raises
    ------
    Refused: the target is that file; FileTrouble: the disk or the folder says no
    """
    if never is not None and _same(path, never):
        raise Refused(f"{path} is the household's own file; give another name.")
    data = content.encode("utf-8") if isinstance(content, str) else content
    unfinished = f"{path}.part-{os.getpid()}"
    try:
        handle = os.open(unfinished, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.replace(unfinished, path)
    except OSError as trouble:
        if os.path.exists(unfinished):
            os.remove(unfinished)
        raise FileTrouble(f"Cannot write {path}: {trouble.strerror}.") from None


def _same(path: str, other: str) -> bool:
    return os.path.realpath(path) == os.path.realpath(other)
