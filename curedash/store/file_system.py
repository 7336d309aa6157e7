"""What a file lies on: two machines do not see each other's locks on a network share."""

import os

from curedash.domain.errors import FileTrouble

MOUNTS = "/proc/self/mounts"
#: file systems on which several machines cannot share the file's locks and index
SHARED = ("nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "fuse.sshfs", "fuse.rclone", "davfs")
ALL_THE_SAME = "CUREDASH_ON_SHARE"


def file_system(folder: str) -> str:
    """The kind of file system a folder lies on, empty where the system does not say."""
    best, kind = "", ""
    real = os.path.realpath(folder)
    try:
        with open(MOUNTS, encoding="utf-8", errors="replace") as mounts:
            for line in mounts:
                _, at, name, *_ = line.split(" ")
                at = at.replace("\\040", " ")
                inside = real == at or real.startswith(at.rstrip("/") + "/")
                if inside and len(at) >= len(best):
                    best, kind = at, name
    except OSError:
        return ""
    return kind


def require_no_share(path: str) -> None:
    """Refuse a household file on a network share, unless a person says that one machine uses it.

    Raises
    ------
    FileTrouble: it lies on one
    """
    kind = file_system(os.path.dirname(os.path.abspath(path)))
    if kind in SHARED and not os.environ.get(ALL_THE_SAME):
        raise FileTrouble(
            f"{path} lies on a network share ({kind}). Two machines do not see each other's locks"
            " there and could spoil it. Move it to a disk of one machine and come in by ssh. If"
            f" only this machine ever opens it, {ALL_THE_SAME}=1 opens it anyway."
        )
