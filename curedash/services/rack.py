"""The Rack: every open lot with its figures and needs, worst first, then the soonest ready."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime, tzinfo
from sqlite3 import Connection

from curedash.domain.drying.lot_figures import Figures, figures, opens_on
from curedash.domain.needs.lot_needs import LEVELS, Need
from curedash.domain.record import record
from curedash.domain.records import ENDED, LotState, StoredNeed
from curedash.services.curing.lot_checks import ferments_of
from curedash.services.household import household
from curedash.services.needs import check
from curedash.store import rack

TYPE_CHECKING = False
if TYPE_CHECKING:
    from curedash.domain.curing.ferment import FermentState


#: causes of lots that spoil soonest
NOT_SOUR = ("degree-hours-over", "degree-hours-unknown", "ph-late", "ph-due")


class RackRow:
    """One line of the Rack; its figures are computed when first asked for.

    Of thousands of lots only those on the screen are.
    """

    __slots__ = ("_figures", "ferment", "lot", "needs")

    def __init__(
        self,
        lot: LotState,
        figures: Figures | Callable[[], Figures],
        needs: tuple[Need, ...],
        ferment: "FermentState | None" = None,
    ) -> None:
        self.lot, self.needs = lot, needs
        self.ferment = ferment  # only while it ferments
        self._figures = figures

    @property
    def figures(self) -> Figures:
        """What is computed of the lot."""
        if not isinstance(self._figures, Figures):
            self._figures = self._figures()
        return self._figures

    @property
    def level(self) -> str:
        """The worst level of this lot's needs, empty if it is quiet."""
        return self.needs[0].level if self.needs else ""


@record
class Rack:
    """All lines, what needs a person, and the zone days are counted in."""

    rows: tuple[RackRow, ...]
    needs: tuple[Need, ...]
    zone: tzinfo
    today: date


def read_rack(conn: Connection, now: datetime, *, base: str = "hang") -> Rack:
    """Read every open lot.

    Parameters
    ----------
    now : the moment asked about (aware)
    base : ``hang`` or ``green``, what loss is shown on
    """
    zone = household.zone(conn)
    lots = rack.open_lots(conn)
    ferments = ferments_of(conn, lots, now)
    found = check.needs_of(conn, lots, now, zone, ferments)
    own = by_lot(found)
    rows = [row_of(lot, own.get(lot.id, ()), now, zone, base, ferments.get(lot.id)) for lot in lots]
    return Rack(tuple(in_rack_order(rows)), tuple(found), zone, now.astimezone(zone).date())


def snoozed(conn: Connection, now: datetime) -> list[StoredNeed]:
    """What is snoozed, the first to come back first; asked where nothing else needs anybody."""
    return check.asleep(check.remembered(conn)[0], now)


def read_row(conn: Connection, lot_id: int, now: datetime, *, base: str = "hang") -> RackRow | None:
    """Read one lot again, e.g. after a weigh-in; None if it is closed or gone."""
    lot = rack.one_lot(conn, lot_id)
    if lot is None or lot.stage in ENDED:
        return None
    return row_now(conn, lot, now, household.zone(conn), base)


def row_now(
    conn: Connection, lot: LotState, now: datetime, zone: tzinfo, base: str = "hang"
) -> RackRow:
    """The line of a lot that was just read, whatever its stage."""
    ferments = ferments_of(conn, [lot], now)
    found = check.needs_of_lot(conn, lot, now, zone, ferments)
    return row_of(lot, found, now, zone, base, ferments.get(lot.id))


def row_of(
    lot: LotState,
    needs: Sequence[Need],
    now: datetime,
    zone: tzinfo,
    base: str,
    fermenting: "FermentState | None" = None,
) -> RackRow:
    """One line from a lot and its needs, worst first."""
    return RackRow(lot, lambda: figures(lot, now, zone, base), tuple(needs), fermenting)


def by_lot(needs: Iterable[Need]) -> dict[int, list[Need]]:
    """Needs gone through once, by the lot they are about, in their order."""
    found: dict[int, list[Need]] = {}
    for need in needs:
        if need.lot_id is not None:
            found.setdefault(need.lot_id, []).append(need)
    return found


def in_rack_order(rows: Sequence[RackRow]) -> list[RackRow]:
    """What needs somebody first, a ferment before the rest; then the soonest ready."""

    def key(row: RackRow) -> tuple[int, bool, str, float]:
        level = LEVELS.index(row.level) if row.level else len(LEVELS)
        sour = row.level == "act" and row.needs[0].cause in NOT_SOUR
        return level, not sour, opens_on(row.lot) or "9999", row.lot.position

    return sorted(rows, key=key)
