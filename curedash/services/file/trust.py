"""What a household file may make this machine do: only what was confirmed on it.

A file can come from anybody. A broker named in it is connected to, and a password file or photo
named in it is read, only after a person of this machine said so: a fingerprint of the setting,
bound to the household, lies in the person's own folder and never in the file.
"""

from __future__ import annotations

import hashlib
import os
from sqlite3 import Connection

from curedash.domain.errors import FileTrouble
from curedash.store import paths
from curedash.store.log import first_line

CONFIRMED = "confirmed"
MOST_BYTES = 1_000_000  # a file longer than that is none of ours


def is_confirmed(conn: Connection, setting: str) -> bool:
    """Whether this setting of this household was confirmed on this machine."""
    return fingerprint(conn, setting) in _known()


def confirm(conn: Connection, setting: str) -> None:
    """Remember that a person of this machine wants it.

    Raises
    ------
    FileTrouble: the person's folder takes nothing
    """
    mark = fingerprint(conn, setting)
    if mark in _known():
        return
    path = _path()
    try:
        os.makedirs(os.path.dirname(path), mode=0o700, exist_ok=True)
        flags = os.O_CREAT | os.O_WRONLY | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0)
        number = os.open(path, flags, 0o600)
        try:
            os.write(number, f"{mark}\n".encode())
            os.fsync(number)
        finally:
            os.close(number)
    except OSError as trouble:
        raise FileTrouble(
            f"Cannot write {path}: {trouble.strerror}; without it nothing from elsewhere is used."
        ) from None


def fingerprint(conn: Connection, setting: str) -> str:
    """The setting of this household as 64 hex digits (SHA-256)."""
    return hashlib.sha256(f"{first_line(conn)}\n{setting}".encode()).hexdigest()


def _known() -> frozenset[str]:
    try:
        with open(_path(), encoding="ascii", errors="replace") as file:
            return frozenset(file.read(MOST_BYTES).split())
    except OSError:
        return frozenset()


def _path() -> str:
    return os.path.join(paths.state_folder(), CONFIRMED)
