"""Everything the papers say of one lot, read once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from math import ceil
from sqlite3 import Connection

from curedash.domain.dosing import DoseRequest
from curedash.domain.drying.lot_figures import Figures, figures
from curedash.domain.records import Batch, DoseLine, LotState, Pack, WeighIn
from curedash.domain.times import moment
from curedash.services.dosing.recipe import request_of
from curedash.services.household import household
from curedash.services.household.packs import mates_of
from curedash.store import batches, finishes, lots, weigh_ins


@dataclass(frozen=True, slots=True)
class LotFacts:
    """A lot with what belongs to it."""

    lot: LotState
    batch: Batch
    figures: Figures
    zone: tzinfo
    dose: tuple[DoseLine, ...]
    request: DoseRequest | None
    weigh_ins: tuple[WeighIn, ...]  # voided ones too
    packs: tuple[Pack, ...]
    mates: Mapping[int, Sequence[tuple[str, float]]]  # pack → what else is in a mixed one

    @property
    def hung(self) -> WeighIn | None:
        """The weigh-in of the hang weight."""
        found = [w for w in self.weigh_ins if w.kind == "hang" and w.voided_at is None]
        return found[-1] if found else None

    @property
    def out_days(self) -> tuple[datetime, datetime] | None:
        """Earliest and usual moment out of the cure."""
        lot = self.lot
        since = lot.stage_at if lot.stage == "in-cure" else lot.salted_at
        if since is None or lot.cure_usual_days is None:
            return None
        earliest = lot.cure_usual_days if lot.cure_earliest_days is None else lot.cure_earliest_days
        if lot.has_stop:  # it goes on salting: its moment counts by the hour
            return tuple_of(moment(since), earliest, lot.cure_usual_days)
        return tuple_of(moment(since), ceil(earliest), ceil(lot.cure_usual_days))


def tuple_of(since: datetime, first: float, last: float) -> tuple[datetime, datetime]:
    """Two moments so many days after a third."""
    return since + timedelta(days=first), since + timedelta(days=last)


def facts_of(conn: Connection, lot: LotState, now: datetime) -> LotFacts:
    """Read what belongs to a lot."""
    zone = household.zone(conn)
    batch = batches.one(conn, lot.batch_id)
    assert batch is not None  # the lot points at it
    return LotFacts(
        lot,
        batch,
        figures(lot, now, zone, lot.target_base),
        zone,
        tuple(lots.dose_lines(conn, lot.id)),
        request_of(conn, lot),
        tuple(weigh_ins.of_lot(conn, lot.id, voided=True)),
        tuple(finishes.packs(conn, lot.id)),
        mates_of(conn, lot.id),
    )
