"""A photo that goes with a note, a look, a mould or a cut face: its path, and a copy on wish.

A file can come from anybody, so a path in it is never touched before a person of this machine
gave it or confirmed it. Copies lie beside the household file under names that only this program
makes, and are found by those names alone.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import stat
from typing import Any

from curedash.domain.errors import FileTrouble, NotFound, Refused
from curedash.domain.record import as_dict, record
from curedash.domain.records import Event
from curedash.services.file.trust import confirm, is_confirmed
from curedash.store import lots, naming
from curedash.store.open import Connection, Held

MOST_BYTES = 25_000_000  # design value: more than a telephone's camera makes
LONGEST_PATH, LONGEST_NAME = 4096, 255
#: first bytes → ending of a copy (ISO/IEC 10918-1: SOI and a marker; ISO/IEC 15948: signature)
MAGIC = {b"\xff\xd8\xff": "jpg", b"\x89PNG\r\n\x1a\n": "png"}
FOLDER = ".photos"  # behind the name of the household file
_COPY = re.compile(r"[0-9a-f]{32}\.(?:jpg|png)")
THERE, GONE, CHANGED, STRANGE = "there", "gone", "changed", "not confirmed"


@record
class Photo:
    """A photo as kept: its path, or the name of its copy beside the household file."""

    path: str
    sha256: str
    copied: bool
    name: str  # of the file that was given


def take(conn: Connection, path: str, *, copy: bool = False) -> Photo:
    """Look a photo over, remember on this machine that it may be opened, copy it if wished.

    Raises
    ------
    NotFound: there is no such file; Refused: no JPEG or PNG, or too large;
    FileTrouble: it cannot be read or copied
    """
    real = os.path.abspath(os.path.expanduser(path))
    body = _read(real, follow=True)
    ending, name = _kind(body, path), os.path.basename(real)
    sha256 = hashlib.sha256(body).hexdigest()
    if copy:
        return Photo(_copied(conn, body, f"{sha256[:32]}.{ending}"), sha256, True, name)
    confirm(conn, _setting(real))
    return Photo(real, sha256, False, name)


def noted(photo: Photo | None, data: dict[str, Any] | None = None) -> dict[str, Any] | None:
    """The data of an event with its photo, as it is stored."""
    if photo is None:
        return data
    return {**(data or {}), "photo": as_dict(photo)}


def photo_of(event: Event) -> Photo | None:
    """The photo of an event; None if it has none, or one that the program could not have kept."""
    told = json.loads(event.data or "{}")
    told = told.get("photo") if isinstance(told, dict) else None
    if not isinstance(told, dict):
        return None
    path, sha256, name, copied = (told.get(key) for key in ("path", "sha256", "name", "copied"))
    if not isinstance(path, str) or not isinstance(sha256, str) or not isinstance(name, str):
        return None
    if not isinstance(copied, bool) or len(name) > LONGEST_NAME or len(path) > LONGEST_PATH:
        return None
    fits = _COPY.fullmatch(path) if copied else os.path.isabs(path)
    return Photo(path, sha256, copied, name) if fits else None


def photos_of(conn: Connection, lot_id: int) -> list[tuple[Event, Photo]]:
    """The photos of one lot with what they belong to, oldest first."""
    events = sorted(lots.events(conn, lot_id=lot_id), key=lambda event: (event.at, event.id))
    found = ((event, photo_of(event)) for event in events)
    return [(event, photo) for event, photo in found if photo is not None]


def where(conn: Connection, photo: Photo) -> str:
    """The path at which it lies, whether it is there or not."""
    return os.path.join(_folder(conn), photo.path) if photo.copied else photo.path


def state(conn: Connection, photo: Photo, *, thorough: bool = False) -> str:
    """Whether it is there; one from elsewhere is not even looked for before it is confirmed.

    Parameters
    ----------
    thorough : read it and hold it against what was kept
    """
    if not photo.copied and not is_confirmed(conn, _setting(photo.path)):
        return STRANGE
    at = where(conn, photo)
    try:
        found = os.lstat(at) if photo.copied else os.stat(at)
    except (OSError, ValueError):
        return GONE
    if not stat.S_ISREG(found.st_mode) or found.st_size > MOST_BYTES:
        return GONE
    if not thorough:
        return THERE
    try:
        same = hashlib.sha256(_read(at, follow=not photo.copied)).hexdigest() == photo.sha256
    except (FileTrouble, NotFound, Refused):
        return GONE
    return THERE if same else CHANGED


def confirm_photo(conn: Connection, photo: Photo) -> None:
    """A person of this machine lets the program open this path."""
    if not photo.copied:
        confirm(conn, _setting(photo.path))


def _setting(path: str) -> str:
    return f"photo {path}"


def _read(path: str, *, follow: bool) -> bytes:
    flags = os.O_RDONLY | os.O_NONBLOCK | (0 if follow else getattr(os, "O_NOFOLLOW", 0))
    try:
        number = os.open(path, flags)
    except FileNotFoundError:
        raise NotFound(f"There is no file {path}.") from None
    except (OSError, ValueError) as trouble:
        why = getattr(trouble, "strerror", None) or trouble
        raise FileTrouble(f"Cannot read {path}: {why}.") from None
    found = os.fstat(number)
    if not stat.S_ISREG(found.st_mode):
        os.close(number)
        raise Refused(f"{path} is not an ordinary file; name a JPEG or PNG.")
    with os.fdopen(number, "rb") as file:
        if found.st_size > MOST_BYTES:
            raise Refused(
                f"{path} has {found.st_size / 1e6:.0f} MB; a photo has at most"
                f" {MOST_BYTES / 1e6:.0f} MB. Make it smaller."
            )
        return file.read(MOST_BYTES)


def _kind(body: bytes, path: str) -> str:
    for begin, ending in MAGIC.items():
        if body.startswith(begin):
            return ending
    raise Refused(f"{path} holds no JPEG or PNG, whatever its name says; save it as one.")


def _folder(conn: Connection) -> str:
    return (conn.path if isinstance(conn, Held) else "") + FOLDER


def _copied(conn: Connection, body: bytes, name: str) -> str:
    """Write it once, whole; the same photo again is the same file."""
    folder = _folder(conn)
    target = os.path.join(folder, name)
    try:
        os.makedirs(folder, mode=0o700, exist_ok=True)
        if os.path.lexists(target):
            return name
        part = naming.part_name(target)
        try:
            with os.fdopen(naming.open_part(part), "wb") as file:
                file.write(body)
            naming.replace(part, target)
        finally:
            naming.clear(part)
    except OSError as trouble:
        raise FileTrouble(
            f"Cannot write {target}: {trouble.strerror}; nothing was saved."
        ) from None
    return name
