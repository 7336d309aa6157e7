"""What is derived from the file and written back when nobody waits: pull windows, needs told."""

from curedash.domain.needs.lot_needs import Need
from curedash.domain.times import moment
from curedash.services.drying import forecasts
from curedash.services.needs import watch
from curedash.store.rack import one_lot, open_lots
from curedash.store.watching import Connection
from curedash.store.work import By
from curedash.tui.chassis.writer import Job


def forecast(lot_id: int) -> Job:
    """Compute the pull window of one lot; the job returns the ids of all whose window followed."""

    def job(conn: Connection, by: By) -> set[int]:
        lot = one_lot(conn, lot_id)
        if lot is None:
            return {lot_id}
        return {lot_id, *forecasts.refresh(conn, lot, moment(by.now))}

    return job


def stale(conn: Connection, by: By) -> list[int]:
    """Lots whose stored window is missing or no longer belongs to them."""
    now = moment(by.now)
    return [lot.id for lot in open_lots(conn) if forecasts.is_stale(lot, now)]


def remember(conn: Connection, by: By) -> list[Need]:
    """Write which needs came or cleared and which lots a failing place touched; what stands."""
    return watch.look(conn, by, moment(by.now)).needs
