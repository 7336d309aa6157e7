"""One look at everything, as ``watch`` and the dashboard take it again and again.

It remembers what opened and cleared, writes failures of places into their lots, boils down days
that are over, and says what a person is to be told: what is new, and once a day what is still so.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from sqlite3 import Connection

from curedash.domain.clock import clock_doubt
from curedash.domain.errors import Busy
from curedash.domain.needs.lot_needs import GATHERED, Need, gathered
from curedash.domain.records import StoredNeed
from curedash.domain.times import utc_text
from curedash.services.needs import check
from curedash.services.needs.check import key_of, key_of_stored
from curedash.services.places import outage, roll_up
from curedash.services.places.outage import Touched
from curedash.store import derived, rack
from curedash.store.work import By

TELL_AGAIN = timedelta(hours=24)
ACCEPTED_AFTER_S = 3600.0  # design value: a clock that was set is believed again after an hour
ORIGIN = "watch"


@dataclass(frozen=True, slots=True)
class Look:
    """What one look found."""

    needs: list[Need]  # everything that needs somebody, worst first
    new: list[Need]  # opened just now
    tell: list[Need]  # to be told: the new ones, and daily what is still so; gathered by place
    cleared: list[StoredNeed]
    touched: list[Touched]  # lots into which a failure was written
    clock: str | None = None  # why the clock is not believed


@dataclass(slots=True)
class ClockWatch:
    """Compares the clock with one that nobody sets and that runs on while the machine sleeps."""

    wall: float  # both at the start [s]
    steady: float
    _doubted_at: float | None = field(default=None)

    def doubt(self, wall: float, steady: float) -> str | None:
        """Why the clock is not believed since it was moved; believed again after an hour."""
        wall_s, steady_s = wall - self.wall, steady - self.steady
        found = clock_doubt(wall, wall_elapsed_s=wall_s, steady_elapsed_s=steady_s)
        if found is None:
            self._doubted_at = None
            return None
        if self._doubted_at is None:
            self._doubted_at = steady
        if steady - self._doubted_at > ACCEPTED_AFTER_S:
            self.wall, self.steady, self._doubted_at = wall, steady, None
            return None
        return found.sentence


def look(conn: Connection, by: By, now: datetime, clock: str | None = None) -> Look:
    """Look once and remember.

    Parameters
    ----------
    clock : why the clock is not believed (:class:`ClockWatch`), None if it is

    Raises
    ------
    FileTrouble (or Busy): try again later
    """
    if clock is not None:
        return Look([], [], [], [], [], clock)
    before = {need.id: need for need in derived.open_needs(conn)}
    lots = rack.open_lots(conn)
    found = check.awake_needs(conn, now)
    opened = check.keep(conn, found, now)
    touched = outage.follow(conn, By(by.now, by.actor, ORIGIN, by.session), found, now)
    standing = derived.open_needs(conn)
    still = {need.id for need in standing}
    _roll_up(conn, now)
    cleared = [need for need in before.values() if need.id not in still]
    tell = gathered(_to_tell(conn, found, standing, opened, now), lots)
    return Look(gathered(found, lots), opened, tell, cleared, touched)


def _roll_up(conn: Connection, now: datetime) -> None:
    """A few days at a time; the rest can wait."""
    try:
        roll_up.roll_up_days(conn, now)
    except Busy:
        return


def _to_tell(
    conn: Connection,
    found: Sequence[Need],
    standing: Sequence[StoredNeed],
    opened: Sequence[Need],
    now: datetime,
) -> list[Need]:
    """New needs, and those told a day ago; what flaps is told once a day unless it is ``act``."""
    lately = derived.announced_since(conn, utc_text(now - TELL_AGAIN))
    new = {key_of(need) for need in opened}
    keys = ((key_of_stored(need), need.level) for need in standing)
    due = {key for key, level in keys if key not in lately or (key in new and level == "act")}
    return [need for need in found if key_of(need) in due]


def mark_announced(conn: Connection, needs: Sequence[Need], now: datetime) -> None:
    """Remember that these were told; a gathered one for each of its lots."""
    keys = {key_of(need) for need in needs}
    keys |= {(need.cause, lot_id, 0) for need in needs for lot_id in need.lot_ids}
    places = {(n.cause, n.place_id) for n in needs if n.cause in GATHERED and not n.lot_id}
    in_place = {lot.id: lot.place_id for lot in rack.open_lots(conn)}
    ids = [
        need.id
        for need in derived.open_needs(conn)
        if key_of_stored(need) in keys or (need.cause, in_place.get(need.lot_id or 0)) in places
    ]
    if ids:
        derived.mark_announced(conn, ids, utc_text(now))
