"""Where changes go when the file they were made in no longer bears its name.

The connection still holds everything: the whole household is copied beside the name, or into the
person's own folder for such things, under a name that says what it is.
"""

import os
from datetime import UTC, datetime

from curedash.domain.errors import FileTrouble
from curedash.store import paths
from curedash.store.copying import copy_to
from curedash.store.open import Held

BACK = "'curedash restore' lists and restores it"


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
    usual = [beside, os.path.join(paths.state_folder(), f"{name}.rescued-{stamp}")]
    trouble: FileTrouble | None = None
    for target in [conn.rescue] if conn.rescue else usual:
        try:
            os.makedirs(paths.state_folder(), mode=0o700, exist_ok=True)
            copy_to(conn, target)
        except (OSError, FileTrouble) as failed:
            trouble = failed if isinstance(failed, FileTrouble) else trouble
            continue
        conn.adrift, conn.rescue = True, target
        return (
            f"{name} was removed or replaced. This change and all before it are in"
            f" {shown(target, conn.path)}; {BACK}."
        )
    raise trouble or FileTrouble(f"{conn.path} is gone and no folder takes a copy of the change.")


def shown(rescue_path: str, path: str) -> str:
    """A rescue file by its name, and by its whole path where it does not lie beside the file."""
    folder, name = os.path.split(rescue_path)
    return f"{name} beside it" if folder == os.path.dirname(os.path.abspath(path)) else rescue_path
