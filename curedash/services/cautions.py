"""Each short caution once to each person, at the moment it belongs to."""

import sqlite3

from curedash.domain.facts.cautions import CAUTIONS
from curedash.store import settings
from curedash.store.work import By


def say_once(conn: sqlite3.Connection, by: By, *moments: str) -> tuple[str, ...]:
    """The cautions of these moments that this person has not been told yet; told from now on.

    Parameters
    ----------
    moments : words of the ``where`` of :mod:`curedash.domain.facts.cautions`

    Returns
    -------
    the sentences in their order, empty where everything was said before
    """
    told = settings.told(conn, by.actor)
    fresh = [c for moment in moments for c in CAUTIONS if c.where == moment and c.id not in told]
    if fresh:
        settings.mark_told(conn, by.actor, told | {caution.id for caution in fresh})
    return tuple(caution.text for caution in fresh)
