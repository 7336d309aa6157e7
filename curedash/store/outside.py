"""Files that somebody else wrote: opened and read in one place, so much and no more."""

from __future__ import annotations

import os
import stat

from curedash.domain.errors import FileTrouble, NotFound, Refused

SMALL_BYTES = 1_000_000  # design value: a style or a view is a few lines
SHEET_BYTES = 50_000_000  # design value: 20,000 lines of a sheet are two or three of them


def read_bytes(path: str, most: int) -> bytes:
    """What an ordinary file or a pipe holds.

    Parameters
    ----------
    path : its name
    most : bytes that are read; a file that holds more is refused

    Raises
    ------
    NotFound: no such file; Refused: more bytes than that, or a folder, a device, a socket;
    FileTrouble: it cannot be read
    """
    try:
        number = os.open(path, os.O_RDONLY | os.O_CLOEXEC | os.O_NOCTTY)
        with os.fdopen(number, "rb") as file:
            kind = os.fstat(number).st_mode
            if not (stat.S_ISREG(kind) or stat.S_ISFIFO(kind)):
                raise Refused(f"{path} has no end; name an ordinary file.")
            found = file.read(most + 1)
    except FileNotFoundError:
        raise NotFound(f"There is no file {path}.") from None
    except IsADirectoryError:
        raise Refused(f"{path} is a folder; name a file in it.") from None
    except (OSError, ValueError) as trouble:  # ValueError: a name with a NUL in it
        why = getattr(trouble, "strerror", None) or trouble
        raise FileTrouble(f"Cannot read {path} ({why}).") from None
    if len(found) > most:
        raise Refused(f"{path} is longer than {most / 1e6:g} MB; name a smaller file.")
    return found


def read_text(path: str, most: int) -> str:
    """The same as text; a mark of UTF-8 at its beginning is taken off.

    Raises
    ------
    NotFound, Refused or FileTrouble as :func:`read_bytes`; FileTrouble also where it is not a UTF-8
    """
    try:
        return read_bytes(path, most).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileTrouble(f"{path} is not UTF-8 text; save it as UTF-8 and try again.") from None
