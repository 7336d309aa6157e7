"""Pull windows: computed after a weigh-in, stored, and read by every front."""

import sqlite3
from datetime import datetime

from curedash.domain.records import LotState


def refresh(conn: sqlite3.Connection, lot: LotState, now: datetime) -> None:
    """Compute the pull window of one lot and store it."""
