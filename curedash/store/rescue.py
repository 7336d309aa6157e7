"""Where changes go when the file they were made in no longer bears its name.

The connection still holds everything: the whole household is copied beside the name, or into the
person's own folder for such things, under a name that says what it is.
"""

import os
from datetime import UTC, datetime

from curedash.domain.errors import FileTrouble
from curedash.store.backup import copy_to
from curedash.store.open import Held


class Rescued(FileTrouble):
    """The change is stored, but not in the file it was meant for: only in a rescue file."""

    def __init__(self, words: str) -> None:
        super().__init__(words)


def rescue(conn: Held) -> str:
    """Copy everything the connection holds into its rescue file; the sentence for the person.

    Raises
    ------
    FileTrouble: no folder takes the copy
    """
    name = os.path.basename(conn.path)
    stamp = f"{datetime.now(UTC):%Y-%m-%dT%H%M%SZ}"
    beside = f"{conn.path}.rescued-{stamp}"
    usual = [beside, os.path.join(_state_folder(), f"{name}.rescued-{stamp}")]
    trouble: FileTrouble | None = None
    for target in [conn.rescue] if conn.rescue else usual:
        try:
            os.makedirs(_state_folder(), mode=0o700, exist_ok=True)
            copy_to(conn, target)
        except (OSError, FileTrouble) as failed:
            trouble = failed if isinstance(failed, FileTrouble) else trouble
            continue
        conn.rescue = target
        return (
            f"{conn.path} was removed, renamed or replaced while it was open here. This change and"
            f" everything before it are in {target}; 'curedash restore {target}' brings it back."
        )
    raise trouble or FileTrouble(f"{conn.path} is gone and no folder takes a copy of the change.")


def _state_folder() -> str:
    state = os.environ.get("XDG_STATE_HOME") or os.path.expanduser("~/.local/state")
    return os.path.join(state, "curedash")
