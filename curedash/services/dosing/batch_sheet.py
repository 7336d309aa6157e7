"""The dose sheets of a whole batch, and the step into the cure once they are ticked."""

from datetime import datetime
from sqlite3 import Connection

from curedash.domain.curing.stages import GROUND
from curedash.domain.dosing import Dose
from curedash.domain.errors import CuredashError, Doubtful, NotFound, Refused
from curedash.domain.record import record
from curedash.domain.records import Batch, DoseLine, LotState
from curedash.domain.times import utc_text
from curedash.domain.wording import by_number
from curedash.services.curing.change_stage import Move, Moved, apply_move
from curedash.services.dosing.bags import Bag, bag_of, planned_dose
from curedash.services.dosing.tick import dose_weighed
from curedash.services.find import lot_with_id
from curedash.store import batches, lots, rack
from curedash.store.work import By, at_once, change

#: product classes of what is cooked before it is eaten, by their beginnings
COOKED = ("bacon", "side-bacon", "heat-treated", "immersion", "injected")


@record
class LotSheet:
    """One lot with the lines of its sheet."""

    lot: LotState
    lines: tuple[DoseLine, ...]
    dose: Dose | None  # from what was weighed, the rest as planned; None without a recipe
    bag: Bag | None = None  # shared with other lots

    @property
    def open_lines(self) -> int:
        """Lines not ticked yet."""
        return sum(line.ticked_at is None for line in self.lines)


@record
class BatchSheet:
    """The sheets of a batch, in the order of its lots."""

    batch: Batch
    lots: tuple[LotSheet, ...]

    @property
    def open_lines(self) -> int:
        """Lines of all lots not ticked yet."""
        return sum(sheet.open_lines for sheet in self.lots)

    @property
    def raw(self) -> tuple[LotSheet, ...]:
        """Lots that are not in the cure yet."""
        return tuple(sheet for sheet in self.lots if sheet.lot.stage == "raw")


def read_sheet(conn: Connection, batch_id: int) -> BatchSheet:
    """Read the sheets of a batch; a piece cut from another has none of its own.

    Raises
    ------
    NotFound: the batch was taken back meanwhile
    """
    batch = batches.one(conn, batch_id)
    members = [] if batch is None else rack.lots_of_batch(conn, batch_id)
    if batch is None or not members:
        raise NotFound("That batch is gone.")
    sheets = (_sheet(conn, lot) for lot in members)
    return BatchSheet(batch, tuple(sheet for sheet in sheets if sheet.lines))


def is_raw_pork(conn: Connection, lot: LotState) -> bool:
    """Whether a lot is fresh pork that is not meant to be cooked, and was not frozen as a step."""
    from curedash.services.curing.freeze import FREEZING

    batch = batches.one(conn, lot.batch_id)
    if batch is None or not eaten_raw_pork(lot.species, batch.product_class):
        return False
    if _is_cooked(conn, lot.style):
        return False
    came_fresh = batches.condition(conn, lot.id) in (None, "fresh")
    return came_fresh and lots.last_event(conn, lot.id, FREEZING) is None


def eaten_raw_pork(species: str, product_class: str, eaten: str | None = None) -> bool:
    """Whether it is pork that is eaten as it is, by its name, its class and its end use."""
    from curedash.domain.curing.trichina import names_pork

    cooked = product_class.startswith(COOKED) or eaten in ("cooked-soon", "fried")
    return names_pork(species) and not cooked


def _is_cooked(conn: Connection, style: str) -> bool:
    """Whether the style is one that is cooked first; a style nobody knows any more is not."""
    from curedash.services.household.styles import require_style

    try:
        return require_style(conn, style).style.cook_before_eating
    except CuredashError:
        return False


def sheet_of_lot(conn: Connection, lot_id: int) -> LotSheet:
    """Read the sheet of one lot.

    Raises
    ------
    NotFound: the lot was taken back meanwhile
    """
    return _sheet(conn, lot_with_id(conn, lot_id))


@at_once
def into_cure(
    conn: Connection, by: By, batch_id: int, at: datetime, note: str | None = None
) -> tuple[Moved, ...]:
    """Move every raw lot of a batch into the cure, in one change.

    Raises
    ------
    Refused: none is raw; Doubtful: a sheet is not fully ticked, or as
        :func:`curedash.services.curing.change_stage.apply_move` (a note answers it)
    """
    sheet = read_sheet(conn, batch_id)
    if not sheet.raw:
        raise Refused(f"No lot of batch {sheet.batch.code} is raw any more.")
    if all(each.lot.method == GROUND for each in sheet.raw):
        raise Refused(
            f"Batch {sheet.batch.code} is ground meat: its salt is mixed in, then it is stuffed,"
            " not put in the cure. Weigh it stuffed and move it to its ferment, or hang it."
        )
    missing = sum(each.open_lines for each in sheet.raw)
    if missing and not note:
        one = "1 line is not ticked: left out, or added without ticking?"
        more = f"{missing} lines are not ticked: left out, or added without ticking?"
        raise Doubtful(by_number(missing, one, more))
    moved = []
    subject = f"batch {sheet.batch.code}"
    with change(conn, by, "into the cure", subject=subject, at=utc_text(at)) as work:
        for each in sheet.raw:
            said = apply_move(work, each.lot, Move("in-cure", at, note=note))
            moved.append((each.lot.id, said))
        if sheet.batch.salted_at is None:
            batches.update(work, batch_id, salted_at=utc_text(at))
    return tuple(Moved(lot_with_id(conn, lot_id), said) for lot_id, said in moved)


def _sheet(conn: Connection, lot: LotState) -> LotSheet:
    lines = tuple(lots.dose_lines(conn, lot.id))
    try:
        planned = planned_dose(conn, lot) if lines else None
        if planned is None:
            return LotSheet(lot, lines, None)
        return LotSheet(lot, lines, dose_weighed(conn, lot, planned, lines), bag_of(conn, lot))
    except CuredashError:  # the recipe of a newer program
        return LotSheet(lot, lines, None)
